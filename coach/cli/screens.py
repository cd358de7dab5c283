"""`coach` alone: opens the screens."""

import sys

from coach.errors import RequestError


def open_screens(piece: str = "") -> int:
    """Open the screens, on a piece if one is named. Raises RequestError where there is no terminal."""
    if not (sys.stdin.isatty() and sys.stdout.isatty()):
        raise RequestError("The screens need a terminal; use a command such as `coach today` here (see coach --help).")
    from coach.screen.app import run_app

    return run_app(piece)

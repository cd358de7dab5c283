"""The command line's entry: finds the command, runs it, and turns errors into one sentence and a status.

Status 0: done. 1: the request could not be met. 2: wrong usage (argparse). 130: interrupted. Next to nothing is
imported up here, so that an interrupt finds the program ready for it.
"""

import os
import sys
from typing import TYPE_CHECKING

from coach import __version__
from coach.errors import CoachError

if TYPE_CHECKING:
    import argparse
    from collections.abc import Sequence

COMMANDS = (
    "demo",
    "add",
    "pieces",
    "show",
    "play",
    "render",
    "fingering",
    "prepare",
    "today",
    "rep",
    "progress",
    "part",
    "share",
    "log",
    "check",
    "where",
)


def run() -> None:
    """Entry point of the program."""
    sys.exit(main(sys.argv[1:]))


def main(arguments: "Sequence[str]") -> int:
    """Run one command line; returns the exit status."""
    try:
        _speak_utf8()
        status = _command(arguments) if arguments else _screens()
        sys.stdout.flush()
    except CoachError as error:
        print(f"coach: {_shown(error)}", file=sys.stderr)
        return 1
    except KeyboardInterrupt:
        return 130
    except OSError as error:
        _give_output_up()
        if not isinstance(error, BrokenPipeError):  # then the reader of our output has gone, and nobody is to be told
            where = error.filename or "Standard output"
            print(f"coach: {where} cannot be used ({error.strerror}); choose another place.", file=sys.stderr)
        return 1
    return status


def _command(arguments: "Sequence[str]") -> int:
    options = build_parser().parse_args(arguments)
    status: int = options.run(options)
    return status


def build_parser() -> "argparse.ArgumentParser":
    """The parser with every command. Command modules import what they need when they run, not before."""
    import argparse
    from importlib import import_module

    def formatted(prog: str) -> argparse.HelpFormatter:
        formatter = argparse.HelpFormatter(prog)
        formatter._action_max_length = max(map(len, COMMANDS)) + 4  # argparse forgets that commands stand indented
        return formatter

    parser = argparse.ArgumentParser(
        prog="coach",
        formatter_class=formatted,
        description="A practice-session coach for wind players. Without a command it opens the screens.",
        epilog="Pain means stop. Rest five minutes in each half hour. Keep headphones low. "
        "A teacher or a clinician outranks this program.",
    )
    parser.add_argument("--version", action="version", version=f"coach {__version__}")
    commands = parser.add_subparsers(title="commands", metavar="COMMAND")
    parser.set_defaults(run=lambda _: _screens())
    for name in COMMANDS:
        import_module(f"coach.cli.{name}").declare(commands)
    return parser


def _screens() -> int:
    """Open the screens; on the way there no command is looked at, which would delay the first paint."""
    from coach.cli.screens import open_screens

    return open_screens()


def _speak_utf8() -> None:
    """Names of notes and titles never stop a command, whatever the terminal's encoding."""
    for stream in (sys.stdout, sys.stderr):
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure is not None:
            reconfigure(errors="replace")


def _shown(error: CoachError) -> str:
    """The sentence as a terminal may print it: the name of a file may hold anything."""
    from coach.music.text import one_line

    return one_line(str(error))


def _give_output_up() -> None:
    """What was printed and not yet written goes nowhere, so that the interpreter's own last flush cannot fail."""
    try:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    except OSError:
        return  # no descriptor behind the stream, so no flush that could fail


if __name__ == "__main__":
    run()

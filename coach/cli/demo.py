"""coach demo: put the demo piece on the stand and open it."""

import argparse

from coach.cli.document import json_option, print_json


def declare(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Declare the command."""
    parser = commands.add_parser("demo", help="put the demo piece on the stand and open it")
    json_option(parser)
    parser.set_defaults(run=_run)


def _run(options: argparse.Namespace) -> int:
    import sys

    from coach.lesson.demo import put_demo
    from coach.lesson.desk import Desk

    desk = Desk.open()
    piece = put_demo(desk)
    desk.close()
    if options.json or not sys.stdout.isatty():
        from coach.cli.pieces import as_document, as_line

        if options.json:
            print_json("coach.piece/1", {"piece": as_document(piece)})
        else:
            print(f"On the stand: {as_line(piece)}")
        return 0
    from coach.cli.screens import open_screens

    return open_screens(piece.id)

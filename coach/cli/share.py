"""coach share: a piece with its marks in one file for somebody else."""

import argparse

from coach.cli.document import json_option, print_json


def declare(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Declare the command."""
    parser = commands.add_parser("share", help="write a piece and its marks to one file for somebody else")
    parser.add_argument("source", help="the id or title of a piece on the stand, or its score file")
    parser.add_argument("file", help="where to, such as etude.coach; `coach add` takes it")
    json_option(parser)
    parser.set_defaults(run=_run)


def _run(options: argparse.Namespace) -> int:
    from coach.cli.marks import tell_faults
    from coach.lesson.desk import Desk
    from coach.lesson.sharing import write_share

    shared = write_share(Desk.open(), options.source, options.file)
    tell_faults(shared.faults)
    marks = shared.marks
    if options.json:
        print_json("coach.shared/1", {"file": options.file, "marks": marks})
    else:
        print(f"{options.file} holds the score and {marks} mark{'' if marks == 1 else 's'}.")
        print("Whoever gets it puts it on the stand with `coach add`, and an updated one in the same way.")
    return 0

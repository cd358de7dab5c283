"""coach part: the marked part, to hand on or to print."""

import argparse
import sys

from coach.cli.document import json_option, print_json
from coach.cli.options import source_options


def declare(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Declare the command."""
    parser = commands.add_parser("part", help="write the part with its marks")
    source_options(parser)
    parser.add_argument("--musicxml", metavar="FILE", help="write MusicXML with the marks in it (.mxl: compressed)")
    json_option(parser)
    parser.set_defaults(run=_run)


def _run(options: argparse.Namespace) -> int:
    from coach.errors import RequestError
    from coach.lesson.desk import Desk
    from coach.lesson.part import part_to_write, write_musicxml

    files = {name: file for name, file in (("musicxml", options.musicxml),) if file}
    if not files:
        raise RequestError("There is nothing to write; give --musicxml FILE.")
    part = part_to_write(Desk.open(), options.source, options.part)
    if "musicxml" in files:
        write_musicxml(part, files["musicxml"])
    for file in files.values():
        print(f"Written: {file}", file=sys.stderr)
    marks = len(part.prep.shown)
    if options.json:
        piece = {"title": part.piece.title, "part": part.piece.part.name}
        print_json("coach.part/1", {**piece, "marks": marks, "files": files})
    else:
        print(f"{part.piece.title}, {part.piece.part.name}: with {marks} mark{'' if marks == 1 else 's'}.")
    return 0

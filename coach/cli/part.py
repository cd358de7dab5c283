"""coach part: the marked part, to hand on or to print."""

import argparse
import os
import sys

from coach.cli.document import json_option, print_json
from coach.cli.options import source_options


def declare(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Declare the command."""
    parser = commands.add_parser("part", help="write the part with its marks")
    source_options(parser)
    parser.add_argument("--musicxml", metavar="FILE", help="write MusicXML with the marks in it (.mxl: compressed)")
    parser.add_argument("--pdf", metavar="FILE", help="write pages to print, as PDF")
    parser.add_argument("--html", metavar="FILE", help="write pages to print, as one HTML file")
    parser.add_argument("--paper", choices=("a4", "letter"), default="a4", help="the paper of the pages; otherwise a4")
    json_option(parser)
    parser.set_defaults(run=_run)


def _run(options: argparse.Namespace) -> int:
    from coach.cli.marks import tell_faults
    from coach.errors import RequestError
    from coach.lesson.desk import Desk
    from coach.lesson.part import part_to_write, write_musicxml
    from coach.lesson.printing import print_part

    wanted = (("musicxml", options.musicxml), ("pdf", options.pdf), ("html", options.html))
    files = {name: file for name, file in wanted if file}
    if not files:
        raise RequestError("There is nothing to write; give --musicxml FILE, --pdf FILE or --html FILE.")
    if len({os.path.abspath(os.path.expanduser(file)) for file in files.values()}) < len(files):
        raise RequestError("Two kinds of file cannot have one name; give each its own.")
    desk = Desk.open()
    part = part_to_write(desk, options.source, options.part)
    tell_faults(part.faults)
    if "musicxml" in files:
        write_musicxml(part, files["musicxml"])
    if "pdf" in files or "html" in files:
        printed = {name: files.get(name, "") for name in ("pdf", "html")}
        for sentence in print_part(desk, part, **printed, paper=options.paper):
            print(sentence, file=sys.stderr)
    for file in files.values():
        print(f"Written: {file}", file=sys.stderr)
    marks = len(part.prep.shown)
    if options.json:
        piece = {"title": part.piece.title, "part": part.piece.part.name}
        print_json("coach.part/1", {**piece, "marks": marks, "files": files})
    else:
        print(f"{part.piece.title}, {part.piece.part.name}: with {marks} mark{'' if marks == 1 else 's'}.")
    return 0

"""coach add: put a piece on the stand."""

import argparse

from coach.cli.document import json_option, print_json
from coach.cli.values import day


def declare(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Declare the command."""
    parser = commands.add_parser("add", help="put a piece on the stand")
    parser.add_argument("source", help="a score file (MusicXML, MXL, MIDI, ABC, Humdrum), a share, or corpus:<path>")
    parser.add_argument("--part", help="the part to practise, by name or number (a clarinet is found by itself)")
    parser.add_argument("--instrument", help="what it is played on, where the file does not say")
    parser.add_argument("--tempo", help="the performance tempo, such as 72 or eighth=72")
    parser.add_argument("--measures", metavar="A-B", help="the cut: the measures that are asked for")
    parser.add_argument("--by", type=day, metavar="DATE", help="the day it must be ready, such as 2026-03-14")
    json_option(parser)
    parser.set_defaults(run=_run)


def _run(options: argparse.Namespace) -> int:
    from coach.cli.pieces import as_document, as_line
    from coach.lesson.desk import Desk
    from coach.lesson.sharing import put

    desk = Desk.open()
    taken = put(
        desk,
        options.source,
        part=options.part,
        instrument=options.instrument,
        tempo_text=options.tempo,
        measures=options.measures,
        by=options.by,
    )
    piece = taken.piece
    if options.json:
        print_json("coach.piece/1", {"piece": as_document(piece)})
    else:
        print(f"On the stand: {as_line(piece)}")
        if taken.told:
            print(taken.told)
        print(f"`coach` opens the screens; `coach play {piece.id}` plays it.")
    return 0

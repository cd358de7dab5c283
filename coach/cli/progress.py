"""coach progress: what holds and what needs work."""

import argparse
from typing import TYPE_CHECKING

from coach.cli.document import json_option, printable

if TYPE_CHECKING:
    from coach.practice.standing import MeasureStanding

GLYPHS = {"holds": ("✓", "+"), "nearly holds": ("~", "~"), "needs work": ("✗", "x"), "unknown": ("·", ".")}


def declare(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Declare the command."""
    parser = commands.add_parser("progress", help="what holds and what needs work")
    parser.add_argument("source", metavar="PIECE", help="the id or title of a piece on the stand")
    json_option(parser)
    parser.set_defaults(run=_run)


def _run(options: argparse.Namespace) -> int:
    import json

    from coach.lesson.desk import Desk
    from coach.lesson.progress import progress, spot_words
    from coach.lesson.stand import find, open_piece

    desk = Desk.open()
    set_piece = find(desk, options.source)
    found = progress(desk, set_piece, open_piece(desk, set_piece))
    if options.json:
        print(json.dumps(found.document(), ensure_ascii=False, indent=1))
        return 0
    print(f"{set_piece.title}, measures {set_piece.first}-{set_piece.last}, {set_piece.tempo.name}")
    for one in found.measures:
        print(f"{one.measure:>6}  {printable(*GLYPHS[one.state])} {one.state}{_tempo(one)}")
    for name, words in spot_words(desk, set_piece):
        print(f"{name}: {words}")
    whole = found.whole_piece
    if whole.now is not None:
        print(f"A clean run of the whole now: {whole.now:.0%} ({whole.low:.0%} to {whole.high:.0%}).")
    return 0


def _tempo(one: "MeasureStanding") -> str:
    """The hold tempo, with what it rests on."""
    if one.hold_tempo is None:
        return ""
    shown = f"clean up to {one.shown:.0f}" if one.shown else "never clean yet"
    return f"  hold tempo about {one.hold_tempo:.0f} ({one.low:.0f} to {one.high:.0f}), {shown}"

"""Options that commands share. Imports nothing that a help page does not need."""

import argparse

from coach.cli.values import per_cent

# Those of coach.prepare.ornaments.realisation, which a help page must not wait for.
STYLES = ("lyrical", "treatise")


def source_options(parser: argparse.ArgumentParser) -> None:
    """SOURCE and the part of it."""
    parser.add_argument("source", help="a score file, corpus:<path>, or the id or title of a piece on the stand")
    parser.add_argument("--part", help="the part, by name or number, of a score that is not on the stand")


def stretch_options(parser: argparse.ArgumentParser) -> None:
    """What stretch, how fast, and with what click."""
    parser.add_argument("--measures", metavar="A-B", help="only these measures; otherwise the cut")
    speed = parser.add_mutually_exclusive_group()
    speed.add_argument("--tempo", help="the tempo of the stretch: 72 of the printed beat unit, or eighth=72")
    speed.add_argument("--percent", type=per_cent, metavar="P", help="per cent of the performance tempo")
    parser.add_argument("--click", action="store_true", help="with the click")
    parser.add_argument("--count-in", type=int, choices=(0, 1, 2), metavar="N", help="measures of count-in: 0, 1 or 2")
    parser.add_argument("--others", action="store_true", help="with the other parts")
    parser.add_argument("--repeats", action="store_true", help="follow repeats, endings and jumps")
    played = parser.add_mutually_exclusive_group()
    played.add_argument("--style", choices=STYLES, help="how ornaments are played that nobody has decided on")
    played.add_argument("--plain", action="store_true", help="as printed, without interpretation")


def hands_options(parser: argparse.ArgumentParser) -> None:
    """The instrument in hand."""
    parser.add_argument("--instrument", default="", help='such as "clarinet in A"; otherwise as set up')
    parser.add_argument("--left-eflat-lever", action="store_true", help="the clarinet has the left A-flat/E-flat lever")

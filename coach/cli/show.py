"""coach show: measures as music in the terminal, with their marks, or in words."""

import argparse
import sys
from typing import TYPE_CHECKING

from coach.cli.options import source_options

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from coach.cli.source import Chosen
    from coach.lesson.desk import Desk
    from coach.prepare.mark import Mark
    from coach.prepare.prep import Prep
    from coach.screen.view.canvas import Canvas
    from coach.screen.view.glyphs import Glyphs

NARROWEST, WIDEST = 40, 400  # columns
_LOOK = {
    **dict.fromkeys(("line", "ledger", "bar", "under", "slur", "beats", "outside", "custos", "held"), "dim"),
    **dict.fromkeys(("head", "grace", "clef", "metre", "dynamic", "tempo", "finger", "mark", "breath", "name"), "bold"),
    **{"words": "italic", "suggested": "italic cyan", "pencil": "bold cyan", "teacher": "bold underline cyan"},
    **{"range": "bold yellow"},
}


def declare(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Declare the command."""
    parser = commands.add_parser("show", help="engrave measures into the terminal, with their marks")
    source_options(parser)
    parser.add_argument("--measures", metavar="A-B", help="only the lines with these measures; otherwise the cut")
    parser.add_argument("--width", type=_columns, metavar="N", help="columns; otherwise those of the terminal")
    parser.add_argument("--plain", action="store_true", help="in words, measure by measure")
    parser.add_argument("--ascii", action="store_true", help="with plain characters alone")
    parser.add_argument("--struck", action="store_true", help="tell the struck marks too")
    parser.set_defaults(run=_run)


def _columns(text: str) -> int:
    if not (text.isascii() and text.isdigit() and NARROWEST <= int(text) <= WIDEST):
        raise argparse.ArgumentTypeError(f"{text!r} is no width; write {NARROWEST} to {WIDEST} columns")
    return int(text)


def _run(options: argparse.Namespace) -> int:
    from coach.cli.marks import tell_faults
    from coach.cli.source import choose
    from coach.lesson.desk import Desk
    from coach.lesson.showing import marks_for, marks_in
    from coach.screen.view.glyphs import ASCII, glyphs_for

    desk = Desk.open()
    chosen = choose(desk, options)
    marks = marks_for(desk, chosen.set_piece, chosen.piece)
    tell_faults(marks.faults)
    prep = marks.prep
    glyphs = ASCII if options.ascii else glyphs_for(sys.stdout.encoding)
    measures = chosen.piece.measures(chosen.span)
    shown = [mark for mark in marks_in(prep, chosen.piece, chosen.span) if options.struck or not mark.struck]
    print(f"{chosen.piece.title}: {chosen.piece.part.name}, measures {measures[0].id}-{measures[-1].id}")
    if options.plain:
        _say(chosen, shown, glyphs)
    else:
        width = options.width or _terminal_columns()
        engraved = glyphs is not ASCII and _engrave(desk, options, chosen, prep, width, glyphs)
        if not engraved:
            _draw_characters(chosen, shown, width, glyphs)
        _tell([mark for mark in shown if mark.struck or not engraved], chosen)
    return 0


def _terminal_columns() -> int:
    import shutil

    return min(max(shutil.get_terminal_size().columns, NARROWEST), WIDEST)


def _say(chosen: "Chosen", marks: "Sequence[Mark]", glyphs: "Glyphs") -> None:
    """Every measure as a line of words, its marks at their notes."""
    from coach.screen.view.words import marked_measure_words

    for measure in chosen.piece.measures(chosen.span):
        print(marked_measure_words(chosen.piece.part, measure, marks, glyphs))


def _engrave(
    desk: "Desk", options: argparse.Namespace, chosen: "Chosen", prep: "Prep", width: int, glyphs: "Glyphs"
) -> bool:
    """Print the engraved systems; False, and a sentence on standard error, where the part cannot be engraved."""
    from coach.errors import ScoreError
    from coach.lesson.showing import copy_for, systems_of
    from coach.screen.view.dots.engrave import DOTS
    from coach.screen.view.dots.grid import CELL_WIDTH
    from coach.screen.view.dots.page import draw_engraved, extent
    from coach.screen.view.page import Look

    piece = chosen.piece
    copy = copy_for(desk, options.source, options.part, chosen.set_piece, piece, prep)
    try:
        systems = systems_of(desk, copy, chosen.span, (CELL_WIDTH * width - 1) / DOTS)
    except ScoreError as error:
        print(f"coach: {error}", file=sys.stderr)
        return False
    look = Look(-1, None if chosen.span == piece.whole() else chosen.span)
    for system in systems:
        _print_canvas(draw_engraved(piece, [system], look, (width, extent(system).rows), glyphs).canvas)
    return True


def _draw_characters(chosen: "Chosen", marks: "Sequence[Mark]", width: int, glyphs: "Glyphs") -> None:
    from coach.screen.view.page import Look, draw_page, rows_wanted
    from coach.screen.view.system import break_systems

    for system in break_systems(chosen.piece, chosen.span, width, glyphs):
        size = width, rows_wanted(system, width)
        _print_canvas(draw_page(chosen.piece, [system], Look(-1, marks=tuple(marks)), size, glyphs).canvas)
        print()


def _print_canvas(canvas: "Canvas") -> None:
    """Print a drawing: in a terminal with its staff lines dimmed (colours only as NO_COLOR allows), else as it is."""
    from rich.console import Console
    from rich.text import Text

    console = Console(file=sys.stdout, highlight=False, markup=False, emoji=False)
    if not console.is_terminal:
        print(canvas.text())
        return
    for row in range(canvas.height):
        line = Text.assemble(*((run.text, _LOOK.get(run.style, "")) for run in canvas.runs(row)), end="\n")
        line.rstrip()
        console.print(line, soft_wrap=True)


def _tell(marks: "Sequence[Mark]", chosen: "Chosen") -> None:
    """Marks that the drawing does not show, in words."""
    for line in _lines(marks, chosen):
        print(line)


def _lines(marks: "Sequence[Mark]", chosen: "Chosen") -> "Iterator[str]":
    from coach.prepare.over import measure_of
    from coach.prepare.words import mark_words

    for mark in marks:
        yield f"{measure_of(mark.at):>5}  {mark_words(mark, chosen.piece.part)}"

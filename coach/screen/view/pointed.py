"""The pencil's cursor over a drawn page: the note it points at, and the line over a stretch that is being drawn."""

from dataclasses import dataclass

from coach.screen.view.glyphs import Glyphs
from coach.screen.view.page import NotePlace, Page

Cells = list[tuple[str, str]]


@dataclass(frozen=True, slots=True)
class Pointing:
    """The note pointed at ("" for none); the notes, in order, over which a mark is being drawn; where that leads."""

    note: str = ""
    stretch: tuple[str, ...] = ()
    goal: str = ""


def pointed(cells: Cells, y: int, page: Page, at: Pointing, glyphs: Glyphs) -> Cells:
    """A row's cells with the cursor in them."""
    places = [page.notes[name] for name in at.stretch if name in page.notes]
    _line(cells, [place.column for place in places if place.marker_row == y], glyphs)
    for name in {at.note, *at.stretch[:1], *at.stretch[-1:]}:
        if name in page.notes:
            _mark(cells, y, page.notes[name], glyphs)
    goal = page.notes.get(at.goal)
    if goal is not None and y == goal.marker_row and goal.column < len(cells):
        cells[goal.column] = (glyphs.goal, "marker")
    return cells


def _line(cells: Cells, columns: list[int], glyphs: Glyphs) -> None:
    """A line over the notes of the stretch; the numbers that stand there stay."""
    for column in range(min(columns), max(columns) + 1) if columns else ():
        if column < len(cells) and not cells[column][0].isalnum() and cells[column][1] != "chosen-number":
            cells[column] = (glyphs.line, "marker")


def _mark(cells: Cells, y: int, place: NotePlace, glyphs: Glyphs) -> None:
    if y == place.marker_row and place.column < len(cells):
        cells[place.column] = (glyphs.pencil, "marker")
    if y == place.row and place.column < len(cells):
        cells[place.column] = (cells[place.column][0], "cursor")
    for row, first, length in place.name:
        if row == y:
            for column in range(first, min(first + length, len(cells))):
                cells[column] = (cells[column][0], "cursor")

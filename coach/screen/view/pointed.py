"""The pencil's cursor over a drawn page: the note it points at, and the line over a stretch that is being drawn."""

from coach.screen.view.glyphs import Glyphs
from coach.screen.view.page import NotePlace, Page

Cells = list[tuple[str, str]]


def pointed(cells: Cells, y: int, page: Page, at: tuple[str, tuple[str, ...]], glyphs: Glyphs) -> Cells:
    """A row's cells with the cursor in them: `at` is the note pointed at, and the notes of a stretch (() for none)."""
    note, stretch = at
    places = [page.notes[name] for name in stretch if name in page.notes]
    _line(cells, [place.column for place in places if place.marker_row == y], glyphs)
    for name in {stretch[0], stretch[-1]} if stretch else ():
        if name in page.notes:
            _mark(cells, y, page.notes[name], glyphs)
    if note in page.notes:
        _mark(cells, y, page.notes[note], glyphs)
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

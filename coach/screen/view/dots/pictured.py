"""A page of systems shown as pictures: what stands in characters around them, and where their notes are."""

from collections.abc import Sequence

from coach.music.engraved import EngravedSystem
from coach.music.piece import Piece
from coach.screen.view.band import fitted
from coach.screen.view.canvas import Canvas
from coach.screen.view.dots.page import NUMBERS, column_at, put_bands, put_breaths, put_numbers
from coach.screen.view.glyphs import Glyphs
from coach.screen.view.page import Look, NotePlace, Page


def pictures_fitting(rows: Sequence[int], height: int) -> int:
    """How many pictures of so many rows stand one above the other in a height; at least one."""
    used = 0
    for k, own in enumerate(rows):
        used += NUMBERS + own
        if used > height:
            return max(k, 1)
    return len(rows)


def draw_pictured(
    piece: Piece,
    systems: Sequence[tuple[EngravedSystem, int]],
    look: Look,
    size: tuple[int, int],
    glyphs: Glyphs,
) -> tuple[Page, tuple[int, ...]]:
    """A page of `size` (columns, rows) around the pictures of some systems, each with its rows, and the first row of
    each picture. A note is marked in the row above its system, which is of characters."""
    page = Page(Canvas(*size), {}, {})
    left = max(size[1] - sum(NUMBERS + rows for _, rows in systems), 0)
    bands, beneath = fitted(look.bands, len(systems), left)
    spare = (left - beneath * len(systems)) // (len(systems) + 1)
    top, tops = min(spare, 2), []
    for system, rows in systems:
        put_numbers(page.canvas, piece, system, look, top, glyphs)
        put_breaths(page.canvas, system, look, (top,))
        for name, (x, _) in system.heads.items():
            page.notes[name] = NotePlace(column_at(x), top, top, ())
        for index, bounds in system.measures.items():
            page.measures[index] = (column_at(bounds.left), column_at(bounds.right) + 1, top, top + NUMBERS + rows)
        tops.append(top + NUMBERS)
        put_bands(page.canvas, system, bands, top + NUMBERS + rows, beneath, glyphs)
        top += NUMBERS + rows + beneath + spare
    return page, tuple(tops)

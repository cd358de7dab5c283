"""A page of engraved systems, one above the other: the row of numbers and brackets over each, the dots, the words."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from math import ceil
from typing import Generic, TypeVar

from coach.music.engraved import STAFF, Bounds, EngravedSystem
from coach.music.measure import Measure
from coach.music.piece import Piece, Span
from coach.screen.view.band import Band, draw_bands, fitted
from coach.screen.view.breathing import draw_breaths
from coach.screen.view.canvas import Canvas
from coach.screen.view.dots.engrave import DOTS, RANK, Drawing, Words, upright
from coach.screen.view.dots.grid import CELL_HEIGHT, CELL_WIDTH
from coach.screen.view.glyphs import Glyphs
from coach.screen.view.page import Look, NotePlace, Page

_STAFF_ROWS = 5  # cell rows that the five lines reach into
NUMBERS = 1  # the row over a system
LEAST_ABOVE, LEAST_BELOW = 1, 1
_WORDS = 99  # words rank over all dots
_HELD = ("staff", "mNum", "slur", "dir", "dynam", "hairpin", "tempo")


@dataclass(frozen=True, slots=True)
class _Extent:
    """Cell rows that a system wants above and below the rows of its staff."""

    above: int
    below: int

    @property
    def rows(self) -> int:
        return NUMBERS + self.above + _STAFF_ROWS + self.below


_Made = TypeVar("_Made")
_MOST = 64  # systems whose drawing is kept: stepping to and fro draws none anew


class _Kept(Generic[_Made]):
    """What was made of systems, the last ones used; a system is known by itself, whatever it holds."""

    def __init__(self) -> None:
        self._made: dict[tuple[int, ...], tuple[EngravedSystem, _Made]] = {}

    def get(self, system: EngravedSystem, size: tuple[int, ...], make: Callable[[], _Made]) -> _Made:
        """What is made of a system at a size."""
        key = (id(system), *size)
        found = self._made.pop(key, None)
        if found is None or found[0] is not system:
            found = system, make()
        self._made[key] = found
        for old in [*self._made][:-_MOST]:
            del self._made[old]
        return found[1]


_EXTENTS: _Kept[_Extent] = _Kept()


def extent(system: EngravedSystem) -> _Extent:
    """The rows that a system wants."""
    return _EXTENTS.get(system, (), lambda: _extent(system))


def _extent(system: EngravedSystem) -> _Extent:
    tops, bottoms = [-0.5], [STAFF + 0.5]
    for shape in system.shapes:
        if shape.what not in ("mNum", "staff"):
            top, bottom = upright(shape)
            tops.append(top)
            bottoms.append(bottom)
    rows = CELL_HEIGHT / DOTS
    return _Extent(max(ceil(-min(tops) / rows), LEAST_ABOVE), max(ceil(max(bottoms) / rows) - _STAFF_ROWS, LEAST_BELOW))


def fitting(systems: Sequence[EngravedSystem], height: int) -> int:
    """How many of some systems stand one above the other in a height in rows; at least one."""
    used = 0
    for k, system in enumerate(systems):
        used += extent(system).rows
        if used > height:
            return max(k, 1)
    return len(systems)


def draw_engraved(
    piece: Piece, systems: Sequence[EngravedSystem], look: Look, size: tuple[int, int], glyphs: Glyphs
) -> Page:
    """Draw some systems in a page of `size` (columns, rows)."""
    width, height = size
    page = Page(Canvas(width, height), {}, {})
    wanted = [extent(system) for system in systems]
    left = max(height - sum(one.rows for one in wanted), 0)
    bands, beneath = fitted(look.bands, len(systems), left)
    spare = (left - beneath * len(systems)) // (len(systems) + 1)
    top = min(spare, 2)
    for system, one in zip(systems, wanted, strict=True):
        rows = min(one.rows, height - top)
        above = min(one.above, max(rows - NUMBERS - _STAFF_ROWS - 1, 1))
        _put_system(page, piece, system, look, _Frame(top, rows, above), glyphs)
        put_bands(page.canvas, system, bands, top + rows, beneath, glyphs)
        top += rows + beneath + spare
    return page


@dataclass(frozen=True, slots=True)
class _Frame:
    """Where a system stands: its first row, how many, and how many of them lie over the staff."""

    top: int
    rows: int
    above: int


@dataclass(frozen=True, slots=True)
class _Body:
    """A system drawn without the row of numbers: its characters, and the cells (row, column, 1) of its heads."""

    canvas: Canvas
    heads: dict[str, tuple[tuple[int, int, int], ...]]


_BODIES: _Kept[_Body] = _Kept()


def _body(system: EngravedSystem, size: tuple[int, int], above: int) -> _Body:
    drawing = Drawing(system, *size, above)
    canvas = Canvas(*size)
    for (column, row), (character, style) in drawing.grid.cells(RANK).items():
        canvas.put(row, column, character, style)
    _put_words(canvas, drawing, above)
    heads = {name: tuple((row, column, 1) for column, row in sorted(drawing.heads_of(name))) for name in system.heads}
    return _Body(canvas, heads)


def _put_system(page: Page, piece: Piece, system: EngravedSystem, look: Look, frame: _Frame, glyphs: Glyphs) -> None:
    top = frame.top + NUMBERS
    size = page.canvas.width, max(frame.rows - NUMBERS, 0)
    body = _BODIES.get(system, (*size, frame.above), lambda: _body(system, size, frame.above))
    page.canvas.paste(body.canvas, top)
    put_numbers(page.canvas, piece, system, look, frame.top, glyphs)
    put_breaths(page.canvas, system, look, range(top + frame.above - 1, frame.top - 1, -1))
    for name, (x, y) in system.heads.items():
        row = top + frame.above + int((y * DOTS + 0.5) // CELL_HEIGHT)
        cells = tuple((top + row, column, length) for row, column, length in body.heads[name])
        page.notes[name] = NotePlace(column_at(x), row, frame.top, cells)
    for index, bounds in system.measures.items():
        left, right = column_at(bounds.left), column_at(bounds.right)
        page.measures[index] = (left, right + 1, frame.top, frame.top + frame.rows)


def put_bands(
    canvas: Canvas, system: EngravedSystem, bands: Sequence[Band], row: int, rows: int, glyphs: Glyphs
) -> None:
    """Draw the bands of a system in some rows, the line of each note from the middle of its head on."""
    places = {name: x * DOTS for name, (x, _) in system.heads.items()}
    draw_bands(canvas, row, rows, bands, places, system.right * DOTS, glyphs)


def put_breaths(canvas: Canvas, system: EngravedSystem, look: Look, rows: Iterable[int]) -> None:
    """Draw the breaths that are planned without a mark in some rows over a system, the first one that is free."""
    heads = {name: column_at(x) for name, (x, _) in system.heads.items()}
    draw_breaths(canvas, rows, heads, column_at(system.right), look.breaths)


def column_at(x: float) -> int:
    """The column of a place in a system."""
    return int(x * DOTS / CELL_WIDTH)


def _put_words(canvas: Canvas, drawing: Drawing, above: int) -> None:
    """Words stand where they were engraved, or in the nearest row that leaves the music free, away from the staff."""
    inside = [replace(one, column=max(min(one.column, canvas.width - len(one.text)), 0)) for one in drawing.words]
    for words in sorted(inside, key=lambda one: (one.row, one.column)):
        row = min(max(above + words.row, 0), canvas.height - 1)
        away = -1 if words.row < 2 else 1
        near = [row + step for step in (0, away, 2 * away, -away, 3 * away) if 0 <= row + step < canvas.height]
        found = next((one for one in near if _free(canvas, one, words)), None)
        if found is None:
            found = min(near, key=lambda one: _covers(canvas, one, words))
        canvas.put(found, words.column, words.text, words.style)


def _free(canvas: Canvas, row: int, words: Words) -> bool:
    return all(canvas.at(row, words.column + k) == " " for k in range(-1, len(words.text) + 1))


def _covers(canvas: Canvas, row: int, words: Words) -> int:
    """The rank of what words would hide in a row: a slur goes on beside them, a head or other words do not."""
    hidden = canvas.cells(row)[words.column : words.column + len(words.text)]
    return max((RANK.get(style, _WORDS) for character, style in hidden if character != " "), default=0)


def put_numbers(canvas: Canvas, piece: Piece, system: EngravedSystem, look: Look, row: int, glyphs: Glyphs) -> None:
    """Write the numbers of a system's measures, and the brackets of the range and of spots, in a row."""
    before: Bounds | None = None
    for index, bounds in system.measures.items():
        if bounds != before or index == look.chosen:  # measures under one rest lie in one place
            _put_number(canvas, piece.part.measures[index], index, system, look, row, glyphs)
        before = bounds
    if look.range is not None:
        _put_ends(canvas, system, look.range, row, glyphs)
    _put_spots(canvas, system, look, row)


def _put_number(
    canvas: Canvas, measure: Measure, index: int, system: EngravedSystem, look: Look, row: int, glyphs: Glyphs
) -> None:
    marked, bounds = look.range, system.measures[index]
    left, right = column_at(bounds.left), column_at(bounds.right)
    inside = marked is not None and marked.first <= index <= marked.last
    if inside:
        canvas.fill(row, left, right + 1, glyphs.range_line, "range")
    chosen = index == look.chosen
    before, after = glyphs.chosen_number if chosen else (" ", " ")
    outside = look.cut is not None and not look.cut.first <= index <= look.cut.last
    style = "chosen-number" if chosen else "outside" if outside else "number"
    name = f"{before}{measure.number or measure.id}{after}"
    first = min((x for x, _ in system.heads.values() if bounds.left <= x <= bounds.right), default=bounds.left)
    start = max(min(column_at(first) - len(name), left + 2), 0)  # the mark over the first note does not cover it
    canvas.put(row, start, name, style)


def _put_ends(canvas: Canvas, system: EngravedSystem, marked: Span, row: int, glyphs: Glyphs) -> None:
    """The ends of the bracket over the range; a number may stand over the barline, and keeps its digits."""
    for index, end in ((marked.first, "["), (marked.last, "]")):
        bounds = system.measures.get(index)
        if bounds is None:
            continue
        place = min(column_at(bounds.left if end == "[" else bounds.right), canvas.width - 1)
        free = (k for k in range(place, max(place - 6, -1), -1) if canvas.at(row, k) in (" ", glyphs.range_line))
        canvas.put(row, next(free, place), end, "range")


def _put_spots(canvas: Canvas, system: EngravedSystem, look: Look, row: int) -> None:
    """Thin brackets over the spots, where nothing else stands; their names where there is room for the whole name."""
    for name, span in look.spots:
        if span.last < system.first or span.first > system.last:
            continue
        left = column_at(system.measures[max(span.first, system.first)].left)
        right = min(column_at(system.measures[min(span.last, system.last)].right), canvas.width - 1)
        cells = canvas.cells(row)
        free = [k for k in range(left, right + 1) if cells[k] == (" ", "")]
        named = next((k for k in free if k > left and all(k + j in free for j in range(len(name) + 2))), None)
        for column in free:
            canvas.put(row, column, _SPOT_LINE, "spot")
        open_ends = (k for k in range(left, max(left - 4, -1), -1) if cells[k][0] == " " and cells[k][1] in _PLAIN)
        start = next(open_ends, None)  # a number may stand over the barline
        if system.first <= span.first and start is not None:
            canvas.put(row, start, _SPOT_ENDS[0], "spot")
        if span.last <= system.last and right in free:
            canvas.put(row, right, _SPOT_ENDS[1], "spot")
        if named is not None and named + len(name) + 1 < right:
            canvas.put(row, named, f" {name} ", "spot")


_PLAIN = ("", "number", "outside")
_SPOT_LINE, _SPOT_ENDS = "\u254c", "\u250c\u2510"

"""A band: a strip under a system that shows one thing of every note, under its head, as a curve with a shading.

The height of the line is the value; the shading is told twice, by the colour and by how densely what lies beneath the
line is filled: not at all, thinly, densely (in a single row: by dim and bold). Where a band warns of low values, the
line there has a colour of its own, nothing beneath it, and a word or a sign over it.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from coach.screen.view.canvas import Canvas
from coach.screen.view.dots.grid import CELL_WIDTH, DotGrid
from coach.screen.view.dots.raster import nearest
from coach.screen.view.glyphs import Glyphs

BAND_ROWS = 2  # of one band, where there is room for as many
STYLES = ("band-dark", "band-middle", "band-bright")
LOW_STYLE = "band-low"
_RANK = {style: k for k, style in enumerate((*STYLES, LOW_STYLE))}
_LOW_SIGN = "!"
_BLOCKS = "\u2581\u2582\u2583\u2584\u2585\u2586\u2587\u2588"  # the lower eighths of a cell
_ASCII_LEVELS = "_-'"  # low, middle and high in one row


@dataclass(frozen=True, slots=True)
class Held:
    """What a band shows of a note: the value where it begins and where it ends, and its shade, each from 0 to 1."""

    start: float
    end: float
    shade: float = 0.0


@dataclass(frozen=True, slots=True)
class Band:
    """A strip by its name and what it shows of each note by id: None where there is nothing to show (a rest), and the
    line stops. Notes that are not in it do not break the line (graces). Values under `low` are warned of, by the word
    `warning` where there is room for it, else by a sign."""

    name: str
    notes: Mapping[str, Held | None]
    low: float = -1.0
    warning: str = "low"


@dataclass(frozen=True, slots=True)
class _Stroke:
    """A stretch of the line: from one dot column up to another, from a value to a value; `joined` to the one before."""

    first: int
    stop: int
    held: Held
    joined: bool


def fitted(bands: Sequence[Band], systems: int, spare: int) -> tuple[Sequence[Band], int]:
    """The bands that stand under each of so many systems where so many rows are free, the first ones where there is no
    room for all, and their rows together."""
    count = min(len(bands), spare // max(systems, 1))
    return bands[:count], band_rows(count, systems, spare)


def band_rows(count: int, systems: int, spare: int) -> int:
    """The rows of bands under each of so many systems where so many rows are free: all there is room for, one row each
    at least; 0 where there is no room."""
    each = spare // max(systems, 1)
    if each >= count * BAND_ROWS:
        return count * BAND_ROWS
    return count if each >= count else 0


def draw_bands(
    canvas: Canvas, row: int, rows: int, bands: Sequence[Band], places: Mapping[str, float], stop: float, glyphs: Glyphs
) -> None:
    """Draw bands one under the other in some rows. `places` are the dot columns of the heads of a system by id, `stop`
    the dot column where its music ends."""
    each = rows // max(len(bands), 1)
    for k, band in enumerate(bands):
        if each:
            strokes = _strokes(band, places, stop)
            draw = _draw_ascii if glyphs.filled.isascii() else _draw_dots if each > 1 else _draw_blocks
            draw(canvas, row + k * each, each, strokes, band.low)
            _warn(canvas, row + k * each, each, strokes, band)
            canvas.put_if_free(row + k * each + each - 1, 0, band.name, "band-name")


def _strokes(band: Band, places: Mapping[str, float], stop: float) -> list[_Stroke]:
    heads = [(int(x), band.notes[name]) for name, x in places.items() if name in band.notes]
    return list(_of(sorted(heads, key=lambda head: head[0]), int(stop)))


def _of(heads: list[tuple[int, Held | None]], stop: int) -> Iterable[_Stroke]:
    joined = False
    for (first, held), (following, _) in pairwise([*heads, (stop, None)]):
        if held is not None and following > first:
            yield _Stroke(first, following, held, joined)
        joined = held is not None


def _value(stroke: _Stroke, x: int) -> float:
    share = (x - stroke.first) / max(stroke.stop - 1 - stroke.first, 1)
    held = stroke.held
    return min(max(held.start + (held.end - held.start) * share, 0.0), 1.0)


def _style(stroke: _Stroke, x: int, low: float) -> str:
    if _value(stroke, x) < low:
        return LOW_STYLE
    return STYLES[min(int(stroke.held.shade * len(STYLES)), len(STYLES) - 1)]


def _warn(canvas: Canvas, row: int, rows: int, strokes: list[_Stroke], band: Band) -> None:
    """A word over every stretch of low values, or a sign where there is no room; in a single row it stands in the
    line."""
    under = sorted(
        {x // CELL_WIDTH for one in strokes for x in range(one.first, one.stop) if _value(one, x) < band.low}
    )
    for column in (k for k in under if k - 1 not in under):
        length = next(n for n in range(1, canvas.width + 2) if column + n not in under)
        text = band.warning if rows > 1 and length >= len(band.warning) else _LOW_SIGN
        over = [canvas.at(row, column + k) for k in range(len(text))]
        canvas.put(row, column, text if rows == 1 or over == [" "] * len(text) else _LOW_SIGN, LOW_STYLE)


def _draw_dots(canvas: Canvas, row: int, rows: int, strokes: list[_Stroke], low: float) -> None:
    grid = DotGrid(canvas.width, rows)
    lowest = grid.height - 1
    before = lowest
    for stroke in strokes:
        for x in range(stroke.first, stroke.stop):
            style = _style(stroke, x, low)
            y = lowest - nearest(_value(stroke, x) * lowest)
            joins = x > stroke.first or stroke.joined
            top, bottom = (min(y, before + (before < y)), max(y, before - (before > y))) if joins else (y, y)
            grid.ink(((x, step) for step in range(top, bottom + 1)), style)
            grid.ink(((x, step) for step in range(y + 2, grid.height) if _filled(x, step, style)), style)
            before = y
    for (column, at), (character, style) in grid.cells(_RANK).items():
        canvas.put(row + at, column, character, style)


def _filled(x: int, y: int, style: str) -> bool:
    """Whether a dot beneath the line is set."""
    if style == STYLES[2]:
        return (x + y) % 2 == 0
    return style == STYLES[1] and x % 4 == 0 and y % 2 == 0


def _draw_blocks(canvas: Canvas, row: int, rows: int, strokes: list[_Stroke], low: float) -> None:
    """One row has four heights of dots, and eight of blocks."""
    for stroke in strokes:
        for column in _columns(stroke):
            x = max(column * CELL_WIDTH, stroke.first)
            step = nearest(_value(stroke, x) * (len(_BLOCKS) - 1))
            canvas.put(row + rows - 1, column, _BLOCKS[step], _style(stroke, x, low))


def _columns(stroke: _Stroke) -> range:
    return range(stroke.first // CELL_WIDTH, -(-stroke.stop // CELL_WIDTH))


def _draw_ascii(canvas: Canvas, row: int, rows: int, strokes: list[_Stroke], low: float) -> None:
    steps = rows * len(_ASCII_LEVELS) - 1
    for stroke in strokes:
        for column in _columns(stroke):
            x = max(column * CELL_WIDTH, stroke.first)
            style, step = _style(stroke, x, low), nearest(_value(stroke, x) * steps)
            at = rows - 1 - step // len(_ASCII_LEVELS)
            canvas.put(row + at, column, _ASCII_LEVELS[step % len(_ASCII_LEVELS)], style)
            for beneath in range(at + 1, rows):
                canvas.put(row + beneath, column, {STYLES[1]: ".", STYLES[2]: ":"}.get(style, " "), style)

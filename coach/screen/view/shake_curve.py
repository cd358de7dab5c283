"""A trill as a curve: its rate from the first note to where the closing notes begin; beneath it every note as a tick,
and the beats."""

from collections.abc import Sequence
from fractions import Fraction
from itertools import pairwise

from coach.prepare.mark import OssiaNote, Shake
from coach.prepare.ornaments.shake import rate_at, spans
from coach.screen.view.canvas import Canvas
from coach.screen.view.dots.grid import CELL_HEIGHT, CELL_WIDTH, DotGrid
from coach.screen.view.dots.raster import nearest
from coach.screen.view.glyphs import Glyphs

LABEL = 5  # columns for the rates at the left
_RANK = {"line": 0, "rung": 1, "here": 2}
_STEPS = 200


def draw_shake(
    shake: Shake,
    notes: Sequence[OssiaNote],
    beats: Sequence[tuple[Fraction, str]],
    second_q: Fraction,
    size: tuple[int, int],
    glyphs: Glyphs,
) -> Canvas:
    """The curve in `size` (columns, rows): notes a second upwards (`second_q` quarters pass in a second). `notes` are
    what sounds, the closing notes among them, `beats` the onsets of the beats in quarters, with their names."""
    width, height = size
    canvas = Canvas(width, height)
    room, rows = width - LABEL - 1, height - 2
    if room < 8 or rows < 2 or not notes or shake.length_q <= 0:
        return canvas
    curve = _Curve(shake, room, rows)
    _ticks(canvas, height - 2, curve, notes, glyphs)
    for at_q, name in beats:
        column = LABEL + curve.dot(at_q) // CELL_WIDTH
        canvas.put(height - 1, column, name[: max(width - column, 0)], "number")
    _line(canvas, curve, beats, glyphs)
    fastest, slowest = curve.most, min(rate_at(shake, 0.0), rate_at(shake, 1.0))
    for rate in dict.fromkeys((fastest, slowest)):
        row = (rows * CELL_HEIGHT - 1 - curve.height(rate)) // CELL_HEIGHT
        canvas.put(row, 0, f"{rate * float(second_q):>4.1f}".replace(".0", "  "), "rung")
    return canvas


class _Curve:
    """Where a moment and a rate lie, in dots."""

    def __init__(self, shake: Shake, columns: int, rows: int) -> None:
        self.shake, self.width, self.rows = shake, columns * CELL_WIDTH, rows
        self.span_q, _ = spans(shake)
        self.most = max(rate_at(shake, 0.0), rate_at(shake, 1.0), 0.001)

    def dot(self, at_q: Fraction) -> int:
        """The column of dots of a moment."""
        share = (at_q - self.shake.onset_q) / self.shake.length_q
        return min(max(nearest(float(share) * (self.width - 1)), 0), self.width - 1)

    def height(self, rate: float) -> int:
        """How many dots over the bottom a rate lies."""
        return nearest(rate / self.most * (self.rows * CELL_HEIGHT - 1))


def _line(canvas: Canvas, curve: _Curve, beats: Sequence[tuple[Fraction, str]], glyphs: Glyphs) -> None:
    grid = DotGrid(canvas.width - LABEL, curve.rows)
    lowest = grid.height - 1
    for at_q, _ in beats:
        x = curve.dot(at_q)
        grid.ink(((x, y) for y in range(0, grid.height, 2)), "line")
    share_q = float(curve.span_q / curve.shake.length_q) if curve.shake.length_q else 0.0
    points = [
        (share * share_q * (curve.width - 1), lowest - curve.height(rate_at(curve.shake, share)))
        for share in (k / _STEPS for k in range(_STEPS + 1))
    ]
    for (x0, y0), (x1, y1) in pairwise(points):
        low, high = sorted((y0, y1))
        grid.ink(((nearest(x), y) for x in (x0, x1) for y in range(low, high + 1)), "here")
    if not glyphs.filled.isascii():
        for (column, row), (character, style) in grid.cells(_RANK).items():
            canvas.put(row, LABEL + column, character, style)
        return
    for (column, row), (_, style) in grid.cells(_RANK).items():
        canvas.put(row, LABEL + column, glyphs.goal if style == "here" else glyphs.part_tick, style)


def _ticks(canvas: Canvas, row: int, curve: _Curve, notes: Sequence[OssiaNote], glyphs: Glyphs) -> None:
    """Every note as a dot, the closing ones taller."""
    grid = DotGrid(canvas.width - LABEL, 1)
    closing = len(notes) - len(curve.shake.close)
    for k, note in enumerate(notes):
        grid.ink(((curve.dot(note.onset_q), y) for y in range(0 if k >= closing else 2, 4)), "rung")
    for (column, _), (character, style) in grid.cells(_RANK).items():
        canvas.put(row, LABEL + column, "'" if glyphs.filled.isascii() else character, style)

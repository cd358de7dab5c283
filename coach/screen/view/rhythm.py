"""The rhythm beneath the staff: stems and beams above, heads, dots and rests below, under their notes."""

from collections.abc import Iterator
from itertools import pairwise

from coach.screen.view.canvas import Canvas
from coach.screen.view.glyphs import Glyphs
from coach.screen.view.layout import Layout, Placed
from coach.screen.view.staff import head_glyph, rest_glyph

_BEAMS = {"eighth": 1, "16th": 2, "32nd": 3, "64th": 4, "128th": 4, "256th": 4, "512th": 4, "1024th": 4}


def draw_heads(canvas: Canvas, row: int, layout: Layout, glyphs: Glyphs) -> None:
    """Heads, dots and rests in one row."""
    for placed in layout.placed:
        if placed.slot.grace:
            canvas.put(row, placed.column, glyphs.grace, "grace")
            continue
        value = placed.slot.note.value
        sign = rest_glyph(placed, glyphs) if placed.slot.pitch is None else head_glyph(placed, glyphs)
        dots = "." * value.dots if value else ""
        canvas.put(row, placed.column, (sign + dots)[: max(1, placed.stop - placed.column)], "rhythm")


def draw_stems(canvas: Canvas, row: int, layout: Layout, glyphs: Glyphs) -> None:
    """Stems in one row, those of a beat joined by as many beams as the value has: one line, two, three, four."""
    for group in _groups(layout):
        if len(group) == 1:
            _single(canvas, row, group[0], glyphs)
        else:
            _beamed(canvas, row, group, glyphs)
        _tuplet(canvas, row, group)


def beams(placed: Placed) -> int:
    """How many beams or flags a note has."""
    value = placed.slot.note.value
    return _BEAMS.get(value.kind, 0) if value and placed.slot.pitch is not None else 0


def _groups(layout: Layout) -> Iterator[list[Placed]]:
    """Neighbouring flagged notes of one beat together, every other note on its own."""
    group: list[Placed] = []
    for placed in (p for p in layout.placed if p.slot.grace is None):
        joins = group and beams(placed) and beams(group[-1]) and _beat(placed) == _beat(group[-1])
        if group and not joins:
            yield group
            group = []
        group.append(placed)
    if group:
        yield group


def _beat(placed: Placed) -> tuple[int, int]:
    """(measure, beat) that a note begins in."""
    measure = placed.segment.measure
    at_q = placed.slot.at_q - measure.onset_q
    metre = placed.segment.metre
    if metre is None:
        return placed.segment.index, int(at_q)
    # A pickup counts from its end, so that its beats are those of a full measure.
    missing = metre.length_q - measure.length_q if measure.pickup else 0
    onsets = metre.beat_onsets_q()
    return placed.segment.index, sum(onset <= at_q + missing for onset in onsets)


def _single(canvas: Canvas, row: int, placed: Placed, glyphs: Glyphs) -> None:
    if placed.slot.pitch is None:
        return
    count = beams(placed)
    value = placed.slot.note.value
    if count:
        canvas.put(row, placed.column, glyphs.beam_left[count - 1] + glyphs.beams[count - 1], "rhythm")
    elif value and value.kind in ("half", "quarter"):
        canvas.put(row, placed.column, glyphs.stem, "rhythm")


def _beamed(canvas: Canvas, row: int, group: list[Placed], glyphs: Glyphs) -> None:
    for left, right in pairwise(group):
        shared = min(beams(left), beams(right))
        canvas.fill(row, left.column + 1, right.column, glyphs.beams[shared - 1], "rhythm")
    for k, placed in enumerate(group):
        around = [beams(other) for other in (group[k - 1 : k] + group[k + 1 : k + 2])]
        corner = glyphs.beam_left if k == 0 else glyphs.beam_right if k == len(group) - 1 else glyphs.beam_middle
        level = max(min(beams(placed), other) for other in around)
        canvas.put(row, placed.column, corner[level - 1], "rhythm")
        if beams(placed) > level:  # a short note beside longer ones keeps its own beams as a stub
            canvas.put(row, placed.column + (1 if k == 0 else -1), glyphs.beams[beams(placed) - 1], "rhythm")


def _tuplet(canvas: Canvas, row: int, group: list[Placed]) -> None:
    value = group[0].slot.note.value
    if not value or value.actual == value.normal or group[0].slot.pitch is None:
        return
    middle = (group[0].column + group[-1].column) // 2 if len(group) > 1 else group[0].column + 1
    taken = {placed.column for placed in group}
    canvas.put(row, middle + 1 if middle in taken else middle, str(value.actual), "rhythm")

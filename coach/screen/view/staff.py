"""The staff: five lines, heads at their heights, the sign before the head, ledger lines, rests, ties, barlines."""

from collections.abc import Iterable
from itertools import pairwise

from coach.music.measure import Measure
from coach.music.metre import Metre
from coach.music.pitch import Pitch
from coach.screen.view.canvas import Canvas
from coach.screen.view.glyphs import Glyphs
from coach.screen.view.heights import Heights, bottom_line
from coach.screen.view.layout import Box, Layout, Placed
from coach.screen.view.slots import Slot
from coach.screen.view.system import FULL_WIDTH, System
from coach.screen.view.words import accidental_text

# Positions above the lowest line at which the signs of a key signature are printed in the treble clef.
_SHARP_HEIGHTS = {"F": 8, "C": 5, "G": 9, "D": 6, "A": 3, "E": 7, "B": 4}
_FLAT_HEIGHTS = {"B": 4, "E": 7, "A": 3, "D": 6, "G": 2, "C": 5, "F": 1}
_ORDER = "FCGDAEB"
_SHIFT = {"G": 0, "F": -2, "C": -1}  # other clefs print the same pattern lower


def occupied(system: System, width: int) -> set[int]:
    """The staff positions at which something stands: heads, and the signs of the key."""
    all_slots = [slot for segment in system.segments for slot in segment.slots]
    positions = {slot.pitch.diatonic for slot in all_slots if slot.pitch is not None}
    for slot in all_slots:
        positions |= {pitch.diatonic for pitch in _under(slot)}
    measure = system.segments[0].measure
    return positions | {position for position, _ in _signature_places(measure, width)}


def draw_staff(canvas: Canvas, heights: Heights, layout: Layout, glyphs: Glyphs) -> None:
    """Lines, clef, key and metre, rests, ties and heads; barlines are drawn apart."""
    for row in heights.lines:
        canvas.fill(row, 0, layout.right + 1, glyphs.line, "line")
    _prefix(canvas, heights, layout, glyphs)
    _ties(canvas, heights, layout, glyphs)
    for placed in layout.placed:
        if placed.slot.pitch is None:
            _rest(canvas, heights, placed, glyphs)
        else:
            _head(canvas, heights, placed, glyphs)


def _under(slot: Slot) -> tuple[Pitch, ...]:
    return slot.grace.chord if slot.grace else slot.note.chord


def _head(canvas: Canvas, heights: Heights, placed: Placed, glyphs: Glyphs) -> None:
    slot = placed.slot
    pitches = [slot.pitch] if slot.pitch else []
    for pitch in [*_under(slot), *pitches]:
        position = pitch.diatonic
        for row in heights.ledgers(position):
            canvas.put(row, placed.column - 1, glyphs.ledger * 3, "ledger")
        side = heights.beyond(position)
        if side:
            canvas.put(heights.row(position), placed.column - 1, glyphs.beyond_ledger[side < 0] * 3, "ledger")
        elif heights.off_line(position):
            canvas.put(heights.row(position), placed.column - 1, "   ")
        main = pitch is slot.pitch
        canvas.put(heights.row(position), placed.column, head_glyph(placed, glyphs), _style(placed, main))
    if slot.pitch and slot.sign:
        canvas.put(heights.row(slot.pitch.diatonic), placed.column - len(slot.sign), slot.sign, "sign")


def _style(placed: Placed, main: bool) -> str:
    if not main:
        return "under"
    return "grace" if placed.slot.grace else "head"


def head_glyph(placed: Placed, glyphs: Glyphs) -> str:
    """The head of a slot: small for graces, open from the half note up."""
    if placed.slot.grace:
        return glyphs.grace
    value = placed.slot.note.value
    kind = value.kind if value else ("half" if placed.slot.length_q >= 2 else "quarter")
    if kind in ("breve", "long", "maxima"):
        return glyphs.breve
    return glyphs.open if kind in ("half", "whole") else glyphs.filled


def rest_glyph(placed: Placed, glyphs: Glyphs) -> str:
    """The sign of a rest; one hook for each flag of the note of that value."""
    whole, half, quarter, hook = glyphs.rests
    value = placed.slot.note.value
    kind = value.kind if value else "whole"
    named = {"half": half, "quarter": quarter}
    hooks = {"eighth": 1, "16th": 2, "32nd": 3, "64th": 4}.get(kind)
    return hook * hooks if hooks else named.get(kind, whole)


def rest_row(heights: Heights, placed: Placed, glyphs: Glyphs) -> int:
    """The row of a rest: a whole one hangs from the second line, the others stand in the middle."""
    return heights.lines[1 if rest_glyph(placed, glyphs) == glyphs.rests[0] else 2]


def _rest(canvas: Canvas, heights: Heights, placed: Placed, glyphs: Glyphs) -> None:
    canvas.put(rest_row(heights, placed, glyphs), placed.column, rest_glyph(placed, glyphs), "rest")


def _ties(canvas: Canvas, heights: Heights, layout: Layout, glyphs: Glyphs) -> None:
    mains = [p for p in layout.placed if p.slot.grace is None]
    for placed, following in pairwise([*mains, None]):
        if placed is None or placed.slot.pitch is None or placed.slot.note.tie not in ("start", "continue"):
            continue
        stop = following.column if following else layout.right
        canvas.fill(heights.row(placed.slot.pitch.diatonic), placed.column + 1, stop, glyphs.tie, "tie")
    first = mains[0] if mains else None
    if first and first.slot.pitch and first.slot.note.tie in ("continue", "stop"):
        row = heights.row(first.slot.pitch.diatonic)
        canvas.fill(row, layout.prefix, first.column, glyphs.tie, "tie")


def draw_dots(canvas: Canvas, heights: Heights, layout: Layout) -> None:
    """The dots of dotted notes, behind their heads."""
    for placed in layout.placed:
        value, pitch = placed.slot.note.value, placed.slot.pitch
        if value and pitch is not None and placed.slot.grace is None:
            # Behind a ledger line too, where there is one beside the head.
            on_ledger = heights.row(pitch.diatonic) in heights.ledgers(pitch.diatonic)
            column = placed.column + (2 if on_ledger or heights.beyond(pitch.diatonic) else 1)
            room = max(placed.stop - column, 0)
            canvas.put(heights.row(pitch.diatonic), column, ("." * value.dots)[:room], "head")


def _prefix(canvas: Canvas, heights: Heights, layout: Layout, glyphs: Glyphs) -> None:
    measure = layout.system.segments[0].measure
    clef_row = heights.lines[min(max(5 - measure.clef.line, 0), 4)]
    canvas.put(clef_row, 0, measure.clef.sign[:1], "clef")
    column = 2
    if layout.width >= FULL_WIDTH:
        column = _signature(canvas, heights, measure, column, glyphs)
    if layout.system.metre:
        _metre(canvas, heights, layout.system.metre, column)


def _signature(canvas: Canvas, heights: Heights, measure: Measure, column: int, glyphs: Glyphs) -> int:
    for position, alter in _signature_places(measure, FULL_WIDTH):
        canvas.put(heights.nearest(position), column, accidental_text(alter, glyphs)[:1], "sign")
        column += 1
    return column


def _signature_places(measure: Measure, width: int) -> list[tuple[int, int]]:
    """(staff position, alteration) of the signs of the key, where the width has room for them."""
    if width < FULL_WIDTH:
        return []
    first = bottom_line(measure.clef) + _SHIFT.get(measure.clef.sign, 0)
    return [(first + (_SHARP_HEIGHTS if alter > 0 else _FLAT_HEIGHTS)[step], alter) for step, alter in _signs(measure)]


def _signs(measure: Measure) -> Iterable[tuple[str, int]]:
    key = measure.key
    if key.alters:
        return key.alters
    order = _ORDER if key.fifths > 0 else _ORDER[::-1]
    return [(step, 1 if key.fifths > 0 else -1) for step in order[: abs(key.fifths)]]


def _metre(canvas: Canvas, heights: Heights, metre: Metre, column: int) -> None:
    column += 1 if column > 2 else 0
    top, bottom = str(metre.beats), str(metre.beat_type)
    width = max(len(top), len(bottom))
    lines = heights.lines
    canvas.put((lines[0] + lines[2]) // 2, column, top.center(width), "metre")
    canvas.put((lines[2] + lines[4]) // 2, column, bottom.center(width), "metre")


def draw_bars(canvas: Canvas, heights: Heights, layout: Layout, chosen: int, last: int, glyphs: Glyphs) -> None:
    """The barlines: heavy around the chosen measure, double at the end of the piece, dots for repeats."""
    top, bottom = heights.lines[0], heights.lines[4]
    for box in layout.boxes:
        if box.segment.ends:
            final = box.segment.index == last
            _bar(canvas, box.right, top, bottom, glyphs.final_bar if final else glyphs.bar, "bar")
    for box in layout.boxes:
        if box.segment.index == chosen:
            for column, drawn in ((box.left, True), (box.right, box.segment.ends)):
                if drawn and column >= 0:
                    _bar(canvas, column, top, bottom, glyphs.chosen_bar, "chosen")
        _repeats(canvas, heights, box, glyphs)


def _bar(canvas: Canvas, column: int, top: int, bottom: int, glyph: str, style: str) -> None:
    for row in range(top, bottom + 1):
        canvas.put(row, column, glyph, style)


def _repeats(canvas: Canvas, heights: Heights, box: Box, glyphs: Glyphs) -> None:
    row = heights.lines[2]
    if box.segment.measure.repeat_start and box.segment.begins:
        canvas.put(row, box.left + 1, glyphs.repeat_dot, "bar")
    if box.segment.measure.repeat_end and box.segment.ends:
        canvas.put(row, box.right - 1, glyphs.repeat_dot, "bar")

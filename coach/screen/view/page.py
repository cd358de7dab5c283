"""A page of music: systems one above the other, with the rows of each, the chosen measure, the range and the places of notes.

The rows of a system, from the top: the beats (with measure numbers and the mark over the sounding note), signs, slurs,
the staff, note names, stems, rhythm, dynamics. When rows are short, signs and slurs share one and the staff loses the
positions where nothing stands.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from coach.music.piece import Piece, Span
from coach.screen.view.canvas import Canvas
from coach.screen.view.glyphs import Glyphs
from coach.screen.view.heights import Heights, bottom_line
from coach.screen.view.layout import Layout, Placed
from coach.screen.view.rhythm import draw_heads, draw_stems
from coach.screen.view.signs import draw_dynamics, draw_signs, draw_slurs, slurs_open_after
from coach.screen.view.staff import draw_bars, draw_staff, occupied
from coach.screen.view.system import System

ROOMY_STAFF = 12  # rows that a staff should have before signs and slurs get a row each
LEAST_SYSTEM = 17  # rows below which no second system is begun


@dataclass(frozen=True, slots=True)
class NotePlace:
    """Where a note stands on the page: its column, the row of its head, that of the mark above it, the cells of its name
    as (row, first column, length)."""

    column: int
    row: int
    marker_row: int
    name: tuple[tuple[int, int, int], ...]


@dataclass(frozen=True, slots=True)
class Page:
    """A drawn page. `notes` tells the places of notes by id, `measures` the columns (left, right) of measures and the
    rows (top, stop) of their system by index."""

    canvas: Canvas
    notes: dict[str, NotePlace]
    measures: dict[int, tuple[int, int, int, int]]

    def measure_at(self, column: int, row: int) -> int | None:
        """The measure at a place, or None."""
        for index, (left, right, top, stop) in self.measures.items():
            if top <= row < stop and left <= column < right:
                return index
        return None


@dataclass(frozen=True, slots=True)
class Look:
    """What is shown of a piece: the chosen measure, a range of measures, and the measures outside the cut dimmed."""

    chosen: int
    range: Span | None = None
    cut: Span | None = None


def systems_on_page(systems: Sequence[System], chosen: int, height: int) -> tuple[System, ...]:
    """The systems of the page on which a measure stands, for a height in rows."""
    count = max(1, height // LEAST_SYSTEM)
    where = next((k for k, system in enumerate(systems) if system.holds(chosen)), 0)
    first = where - where % count
    return tuple(systems[first : first + count])


def draw_page(
    piece: Piece, systems: Sequence[System], shown: Sequence[System], look: Look, width: int, height: int, glyphs: Glyphs
) -> Page:
    """Draw some systems one above the other in a page of this size."""
    canvas = Canvas(width, height)
    page = Page(canvas, {}, {})
    each = height // max(len(shown), 1)
    open_slurs = _open_slurs(tuple(systems), width)
    for k, system in enumerate(shown):
        before = open_slurs[systems.index(system)]
        _draw_system(page, piece, system, look, _Rows(k * each, each, width), before, glyphs)
    return page


@dataclass(frozen=True, slots=True)
class _Rows:
    top: int
    height: int
    width: int


@lru_cache(maxsize=8)
def _open_slurs(systems: tuple[System, ...], width: int) -> tuple[int, ...]:
    """How many slurs are open at the start of each system."""
    result, depth = [], 0
    for system in systems:
        result.append(depth)
        depth = slurs_open_after(Layout(system, width), depth)
    return tuple(result)


def _draw_system(
    page: Page, piece: Piece, system: System, look: Look, rows: _Rows, slurs: int, glyphs: Glyphs
) -> None:
    layout = Layout(system, rows.width)
    places = occupied(layout)
    names = 3 if system.tall else 1
    spare = rows.height - names - 5  # beats, one row of signs, stems, heads, dynamics
    shared = spare - 1 < min(ROOMY_STAFF, _wanted(places, layout))
    staff_rows = max(5, spare if shared else spare - 1)
    canvas = Canvas(rows.width, staff_rows)
    heights = Heights(places, bottom_line(system.segments[0].measure.clef), staff_rows)
    draw_staff(canvas, heights, layout, glyphs)
    draw_bars(canvas, heights, layout, look.chosen, len(piece.part.measures) - 1, glyphs)

    row = rows.top
    _beats(page.canvas, row, layout, look, glyphs)
    slur_row = row + 1 if shared else row + 2
    draw_slurs(page.canvas, slur_row, layout, slurs, glyphs)
    draw_signs(page.canvas, row + 1, layout, glyphs)
    staff_top = slur_row + 1
    page.canvas.paste(canvas, staff_top)
    name_row = staff_top + staff_rows
    _names(page.canvas, name_row, layout, glyphs)
    draw_stems(page.canvas, name_row + names, layout, glyphs)
    draw_heads(page.canvas, name_row + names + 1, layout, glyphs)
    draw_dynamics(page.canvas, name_row + names + 2, layout, piece.part, glyphs)
    _note_places(page, layout, heights, rows.top, staff_top, name_row)
    _measure_places(page, layout, rows)


def _wanted(places: set[int], layout: Layout) -> int:
    bottom = bottom_line(layout.system.segments[0].measure.clef)
    return max(places | {bottom + 8}) - min(places | {bottom}) + 1


def _beats(canvas: Canvas, row: int, layout: Layout, look: Look, glyphs: Glyphs) -> None:
    for box in layout.boxes:
        segment = box.segment
        inside = look.range is not None and look.range.first <= segment.index <= look.range.last
        if inside and look.range is not None:
            canvas.fill(row, box.left, box.right, glyphs.range_line, "range")
            if segment.index == look.range.first and segment.begins:
                canvas.put(row, box.left, "[", "range")
            if segment.index == look.range.last and segment.ends:
                canvas.put(row, box.right - 1, "]", "range")
        style = "range" if inside else "beats"
        _ticks(canvas, row, layout, box.left, segment_beats(layout, box.left), style, glyphs)
        number = f" {segment.measure.number or segment.measure.id} " if segment.begins else ""
        chosen = segment.index == look.chosen
        if chosen and glyphs.chosen_bar == "#":
            number = f"({number.strip()})"
        canvas.put(row, box.left + (1 if inside else 0), number, "chosen-number" if chosen else "number")
    return None


def segment_beats(layout: Layout, left: int) -> tuple[tuple[int, str], ...]:
    """(column, beat number or "" for a part of a beat) of the beats of the segment that begins at this column."""
    box = next(box for box in layout.boxes if box.left == left)
    metre, measure = box.segment.metre, box.segment.measure
    if metre is None:
        return ()
    missing = max(metre.length_q - measure.length_q, 0) if measure.pickup else 0
    onsets = metre.beat_onsets_q()
    found = []
    units = int(metre.length_q / metre.unit_q)
    for k in range(units):
        at_q = k * metre.unit_q
        moment = measure.onset_q + at_q - missing
        if box.segment.start_q <= moment < box.segment.end_q:
            number = str(onsets.index(at_q) + 1) if at_q in onsets else ""
            found.append((layout.column_at(moment), number))
    return tuple(found)


def _ticks(
    canvas: Canvas, row: int, layout: Layout, left: int, beats: tuple[tuple[int, str], ...], style: str, glyphs: Glyphs
) -> None:
    for column, number in beats:
        canvas.put(row, column, number or glyphs.part_tick, style)


def _names(canvas: Canvas, row: int, layout: Layout, glyphs: Glyphs) -> None:
    for placed in layout.placed:
        slot = placed.slot
        held = slot.note.tie in ("continue", "stop") and slot.grace is None
        style = "grace-name" if slot.grace else "held" if held else "name"
        for name_row, column, text in _name_cells(placed, row, layout.system.tall):
            canvas.put(name_row, column, text, style)
    if layout.system.after:
        text = glyphs.custos + layout.system.after
        canvas.put(row, layout.right + 1, text[: layout.width - layout.right - 1], "custos")


def _name_cells(placed: Placed, row: int, tall: bool) -> tuple[tuple[int, int, str], ...]:
    slot = placed.slot
    if slot.pitch is None:
        return ()
    if not tall:
        return ((row, placed.column - slot.name_lead, slot.name),)
    sign = slot.name[1 : len(slot.name) - len(str(slot.pitch.octave))]
    return (
        (row, placed.column, slot.pitch.step),
        (row + 1, placed.column - len(sign) + 1, sign),
        (row + 2, placed.column, str(slot.pitch.octave)),
    )


def _note_places(page: Page, layout: Layout, heights: Heights, marker_row: int, staff_top: int, name_row: int) -> None:
    for placed in layout.placed:
        pitch = placed.slot.pitch
        if pitch is None:
            continue
        cells = _name_cells(placed, name_row, layout.system.tall)
        name = tuple((row, column, len(text)) for row, column, text in cells)
        row = staff_top + heights.row(pitch.diatonic)
        page.notes[placed.slot.id] = NotePlace(placed.column, row, marker_row, name)


def _measure_places(page: Page, layout: Layout, rows: _Rows) -> None:
    for box in layout.boxes:
        page.measures[box.segment.index] = (box.left, box.right, rows.top, rows.top + rows.height)

"""A page of music: systems one above the other, the chosen measure, the range, and where every note stands.

The rows of a system, from the top: the beats (with measure numbers and the mark over the sounding note), signs, slurs,
the staff, note names, stems, heads, dynamics. When rows are short, signs and slurs share one; then what lies outside
the staff is squeezed (see heights), and at last the row of heads goes, since they stand in the staff.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from coach.music.piece import Piece, Span
from coach.prepare.mark import Mark
from coach.screen.view.band import Band, draw_bands, fitted
from coach.screen.view.breathing import BreathSign, draw_breaths
from coach.screen.view.canvas import Canvas
from coach.screen.view.glyphs import Glyphs
from coach.screen.view.heights import NOTES_ONLY, Heights, bottom_line
from coach.screen.view.layout import Box, Layout, Placed
from coach.screen.view.pencilled import draw_marks
from coach.screen.view.rhythm import draw_heads, draw_stems
from coach.screen.view.signs import draw_dynamics, draw_signs, draw_slurs
from coach.screen.view.staff import draw_bars, draw_dots, draw_staff, occupied, rest_row
from coach.screen.view.system import Segment, System

MOST_STAFF = 15
AROUND = 5  # rows around the staff and the names at least: beats, signs and slurs, stems, heads, dynamics


@dataclass(frozen=True, slots=True)
class NotePlace:
    """Where a note stands: its column, the row of its head, that of the mark above it, and the cells of its name as
    (row, first column, length)."""

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

    def note_at(self, column: int, row: int) -> str:
        """The note, rest or grace nearest to a place, of the measure there; "" where there is none."""
        found = next((box for k, box in self.measures.items() if k == self.measure_at(column, row)), None)
        if found is None:
            return ""
        left, right, top, stop = found
        inside = (name for name, at in self.notes.items() if left <= at.column < right and top <= at.row < stop)
        return min(inside, key=lambda name: abs(self.notes[name].column - column), default="")


@dataclass(frozen=True, slots=True)
class Look:
    """What is shown of a piece: the chosen measure, a range of measures, the measures outside the cut dimmed, the marks
    (an engraved page has them from its engraver), the spots (name, measures) for an engraved page, the bands under each
    system, where there is room for them, and the breaths that are planned without a mark."""

    chosen: int
    range: Span | None = None
    cut: Span | None = None
    marks: tuple[Mark, ...] = ()
    spots: tuple[tuple[str, Span], ...] = ()
    bands: tuple[Band, ...] = ()
    breaths: tuple[BreathSign, ...] = ()


def systems_on_page(
    systems: Sequence[System], chosen: int, at: int | None, size: tuple[int, int]
) -> tuple[System, ...]:
    """The systems of the page on which a measure stands, for a size in columns and rows: from the beginning on, as many
    to a page as have a row for every step. `at` names the system itself where a measure has several."""
    width, height = size
    where = at if at is not None else next((k for k, system in enumerate(systems) if system.holds(chosen)), 0)
    first, used = 0, 0
    for k, system in enumerate(systems):
        rows = rows_wanted(system, width)
        if k > first and used + rows > height:
            if k > where:
                return tuple(systems[first:k])
            first, used = k, 0
        used += rows
    return tuple(systems[first:])


def rows_wanted(system: System, width: int) -> int:
    """Rows of a system that has one for every step of the staff and around it."""
    return AROUND + _name_rows(system) + _steps(occupied(system, width), system)


def draw_page(
    piece: Piece,
    shown: Sequence[System],
    look: Look,
    size: tuple[int, int],
    glyphs: Glyphs,
) -> Page:
    """Draw some systems one above the other in a page of `size` (columns, rows)."""
    width, height = size
    page = Page(Canvas(width, height), {}, {})
    wanted = [rows_wanted(system, width) for system in shown]
    left = max(height - sum(wanted), 0)
    bands, beneath = fitted(look.bands, len(shown), left)
    spare = left // max(len(shown), 1) - beneath
    top = 0
    for system, rows in zip(shown, wanted, strict=True):
        rows = min(rows + spare, height)
        layout, under = _draw_system(page, piece, system, look, _Rows(top, rows, width), glyphs)
        places = {placed.slot.id: 2.0 * placed.column for placed in layout.placed}
        draw_bands(page.canvas, under, beneath, bands, places, 2.0 * layout.right, glyphs)
        top += rows + beneath
    return page


@dataclass(frozen=True, slots=True)
class _Rows:
    top: int
    height: int
    width: int


@dataclass(frozen=True, slots=True)
class _Plan:
    """The rows of a system from its top: where slurs and the staff stand, how many the staff has, whether the rhythm
    has a row of heads beneath its stems."""

    slurs: int
    staff: int
    staff_rows: int
    heads: bool


def _plan(system: System, rows: _Rows) -> _Plan:
    places = occupied(system, rows.width)
    spare = rows.height - AROUND - _name_rows(system)
    steps = _steps(places, system)
    shared = spare <= steps
    bottom = bottom_line(system.segments[0].measure.clef)
    tight = Heights(places, bottom, spare).squeeze
    # The heads stand in the staff too: their row is the first thing to go where notes would lose their ledger lines.
    heads = tight < NOTES_ONLY or Heights(places, bottom, spare + 1).squeeze == tight
    most = max(MOST_STAFF, steps + 2)  # more would pull the names away from the notes
    staff_rows = min(max(5, spare + (not heads) - (not shared)), most)
    slurs = 1 if shared else 2
    return _Plan(slurs, slurs + 1, staff_rows, heads)


def _draw_system(
    page: Page, piece: Piece, system: System, look: Look, rows: _Rows, glyphs: Glyphs
) -> tuple[Layout, int]:
    """Draw a system; returns its columns and the row under it."""
    layout, plan = Layout(system, rows.width), _plan(system, rows)
    canvas = Canvas(rows.width, plan.staff_rows)
    heights = Heights(occupied(system, rows.width), bottom_line(system.segments[0].measure.clef), plan.staff_rows)
    draw_staff(canvas, heights, layout, glyphs)
    draw_bars(canvas, heights, layout, look.chosen, len(piece.part.measures) - 1, glyphs)
    if not plan.heads:
        draw_dots(canvas, heights, layout)

    _beats(page.canvas, rows.top, layout, look, glyphs)
    draw_slurs(page.canvas, rows.top + plan.slurs, layout, glyphs)
    draw_signs(page.canvas, rows.top + 1, layout, glyphs)
    over = (rows.top + 1, rows.top + plan.slurs)
    draw_marks(page.canvas, over, layout, look.marks, glyphs)
    heads = {placed.slot.id: placed.column for placed in layout.placed}
    draw_breaths(page.canvas, dict.fromkeys((*over, rows.top)), heads, layout.right, look.breaths)
    staff_top = rows.top + plan.staff
    page.canvas.paste(canvas, staff_top)
    name_row = staff_top + plan.staff_rows
    _names(page.canvas, name_row, layout, glyphs)
    stem_row = name_row + _name_rows(system)
    draw_stems(page.canvas, stem_row, layout, glyphs)
    if plan.heads:
        draw_heads(page.canvas, stem_row + 1, layout, glyphs)
    dynamics_row = stem_row + 1 + plan.heads
    draw_dynamics(page.canvas, dynamics_row, layout, piece.part, glyphs)
    _note_places(page, layout, heights, rows.top, staff_top, name_row, glyphs)
    _measure_places(page, layout, rows)
    return layout, dynamics_row + 1


def _name_rows(system: System) -> int:
    return 3 if system.tall else 1


def _steps(places: set[int], system: System) -> int:
    """Steps from the lowest to the highest place, the staff included."""
    bottom = bottom_line(system.segments[0].measure.clef)
    return max(places | {bottom + 8}) - min(places | {bottom}) + 1


def _beats(canvas: Canvas, row: int, layout: Layout, look: Look, glyphs: Glyphs) -> None:
    for box in layout.boxes:
        segment = box.segment
        inside = look.range is not None and look.range.first <= segment.index <= look.range.last
        if inside and look.range is not None:
            _range_line(canvas, row, box, look.range, glyphs)
        for column, number in _beats_of(layout, box):
            canvas.put(row, column, number or glyphs.part_tick, "range" if inside else "beats")
        if segment.begins:
            name = _number(segment, look, glyphs)
            short = name.endswith((" ", glyphs.range_line, glyphs.chosen_number[1]))
            column = box.left - 1 if short else box.left + 2 - len(name)  # a blank stays before the first beat
            canvas.put(row, max(column, 0), name, _number_style(segment.index, look))


def _number(segment: Segment, look: Look, glyphs: Glyphs) -> str:
    """The measure's number between two marks that tell whether it is chosen and whether a range runs over it."""
    left, right = glyphs.chosen_number if segment.index == look.chosen else (" ", " ")
    marked = look.range
    if marked is not None and marked.first <= segment.index <= marked.last:
        left = "[" if segment.index == marked.first else left.replace(" ", glyphs.range_line)
        right = right.replace(" ", glyphs.range_line) if segment.index != look.chosen else right
    name = segment.measure.number or segment.measure.id
    return f"{left}{name}{right}" if len(name) <= 2 else f"{left}{name}"  # a long one would cover the first beat


def _number_style(index: int, look: Look) -> str:
    if index == look.chosen:
        return "chosen-number"
    return "outside" if look.cut and not look.cut.first <= index <= look.cut.last else "number"


def _range_line(canvas: Canvas, row: int, box: Box, marked: Span, glyphs: Glyphs) -> None:
    canvas.fill(row, box.left, box.right, glyphs.range_line, "range")
    if box.segment.index == marked.last and box.segment.ends:
        canvas.put(row, box.right - 1, " ", "range")
        canvas.put(row, box.right - 2, "]", "range")


def _beats_of(layout: Layout, box: Box) -> tuple[tuple[int, str], ...]:
    """(column, beat number or "" for a part of a beat) of the beats of a segment."""
    metre, measure = box.segment.metre, box.segment.measure
    if metre is None:
        return ()
    # A pickup counts from its end, so that its beats are those of a full measure.
    missing = max(metre.length_q - measure.length_q, Fraction(0)) if measure.pickup else Fraction(0)
    onsets = metre.beat_onsets_q()
    found = []
    for k in range(int(metre.length_q / metre.unit_q)):
        at_q = k * metre.unit_q
        moment = measure.onset_q + at_q - missing
        if box.segment.start_q <= moment < box.segment.end_q:
            found.append((layout.column_at(moment), str(onsets.index(at_q) + 1) if at_q in onsets else ""))
    return tuple(found)


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


def _note_places(
    page: Page, layout: Layout, heights: Heights, marker_row: int, staff_top: int, name_row: int, glyphs: Glyphs
) -> None:
    for placed in layout.placed:
        pitch = placed.slot.pitch
        cells = _name_cells(placed, name_row, layout.system.tall)
        name = tuple((row, column, len(text)) for row, column, text in cells)
        row = heights.row(pitch.diatonic) if pitch else rest_row(heights, placed, glyphs)
        page.notes[placed.slot.id] = NotePlace(placed.column, staff_top + row, marker_row, name)


def _measure_places(page: Page, layout: Layout, rows: _Rows) -> None:
    for box in layout.boxes:
        page.measures[box.segment.index] = (box.left, box.right, rows.top, rows.top + rows.height)

"""Breaking a piece into systems: as many measures side by side as the width holds, always the same ones."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from coach.music.measure import Measure
from coach.music.metre import Metre
from coach.music.piece import Piece, Span
from coach.screen.view.glyphs import Glyphs
from coach.screen.view.slots import Slot, slots, slur_ends

LEAST_MEASURE = 12  # columns of a measure, however little stands in it
BAR = 2  # columns of a barline and the blank after it
FULL_WIDTH = 70  # columns from which on the key is printed in front of the music
CUSTOS = 6  # columns after the last barline, for the note that the next system begins with


@dataclass(frozen=True, slots=True)
class Segment:
    """A measure, or a part of one that is too full for one system.

    `index` counts the measures of the piece; `metre` is the one in force.
    """

    index: int
    measure: Measure
    slots: tuple[Slot, ...]
    start_q: Fraction
    end_q: Fraction
    begins: bool = True
    ends: bool = True
    metre: Metre | None = None

    def columns(self, tall: bool) -> int:
        """The fewest columns it needs, its barline included."""
        return max(LEAST_MEASURE, sum(slot.columns(tall) for slot in self.slots)) + BAR


@dataclass(frozen=True, slots=True)
class System:
    """Segments side by side. `tall` writes the names downwards, letter by letter.

    `metre` is set where one is printed at the start, `after` is the name of the first note of the next system, `slurs`
    how many slurs are open at the start.
    """

    segments: tuple[Segment, ...]
    tall: bool = False
    metre: Metre | None = None
    after: str = ""
    slurs: int = 0

    def holds(self, index: int) -> bool:
        """Whether a measure, or a part of it, stands here."""
        return any(segment.index == index for segment in self.segments)


def prefix_columns(measure: Measure, metre: Metre | None, width: int) -> int:
    """Columns taken by clef, key signature and metre; narrow systems leave the key to the line above the music."""
    key = len(measure.key.alters) or abs(measure.key.fifths)
    metre_columns = 1 + max(len(str(metre.beats)), len(str(metre.beat_type))) if metre else 0
    return 2 + (key if width >= FULL_WIDTH else 0) + metre_columns + 1


def break_systems(piece: Piece, span: Span, width: int, glyphs: Glyphs) -> tuple[System, ...]:
    """The systems of a stretch for a width in columns."""
    segments = [_whole(piece, k, glyphs) for k in range(span.first, span.last + 1)]
    systems: list[System] = []
    row: list[Segment] = []
    metre: Metre | None = None
    for segment in segments:
        if row and not _fits(row, segment, width, metre):
            systems.append(System(tuple(row), metre=metre))
            row = []
        if not row:
            metre = _printed_metre(piece, segment.index, span.first)
        if row or _fits([], segment, width, metre):
            row.append(segment)
        else:
            systems += _crowded(segment, width, metre)
    if row:
        systems.append(System(tuple(row), metre=metre))
    return _joined(systems)


def _whole(piece: Piece, index: int, glyphs: Glyphs) -> Segment:
    measure = piece.part.measures[index]
    return Segment(index, measure, slots(measure, glyphs), measure.onset_q, measure.end_q, metre=metre_at(piece, index))


def _printed_metre(piece: Piece, index: int, first: int) -> Metre | None:
    """The metre to print at the start of a system: where the stretch begins, and where it changes."""
    now = metre_at(piece, index)
    return now if index == first or now != metre_at(piece, index - 1) else None


def metre_at(piece: Piece, index: int) -> Metre | None:
    """The metre in force in a measure."""
    for measure in reversed(piece.part.measures[: index + 1]):
        if measure.metre is not None:
            return measure.metre
    return None


def room(first: Segment, metre: Metre | None, width: int) -> int:
    """Columns for the measures of a system."""
    return width - prefix_columns(first.measure, metre, width) - CUSTOS


def _fits(row: Sequence[Segment], segment: Segment, width: int, metre: Metre | None, tall: bool = False) -> bool:
    together = [*row, segment]
    return sum(s.columns(tall) for s in together) <= room(together[0], metre, width)


def _crowded(segment: Segment, width: int, metre: Metre | None) -> list[System]:
    """A measure too full for one system: its names go downwards, and if that is not enough it is cut."""
    if _fits([], segment, width, metre, tall=True):
        return [System((segment,), True, metre)]
    pieces = _cut(segment, room(segment, metre, width) - BAR)
    return [System((piece,), True, metre if k == 0 else None) for k, piece in enumerate(pieces)]


def _cut(segment: Segment, columns: int) -> list[Segment]:
    """Cut a measure into pieces that fit, each beginning at a note with its graces."""
    groups: list[list[Slot]] = []
    row: list[Slot] = []
    used = 0
    for bundle in _bundles(segment.slots):
        wanted = sum(slot.columns(True) for slot in bundle)
        if row and used + wanted > columns:
            groups.append(row)
            row, used = [], 0
        row += bundle
        used += wanted
    groups.append(row)
    starts = [segment.start_q] + [group[0].at_q for group in groups[1:]]
    ends = starts[1:] + [segment.end_q]
    last = len(groups) - 1
    return [
        Segment(segment.index, segment.measure, tuple(group), starts[k], ends[k], k == 0, k == last, segment.metre)
        for k, group in enumerate(groups)
    ]


def _bundles(all_slots: Sequence[Slot]) -> list[list[Slot]]:
    """Slots of one note together: its graces, itself, what follows it."""
    bundles: list[list[Slot]] = []
    for slot in all_slots:
        if bundles and bundles[-1][0].note is slot.note:
            bundles[-1].append(slot)
        else:
            bundles.append([slot])
    return bundles


def _joined(systems: list[System]) -> tuple[System, ...]:
    """The systems with what each must know of its neighbours."""
    result = []
    slurs = 0
    for system, after in zip(systems, [*systems[1:], None], strict=True):
        result.append(replace(system, after=_first_name(after) if after else "", slurs=slurs))
        for segment in system.segments:
            for slot in segment.slots:
                starts, stops = slur_ends(slot)
                slurs = max(slurs - stops, 0) + starts
    return tuple(result)


def _first_name(system: System) -> str:
    return next((slot.name for segment in system.segments for slot in segment.slots if slot.name), "")

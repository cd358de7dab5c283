"""The columns of one system: of every head, every barline, and of any moment between them."""

from bisect import bisect_right
from dataclasses import dataclass
from fractions import Fraction

from coach.screen.view.slots import Slot
from coach.screen.view.spacing import spread
from coach.screen.view.system import BAR, LEAST_MEASURE, Segment, System, prefix_columns, room


@dataclass(frozen=True, slots=True)
class Placed:
    """A slot and the column of its head; `stop` is the first column that belongs to the next thing."""

    slot: Slot
    column: int
    stop: int
    segment: Segment


@dataclass(frozen=True, slots=True)
class Box:
    """The columns of a segment: from the barline before it to the one after it, both included."""

    segment: Segment
    left: int
    right: int


class Layout:
    """Columns of a system of a given width."""

    def __init__(self, system: System, width: int) -> None:
        self.system = system
        self.width = width
        first = system.segments[0]
        self.prefix = prefix_columns(first.measure, system.metre, width)
        self.placed, self.boxes = _place(system, self.prefix, room(first, system.metre, width))
        self.right = self.boxes[-1].right
        self._anchors = self._make_anchors()
        self._times = [at_q for at_q, _ in self._anchors]

    def column_at(self, at_q: Fraction) -> int:
        """The column of a moment, between the heads in proportion to time."""
        k = bisect_right(self._times, at_q) - 1
        if k < 0:
            return self._anchors[0][1]
        if k + 1 >= len(self._anchors):
            return self._anchors[-1][1]
        (q0, c0), (q1, c1) = self._anchors[k], self._anchors[k + 1]
        return c0 + int((c1 - c0) * (at_q - q0) / (q1 - q0))

    def covers(self, at_q: Fraction) -> bool:
        """Whether a moment lies in this system."""
        return any(box.segment.start_q <= at_q < box.segment.end_q for box in self.boxes)

    def _make_anchors(self) -> list[tuple[Fraction, int]]:
        anchors: dict[Fraction, int] = {}
        for placed in self.placed:
            if placed.slot.grace is None:
                anchors.setdefault(placed.slot.at_q, placed.column)
        for box in self.boxes:
            anchors.setdefault(box.segment.start_q, box.left + BAR)
        anchors.setdefault(self.boxes[-1].segment.end_q, self.right)
        return sorted(anchors.items())


def _place(system: System, prefix: int, columns: int) -> tuple[tuple[Placed, ...], tuple[Box, ...]]:
    tall = system.tall
    everything = [(segment, slot) for segment in system.segments for slot in segment.slots]
    wanted = [slot.columns(tall) for _, slot in everything]
    # A measure with little in it still gets its least width: its last slot asks for what is missing.
    k = 0
    for segment in system.segments:
        k += len(segment.slots)
        if segment.slots:
            wanted[k - 1] += max(0, LEAST_MEASURE - sum(slot.columns(tall) for slot in segment.slots))
    widths = iter(spread(wanted, [slot.length_q for _, slot in everything], columns - BAR * len(system.segments)))
    placed: list[Placed] = []
    boxes: list[Box] = []
    at = prefix - 1
    for segment in system.segments:
        left = at
        at += BAR
        for slot in segment.slots:
            width = next(widths)
            placed.append(Placed(slot, at + slot.lead, at + width, segment))
            at += width
        if not segment.slots:
            at += LEAST_MEASURE
        boxes.append(Box(segment, left, at))
    return tuple(placed), tuple(boxes)

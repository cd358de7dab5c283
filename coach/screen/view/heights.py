"""Which row every staff position takes: one row a position while there is room.

The five lines always keep the same distance. Where rows are short, what lies outside the staff gives way first: a
ledger line and the space beyond it share a row, then only what a note stands on keeps one. If even that is too much,
every line of the staff shares its row with the space above it.
"""

from collections.abc import Iterable, Sequence

from coach.music.metre import Clef

_REFERENCE = {"G": 32, "F": 24, "C": 28}  # the position (steps above C0) that each clef's line stands for
STAFF = 9  # rows of a staff that has a row for every line and every space
EVERY_STEP, PAIRS, NOTES_ONLY, HALF_STAFF = range(4)  # how far the rows are squeezed

Chunks = Sequence[Sequence[int]]  # positions that share a row, from the staff outwards


def bottom_line(clef: Clef) -> int:
    """The staff position (steps above C0) of the lowest of the five lines."""
    return _REFERENCE.get(clef.sign, 32) - 2 * (clef.line - 1) + 7 * clef.octaves


class Heights:
    """Rows of staff positions within `available` rows; row 0 is the highest. `squeeze` tells how much gave way."""

    def __init__(self, occupied: Iterable[int], bottom: int, available: int) -> None:
        self.bottom = bottom
        self.available = max(available, 5)
        self.squeeze, self._rows = _rows(set(occupied), bottom, self.available)

    def row(self, position: int) -> int:
        """The row of a position that is drawn."""
        return self._rows[position]

    def nearest(self, position: int) -> int:
        """The row of a position, or that of the nearest one that is drawn."""
        return self._rows[min(self._rows, key=lambda drawn: abs(drawn - position))]

    @property
    def lines(self) -> tuple[int, ...]:
        """Rows of the five lines, the highest first."""
        return tuple(self._rows[self.bottom + 2 * k] for k in (4, 3, 2, 1, 0))

    def ledgers(self, position: int) -> tuple[int, ...]:
        """Rows of the ledger lines that a note at this position needs, but for one whose row it shares from beyond."""
        top = self.bottom + 8
        wanted = (*range(top + 2, position + 1, 2), *range(self.bottom - 2, position - 1, -2))
        own = self._rows[position]
        return tuple(
            self._rows[line] for line in wanted if line in self._rows and (line == position or self._rows[line] != own)
        )

    def beyond(self, position: int) -> int:
        """1 or -1 for a note above or below a ledger line that has no row of its own, 0 for any other."""
        top = self.bottom + 8
        if (position - self.bottom) % 2 == 0 or self.bottom - 2 < position < top + 2:
            return 0
        side = 1 if position > top else -1
        line = position - side
        return 0 if line in self._rows and self._rows[line] != self._rows[position] else side

    def off_line(self, position: int) -> bool:
        """Whether a space of the staff shares its row with a line."""
        inside = self.bottom < position < self.bottom + 8
        return inside and (position - self.bottom) % 2 == 1 and self._rows[position] in self.lines


def _rows(occupied: set[int], bottom: int, available: int) -> tuple[int, dict[int, int]]:
    top = bottom + 8
    low, high = min(occupied | {bottom}), max(occupied | {top})
    below, above = list(range(bottom - 1, low - 1, -1)), list(range(top + 1, high + 1))
    squeeze, half, under, over = _chunks(below, above, occupied, available)
    staff = [[bottom + k] for k in range(STAFF)]
    if half:
        staff = [[bottom + 2 * k, bottom + 2 * k + 1] for k in range(4)] + [[top]]
    chunks = [*reversed(over), *reversed(staff), *under]
    spare = available - len(chunks)
    blank = min(max((available - len(staff)) // 2 - len(over), 0), spare)
    rows = {position: k + blank for k, chunk in enumerate(chunks) for position in chunk}
    edges = {position: rows[bottom if position < bottom else top] for position in occupied}
    return squeeze, {**edges, **rows}  # without any row outside the staff a note stands at its edge


def _chunks(below: list[int], above: list[int], occupied: set[int], available: int) -> tuple[int, bool, Chunks, Chunks]:
    """How far the rows are squeezed, whether the staff is halved, and what shares a row below and above it."""
    single: tuple[Chunks, Chunks] = [[p] for p in below], [[p] for p in above]
    paired: tuple[Chunks, Chunks] = _pairs(below), _pairs(above)
    low, high = [p for p in below if p in occupied], [p for p in above if p in occupied]
    used: tuple[Chunks, Chunks] = [[p] for p in low], [[p] for p in high]
    for squeeze, (under, over) in ((EVERY_STEP, single), (PAIRS, paired), (NOTES_ONLY, used)):
        if STAFF + len(under) + len(over) <= available:
            return squeeze, False, under, over
    half = available - 5
    for under, over in (paired, used):
        if len(under) + len(over) <= half:
            return HALF_STAFF, True, under, over
    share = min(max(round(half * len(low) / (len(low) + len(high))), bool(low)), max(half - bool(high), 0))
    return HALF_STAFF, True, _crowd(low, share), _crowd(high, half - share)


def _pairs(outwards: list[int]) -> Chunks:
    """The space next to the staff alone, then each ledger line with the space beyond it."""
    return [outwards[:1], *(outwards[k : k + 2] for k in range(1, len(outwards), 2))] if outwards else []


def _crowd(outwards: list[int], rows: int) -> Chunks:
    """Positions put together evenly into so many rows."""
    count = len(outwards)
    return [[p for k, p in enumerate(outwards) if k * rows // count == row] for row in range(min(rows, count))]

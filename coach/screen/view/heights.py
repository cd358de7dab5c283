"""Which row every staff position takes: one row a position while there is room, the empty ones left out when not."""

from collections.abc import Iterable

from coach.music.metre import Clef

_REFERENCE = {"G": 32, "F": 24, "C": 28}  # the position (steps above C0) that each clef's line stands for


def bottom_line(clef: Clef) -> int:
    """The staff position (steps above C0) of the lowest of the five lines."""
    return _REFERENCE.get(clef.sign, 32) - 2 * (clef.line - 1) + 7 * clef.octaves


class Heights:
    """Rows of staff positions within `available` rows; row 0 is the highest."""

    def __init__(self, occupied: Iterable[int], bottom: int, available: int) -> None:
        self.bottom = bottom
        self.available = available
        self._rows = _rows(set(occupied), bottom, max(available, 5))

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
        """Rows of the ledger lines that a note at this position needs."""
        top = self.bottom + 8
        above = range(top + 2, position + 1, 2)
        below = range(self.bottom - 2, position - 1, -2)
        return tuple(self._rows[line] for line in (*above, *below) if line in self._rows)


def _rows(occupied: set[int], bottom: int, available: int) -> dict[int, int]:
    top = bottom + 8
    low, high = min(occupied | {bottom}), max(occupied | {top})
    kept = list(range(low, high + 1))
    for dispensable in _dispensable(occupied, bottom, low, high):
        if len(kept) > available:
            kept = [position for position in kept if position not in dispensable]
    kept.reverse()
    if len(kept) > available:
        return {position: k * available // len(kept) for k, position in enumerate(kept)}
    spare = available - len(kept)
    above = min(max((available - 9) // 2 - (high - top), 0), spare)
    return {position: k + above for k, position in enumerate(kept)}


def _dispensable(occupied: set[int], bottom: int, low: int, high: int) -> tuple[set[int], set[int], set[int]]:
    """Positions without a note that may be left out, one set after another so that what is left looks even: spaces
    outside the staff, ledger lines, spaces inside it; never one of the five lines."""
    staff = range(bottom, bottom + 9)
    empty = [p for p in range(low, high + 1) if p not in occupied]
    spaces = {p for p in empty if (p - bottom) % 2}
    ledgers = {p for p in empty if p not in staff} - spaces
    inside = spaces & set(staff)
    return spaces - inside, ledgers, inside

"""A level over the length of a part: runs, each even in dB, one after the other."""

from bisect import bisect_left, bisect_right
from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction

from coach.music.part import DynamicMark, Hairpin
from coach.prepare.mark import Mark

# What a level comes from: a printed sign, a mark, or nothing that is said.
Source = DynamicMark | Hairpin | Mark | None
# A place in quarters from the start of the piece.
Place = Fraction | float


@dataclass(frozen=True, slots=True)
class Run:
    """From `start_q` the level moves from `from_db` to `to_db` until `end_q` (None: it stays at `to_db`)."""

    start_q: Fraction
    end_q: Fraction | None
    from_db: float
    to_db: float
    source: Source = None

    def at(self, at_q: Place) -> float:
        """The level at a place; past its end it stays."""
        if self.end_q is None:
            return self.to_db
        start, end = float(self.start_q), float(self.end_q)
        if end <= start:
            return self.to_db
        share = (float(at_q) - start) / (end - start)
        return self.from_db + (self.to_db - self.from_db) * min(max(share, 0.0), 1.0)


class Way:
    """Runs in order, each in force until the next one begins; the first one also before it."""

    def __init__(self, runs: Iterable[Run]) -> None:
        self.runs = tuple(runs)
        # One place has one float, and floats are found ten times faster than fractions.
        self._starts = [float(run.start_q) for run in self.runs]

    def run(self, at_q: Place) -> Run:
        """The run in force at a place."""
        return self.runs[max(bisect_right(self._starts, float(at_q)) - 1, 0)]

    def at(self, at_q: Place) -> float:
        """Level of what begins at a place."""
        return self.run(at_q).at(at_q)

    def until(self, at_q: Place) -> float:
        """Level just before a place, where the next run does not count yet."""
        return self.runs[max(bisect_left(self._starts, float(at_q)) - 1, 0)].at(at_q)

    def bends(self, start_q: Place, end_q: Place | None) -> list[Fraction]:
        """Where runs begin between two places, both left out; None for the end."""
        first = bisect_right(self._starts, float(start_q))
        last = len(self._starts) if end_q is None else bisect_left(self._starts, float(end_q))
        return [run.start_q for run in self.runs[first:last]]

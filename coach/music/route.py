"""The order in which measures are played when repeats, endings and jumps are followed.

Usual practice (no standard): after a jump (da capo, dal segno) repeats are not taken and of several endings the last is
played; "fine" and "to coda" count only then; each jump is taken once. The written order is the measures themselves.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from coach.music.measure import Measure


def route(measures: Sequence[Measure]) -> tuple[int, ...]:
    """Indices of the measures in the order in which they are played; it always ends."""
    return tuple(_Walk(measures).order())


@dataclass(slots=True)
class _Walk:
    measures: Sequence[Measure]
    at: int = 0
    start: int = 0
    passing: int = 1
    jumped: bool = False

    def order(self) -> list[int]:
        played: list[int] = []
        taken: set[int] = set()
        while self.at < len(self.measures):
            measure = self.measures[self.at]
            if measure.repeat_start and self.at != self.start:
                self.start, self.passing = self.at, 1
            if measure.endings and not self._is_due():
                self.at = self._end_of_ending(self.at)
                continue
            played.append(self.at)
            if self.jumped and "fine" in measure.jumps:
                break
            self._go_on(measure, taken)
        return played

    def _go_on(self, measure: Measure, taken: set[int]) -> None:
        coda = self._coda() if self.jumped and self.at in self._departures() else None
        if coda is not None:
            self.at = coda
        elif measure.repeat_end and not self.jumped and self.passing < self._passes(measure):
            self.passing += 1
            self.at = self.start
        elif self.at not in taken and not self.jumped and self._jump_target(measure) is not None:
            taken.add(self.at)
            self.at, self.start, self.passing, self.jumped = self._jump_target(measure) or 0, 0, 1, True
        else:
            if measure.repeat_end or (measure.endings and self._is_last_of_endings()):
                self.start, self.passing = self.at + 1, 1
            self.at += 1

    def _passes(self, measure: Measure) -> int:
        """How often the section ends here: as the bracketed endings number it, else as the repeat sign says."""
        if not measure.endings:
            return measure.repeat_end
        return max(number for k in self._endings_run() for number in self.measures[k].endings)

    def _is_due(self) -> bool:
        run = self._endings_run()
        numbered = {number for k in run for number in self.measures[k].endings}
        if self.jumped or self.passing not in numbered:
            return self.measures[self.at].endings == self.measures[run[-1]].endings
        return self.passing in self.measures[self.at].endings

    def _endings_run(self) -> range:
        """The unbroken run of bracketed measures around here."""
        first = last = self.at
        while first > 0 and self.measures[first - 1].endings:
            first -= 1
        while last + 1 < len(self.measures) and self.measures[last + 1].endings:
            last += 1
        return range(first, last + 1)

    def _end_of_ending(self, at: int) -> int:
        endings = self.measures[at].endings
        while at < len(self.measures) and self.measures[at].endings == endings:
            at += 1
        return at

    def _is_last_of_endings(self) -> bool:
        return self.at + 1 == len(self.measures) or not self.measures[self.at + 1].endings

    def _jump_target(self, measure: Measure) -> int | None:
        if "dacapo" in measure.jumps:
            return 0
        if "dalsegno" in measure.jumps:
            return next((k for k, one in enumerate(self.measures) if "segno" in one.jumps), 0)
        return None

    def _departures(self) -> list[int]:
        """Where the coda is left for: at "to coda", else at the first of two coda signs."""
        said = [k for k, one in enumerate(self.measures) if "tocoda" in one.jumps]
        signs = [k for k, one in enumerate(self.measures) if "coda" in one.jumps]
        return said or (signs[:1] if len(signs) > 1 else [])

    def _coda(self) -> int | None:
        """The coda: the last sign of it, if it lies ahead."""
        signs = [k for k, one in enumerate(self.measures) if "coda" in one.jumps]
        return signs[-1] if signs and signs[-1] > self.at else None

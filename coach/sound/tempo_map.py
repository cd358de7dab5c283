"""Quarters to seconds and back, exactly.

Between tempo changes a length of `l` quarters at `m` quarters per minute lasts `60 l / m` seconds. Everything is a
`Fraction`; rounding happens once, where an event is made.
"""

from bisect import bisect_right
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction

from coach.errors import RequestError
from coach.music.tempo import Tempo, TempoMark

# Bounds of what is played; outside them a number is a slip of the keyboard and not a tempo.
SLOWEST, FASTEST = 1, 1000


@dataclass(frozen=True, slots=True)
class TempoMap:
    """Steps of constant tempo: from `onsets_q[k]`, which is `starts_s[k]`, it goes `speeds[k]` quarters per minute.

    Time 0 is the first onset; before it the first tempo holds (or `lead`), after the last onset the last.
    """

    onsets_q: tuple[Fraction, ...]
    speeds: tuple[Fraction, ...]
    starts_s: tuple[Fraction, ...]
    lead: Fraction | None = None

    def at_s(self, at_q: Fraction) -> Fraction:
        """Seconds at a place in quarters."""
        k = max(0, bisect_right(self.onsets_q, at_q) - 1)
        return self.starts_s[k] + (at_q - self.onsets_q[k]) * 60 / self.speed(at_q)

    def at_q(self, at_s: Fraction) -> Fraction:
        """The place in quarters at a time in seconds; undoes `at_s`."""
        k = max(0, bisect_right(self.starts_s, at_s) - 1)
        speed = self.speeds[k] if self.lead is None or at_s >= self.starts_s[0] else self.lead
        return self.onsets_q[k] + (at_s - self.starts_s[k]) * speed / 60

    def speed(self, at_q: Fraction) -> Fraction:
        """Quarters per minute in force at a place."""
        if self.lead is not None and at_q < self.onsets_q[0]:
            return self.lead
        return self.speeds[max(0, bisect_right(self.onsets_q, at_q) - 1)]

    def bent(self, factors: Iterable[tuple[Fraction, Fraction]]) -> "TempoMap":
        """The map with a factor from each of some onsets on, in order (1 before the first)."""
        steps = tuple(factors)
        if not steps:
            return self
        onsets = [at_q for at_q, _ in steps]
        by = [Fraction(1), *(factor for _, factor in steps)]
        edges = sorted({*self.onsets_q, *(at_q for at_q in onsets if at_q > self.onsets_q[0])})
        return from_steps((at_q, self.speed(at_q) * by[bisect_right(onsets, at_q)]) for at_q in edges)

    def changes(self, start_q: Fraction, end_q: Fraction) -> tuple[tuple[Fraction, Fraction], ...]:
        """The (onset in quarters, quarters per minute) of changes strictly between two places."""
        pairs = zip(self.onsets_q, self.speeds, strict=True)
        return tuple((at_q, speed) for at_q, speed in pairs if start_q < at_q < end_q)


def from_steps(steps: Iterable[tuple[Fraction, Fraction]], lead: Fraction | None = None) -> TempoMap:
    """A map from (onset in quarters, quarters per minute) in order; the last of several at one onset counts. `lead` is
    the tempo before the first, where that is another."""
    kept: list[tuple[Fraction, Fraction]] = []
    for at_q, speed in steps:
        if kept and kept[-1][0] == at_q:
            kept.pop()
        if not kept or kept[-1][1] != speed:
            kept.append((at_q, speed))
    starts = [Fraction(0)]
    for (at_q, speed), (next_q, _) in zip(kept, kept[1:], strict=False):
        starts.append(starts[-1] + (next_q - at_q) * 60 / speed)
    return TempoMap(tuple(q for q, _ in kept), tuple(speed for _, speed in kept), tuple(starts), lead)


def tempo_map(marks: Sequence[TempoMark], tempo: Tempo, first_q: Fraction = Fraction(0)) -> TempoMap:
    """The map of a piece whose first measure, at `first_q`, goes at `tempo`; later changes keep their proportion.

    A mark of words alone changes nothing. Where the beginning has no number, the first number on the page is taken to
    hold from the start. Raises RequestError for a tempo that cannot be played.
    """
    if not SLOWEST <= tempo.per_minute <= FASTEST:
        raise RequestError(
            f"A tempo of {float(tempo.per_minute):g} cannot be played; choose one from {SLOWEST} to {FASTEST}."
        )
    steps = [(mark.onset_q, mark.tempo.quarters_per_minute) for mark in marks if mark.tempo is not None]
    steps = sorted(((at_q, speed) for at_q, speed in steps if speed > 0), key=lambda step: step[0])
    if not steps:
        return from_steps([(first_q, tempo.quarters_per_minute)])
    printed = next((speed for at_q, speed in reversed(steps) if at_q <= first_q), steps[0][1])
    scale = tempo.quarters_per_minute / printed
    later = [(at_q, speed * scale) for at_q, speed in steps if at_q > first_q]
    return from_steps([(first_q, tempo.quarters_per_minute), *later])

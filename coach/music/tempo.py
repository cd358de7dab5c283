"""Tempo as printed, and the marks of the traditional metronome."""

from bisect import bisect_left, bisect_right
from dataclasses import dataclass
from fractions import Fraction

from coach.music.rhythm import Value

# The 39 marks of the traditional scale: steps of 2, 3, 4, 6 and 8 (handbook facts, section 6).
METRONOME_MARKS: tuple[int, ...] = (
    *range(40, 60, 2),
    *range(60, 72, 3),
    *range(72, 120, 4),
    *range(120, 144, 6),
    *range(144, 209, 8),
)
SLOWEST_BEAT = METRONOME_MARKS[0]

# Off both ends the scale goes on by halving and doubling: below 40 the click counts half beats, which are on the scale.
WHOLE_SCALE: tuple[float, ...] = (
    *(mark / 2 for mark in METRONOME_MARKS if mark / 2 < METRONOME_MARKS[0]),
    *map(float, METRONOME_MARKS),
    *(mark * 2.0 for mark in METRONOME_MARKS if mark * 2 > METRONOME_MARKS[-1]),
)


@dataclass(frozen=True, slots=True)
class Tempo:
    """A tempo: `per_minute` of the note value `beat`."""

    per_minute: Fraction
    beat: Value = Value("quarter")

    @property
    def quarters_per_minute(self) -> Fraction:
        """The same tempo counted in quarters."""
        return self.per_minute * self.beat.length_q

    def counted_in(self, beat: Value) -> "Tempo":
        """The same speed, counted in another note value."""
        return Tempo(self.quarters_per_minute / beat.length_q, beat)

    @property
    def name(self) -> str:
        """In words, such as "eighth = 72"."""
        number = float(self.per_minute)
        return f"{self.beat.name} = {number:.0f}" if number == int(number) else f"{self.beat.name} = {number:.1f}"


@dataclass(frozen=True, slots=True)
class TempoMark:
    """A tempo change on the page: `tempo` is None where words alone stand; `text` holds the words ("Andante")."""

    onset_q: Fraction
    tempo: Tempo | None
    text: str = ""


def notch_up(per_minute: float) -> float:
    """The next notch above a tempo; the fastest one if there is none."""
    k = bisect_right(WHOLE_SCALE, per_minute)
    return WHOLE_SCALE[min(k, len(WHOLE_SCALE) - 1)]


def notch_down(per_minute: float) -> float:
    """The next notch below a tempo; the slowest one if there is none."""
    k = bisect_left(WHOLE_SCALE, per_minute)
    return WHOLE_SCALE[max(k - 1, 0)]

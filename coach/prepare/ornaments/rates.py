"""How fast a trill goes, as a simple division of the beat, and how long its closing notes are.

An even trill takes the printed value (plain, or of a triplet) that divides its length and whose notes a second are at
most what the fingers do and nearest, on a scale of ratios, to what suits the tempo: 7.5, 8 or 9 as the beat is slow,
moderate or quick. Sources: Quantz 1752, ch. IX par. 6 (eight notes to a beat of about 80: 10.7 a second; from memory);
L. Mozart 1756, ch. X par. 7 (slow pieces, slower trills). The three numbers and the weights are defaults, chosen to lie
between 7 and 10, what fingers keep up (coach.instruments.trill_speed).

Closing notes last 0.12 to 0.25 seconds where a printed value does (a default). An accelerating trill begins in eighths
(thirds of a beat in compound metre), twice as fast where these would be slower than 1.5 a second and half as fast where
they would be quicker than 4; it ends at the largest whole number of notes a quarter that the fingers do.
"""

from dataclasses import dataclass
from fractions import Fraction
from math import floor, log

from coach.prepare.ornaments.countable import PLAIN, TRIPLETS

LIMIT_S = 16.5  # notes a second that nobody exceeded; see coach.instruments.trill_speed
SPURT = 14.2 / 10.5  # how much faster a few notes may go than an even trill: the 95th percentile over the median
CLOSING_S = (0.115, 0.26)
_FEW = 5  # notes that may go at a spurt
_NUMBERS = (3, 4, 6, 8, 12, 16, 24, 32)
_TRIPLET, _COMPOUND_TRIPLET, _SLOW, _UNEVEN = 0.2, 0.35, 1.3, 0.1


@dataclass(frozen=True, slots=True)
class Tempo:
    """Where a trill stands: seconds of a quarter, the felt beat in quarters, notes a second that the fingers do."""

    quarter_s: float
    beat_q: Fraction
    fastest: float

    @property
    def compound(self) -> bool:
        """Whether the beat is divided by three."""
        return self.beat_q.numerator % 3 == 0

    @property
    def suits(self) -> float:
        """Notes a second that suit the tempo."""
        beat_s = float(self.beat_q) * self.quarter_s
        return min(7.5 if beat_s >= 1 else 8.0 if beat_s >= 0.6 else 9.0, self.fastest)

    def seconds(self, length_q: Fraction) -> float:
        """How long a length lasts."""
        return float(length_q) * self.quarter_s

    def rate(self, unit_q: Fraction) -> float:
        """Notes a second of a value."""
        return 1 / max(self.seconds(unit_q), 1e-9)


def even_unit(length_q: Fraction, tempo: Tempo, *, fits_odd: bool, least: int) -> Fraction | None:
    """The value of an even trill over a whole length, None where it would not have `least` notes; `fits_odd` where an
    odd number of them ends on the right note."""
    units = [unit_q for unit_q in (*PLAIN, *TRIPLETS) if (length_q / unit_q).denominator == 1]
    units = [*(units or [length_q / number for number in _NUMBERS]), length_q / least]
    possible = [unit_q for unit_q in units if length_q / unit_q >= least and _can(length_q, unit_q, tempo)]
    return min(possible, key=lambda unit_q: _cost(length_q, unit_q, tempo, fits_odd), default=None)


def _can(length_q: Fraction, unit_q: Fraction, tempo: Tempo) -> bool:
    """Whether the fingers can: for a few notes faster than for many."""
    few = length_q / unit_q <= _FEW
    return tempo.rate(unit_q) <= min(tempo.fastest * (SPURT if few else 1.0), LIMIT_S) + 1e-9


def _cost(length_q: Fraction, unit_q: Fraction, tempo: Tempo, fits_odd: bool) -> float:
    off = log(tempo.rate(unit_q) / tempo.suits)
    tuplet = _COMPOUND_TRIPLET if tempo.compound else _TRIPLET
    cost = off if off > 0 else -_SLOW * off
    cost += tuplet if unit_q not in PLAIN else 0.0
    return cost + (0.0 if (length_q / unit_q % 2 == 1) == fits_odd else _UNEVEN)


def closing_value(
    printed_q: Fraction | None, notes: int, length_q: Fraction, tempo: Tempo, unit_q: Fraction
) -> Fraction:
    """Quarters of each closing note: the printed value, or it halved or doubled, where that can be heard and leaves
    half of the trill; else one, two or three values of the trill. With no printed value, the same of the trill's."""
    most_q = length_q / 2 / notes
    if printed_q is not None:
        scaled = [printed_q * Fraction(2) ** k for k in (0, -1, 1, -2, 2)]
        for value_q in scaled:
            whole = (length_q - notes * value_q) / unit_q
            if value_q <= most_q and _heard(value_q, tempo) and whole.denominator == 1:
                return value_q
    for times in (1, 2, 3):
        if CLOSING_S[0] <= tempo.seconds(unit_q * times) and unit_q * times <= most_q:
            return unit_q * times
    return min(unit_q, most_q)


def free_closing_value(printed_q: Fraction | None, notes: int, length_q: Fraction, tempo: Tempo) -> Fraction:
    """Quarters of each closing note of a trill whose rate changes: the printed value (else a sixteenth), halved or
    doubled until it lasts 0.12 to 0.25 seconds."""
    value_q = printed_q or Fraction(1, 4)
    while tempo.seconds(value_q) > CLOSING_S[1]:
        value_q /= 2
    while tempo.seconds(value_q) < CLOSING_S[0]:
        value_q *= 2
    return min(value_q, length_q / 2 / notes)


def _heard(value_q: Fraction, tempo: Tempo) -> bool:
    return CLOSING_S[0] <= tempo.seconds(value_q) <= CLOSING_S[1]


def growing_rates(tempo: Tempo) -> tuple[Fraction, Fraction]:
    """First and last rate of an accelerating trill, in notes a quarter."""
    first = Fraction(3 if tempo.compound else 2) / tempo.beat_q
    while float(first) / tempo.quarter_s < 1.5:
        first *= 2
    while float(first) / tempo.quarter_s > 4:
        first /= 2
    top = min(tempo.fastest, LIMIT_S) * tempo.quarter_s
    last = Fraction(floor(top + 1e-9)) if top >= 2 else Fraction(floor(4 * top), 4)
    return first, max(last, Fraction(1, 4))

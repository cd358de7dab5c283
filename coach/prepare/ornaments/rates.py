"""How fast a trill goes, as a simple division of the beat, and how long its closing notes are.

An even trill takes the printed value (plain, or of a triplet) that divides its length and whose notes a second are at
most what the fingers do and nearest, on a scale of ratios, to what suits the tempo: 6.5 to 9, more the quicker the
beat. Sources: Quantz 1752, ch. IX par. 6 (eight notes to a beat of about 80: 10.7 a second; from memory);
L. Mozart 1756, ch. X par. 7 (slow pieces, slower trills). The numbers and the weights are defaults, chosen to come to
about 7 to 10, what fingers keep up (coach.instruments.trill_speed).

Where an odd number ends on the right note, a trill of one beat may be five even notes (any table of ornaments).

Closing notes are about as quick as the trill (C. P. E. Bach 1753, ch. 2, trills: as quick as the trill itself; from
memory): 0.09 to 0.185 seconds where a printed value lasts that (a default). An accelerating trill begins in eighths
(thirds of a beat in compound metre), twice as fast where these would be slower than 1.5 a second and half as fast where
they would be quicker than 4; it ends at the largest whole number of notes a quarter that the fingers do.
"""

from dataclasses import dataclass
from fractions import Fraction
from math import floor, log

from coach.prepare.ornaments.countable import PLAIN, TRIPLETS

LIMIT_S = 16.5  # notes a second that nobody exceeded; see coach.instruments.trill_speed
SPURT = 14.2 / 10.5  # how much faster a few notes may go than an even trill: the 95th percentile over the median
CLOSING_S = (0.09, 0.185)
_FEW = 5  # notes that may go at a spurt
_NUMBERS = (3, 4, 6, 8, 12, 16, 24, 32)
_SUITS = ((1.5, 6.5), (1.2, 7.0), (1.0, 7.5), (0.6, 8.0), (0.0, 9.0))  # seconds of a beat at least, notes a second
_TRIPLET, _COMPOUND_TRIPLET, _SLOW, _UNEVEN, _NO_TRILL, _HASTY, _OTHER_VALUE = 0.3, 0.4, 3.0, 0.1, 0.3, 1.0, 0.2
_MOST_CLOSE = Fraction(3, 5)  # of the trill's length


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
        return min(next(rate for least_s, rate in _SUITS if beat_s >= least_s), self.fastest)

    def seconds(self, length_q: Fraction) -> float:
        """How long a length lasts."""
        return float(length_q) * self.quarter_s

    def rate(self, unit_q: Fraction) -> float:
        """Notes a second of a value."""
        return 1 / max(self.seconds(unit_q), 1e-9)


@dataclass(frozen=True, slots=True)
class Closing:
    """How many closing notes, and their printed value in quarters, None where none is printed."""

    number: int = 0
    printed_q: Fraction | None = None


def even_division(
    length_q: Fraction, tempo: Tempo, closing: Closing, *, odd: bool, least: int
) -> tuple[Fraction, Fraction] | None:
    """The value of an even trill and that of its closing notes (0 without any), over a whole length. None where the
    fingers have no time for `least` notes and the closing ones; `odd` where an odd number ends on the right note."""
    units = [unit_q for unit_q in (*PLAIN, *TRIPLETS) if (length_q / unit_q).denominator == 1]
    units = units or [length_q / number for number in _NUMBERS]
    if least + closing.number in (4, 5) and not any(length_q / unit_q == least + closing.number for unit_q in units):
        units.append(length_q / (least + closing.number))
    if odd and not closing.number and length_q <= tempo.beat_q:
        units.append(length_q / 5)
    ways = [
        (unit_q, value_q)
        for unit_q in units
        if _can(length_q, unit_q, tempo)
        for value_q in _closing_values(unit_q, closing, tempo)
        if _has_room(length_q, unit_q, closing.number * value_q, least)
    ]
    return min(ways, key=lambda way: _cost(length_q, way, closing, tempo, odd), default=None)


def _has_room(length_q: Fraction, unit_q: Fraction, closing_q: Fraction, least: int) -> bool:
    return (length_q - closing_q) / unit_q >= least and closing_q <= length_q * _MOST_CLOSE


def _can(length_q: Fraction, unit_q: Fraction, tempo: Tempo) -> bool:
    """Whether the fingers can: for a few notes faster than for many."""
    few = length_q / unit_q <= _FEW
    return tempo.rate(unit_q) <= min(tempo.fastest * (SPURT if few else 1.0), LIMIT_S) + 1e-9


def _closing_values(unit_q: Fraction, closing: Closing, tempo: Tempo) -> tuple[Fraction, ...]:
    """The values that closing notes may have after notes of a value: that one and twice it, and the printed one, or it
    halved or doubled, where that can be heard."""
    if not closing.number:
        return (Fraction(0),)
    printed = () if closing.printed_q is None else tuple(closing.printed_q * Fraction(2) ** k for k in (-2, -1, 0, 1))
    return (unit_q, *(value_q for value_q in (2 * unit_q, *printed) if value_q > unit_q and _heard(value_q, tempo)))


def _cost(length_q: Fraction, way: tuple[Fraction, Fraction], closing: Closing, tempo: Tempo, odd: bool) -> float:
    unit_q, value_q = way
    off = log(tempo.rate(unit_q) / tempo.suits)
    cost = off if off > 0 else -_SLOW * off
    if unit_q not in PLAIN:
        cost += _COMPOUND_TRIPLET if tempo.compound else _TRIPLET
    units = (length_q - closing.number * value_q) / unit_q
    cost += _NO_TRILL if units + closing.number < 3 else 0.0
    cost += 1.0 if units.denominator != 1 else 0.0 if (units % 2 == 1) == odd else _UNEVEN
    if closing.number:
        cost += _HASTY * max(0.0, log(CLOSING_S[0] / tempo.seconds(value_q)))
        cost += _OTHER_VALUE * abs(log(value_q / (closing.printed_q or unit_q), 2))
    return cost


def free_closing_value(
    printed_q: Fraction | None, notes: int, length_q: Fraction, tempo: Tempo, last: Fraction
) -> Fraction:
    """Quarters of each closing note of a trill whose rate changes: the printed value (else a sixteenth), halved or
    doubled until it lasts 0.09 to 0.185 seconds; that of the last rate where this is one of triplets, so that the
    closing notes are in the same group."""
    value_q = printed_q or Fraction(1, 4)
    if not tempo.compound and last > 0 and 1 / last in TRIPLETS and _heard(1 / last, tempo):
        value_q = 1 / last
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

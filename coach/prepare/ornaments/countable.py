"""The nearest form of a shake that can be counted: beat by beat eighths, triplets, sixteenths and so on.

Of all ways to fill each beat with equal notes of one printed value, never slower than in the beat before (never faster,
in a trill that slows down), the one that ends on the right note and is nearest to what the shake asks for: the sum over
the beats of asked * log(notes / asked)^2, and a little for each group that is no plain value, is least. The first beat
goes at the rate that the shake begins with, or at most half as fast again, where a value does. Where the number is one
too large, the first note is held for two (the last one, where nothing closes the trill).
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise
from math import log

from coach.music.pitch import Pitch
from coach.prepare.mark import OssiaNote, Shake
from coach.prepare.ornaments.shake import alternating, begun, count, integral, shaken, spans

PLAIN = tuple(Fraction(2, 1 << k) for k in range(7))  # half notes to 128ths, in quarters
TRIPLETS = tuple(Fraction(1, 3 << k) for k in range(6))  # eighths of a triplet and so on
_TUPLET_COST = 0.15
_HELD_COST = 0.9
_AT_FIRST = Fraction(3, 2)


@dataclass(frozen=True, slots=True)
class _Way:
    """The notes of each beat so far, what they cost, and whether one of them counts twice."""

    cost: float
    numbers: tuple[int, ...]
    held: bool = False


# By whether their number is odd, and by the last value in quarters (0 before the first beat).
_Best = dict[tuple[int, float], _Way]


def countable(main: Pitch, shake: Shake, beats_q: Iterable[Fraction]) -> tuple[OssiaNote, ...]:
    """A shake of a main note in values that can be counted, its closing notes last; it fills the same time. `beats_q`
    are where beats begin, counted as the shake's onset."""
    span_q, closing_q = spans(shake)
    if span_q <= 0:
        return ()
    edges = _edges(shake, span_q, beats_q)
    lengths = _even(main, shake, span_q) or _by_beats(main, shake, edges) or _by_beats(main, shake, edges, freely=True)
    if not lengths:
        return shaken(main, shake)
    pitches = alternating(main, shake, len(lengths))
    return laid((*pitches, *shake.close), (*lengths, *(closing_q for _ in shake.close)), shake.onset_q)


def laid(pitches: Iterable[Pitch], lengths: Iterable[Fraction], at_q: Fraction) -> tuple[OssiaNote, ...]:
    """Notes of these pitches and lengths, one after the other from an onset."""
    notes: list[OssiaNote] = []
    for pitch, length_q in zip(pitches, lengths, strict=True):
        notes.append(OssiaNote(pitch, at_q, length_q))
        at_q += length_q
    return tuple(notes)


def held(lengths: Sequence[Fraction], *, first: bool) -> tuple[Fraction, ...]:
    """One note fewer: the first two as one note, or the last two."""
    if first:
        return (lengths[0] + lengths[1], *lengths[2:])
    return (*lengths[:-2], lengths[-2] + lengths[-1])


def _even(main: Pitch, shake: Shake, span_q: Fraction) -> tuple[Fraction, ...]:
    """Equal values where they fit; () where they do not."""
    if shake.first != shake.last or shake.first <= 0:
        return ()
    units, number = span_q * shake.first, count(main, shake)
    if units.denominator != 1 or units - number not in (0, 1):
        return ()
    lengths = (1 / shake.first,) * int(units)
    return lengths if units == number else held(lengths, first=bool(shake.close))


def _edges(shake: Shake, span_q: Fraction, beats_q: Iterable[Fraction]) -> tuple[Fraction, ...]:
    start_q, end_q = shake.onset_q, shake.onset_q + span_q
    return tuple(sorted({start_q, end_q, *(at_q for at_q in beats_q if start_q < at_q < end_q)}))


def _by_beats(main: Pitch, shake: Shake, edges: Sequence[Fraction], *, freely: bool = False) -> tuple[Fraction, ...]:
    """Beat by beat; () where no such way is there. `freely` it may go slower and faster."""
    start_q, span_q = edges[0], edges[-1] - edges[0]
    number, whole = count(main, shake), float(integral(shake))
    scale = number / whole if whole else 0.0
    best: _Best = {(0, 0.0): _Way(0.0, ())}
    for a, b in pairwise(edges):
        shares = (float((a - start_q) / span_q), float((b - start_q) / span_q))
        asked = max(scale * (begun(shake, shares[1]) - begun(shake, shares[0])), 0.25)
        numbers = _numbers(b - a)
        if a == start_q:
            numbers = [one for one in numbers if 1 <= one[0] / ((b - a) * (shake.first or 1)) <= _AT_FIRST] or numbers
        trend = 0 if freely else -1 if shake.last < shake.first else 1
        best = _next(best, float(b - a), asked, numbers, trend)
    found = [
        way if parity == number % 2 else _Way(way.cost + _HELD_COST, way.numbers, held=True)
        for (parity, _), way in best.items()
        if sum(way.numbers) - (parity != number % 2) >= min(number, 3)
    ]
    return _spread(min(found, key=lambda way: way.cost), edges, bool(shake.close)) if found else ()


def _next(best: _Best, length_q: float, asked: float, numbers: Iterable[tuple[int, float]], trend: int) -> _Best:
    """All the best ways with one beat more, by whether their number is odd and by the last value. `trend` is 1 where
    notes may not grow longer, -1 where not shorter."""
    found: _Best = {}
    for (parity, before_q), way in best.items():
        for number, cost in numbers:
            unit_q = round(length_q / number, 9)
            if before_q and trend * (unit_q - before_q) > 0:
                continue
            key, fits = ((parity + number) % 2, unit_q), way.cost + cost + asked * log(number / asked) ** 2
            if key not in found or fits < found[key].cost:
                found[key] = _Way(fits, (*way.numbers, number))
    return found


def _numbers(length_q: Fraction) -> list[tuple[int, float]]:
    """How many equal notes of a printed value a stretch can have, with what each costs."""
    found = [(length_q / unit_q, 0.0) for unit_q in PLAIN] + [(length_q / unit_q, _TUPLET_COST) for unit_q in TRIPLETS]
    whole = [(int(number), cost) for number, cost in found if number.denominator == 1]
    return whole or [(number, _TUPLET_COST) for number in (1, 2, 3, 4, 6, 8, 12, 16)]


def _spread(way: _Way, edges: Sequence[Fraction], closes: bool) -> tuple[Fraction, ...]:
    beats = [((b - a) / number, number) for (a, b), number in zip(pairwise(edges), way.numbers, strict=True)]
    lengths = tuple(unit_q for unit_q, number in beats for _ in range(number))
    return held(lengths, first=closes) if way.held else lengths

"""A length as printed values: one where there is one, else several tied together, else none."""

from dataclasses import dataclass
from fractions import Fraction
from functools import cache

from coach.music.rhythm import VALUE_Q, Value, by_the_beat, simplest_value

_TUPLETS = ((3, 2), (5, 4), (6, 4), (7, 4), (7, 8), (9, 8), (10, 8), (11, 8), (2, 3), (4, 3))


@dataclass(frozen=True, slots=True)
class Printed:
    """A length and the value it is printed as; None where no value fits."""

    length_q: Fraction
    value: Value | None


@cache
def printed_values(
    length_q: Fraction, at_q: Fraction = Fraction(0), beat_q: Fraction = Fraction(1)
) -> tuple[Printed, ...]:
    """The values that add up to a length, of one tuplet if it takes one; in a compound metre, of beats of `beat_q`, by
    the beats after `at_q` in the measure. A length that none of the usual tuplets divides stays whole and without a
    value."""
    beats = by_the_beat(length_q, at_q, beat_q)
    if beats:
        return tuple(Printed(one.length_q, one) for one in beats)
    value = simplest_value(length_q) or _in_tuplet(length_q)
    if value is not None:
        return (Printed(length_q, value),)
    for actual, normal in ((1, 1), *_TUPLETS):
        values = _several(length_q * actual / normal, actual, normal)
        if values:
            return tuple(Printed(one.length_q, one) for one in values)
    return (Printed(length_q, None),)


def _several(written_q: Fraction, actual: int, normal: int) -> list[Value]:
    """Undotted values of one tuplet, long ones first, that are written as this length; none if there are no such."""
    values: list[Value] = []
    for kind, size in VALUE_Q.items():
        count, written_q = divmod(written_q, size)
        values += [Value(kind, 0, actual, normal)] * int(count)
    return [] if written_q else values


def _in_tuplet(length_q: Fraction) -> Value | None:
    for actual, normal in _TUPLETS:
        value = simplest_value(length_q * actual / normal)
        if value is not None and value.dots < 2:
            return Value(value.kind, value.dots, actual, normal)
    return None

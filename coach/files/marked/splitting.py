"""A length as printed values: one where there is one, else several tied together, else none."""

from dataclasses import dataclass
from fractions import Fraction
from functools import cache

from coach.music.rhythm import VALUE_Q, Value, simplest_value

_TUPLETS = ((3, 2), (5, 4), (6, 4), (7, 4), (7, 8), (9, 8), (10, 8), (11, 8), (2, 3), (4, 3))


@dataclass(frozen=True, slots=True)
class Printed:
    """A length and the value it is printed as; None where no value fits."""

    length_q: Fraction
    value: Value | None


@cache
def printed_values(length_q: Fraction) -> tuple[Printed, ...]:
    """The values, long ones first, that add up to a length. A length that none of the usual tuplets divides stays whole
    and without a value."""
    value = simplest_value(length_q) or _in_tuplet(length_q)
    if value is not None:
        return (Printed(length_q, value),)
    denominator = length_q.denominator
    if denominator & (denominator - 1):
        return (Printed(length_q, None),)
    parts: list[Printed] = []
    rest = length_q
    for kind, size in VALUE_Q.items():
        while rest >= size:
            parts.append(Printed(size, Value(kind)))
            rest -= size
    return tuple(parts) if not rest else (Printed(length_q, None),)


def _in_tuplet(length_q: Fraction) -> Value | None:
    for actual, normal in _TUPLETS:
        value = simplest_value(length_q * actual / normal)
        if value is not None and value.dots < 2:
            return Value(value.kind, value.dots, actual, normal)
    return None

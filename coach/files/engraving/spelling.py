"""A length in printed note values: one value where there is one, else tied ones, in a tuplet where it needs one."""

from dataclasses import dataclass
from fractions import Fraction

from coach.music.rhythm import VALUE_Q, Value, simplest_value

_LARGEST_TUPLET = 31
_FINEST_Q = VALUE_Q["128th"]  # finer lengths are rounded to it: a reader counts no shorter value


@dataclass(frozen=True, slots=True)
class Spelled:
    """A printed value and where it begins, in quarters from the start of its measure."""

    onset_q: Fraction
    value: Value

    @property
    def ratio(self) -> tuple[int, int]:
        """The tuplet's ratio, (1, 1) for none."""
        return self.value.actual, self.value.normal


def spelled(onset_q: Fraction, length_q: Fraction) -> tuple[Spelled, ...]:
    """The values, to be tied, that fill a length. A length that no tuplet of up to 31 fills is rounded down to 128ths,
    to one at least."""
    actual = length_q.denominator
    while actual % 2 == 0:
        actual //= 2
    if actual > _LARGEST_TUPLET:
        actual, length_q = 1, max(length_q // _FINEST_Q, 1) * _FINEST_Q
    normal = 1
    while normal * 2 <= actual:
        normal *= 2
    made, at_q, left_q = [], onset_q, length_q * actual / normal
    while left_q >= VALUE_Q["1024th"]:
        plain = simplest_value(left_q) or _largest_within(left_q)
        value = Value(plain.kind, plain.dots, actual, normal)
        made.append(Spelled(at_q, value))
        at_q += value.length_q
        left_q -= plain.length_q
    return tuple(made)


def _largest_within(length_q: Fraction) -> Value:
    return next(Value(kind) for kind, value_q in VALUE_Q.items() if value_q <= length_q)

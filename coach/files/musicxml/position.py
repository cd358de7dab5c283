"""Where in the measure the walk stands: exactly, beside the file's own rounded counting.

A file counts in whole divisions, so a triplet of divisions 1024 is 341 + 341 + 341 = 1023. The exact place moves by the
notated values; the file's counting is kept beside it only to find the same place again after `backup` and `forward`.
"""

from fractions import Fraction

from coach.files.musicxml.numbers import Exact
from coach.files.musicxml.raw import ZERO

_FINEST = 64  # a plain binary subdivision this fine is believed as it stands


def snap(length: Fraction, divisions: Exact) -> Fraction:
    """The length that a rounded one stands for: itself if it is a plain binary fraction of a quarter, else the simplest
    fraction within one division of it."""
    denominator = length.denominator
    if divisions < 16 or (denominator & (denominator - 1) == 0 and denominator <= _FINEST):
        return length
    bound = 1 / Fraction(divisions)
    for limit in (3, 5, 6, 7, 9, 12, 15, 24, 28, 36, 48, 96):
        near = length.limit_denominator(limit)
        if abs(near - length) < bound:
            return near
    return length


def rounding(duration: Exact, length: Fraction, divisions: Exact) -> Fraction:
    """How far a file's duration lies from a notated length, in divisions."""
    if length.numerator * divisions == duration * length.denominator:
        return ZERO
    return abs(length * divisions - duration)


class Position:
    """The place in one measure: `exact` in quarters; `_file` in the file's divisions."""

    def __init__(self, divisions: Exact) -> None:
        self.exact = ZERO
        self._reach = ZERO
        self._divisions = divisions
        self._file: Exact = 0
        self._known: dict[Exact, Fraction] = {0: ZERO}
        self._slack = ZERO

    @property
    def reach(self) -> Fraction:
        """The furthest place that was passed."""
        return max(self._reach, self.exact)

    @property
    def divisions(self) -> Exact:
        """Divisions to a quarter now in force."""
        return self._divisions

    @divisions.setter
    def divisions(self, divisions: Exact) -> None:
        scale = Fraction(divisions) / self._divisions
        self._divisions = divisions
        if scale != 1:
            self._file *= scale
            self._slack *= scale
            self._known = {place * scale: exact for place, exact in self._known.items()}

    def advance(self, duration: Exact, length: Fraction) -> None:
        """Move over a note of an exact length that the file counts as `duration` divisions."""
        off = rounding(duration, length, self._divisions)
        if off:
            self._slack += off
        self._file += duration
        self.exact += length
        self._known.setdefault(self._file, self.exact)

    def move(self, duration: Exact) -> None:
        """Move by the file's counting, back (negative) or forward, to the exact place that is meant."""
        self._reach = self.reach
        self._file += duration
        if self._file < 0:
            self._file = 0
        self.exact = self.place(self._file)
        if duration > 0:
            self._known.setdefault(self._file, self.exact)

    def file_place(self, offset: Exact) -> Exact:
        """The place `offset` divisions from here in the file's counting."""
        return max(self._file + offset, 0)

    def nearest(self, exact: Fraction) -> Fraction:
        """The place nearest to `exact` where a note begins or ends."""
        return min(self._known.values(), key=lambda place: abs(place - exact))

    def place(self, file_place: Exact) -> Fraction:
        """The exact place of a place in the file's counting."""
        known = self._known.get(file_place)
        if known is not None:
            return known
        nearest = min(self._known, key=lambda place: abs(Fraction(place - file_place)))
        if abs(Fraction(nearest - file_place)) <= self._slack:
            return self._known[nearest]
        below = max(place for place in self._known if place < file_place)
        return self._known[below] + snap(Fraction(file_place - below) / self._divisions, self._divisions)

"""A trill that is being chosen: its start, its rates, its curve and its closing notes, one turned after the other."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import TypeVar

from coach.music.pitch import Pitch
from coach.prepare.mark import CURVES, STARTS, Ornament, Shake
from coach.prepare.ornaments.countable import countable
from coach.prepare.ornaments.shake import FASTEST, shaken

SLOWEST_CHOSEN = Fraction(1)  # notes a quarter
_FINE_UP_TO, _FINE, _COARSE = Fraction(4), Fraction(1, 2), Fraction(1)  # steps, in notes a quarter
LINES = ("begins", "at first", "at last", "growth", "closes")
CURVE_WORDS = {
    "even": "none, it is even",
    "steady": "steady",
    "late": "late, near its end",
    "early": "early, near its beginning",
}
_START_WORDS = {"main": "from the main note", "upper": "from the upper note", "lower": "from the lower note"}

Close = tuple[tuple[Pitch, ...], Fraction]
Value = TypeVar("Value")


@dataclass(frozen=True, slots=True)
class Shaking:
    """A shake of a main note while it is changed. `closes` are the endings it can have; `second_q` is how many quarters
    pass in a second at the performance tempo, `beat_q` the beat in quarters, `first` the slow beginning that is come
    back to from an even trill."""

    main: Pitch
    shake: Shake
    closes: tuple[Close, ...]
    second_q: Fraction
    beat_q: Fraction
    first: Fraction

    def turned(self, line: int, by: int) -> "Shaking":
        """With the value of one of LINES turned up or down."""
        shake = self.shake
        match line:
            case 0:
                return replace(self, shake=replace(shake, start=_next(shake.start, STARTS, by)))
            case 1:
                return self._with_first(_step(shake.first, by))
            case 2:
                return self._with_last(_step(shake.last, by))
            case 3:
                return self._with_curve(_next(shake.curve, CURVES, by))
        here = (shake.close, shake.close_q)
        close, close_q = _next(here if here in self.closes else self.closes[0], self.closes, by)
        return replace(self, shake=replace(shake, close=close, close_q=close_q))

    def _with_first(self, first: Fraction) -> "Shaking":
        shake = self.shake
        if shake.curve == "even":
            return self._with_last(first)
        first = min(first, shake.last)
        return replace(self, shake=replace(shake, first=first), first=first)

    def _with_last(self, last: Fraction) -> "Shaking":
        shake = self.shake
        first = last if shake.curve == "even" else min(shake.first, last)
        return replace(self, shake=replace(shake, first=first, last=last))

    def _with_curve(self, curve: str) -> "Shaking":
        shake = self.shake
        if curve == "even":
            return replace(self, shake=replace(shake, curve=curve, first=shake.last))
        first = min(self.first, shake.last) if shake.curve == "even" else shake.first
        return replace(self, shake=replace(shake, curve=curve, first=first))

    def values(self) -> tuple[str, ...]:
        """The values of LINES in words."""
        shake = self.shake
        names = " ".join(pitch.name for pitch in shake.close)
        return (
            _START_WORDS[shake.start],
            self.rate(shake.first),
            self.rate(shake.last),
            CURVE_WORDS[shake.curve],
            f"with {names}" if names else "with nothing",
        )

    def rate(self, rate: Fraction) -> str:
        """A rate in words: "4 a beat, 2.7 a second"."""
        return f"{number(rate * self.beat_q)} a beat, {number(rate * self.second_q)} a second"

    @property
    def count(self) -> int:
        """How many notes it comes to, the closing ones among them."""
        return len(shaken(self.main, self.shake))


def shaking(
    main: Pitch, shake: Shake, others: Sequence[Shake], second_q: Fraction, beat_q: Fraction, slow: Fraction
) -> Shaking:
    """A shake to be changed; it can close as it does, as the other ways to play it do, or with nothing. `slow` is where
    it begins once it is to grow."""
    closes = dict.fromkeys([(shake.close, shake.close_q), *((one.close, one.close_q) for one in others)])
    plain: Close = ((), Fraction(0))
    first = shake.first if shake.curve != "even" else min(slow, shake.last)
    return Shaking(main, shake, tuple({**closes, plain: None}), second_q, beat_q, first)


def shaken_anew(ornament: Ornament, changed: Shaking, beats_q: Iterable[Fraction]) -> Ornament:
    """An ornament with its trill as it was changed, the player's own; `beats_q` are where the beats begin, by which it
    is counted."""
    shake = changed.shake
    end_q = shake.onset_q + shake.length_q
    before = tuple(note for note in ornament.notes if note.onset_q < shake.onset_q)
    after = tuple(note for note in ornament.notes if note.onset_q >= end_q)
    notes = (*before, *countable(changed.main, shake, beats_q), *after)
    return replace(ornament, notes=notes, style="", shake=shake)


def _step(rate: Fraction, by: int) -> Fraction:
    """The next rate up or down, on whole steps."""
    step = _FINE if rate < _FINE_UP_TO or (rate == _FINE_UP_TO and by < 0) else _COARSE
    steps = rate / step
    moved = (steps.__floor__() + 1 if by > 0 else steps.__ceil__() - 1) * step
    return min(max(moved, SLOWEST_CHOSEN), FASTEST)


def _next(value: Value, values: Sequence[Value], by: int) -> Value:
    return values[(values.index(value) + by) % len(values)]


def number(rate: Fraction) -> str:
    """A rate to a tenth: "3", "12.5"."""
    return f"{float(rate):.1f}".removesuffix(".0")

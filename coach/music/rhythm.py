"""Note values as printed, and their exact lengths in quarter notes."""

from dataclasses import dataclass
from fractions import Fraction
from functools import cache

# Note types in MusicXML's words, from long to short, with their lengths in quarters.
VALUE_Q: dict[str, Fraction] = {
    "maxima": Fraction(32),
    "long": Fraction(16),
    "breve": Fraction(8),
    "whole": Fraction(4),
    "half": Fraction(2),
    "quarter": Fraction(1),
    "eighth": Fraction(1, 2),
    "16th": Fraction(1, 4),
    "32nd": Fraction(1, 8),
    "64th": Fraction(1, 16),
    "128th": Fraction(1, 32),
    "256th": Fraction(1, 64),
    "512th": Fraction(1, 128),
    "1024th": Fraction(1, 256),
}


@dataclass(frozen=True, slots=True)
class Value:
    """A printed note value: type, dots, and the tuplet ratio (`actual` in the time of `normal`)."""

    kind: str
    dots: int = 0
    actual: int = 1
    normal: int = 1

    @property
    def length_q(self) -> Fraction:
        """Exact length in quarter notes."""
        dotted = VALUE_Q[self.kind] * (2 - Fraction(1, 2**self.dots))
        return dotted * self.normal / self.actual

    @property
    def name(self) -> str:
        """In words: "quarter", "dotted half", "double-dotted eighth", "16th (3 in 2)"."""
        dots = {0: "", 1: "dotted ", 2: "double-dotted "}.get(self.dots, f"{self.dots}-dotted ")
        tuplet = f" ({self.actual} in {self.normal})" if self.actual != self.normal else ""
        return f"{dots}{self.kind}{tuplet}"


def beat_unit(text: str) -> Value:
    """Read a beat unit such as "quarter", "eighth", "dotted quarter" or "quarter.". Raises ValueError for others."""
    words = text.strip().lower().replace("dotted-", "dotted ").split()
    dots = words.count("dotted") + (words[-1].count(".") if words else 0)
    kind = words[-1].rstrip(".") if words else ""
    if kind not in VALUE_Q or dots > 2 or any(word != "dotted" for word in words[:-1]):
        raise ValueError(f"{text!r} is not a beat unit; use one such as quarter, eighth, half or dotted quarter")
    return Value(kind, dots)


@cache
def by_the_beat(length_q: Fraction, at_q: Fraction, beat_q: Fraction) -> tuple[Value, ...]:
    """A length that is no one value as tied values that show the beats of a compound metre: up to the next beat, then
    whole beats, then the rest ("dotted quarter, quarter" for five eighths from the beat). `at_q` counts from the start
    of the measure, `beat_q` is a dotted value. () where another metre, or one value, says it better."""
    if beat_q.numerator % 3 or simplest_value(beat_q) is None or simplest_value(length_q) is not None:
        return ()
    lead_q = min(-at_q % beat_q, length_q)
    beats, tail_q = divmod(length_q - lead_q, beat_q)
    parts = [*_parts(lead_q)[::-1], *_whole_beats(int(beats), beat_q), *_parts(tail_q)]
    return tuple(parts) if sum((value.length_q for value in parts), Fraction(0)) == length_q else ()


def _whole_beats(count: int, beat_q: Fraction) -> list[Value]:
    values: list[Value] = []
    while count:
        size, value = next((k, one) for k in range(count, 0, -1) if (one := simplest_value(k * beat_q)) is not None)
        values.append(value)
        count -= size
    return values


def _parts(length_q: Fraction) -> list[Value]:
    """A part of a beat as one value, else as two at most; none for nothing, or for what needs more."""
    whole = simplest_value(length_q)
    if whole is not None:
        return [whole]
    for size_q in VALUE_Q.values():
        rest = simplest_value(length_q - size_q) if size_q < length_q else None
        if rest is not None:
            return [one for one in (simplest_value(size_q), rest) if one is not None]
    return []


@cache
def simplest_value(length_q: Fraction) -> Value | None:
    """The one printed value of exactly this length (at most two dots, no tuplet), or None if none exists."""
    for kind in VALUE_Q:
        for dots in (0, 1, 2):
            if Value(kind, dots).length_q == length_q:
                return Value(kind, dots)
    return None

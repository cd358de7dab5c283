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
def simplest_value(length_q: Fraction) -> Value | None:
    """The one printed value of exactly this length (at most two dots, no tuplet), or None if none exists."""
    for kind in VALUE_Q:
        for dots in (0, 1, 2):
            if Value(kind, dots).length_q == length_q:
                return Value(kind, dots)
    return None

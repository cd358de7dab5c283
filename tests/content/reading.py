"""The demo piece as others' readers see it: music21, and the bare elements where music21 drops something."""

from fractions import Fraction
from functools import cache
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

from music21 import converter, dynamics, spanner

from coach.paths import content


def demo_path() -> Path:
    """The score file."""
    return Path(str(content("pieces", "demo.musicxml")))


@cache
def raw() -> ElementTree.Element:
    """The file's own elements, for the attributes that music21 drops."""
    return ElementTree.parse(demo_path()).getroot()


@cache
def score() -> Any:
    """The score as music21 reads it."""
    return converter.parse(demo_path(), forceSource=True)


@cache
def part() -> Any:
    """The clarinet part as music21 reads it."""
    return score().parts[0]


@cache
def sounding() -> tuple[Any, ...]:
    """Notes, graces and rests in order."""
    return tuple(part().recurse().notesAndRests)


def onset(element: Any) -> Fraction:
    """Quarters from the start of the piece."""
    return Fraction(element.getOffsetInHierarchy(part()))


@cache
def chained() -> tuple[tuple[Any, Fraction], ...]:
    """Every note, grace or rest once, ties joined, with its whole length in quarters."""
    out: list[tuple[Any, Fraction]] = []
    for item in sounding():
        if item.tie is not None and item.tie.type in ("stop", "continue"):
            first, length = out[-1]
            out[-1] = (first, length + Fraction(item.quarterLength))
        else:
            out.append((item, Fraction(item.quarterLength)))
    return tuple(out)


def quarters_per_second() -> Fraction:
    """The tempo at the head of the piece."""
    mark = part().recurse().getElementsByClass("MetronomeMark").first()
    return Fraction(mark.number) * Fraction(mark.referent.quarterLength) / 60


def level_at(at_q: Fraction) -> str:
    """The dynamic mark in force."""
    marks = part().recurse().getElementsByClass(dynamics.Dynamic)
    return str(max((m for m in marks if onset(m) <= at_q), key=onset).value)


def note_in(measure: int, k: int) -> Any:
    """The k-th sounding note of a measure, from 1, graces left out."""
    notes = [n for n in part().measure(measure).notes if not n.duration.isGrace]
    return notes[k - 1]


def under_one_slur(first: Any, second: Any) -> bool:
    """Whether one slur covers both notes."""
    slurs = part().recurse().getElementsByClass(spanner.Slur)
    return any(onset(s.getFirst()) <= onset(first) and onset(second) <= onset(s.getLast()) for s in slurs)

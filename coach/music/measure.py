"""Measures of a part."""

from dataclasses import dataclass
from fractions import Fraction

from coach.music.metre import Clef, Key, Metre
from coach.music.note import Note


@dataclass(frozen=True, slots=True)
class Change:
    """A key or clef that changes inside a measure, at an onset."""

    onset_q: Fraction
    to: Key | Clef


@dataclass(frozen=True, slots=True)
class Measure:
    """One measure. `id` is the printed number made unique ("14~2"), `number` as printed.

    `metre` is None where the file sets none; `pickup` marks an incomplete first measure, `implicit` one that is not
    counted. `notes` is the practised line with its rests, in order of onset and adding up to `length_q`; `others`
    holds what other voices play at the same time. `endings` are the numbers of the ending bracket over it, `jumps` the
    printed words and signs that send a run-through elsewhere ("segno", "coda", "dacapo", "dalsegno", "tocoda", "fine").
    """

    id: str
    number: str
    onset_q: Fraction
    length_q: Fraction
    metre: Metre | None
    key: Key
    clef: Clef
    notes: tuple[Note, ...]
    others: tuple[Note, ...] = ()
    pickup: bool = False
    implicit: bool = False
    repeat_start: bool = False
    repeat_end: int = 0
    endings: tuple[int, ...] = ()
    jumps: tuple[str, ...] = ()
    barline: str = ""
    changes: tuple[Change, ...] = ()

    @property
    def beat_q(self) -> Fraction:
        """Length of a felt beat in quarters; a quarter where the page sets no metre."""
        return self.metre.beat_q if self.metre is not None else Fraction(1)

    @property
    def end_q(self) -> Fraction:
        """Where the measure ends, in quarters from the start of the piece."""
        return self.onset_q + self.length_q

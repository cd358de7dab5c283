"""A piece: the practised part, the others, and what the reader did not understand."""

from dataclasses import dataclass
from fractions import Fraction

from coach.errors import RequestError
from coach.music.measure import Measure
from coach.music.note import Note
from coach.music.part import Part
from coach.music.tempo import Tempo, TempoMark


@dataclass(frozen=True, slots=True)
class Notice:
    """Something in the file that was not understood, simplified or guessed: one sentence, and how often it happened."""

    text: str
    where: str = ""
    count: int = 1


@dataclass(frozen=True, slots=True)
class Piece:
    """A score with one part chosen for practice. `score_hash` is the SHA-256 of the score file's bytes, in hex."""

    title: str
    composer: str
    part: Part
    others: tuple[Part, ...] = ()
    tempos: tuple[TempoMark, ...] = ()
    notices: tuple[Notice, ...] = ()
    score_hash: str = ""
    rights: str = ""

    @property
    def first_tempo(self) -> Tempo | None:
        """The first tempo with a number on the page, or None."""
        return next((mark.tempo for mark in self.tempos if mark.tempo is not None), None)

    def measure_index(self, name: str) -> int:
        """Index of a measure by its id or printed number. Raises RequestError if there is none."""
        for k, measure in enumerate(self.part.measures):
            if name in (measure.id, measure.number):
                return k
        first, last = self.part.measures[0].id, self.part.measures[-1].id
        raise RequestError(f"{self.title} has no measure {name}; its measures run from {first} to {last}.")

    def note(self, note_id: str) -> Note:
        """A note of the practised line by id. Raises RequestError if there is none."""
        for note in self.part.pitched():
            if note.id == note_id:
                return note
        raise RequestError(f"{self.title} has no note {note_id}.")

    def span(self, first: str, last: str) -> "Span":
        """The stretch from one measure to another, both included. Raises RequestError if it is backwards."""
        start, stop = self.measure_index(first), self.measure_index(last)
        if stop < start:
            raise RequestError(f"Measures {first}-{last} run backwards; write the earlier one first.")
        return Span(start, stop)

    def whole(self) -> "Span":
        """The stretch of all measures."""
        return Span(0, len(self.part.measures) - 1)

    def measures(self, span: "Span") -> tuple[Measure, ...]:
        """The measures of a stretch."""
        return self.part.measures[span.first : span.last + 1]

    def start_q(self, span: "Span") -> Fraction:
        """Onset of a stretch in quarters from the start of the piece."""
        return self.part.measures[span.first].onset_q

    def end_q(self, span: "Span") -> Fraction:
        """End of a stretch in quarters from the start of the piece."""
        return self.part.measures[span.last].end_q


@dataclass(frozen=True, slots=True)
class Span:
    """A stretch of measures by index, both ends included."""

    first: int
    last: int


def parse_measures(text: str) -> tuple[str, str]:
    """Read a range "A-B" (or one measure "A") of printed measure numbers. Raises RequestError for anything else."""
    first, dash, last = text.strip().partition("-")
    if not first or (dash and not last):
        raise RequestError(f"{text!r} is no range of measures; write it like 5-12.")
    return first.strip(), (last if dash else first).strip()

"""A part as the breath meets it: notes with what is tied to them, and the silence after each."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction

from coach.music.measure import Measure
from coach.music.note import Note
from coach.music.part import Part
from coach.music.pitch import Pitch


@dataclass(frozen=True, slots=True)
class Chain:
    """A sounded note: its heads in order (more than one where it is tied), the measure of the first, where it begins
    and how long it is in quarters, and how many quarters of rest follow. `at` is the id of the last head, after which a
    breath would stand."""

    heads: tuple[Note, ...]
    measure: Measure
    onset_q: Fraction
    length_q: Fraction
    rest_q: Fraction = Fraction(0)

    @property
    def first(self) -> Note:
        """Its first head."""
        return self.heads[0]

    @property
    def last(self) -> Note:
        """Its last head."""
        return self.heads[-1]

    @property
    def at(self) -> str:
        """The note that a breath here follows."""
        return self.last.id

    @property
    def pitch(self) -> Pitch:
        """Its written pitch."""
        assert self.first.pitch is not None  # noqa: S101  chains are made of pitched notes
        return self.first.pitch

    @property
    def end_q(self) -> Fraction:
        """Where it ends."""
        return self.onset_q + self.length_q

    @property
    def joined(self) -> bool:
        """Whether a slur leads on to the next note."""
        return self.last.slurred and not self.rest_q


def chains(part: Part) -> tuple[Chain, ...]:
    """The sounded notes of a part in order."""
    found: list[Chain] = []
    for measure, note in _notes(part):
        if note.pitch is None:
            if found:
                found[-1] = replace(found[-1], rest_q=found[-1].rest_q + note.length_q)
        elif found and _goes_on(found[-1], note):
            before = found[-1]
            found[-1] = replace(before, heads=(*before.heads, note), length_q=before.length_q + note.length_q)
        else:
            found.append(Chain((note,), measure, note.onset_q, note.length_q))
    return tuple(found)


def _notes(part: Part) -> Iterator[tuple[Measure, Note]]:
    for measure in part.measures:
        for note in measure.notes:
            if note.length_q > 0:
                yield measure, note


def _goes_on(chain: Chain, note: Note) -> bool:
    tied = chain.last.tie in ("start", "continue") and note.tie in ("continue", "stop")
    return tied and not chain.rest_q and chain.last.pitch == note.pitch

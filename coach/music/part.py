"""One player's part."""

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from coach.music.measure import Measure
from coach.music.note import Note
from coach.music.pitch import Transposition


@dataclass(frozen=True, slots=True)
class DynamicMark:
    """A printed dynamic ("pp", "mf", "sfz") at an onset."""

    onset_q: Fraction
    mark: str


@dataclass(frozen=True, slots=True)
class Hairpin:
    """A printed hairpin: `kind` is "crescendo" or "diminuendo"; `niente` if it begins or ends in nothing; `text` holds
    the words ("cresc.") that stand in place of the sign."""

    kind: str
    start_q: Fraction
    end_q: Fraction
    niente: bool = False
    text: str = ""


@dataclass(frozen=True, slots=True)
class Words:
    """Printed words that are no tempo mark, at an onset; `rehearsal` for a rehearsal mark."""

    onset_q: Fraction
    text: str
    rehearsal: bool = False


@dataclass(frozen=True, slots=True)
class Part:
    """A part with its measures; dynamics, hairpins and words in order of onset. `midi_program` counts from 0.
    `transposition` is that of the start, `transposition_changes` those later on (a change of instrument)."""

    id: str
    name: str
    instrument: str
    transposition: Transposition
    measures: tuple[Measure, ...]
    dynamics: tuple[DynamicMark, ...] = ()
    hairpins: tuple[Hairpin, ...] = ()
    words: tuple[Words, ...] = ()
    midi_program: int | None = None
    transposition_changes: tuple[tuple[Fraction, Transposition], ...] = ()

    def transposition_at(self, onset_q: Fraction) -> Transposition:
        """The transposition in force at an onset in quarters."""
        found = self.transposition
        for at_q, later in self.transposition_changes:
            if at_q <= onset_q:
                found = later
        return found

    def notes(self) -> Iterator[Note]:
        """All notes and rests of the practised line, in order."""
        for measure in self.measures:
            yield from measure.notes

    def pitched(self) -> Iterator[Note]:
        """All notes of the practised line without the rests, in order."""
        return (note for note in self.notes() if note.pitch is not None)

    @property
    def end_q(self) -> Fraction:
        """Length of the part in quarters."""
        return self.measures[-1].end_q if self.measures else Fraction(0)

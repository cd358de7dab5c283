"""The main note of an ornament drawn out: what is played between the graces before it and those that end it."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from fractions import Fraction

from coach.music.pitch import Pitch
from coach.prepare.mark import Ornament, OssiaNote
from coach.prepare.ornaments.figure import Figure
from coach.prepare.ornaments.graces import leads, tails
from coach.prepare.ornaments.realisation import Realisation
from coach.prepare.ornaments.simple import too_fast, value_words

_HURRIED = "; there is hardly room, so lightly and as evenly as you can."


@dataclass(frozen=True, slots=True)
class Body:
    """One way to play the main note, with its name and its reason."""

    notes: tuple[OssiaNote, ...]
    name: str
    because: str

    @property
    def quickest_q(self) -> Fraction:
        """The length of its shortest note."""
        return min(note.length_q for note in self.notes)


# The ways to play a main note from one place to another, in quarters from the start of its measure, the best first.
Bodies = Callable[[Figure, Fraction, Fraction], Sequence[Body]]


def composed(figure: Figure, style: str, what: str, bodies: Bodies) -> tuple[Realisation, ...]:
    """An ornament between the graces in front of its note and those that end it, which take their time first."""
    front, end = leads(figure, style)[0], tails(figure)[0]
    found: dict[tuple[OssiaNote, ...], Realisation] = {}
    for body in bodies(figure, front.start_q, end.start_q):
        notes = (*front.notes, *body.notes, *end.notes)
        because = " ".join(filter(None, (front.because, body.because, end.because)))
        found.setdefault(notes, Realisation(Ornament(notes, what, style), body.name, because))
    return tuple(found.values())


def laid(start_q: Fraction, *runs: tuple[Sequence[Pitch], Fraction]) -> tuple[OssiaNote, ...]:
    """Runs of even notes one after the other, each with what it takes in all."""
    notes, at_q = [], start_q
    for pitches, total_q in runs:
        each_q = total_q / len(pitches)
        for pitch in pitches:
            notes.append(OssiaNote(pitch, at_q, each_q))
            at_q += each_q
    return tuple(notes)


def body(figure: Figure, name: str, how: str, notes: Sequence[OssiaNote]) -> Body:
    """A body whose reason says how it goes and which notes it has."""
    names = [note.pitch.spoken for note in notes if note.pitch is not None]
    because = f"{how}: {', '.join(names[:-1])} and {names[-1]}."
    made = Body(tuple(notes), name, because)
    if too_fast(made.quickest_q, figure.quarter_s):
        return Body(made.notes, name, because[:-1] + _HURRIED)
    return made


def playable_first(figure: Figure, ways: Sequence[Body]) -> tuple[Body, ...]:
    """The ways in their order; those that go faster than fingers do only where there is no choice otherwise, the
    slowest of them first."""
    found: dict[tuple[OssiaNote, ...], Body] = {}
    for way in ways:
        found.setdefault(way.notes, way)
    fit = [way for way in found.values() if not too_fast(way.quickest_q, figure.quarter_s)]
    unfit = [way for way in found.values() if too_fast(way.quickest_q, figure.quarter_s)]
    return (*fit, *sorted(unfit, key=lambda way: -way.quickest_q)[: max(2 - len(fit), 0)])


def held(length_q: Fraction) -> str:
    """A length for a sentence: "a dotted quarter", or "the rest of the note"."""
    return value_words(length_q) or "the rest of the note"

"""The notes of a piece that a drill is made of: chains of tied notes, and the measures they stand in."""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from coach.errors import RequestError
from coach.music.measure import Measure
from coach.music.note import Note
from coach.music.piece import Piece
from coach.music.pitch import Pitch
from coach.practice.drills.event import Frame, frame_of
from coach.practice.drills.recipe import Recipe

MOST_MEASURES = 2  # more is a spot to play as it is, not to build note by note; a default


@dataclass(frozen=True, slots=True)
class Chain:
    """A note with what is tied to it."""

    notes: tuple[Note, ...]

    @property
    def pitch(self) -> Pitch:
        """Its written pitch. Raises ValueError for a rest."""
        if self.notes[0].pitch is None:
            raise ValueError(f"{self.notes[0].id} is a rest")
        return self.notes[0].pitch

    @property
    def onset_q(self) -> Fraction:
        """Where it begins, in quarters from the start of the piece."""
        return self.notes[0].onset_q

    @property
    def end_q(self) -> Fraction:
        """Where it ends, in quarters from the start of the piece."""
        return self.notes[-1].end_q

    @property
    def length_q(self) -> Fraction:
        """How long it lasts, in quarters."""
        return self.end_q - self.onset_q


@dataclass(frozen=True, slots=True)
class Stretch:
    """What a drill is made of: its chains in order, the measures that they stand in, the chains right before and after
    them (None after or before a rest), and the names of the two fingerings of a swap ("" where they are not known)."""

    chains: tuple[Chain, ...]
    measures: tuple[Measure, ...]
    before: Chain | None = None
    after: Chain | None = None
    keys: tuple[str, str] = ("", "")

    @property
    def first(self) -> Chain:
        """Its first note."""
        return self.chains[0]

    @property
    def last(self) -> Chain:
        """Its last note."""
        return self.chains[-1]

    @property
    def frame(self) -> Frame:
        """What the measure of its first note is like."""
        return frame_of(self.measures[0])


def chains_of(notes: Sequence[Note]) -> list[Chain]:
    """Notes in order, tied ones together, without the rests."""
    found: list[list[Note]] = []
    for note in notes:
        if note.pitch is None:
            continue
        before = found[-1][-1] if found else None
        tied = before is not None and before.tie in ("start", "continue") and note.tie in ("continue", "stop")
        if before is not None and tied and before.pitch == note.pitch and before.end_q == note.onset_q:
            found[-1].append(note)
        else:
            found.append([note])
    return [Chain(tuple(chain)) for chain in found]


def stretch_of(
    piece: Piece, first_id: str, last_id: str, keys: tuple[str, str] = ("", ""), *, held: bool = True
) -> Stretch:
    """The stretch from one note to another, both included. With `held` a note of a tied chain stands for all of it;
    else the stretch begins and ends with these notes, whatever is tied to them. Raises RequestError if they are not
    there, or run backwards."""
    chains = chains_of(tuple(piece.part.notes()))
    at = {note.id: k for k, chain in enumerate(chains) for note in chain.notes}
    for name in (first_id, last_id):
        if name not in at:
            raise RequestError(f"{piece.title} has no note {name}; choose a note, not a rest or a grace.")
    first, last = at[first_id], at[last_id]
    order = [note.id for chain in chains[first : last + 1] for note in chain.notes]
    if last < first or order.index(last_id) < order.index(first_id):
        raise RequestError(f"The notes {first_id} and {last_id} run backwards; name the earlier one first.")
    taken = chains[first : last + 1]
    if not held:
        begun = [note.id for note in taken[0].notes].index(first_id)
        taken[0] = Chain(taken[0].notes[begun:])
        ended = [note.id for note in taken[-1].notes].index(last_id)
        taken[-1] = Chain(taken[-1].notes[: ended + 1])
    span = piece.span(taken[0].notes[0].measure, taken[-1].notes[-1].measure)
    before = chains[first - 1] if first and chains[first - 1].end_q == taken[0].onset_q else None
    after = chains[last + 1] if last + 1 < len(chains) and chains[last + 1].onset_q == taken[-1].end_q else None
    return Stretch(tuple(taken), piece.measures(span), before, after, keys)


def fits(recipe: Recipe, stretch: Stretch) -> bool:
    """Whether a recipe makes sense of a stretch: a held note lasts a beat or more; a change goes from a note to
    another one right after it; a stretch has two notes or more. What is played where it stands has at most two
    measures: every round takes all of them, and a rep must not last for minutes."""
    chains = stretch.chains
    if any(note.unpitched for chain in chains for note in chain.notes):
        return False
    try:
        frames = [frame_of(measure) for measure in stretch.measures]
    except ValueError:
        return False
    match recipe.works_on:
        case "held":
            return len(chains) == 1 and stretch.first.length_q >= frames[0].beat_q
        case "change":
            adjacent = len(chains) == 2 and stretch.first.end_q == stretch.last.onset_q
            apart = all(brick.do == "alternate" for brick in recipe.bricks)
            short = apart or len(frames) <= MOST_MEASURES
            return adjacent and short and stretch.first.pitch != stretch.last.pitch
        case _:
            return len(chains) > 1 and len(frames) <= MOST_MEASURES

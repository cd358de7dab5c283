"""The notes of a piece that a drill is made of: chains of tied notes, and the measures they stand in."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from coach.errors import RequestError
from coach.music.measure import Measure
from coach.music.note import Note
from coach.music.piece import Piece
from coach.music.pitch import Pitch
from coach.practice.drills.decided import NOTHING, Decided
from coach.practice.drills.event import Frame, frame_of, moved
from coach.practice.drills.recipe import Recipe
from coach.prepare.mark import Ornament

MOST_MEASURES = 2  # more is a spot to play as it is, not to build note by note; a default
MOST_HELD = 4  # measures that a trill or a note with graces may last; a default
MOST_LINE = 16  # measures whose long tones are chosen from; a default
MOST_PHRASE = 16  # measures for one breath; a default
LEAST_PHRASE = 3  # notes for one breath; a default


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
    """What a drill is made of: its chains in order, the measures that they stand in (with those of `lead` and
    `landing`), the chains right before and after them (None after or before a rest), and the names of the two
    fingerings of a swap ("" where they are not known). `lead` are the notes that lead to it without a rest, `landing`
    is what it lands on, where the recipe takes them along. `ends` are the notes that its growing lengths lead to, all
    of it last; `length` is the one of them that is played, from 1 (the last one if there are not so many), None
    for all."""

    chains: tuple[Chain, ...]
    measures: tuple[Measure, ...]
    before: Chain | None = None
    after: Chain | None = None
    keys: tuple[str, str] = ("", "")
    lead: tuple[Chain, ...] = ()
    landing: Chain | None = None
    decided: Decided = NOTHING
    ends: tuple[str, ...] = ()
    length: int | None = None

    @property
    def breath(self) -> str:
        """The size of the breath after its first note, "" for none: as decided, or a full one where it is printed."""
        last = self.first.notes[-1]
        return self.decided.breaths.get(last.id, "full" if last.breath is not None else "")

    @property
    def has_grace(self) -> bool:
        """Whether it begins or ends with a grace, which has no place of its own in the measure."""
        return not all(chain.length_q for chain in self.chains)

    @property
    def ornament(self) -> Ornament | None:
        """How the ornament of its first note is played, with onsets that count from that note; None for none."""
        note = self.first.notes[0]
        found = self.decided.ornaments.get(note.id)
        measure = next(measure for measure in self.measures if measure.id == note.measure)
        return moved(found, measure.onset_q - note.onset_q) if found is not None else None

    @property
    def own(self) -> tuple[Measure, ...]:
        """The measures that its chains alone stand in."""
        names = [measure.id for measure in self.measures]
        start, stop = names.index(self.first.notes[0].measure), names.index(self.last.notes[-1].measure)
        return self.measures[start : stop + 1]

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
    piece: Piece,
    first_id: str,
    last_id: str,
    keys: tuple[str, str] = ("", ""),
    *,
    held: bool = True,
    lead: int = 0,
    landing: bool = False,
    decided: Decided = NOTHING,
) -> Stretch:
    """The stretch from one note to another, both included. With `held` a note of a tied chain stands for all of it;
    else the stretch begins and ends with these notes, whatever is tied to them. At most `lead` notes that lead to it
    are taken along, and with `landing` what follows at once. Raises RequestError if the notes are not there, or run
    backwards."""
    chains = chains_of(tuple(piece.part.notes()))
    at = {note.id: k for k, chain in enumerate(chains) for note in chain.notes}
    if not {first_id, last_id} <= set(at):
        graced = _graced_change(piece, chains, first_id, last_id)
        if graced is not None:
            return graced
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
    before = chains[first - 1] if first and chains[first - 1].end_q == taken[0].onset_q else None
    after = chains[last + 1] if last + 1 < len(chains) and chains[last + 1].onset_q == taken[-1].end_q else None
    leading = tuple(_leading(piece, chains[:first], taken, lead, MOST_HELD if landing else MOST_MEASURES))
    landed = _within(after, after.notes[0].measure) if landing and after is not None else None
    start, stop = (leading or taken)[0].notes[0], (landed or taken[-1]).notes[-1]
    measures = piece.measures(piece.span(start.measure, stop.measure))
    return Stretch(tuple(taken), measures, before, after, keys, leading, landed, decided)


def _graced_change(piece: Piece, chains: Sequence[Chain], first_id: str, last_id: str) -> Stretch | None:
    """The change from a note or a grace to the one right after it, where one of them is a grace: a chain without
    length. None for anything else."""
    line = [(k, each) for k, chain in enumerate(chains) for each in _with_graces(chain)]
    for (k, one), (after_k, after) in pairwise(line):
        named = first_id in {note.id for note in one.notes} and last_id in {note.id for note in after.notes}
        if named and (k == after_k or chains[k].end_q == chains[after_k].onset_q):
            measures = piece.measures(piece.span(one.notes[0].measure, after.notes[-1].measure))
            return Stretch((one, after), measures)
    return None


def _with_graces(chain: Chain) -> Iterator[Chain]:
    """A chain between its graces, each of these a chain without length."""
    first, last = chain.notes[0], chain.notes[-1]
    for grace in first.graces:
        yield Chain((Note(grace.id, grace.pitch, first.onset_q, Fraction(0), first.measure, first.beat),))
    yield chain
    for grace in last.after_graces:
        yield Chain((Note(grace.id, grace.pitch, last.end_q, Fraction(0), last.measure, last.beat),))


def _leading(
    piece: Piece, earlier: Sequence[Chain], taken: Sequence[Chain], most: int, most_measures: int
) -> list[Chain]:
    """The notes that lead to a stretch without a rest, at most so many, from its measure or the one before it, as far
    as the measures do not get too many."""
    names = [measure.id for measure in piece.part.measures]
    last = names.index(taken[-1].notes[-1].measure)
    first = names.index(taken[0].notes[0].measure)
    earliest = min(first, max(last - most_measures + 1, first - 1))
    found: list[Chain] = []
    onset_q = taken[0].onset_q
    for chain in reversed(earlier[len(earlier) - most :] if most else []):
        inside = Chain(tuple(note for note in chain.notes if names.index(note.measure) >= earliest))
        if chain.end_q != onset_q or not inside.notes:
            break
        found.insert(0, inside)
        onset_q = chain.onset_q
    return found


def _within(chain: Chain, measure: str) -> Chain:
    """What of a chain stands in one measure."""
    return Chain(tuple(note for note in chain.notes if note.measure == measure))


def fits(recipe: Recipe, stretch: Stretch) -> bool:
    """Whether a recipe makes sense of a stretch: a held note lasts a beat or more; a change goes from a note to
    another one right after it, as far up or down as the recipe asks for (with a grace only if it is played apart); a
    stretch has two notes or more; a trill or a group of graces is decided, a breath decided or printed. What is played
    where it stands has at most two measures: every round takes all of them, and a rep must not last for minutes. A
    phrase for one breath is played once."""
    chains = stretch.chains
    if any(note.unpitched for chain in chains for note in chain.notes):
        return False
    try:
        frames = [frame_of(measure) for measure in stretch.measures]
    except ValueError:
        return False
    return _FIT[recipe.works_on](recipe, stretch, frames)


def _fits_held(recipe: Recipe, stretch: Stretch, frames: Sequence[Frame]) -> bool:
    return len(stretch.chains) == 1 and stretch.first.length_q >= frames[0].beat_q


def _fits_change(recipe: Recipe, stretch: Stretch, frames: Sequence[Frame]) -> bool:
    adjacent = len(stretch.chains) == 2 and stretch.first.end_q == stretch.last.onset_q
    apart = all(brick.do == "alternate" for brick in recipe.bricks)
    if stretch.has_grace:  # it has no place of its own in the measure
        return apart and stretch.first.pitch != stretch.last.pitch
    if not adjacent or not (apart or len(frames) <= MOST_MEASURES) or stretch.first.pitch == stretch.last.pitch:
        return False
    up, wanted = stretch.last.pitch.midi - stretch.first.pitch.midi, recipe.least_semitones
    return up >= wanted > 0 or up <= wanted < 0 or not wanted


def _fits_notes(recipe: Recipe, stretch: Stretch, frames: Sequence[Frame]) -> bool:
    chosen = all(brick.do == "long" for brick in recipe.bricks)
    return len(stretch.chains) > 1 and not stretch.has_grace and len(frames) <= (MOST_LINE if chosen else MOST_MEASURES)


def _fits_trill(recipe: Recipe, stretch: Stretch, frames: Sequence[Frame]) -> bool:
    ornament = stretch.ornament
    return _is_held(stretch) and ornament is not None and ornament.shake is not None


def _fits_grace(recipe: Recipe, stretch: Stretch, frames: Sequence[Frame]) -> bool:
    graced = bool(stretch.first.notes[0].graces or stretch.first.notes[-1].after_graces)
    ornament = stretch.ornament
    return _is_held(stretch) and graced and ornament is not None and ornament.shake is None


def _fits_phrase(recipe: Recipe, stretch: Stretch, frames: Sequence[Frame]) -> bool:
    return len(stretch.chains) >= LEAST_PHRASE and not stretch.has_grace and len(frames) <= MOST_PHRASE


def _fits_breath(recipe: Recipe, stretch: Stretch, frames: Sequence[Frame]) -> bool:
    return len(stretch.chains) == 2 and not stretch.has_grace and bool(stretch.breath) and len(frames) <= MOST_HELD


def _fits_tone(recipe: Recipe, stretch: Stretch, frames: Sequence[Frame]) -> bool:
    return _is_held(stretch) and not stretch.has_grace


def _is_held(stretch: Stretch) -> bool:
    return len(stretch.chains) == 1 and len(stretch.own) <= MOST_HELD


_FIT: dict[str, Callable[[Recipe, Stretch, Sequence[Frame]], bool]] = {
    "held": _fits_held,
    "change": _fits_change,
    "notes": _fits_notes,
    "trill": _fits_trill,
    "grace": _fits_grace,
    "phrase": _fits_phrase,
    "breath": _fits_breath,
    "tone": _fits_tone,
}

"""What an ornament sees of the page: its note with what is tied to it, and what sounds before and after."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction

from coach.music.measure import Measure
from coach.music.note import Grace, Note, Ornament
from coach.music.part import Part
from coach.music.pitch import Pitch
from coach.prepare.ornaments.neighbour import Signature, signatures
from coach.prepare.ornaments.realisation import Pace

_OPEN, _CLOSED = ("start", "continue"), ("continue", "stop")


@dataclass(frozen=True, slots=True)
class Chain:
    """A note with all that is tied to it, `notes` in order, and the measure in which it begins; or one rest."""

    notes: tuple[Note, ...]
    measure: Measure

    @property
    def head(self) -> Note:
        """The note that is struck."""
        return self.notes[0]

    @property
    def last(self) -> Note:
        """The note on which it ends."""
        return self.notes[-1]

    @property
    def onset_q(self) -> Fraction:
        """Where it begins, in quarters from the start of the piece."""
        return self.head.onset_q

    @property
    def end_q(self) -> Fraction:
        """Where it ends, in quarters from the start of the piece."""
        return self.last.end_q

    @property
    def length_q(self) -> Fraction:
        """Its whole length in quarters."""
        return self.end_q - self.onset_q

    @property
    def ornaments(self) -> tuple[Ornament, ...]:
        """What is printed at any of its notes."""
        return tuple(one for note in self.notes for one in note.ornaments)

    @property
    def after_graces(self) -> tuple[Grace, ...]:
        """The graces that end it."""
        return tuple(grace for note in self.notes for grace in note.after_graces)


@dataclass(frozen=True, slots=True)
class Figure:
    """A note with an ornament or with graces, and what is around it.

    `before` is what sounds right up to it, None after a rest or at the start; `rest_q` is the length of a rest right
    before it; `after` is what sounds right after it, None before a rest or at the end. `quarter_s` is how long a
    quarter lasts there, `signature` what the key and the measure make of its neighbours. `equals` counts the notes of
    the same length in a row among which it stands."""

    chain: Chain
    before: Chain | None
    after: Chain | None
    rest_q: Fraction
    quarter_s: float
    signature: Signature
    equals: int = 1

    @property
    def pitch(self) -> Pitch:
        """The main note's pitch."""
        pitch = self.chain.head.pitch
        assert pitch is not None  # noqa: S101  `figures` makes none of a rest
        return pitch

    @property
    def head(self) -> Note:
        """The main note, the first of the chain, at which the mark stands."""
        return self.chain.head

    @property
    def onset_q(self) -> Fraction:
        """Where the main note begins, in quarters from the start of its measure, as a mark's notes count."""
        return self.chain.onset_q - self.chain.measure.onset_q

    @property
    def length_q(self) -> Fraction:
        """The main note's whole length in quarters."""
        return self.chain.length_q

    @property
    def end_q(self) -> Fraction:
        """Where the main note ends, in quarters from the start of the measure in which it begins."""
        return self.onset_q + self.length_q

    @property
    def beat_q(self) -> Fraction:
        """The felt beat of its metre in quarters."""
        metre = self.chain.measure.metre
        return metre.beat_q if metre is not None else Fraction(1)

    @property
    def ornaments(self) -> tuple[Ornament, ...]:
        """What is printed at any note of the chain."""
        return self.chain.ornaments

    @property
    def graces(self) -> tuple[Grace, ...]:
        """The graces in front of the main note."""
        return self.head.graces

    @property
    def slurred(self) -> bool:
        """Whether a slur leads on to the next note."""
        return self.chain.last.slurred

    def neighbour(self, *, upper: bool, of: Ornament | None = None) -> Pitch:
        """The main note's neighbour above or below, as its ornaments (or that one), its measure and its key have it."""
        ornaments = self.ornaments if of is None else (of,)
        return self.signature.beside(self.pitch, upper=upper, ornaments=ornaments)


def chains(part: Part) -> Iterator[Chain]:
    """The part's notes with what is tied to them, and its rests, in order."""
    tied: list[Note] = []
    begins: Measure | None = None
    for measure in part.measures:
        for note in measure.notes:
            if begins is not None and not (tied and _continues(tied[-1], note)):
                yield Chain(tuple(tied), begins)
                tied, begins = [], None
            tied.append(note)
            begins = begins or measure
    if begins is not None:
        yield Chain(tuple(tied), begins)


def _continues(before: Note, note: Note) -> bool:
    tied = before.tie in _OPEN and note.tie in _CLOSED
    return tied and before.pitch is not None and before.pitch == note.pitch and before.end_q == note.onset_q


def figures(part: Part, pace: Pace) -> Iterator[Figure]:
    """Every note of a part that has an ornament or graces, in order, in one walk."""
    line = [one for one in chains(part) if one.length_q > 0]
    equals, signs = _equals(line), _signatures(part)
    for k, chain in enumerate(line):
        head = chain.head
        if head.pitch is None or head.unpitched:
            continue
        if not (head.graces or chain.after_graces or chain.ornaments):
            continue
        before = line[k - 1] if k and line[k - 1].end_q == chain.onset_q else None
        after = line[k + 1] if k + 1 < len(line) and line[k + 1].onset_q == chain.end_q else None
        rest_q = before.length_q if before is not None and before.head.is_rest else Fraction(0)
        yield Figure(
            chain,
            None if before is None or before.head.is_rest else before,
            None if after is None or after.head.is_rest else after,
            rest_q,
            pace(chain.onset_q),
            signs.get(head.id) or Signature(chain.measure.key, {}),
            equals[k],
        )


def _signatures(part: Part) -> dict[str, Signature]:
    """What holds at each note with a sign; graces alone ask for no neighbour."""
    return {
        note.id: replace(found, altered=dict(found.altered))
        for measure in part.measures
        for note, found in signatures(measure)
        if note.ornaments or note.tie == "start"
    }


def _equals(line: list[Chain]) -> list[int]:
    """For each chain how many sounding ones of its length follow each other there without a gap."""
    counts: list[int] = []
    run: list[Chain] = []
    for chain in (*line, None):
        joins = bool(run) and chain is not None and not chain.head.is_rest and not run[-1].head.is_rest
        if run and not (joins and chain is not None and chain.length_q == run[-1].length_q):
            counts += [len(run)] * len(run)
            run = []
        if chain is not None:
            run.append(chain)
    return counts

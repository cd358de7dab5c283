"""Which accidentals a careful player would pencil."""

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from coach.music.part import Part
from coach.prepare.mark import Ornament, Reminder
from coach.prepare.reminders.heads import Head, heads
from coach.prepare.reminders.weighing import FULL, SPARING, USUAL, Memory, Weighed, weighed

DENSITIES = ("sparing", "usual", "full")
MOST_ALIKE = 2  # times that the same figure is given the same reminder
SAME_NAME = 24  # heads for which a plain name that was written is remembered
_WEIGHTS = dict(zip(DENSITIES, (SPARING, USUAL, FULL), strict=True))


@dataclass(frozen=True, slots=True)
class Reminded:
    """A reminder to suggest at a note or a grace, with its reason in one sentence."""

    at: str
    content: Reminder
    because: str


@dataclass(frozen=True, slots=True)
class _Candidate:
    """What might be written at the `number`-th head, and the figure it stands in."""

    number: int
    head: Head
    found: Weighed
    figure: tuple[str, ...]


def reminders(part: Part, ornaments: Mapping[str, Ornament], density: str = "usual") -> tuple[Reminded, ...]:
    """The reminders for a part whose ornaments are played so (by the id of their main note), in order; a denser choice
    has all those of a sparser one."""
    least = _WEIGHTS[density]
    taken: list[_Candidate] = []
    candidates = tuple(_candidates(heads(part, ornaments)))
    # The heaviest first, so that what a denser choice adds never takes the place of what a sparser one has.
    for weight in (weight for weight in sorted(_WEIGHTS.values(), reverse=True) if weight >= least):
        _take([one for one in candidates if one.found.weight == weight], taken)
    taken.sort(key=lambda one: one.number)
    return tuple(Reminded(one.head.id, Reminder(one.found.text, one.head.of), one.found.because) for one in taken)


def _candidates(read: Sequence[Head]) -> Iterator[_Candidate]:
    memory = Memory()
    for number, head in enumerate(read):
        memory.turn(head)
        found = weighed(head, memory)
        if found is not None:
            yield _Candidate(number, head, found, _figure(read, number))
        memory.take(head)


def _figure(read: Sequence[Head], number: int) -> tuple[str, ...]:
    """A head between its neighbours, by their names."""
    around = read[max(number - 1, 0) : number + 2]
    return tuple(one.pitch.name for one in around)


def _take(candidates: Sequence[_Candidate], taken: list[_Candidate]) -> None:
    """Take of some candidates those that say something new: not twice in a measure, nor again and again at the same
    figure."""
    alike = Counter((one.figure, one.found.text) for one in taken)
    for one in candidates:
        if alike[one.figure, one.found.text] < MOST_ALIKE and not any(_says_it(other, one) for other in taken):
            alike[one.figure, one.found.text] += 1
            taken.append(one)


def _says_it(other: _Candidate, one: _Candidate) -> bool:
    """Whether a reminder that is written already says this too."""
    if (other.found.text, other.head.pitch, other.head.of) != (one.found.text, one.head.pitch, one.head.of):
        return False
    if other.number > one.number:
        return False
    plain = one.head.pitch.plain != one.head.pitch
    return other.head.measure == one.head.measure or (plain and one.number - other.number < SAME_NAME)

"""The dynamics of a part in one form, whether they are printed or marked, the marked ones first in rank."""

from bisect import bisect_right
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from coach.music.note import Note
from coach.music.part import DynamicMark, Part
from coach.prepare.dynamics.steps import ATTACKS, LEVEL_DB
from coach.prepare.dynamics.way import Source
from coach.prepare.mark import Dynamic, Mark

# The softest level that counts, against the part's loudest.
SOFTEST_DB = -60.0
HAIRPINS = ("crescendo", "diminuendo")
_WAYS = {"crescendo": 1, "diminuendo": -1}


@dataclass(frozen=True, slots=True)
class Step:
    """A level that holds until the next one: in dB against mezzoforte, or (`relative`) against the part's loudest."""

    at_q: Fraction
    level_db: float
    source: Source
    relative: bool = False


@dataclass(frozen=True, slots=True)
class Swell:
    """A hairpin whose end level follows from what stands there; what it reaches stays."""

    start_q: Fraction
    end_q: Fraction
    rising: bool
    niente: bool
    source: Source


@dataclass(frozen=True, slots=True)
class Stretch:
    """A level that counts only up to `end_q`; a hairpin (`way` 1 up, -1 down) reaches it there, evenly. `leads` tells
    that a note follows at once, without a breath."""

    start_q: Fraction
    end_q: Fraction
    level_db: float
    source: Source
    relative: bool = False
    way: int = 0
    leads: bool = False


@dataclass(frozen=True, slots=True)
class Tint:
    """A colour from 0 to 1 from `start_q` to `end_q`; None: as long as the level that it came with."""

    start_q: Fraction
    end_q: Fraction | None
    colour: float


@dataclass(frozen=True, slots=True)
class Signs:
    """All dynamics, each kind in order of the part. `attacks` are dynamics of one note, by its onset."""

    steps: tuple[Step, ...]
    swells: tuple[Swell, ...]
    stretches: tuple[Stretch, ...]
    tints: tuple[Tint, ...]
    attacks: Mapping[Fraction, str]


def places(part: Part) -> dict[str, tuple[Fraction, Fraction]]:
    """Where every note, grace and rest of the practised line begins and ends, by its id; the first of a tied chain ends
    with the chain."""
    found: dict[str, tuple[Fraction, Fraction]] = {}
    end_q = Fraction(0)
    for note in reversed(tuple(part.notes())):
        held = note.tie in ("start", "continue") and end_q > note.end_q
        end_q = end_q if held else note.end_q
        found[note.id] = (note.onset_q, end_q)
        found |= {grace.id: (note.onset_q, note.onset_q) for grace in note.graces}
        found |= {grace.id: (note.end_q, note.end_q) for grace in note.after_graces}
    return found


def signs(part: Part, marks: Iterable[Mark] = ()) -> Signs:
    """The dynamics of a part and those marked, which override what is printed at the same place. Where a part prints
    none at all, those noted at its notes count."""
    where = places(part)
    own = _standing([mark for mark in marks if isinstance(mark.content, Dynamic) and mark.at in where], where)
    printed = _printed(part, own, where)
    steps: list[Step] = []
    swells: list[Swell] = []
    attacks: dict[Fraction, str] = {}
    for dynamic in printed:
        attacks |= {dynamic.onset_q: dynamic.mark} if dynamic.mark in ATTACKS else {}
        lasting = ATTACKS[dynamic.mark][1] if dynamic.mark in ATTACKS else dynamic.mark
        if lasting in LEVEL_DB:
            steps.append(Step(dynamic.onset_q, LEVEL_DB[lasting], dynamic))
    signed = [mark for mark in own if _content(mark).sign in HAIRPINS and _content(mark).level_db is None]
    covered = Covered(reach(mark, where) for mark in signed)
    for hairpin in part.hairpins:
        if hairpin.end_q > hairpin.start_q and hairpin.start_q not in covered:
            rising = hairpin.kind == "crescendo"
            swells.append(Swell(hairpin.start_q, hairpin.end_q, rising, hairpin.niente, hairpin))
    stretches: list[Stretch] = []
    tints: list[Tint] = []
    led = _led(part)
    for mark in own:
        made = _made(mark, where)
        steps += [one for one in made if isinstance(one, Step)]
        swells += [one for one in made if isinstance(one, Swell)]
        stretches += [replace(one, leads=one.end_q in led) for one in made if isinstance(one, Stretch)]
        tints += [one for one in made if isinstance(one, Tint)]
        if _content(mark).sign in ATTACKS:
            attacks[where[mark.at][0]] = _content(mark).sign
    return Signs(
        tuple(sorted(steps, key=lambda one: one.at_q)),
        tuple(sorted(swells, key=lambda one: one.start_q)),
        tuple(sorted(stretches, key=lambda one: one.start_q)),
        tuple(sorted(tints, key=lambda one: one.start_q)),
        attacks,
    )


def _led(part: Part) -> set[Fraction]:
    """Where notes begin in one breath with what is before them."""
    sounding = [note for note in part.notes() if note.pitch is not None]
    breathed = {note.end_q for note in sounding if note.breath is not None or note.caesura}
    ends = {note.end_q for note in sounding} - breathed
    return {note.onset_q for note in sounding if note.onset_q in ends}


UNDECIDED = 2


def rank(mark: Mark) -> int:
    """Whose word counts: 0 the player's (a suggestion they kept too), 1 the teacher's, 2 a suggestion."""
    if mark.origin == "teacher":
        return 1
    return UNDECIDED if mark.state == "suggested" else 0


def _content(mark: Mark) -> Dynamic:
    return mark.content if isinstance(mark.content, Dynamic) else Dynamic()


def reach(mark: Mark, where: Mapping[str, tuple[Fraction, Fraction]]) -> tuple[Fraction, Fraction]:
    """From where to where a mark with an end reaches; one without ends with its note."""
    start_q, end_q = where[mark.at]
    return (start_q, where[mark.to][1] if mark.to in where else end_q)


def _standing(marks: Sequence[Mark], where: Mapping[str, tuple[Fraction, Fraction]]) -> list[Mark]:
    """The marks that count: one of a sort at an onset, by rank; no suggestion inside what somebody decided; none that
    ends before it begins."""
    decided = Covered(reach(mark, where) for mark in marks if rank(mark) < UNDECIDED and not mark.struck)
    chosen: dict[tuple[Fraction, bool], Mark] = {}
    for mark in sorted(marks, key=rank):
        start_q, end_q = reach(mark, where)
        backwards = end_q <= start_q and (bool(mark.to) or _content(mark).sign in HAIRPINS)
        if mark.struck or backwards or (rank(mark) == UNDECIDED and start_q in decided):
            continue
        chosen.setdefault((start_q, _content(mark).sign in HAIRPINS), mark)
    return sorted(chosen.values(), key=lambda mark: where[mark.at][0])


class Covered:
    """The places that stretches cover, their ends left out."""

    def __init__(self, stretches: Iterable[tuple[Fraction, Fraction]]) -> None:
        self._starts: list[float] = []
        self._ends: list[float] = []
        for start_q, end_q in sorted((float(start_q), float(end_q)) for start_q, end_q in stretches):
            if self._ends and start_q <= self._ends[-1]:
                self._ends[-1] = max(self._ends[-1], end_q)
            else:
                self._starts.append(start_q)
                self._ends.append(end_q)

    def overlaps(self, start_q: Fraction, end_q: Fraction) -> bool:
        """Whether anything between two places is covered."""
        k = bisect_right(self._ends, float(start_q))
        return k < len(self._ends) and self._starts[k] < float(end_q)

    def __contains__(self, at_q: Fraction) -> bool:
        k = bisect_right(self._starts, float(at_q)) - 1
        return k >= 0 and float(at_q) < self._ends[k]


def _printed(part: Part, own: Sequence[Mark], where: Mapping[str, tuple[Fraction, Fraction]]) -> list[DynamicMark]:
    """The printed dynamics but for those in whose place a mark stands."""
    over = {where[mark.at][0]: _content(mark) for mark in own if _content(mark).sign not in HAIRPINS}
    found = sorted(part.dynamics or _noted(part.notes()), key=lambda mark: mark.onset_q)
    return [dynamic for dynamic in found if not _overridden(dynamic.mark, over.get(dynamic.onset_q))]


def _overridden(printed: str, by: Dynamic | None) -> bool:
    if by is None or by.to or (not by.sign and by.level_db is None):
        return False
    # A sforzato leaves the level; it takes the place of another attack only.
    return printed in ATTACKS if by.sign in ATTACKS and not ATTACKS[by.sign][1] else True


def _made(mark: Mark, where: Mapping[str, tuple[Fraction, Fraction]]) -> list[Step | Swell | Stretch | Tint]:
    said = _content(mark)
    start_q, end_q = reach(mark, where)
    lasting = ATTACKS[said.sign][1] if said.sign in ATTACKS else said.sign
    made: list[Step | Swell | Stretch | Tint] = []
    relative = said.level_db is not None and said.sign not in ATTACKS
    level_db = (
        min(max(said.level_db, SOFTEST_DB), 0.0) if said.level_db is not None and relative else LEVEL_DB.get(lasting)
    )
    ends = said.to in where or said.sign in HAIRPINS
    if said.sign in HAIRPINS and level_db is None:
        made.append(Swell(start_q, end_q, said.sign == "crescendo", False, mark))
    elif level_db is not None and ends:
        made.append(Stretch(start_q, end_q, level_db, mark, relative, _WAYS.get(said.sign, 0)))
    elif level_db is not None:
        made.append(Step(start_q, level_db, mark, relative))
    if said.colour is not None:
        made.append(Tint(start_q, end_q if ends or level_db is None else None, said.colour))
    return made


def _noted(notes: Iterable[Note]) -> list[DynamicMark]:
    marks: list[DynamicMark] = []
    for note in notes:
        if note.dynamic is not None and (not marks or marks[-1].mark != note.dynamic):
            marks.append(DynamicMark(note.onset_q, note.dynamic))
    return marks

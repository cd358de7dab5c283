"""The pencil: marks put, changed, struck and restored. Nothing that was written by the player is ever lost."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import replace

from coach.errors import RequestError
from coach.prepare.mark import KINDS, Fingering, Mark, Reminder
from coach.prepare.over import Over, place_key
from coach.prepare.prep import Prep

_KIND_ORDER = {kind: k for k, kind in enumerate(KINDS)}


def in_order(marks: Iterable[Mark], over: Over) -> tuple[Mark, ...]:
    """Marks by their place in the part, then by kind; marks alike in both stay in the order they came in."""
    return tuple(sorted(marks, key=lambda mark: (place_key(over, mark.at), _KIND_ORDER[mark.kind])))


def find(prep: Prep, mark_id: str) -> Mark:
    """The mark with this id, placed or not. Raises RequestError if there is none."""
    for mark in (*prep.marks, *prep.unplaced):
        if mark.id == mark_id:
            return mark
    raise RequestError(f"There is no mark {mark_id}; choose one that is on the page.")


def put(prep: Prep, mark: Mark) -> Prep:
    """Write a new mark. A fingering strikes the other fingerings of its note (`newly_struck` names them). Raises
    RequestError if its id is taken."""
    if any(mark.id == other.id for other in (*prep.marks, *prep.unplaced)):
        raise RequestError(f"There is a mark {mark.id} already; give the new one another id.")
    others = map(_strike, prep.marks, (_rivals(mark, other) for other in prep.marks))
    return replace(prep, marks=in_order((*others, mark), prep.over))


def replace_mark(prep: Prep, mark: Mark, old_id: str = "") -> Prep:
    """Write a mark in the place of an older one: `old_id`, by default the one with the same id.

    The player's own is changed where it stands. One that was computed or is a teacher's is struck, and the new one,
    with an id of its own, stands beside it. Raises RequestError for an id that is not there, or is taken.
    """
    old = find(prep, old_id or mark.id)
    if old.origin != "player":
        if mark.id == old.id:
            raise RequestError(f"The mark {old.id} is not the player's; give the changed one an id of its own.")
        return put(strike(prep, old.id), replace(mark, origin="player", state="kept"))
    others = replace(
        prep,
        marks=tuple(each for each in prep.marks if each.id != old.id),
        unplaced=tuple(each for each in prep.unplaced if each.id != old.id),
        unplaced_over=tuple(row for row in prep.unplaced_over if row[0] != old.id),
    )
    return put(others, mark)


def strike(prep: Prep, mark_id: str) -> Prep:
    """Decide against a mark; it stays in the prep, struck. Raises RequestError if there is none."""
    return _with_state(prep, find(prep, mark_id), "struck")


def keep(prep: Prep, mark_id: str) -> Prep:
    """Decide for a mark that was suggested or struck; a fingering strikes the others of its note. Raises
    RequestError if there is none."""
    kept = _with_state(prep, find(prep, mark_id), "kept")
    mark = find(kept, mark_id)
    if mark not in kept.marks:
        return kept
    return replace(kept, marks=tuple(_strike(other, _rivals(mark, other)) for other in kept.marks))


def take_computed(prep: Prep, marks: Iterable[Mark]) -> Prep:
    """Take what was computed anew in place of all suggestions that nobody has decided on.

    What was kept or struck stays. A computed mark is left out where it was struck before (a breath: of whatever size),
    or where a kept mark, or one of the player's or the teacher's, of its kind stands at its note.
    """
    settled = [mark for mark in prep.marks if mark.origin != "computed" or mark.state != "suggested"]
    taken = {mark.id for mark in (*settled, *prep.unplaced)}
    standing: dict[tuple[str, str], list[Mark]] = defaultdict(list)
    for mark in settled:
        standing[mark.kind, mark.at].append(mark)
    fresh: list[Mark] = []
    for mark in marks:
        rivals = standing[mark.kind, mark.at]
        if mark.id not in taken and not any(_settles(old, mark) for old in rivals):
            fresh.append(replace(mark, origin="computed", state="suggested"))
            rivals.append(fresh[-1])
            taken.add(mark.id)
    return replace(prep, marks=in_order((*settled, *fresh), prep.over))


def newly_struck(before: Prep, after: Prep) -> tuple[Mark, ...]:
    """The marks that stood before and are struck now."""
    stood = {mark.id for mark in before.shown}
    return tuple(mark for mark in after.marks if mark.struck and mark.id in stood)


def one_fingering(marks: Iterable[Mark]) -> tuple[Mark, ...]:
    """The marks with one fingering standing at each note: where there are more, the first that the player wrote
    or kept, else the first of the teacher's, else the first; the others are struck."""
    marks = tuple(marks)
    chosen: dict[str, Mark] = {}
    for mark in marks:
        if isinstance(mark.content, Fingering) and not mark.struck:
            rival = chosen.setdefault(mark.at, mark)
            if _rank(mark) < _rank(rival):
                chosen[mark.at] = mark
    return tuple(_strike(mark, _rivals(chosen.get(mark.at, mark), mark)) for mark in marks)


def _rank(mark: Mark) -> int:
    """Whose word counts first: the player's (a suggestion they kept too), the teacher's, the computed."""
    if mark.origin == "teacher":
        return 1
    return 2 if mark.state == "suggested" else 0


def _rivals(mark: Mark, other: Mark) -> bool:
    """Whether two marks are fingerings of one note, of which only one can stand."""
    both = isinstance(mark.content, Fingering) and isinstance(other.content, Fingering)
    return both and mark.at == other.at and mark.id != other.id and not mark.struck


def _settles(old: Mark, new: Mark) -> bool:
    """Whether an older mark has decided what a computed one of its kind would suggest at the same note."""
    if isinstance(old.content, Reminder) and isinstance(new.content, Reminder) and old.content.of != new.content.of:
        return False  # one speaks of the note, the other of what its ornament plays
    return not old.struck or old.content == new.content or new.kind == "breath"


def _strike(mark: Mark, strike_it: bool) -> Mark:
    return replace(mark, state="struck") if strike_it and not mark.struck else mark


def _with_state(prep: Prep, mark: Mark, state: str) -> Prep:
    changed = replace(mark, state=state)

    def swapped(marks: tuple[Mark, ...]) -> tuple[Mark, ...]:
        return tuple(changed if each.id == mark.id else each for each in marks)

    return replace(prep, marks=swapped(prep.marks), unplaced=swapped(prep.unplaced))

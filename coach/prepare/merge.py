"""A teacher's prep taken into one's own."""

from collections.abc import Iterable
from dataclasses import replace

from coach.prepare.mark import Mark
from coach.prepare.pencil import in_order, one_fingering
from coach.prepare.prep import Prep

BY_HAND = "hand-"  # begins the id of a mark that was written into a prep file without one


def merge(mine: Prep, theirs: Prep) -> Prep:
    """My prep with the teacher's marks as they are now: new ones added, changed ones changed, those taken back gone.

    Marks are told apart by id. My own are never touched, and a mark of the teacher's that I struck stays struck, also
    when the teacher changed it. A teacher's fingering comes in struck where a fingering of mine stands. Both preps must
    count in the same score (`follow` first); the piece, its title and its settings stay mine.
    """
    others = [mark for mark in mine.marks if mark.origin != "teacher"]
    apart = [mark for mark in mine.unplaced if mark.origin != "teacher"]
    own = {name for mark in (*others, *apart) for name in (mark.id, _sent_id(mark.id, mine.piece))}
    struck = {mark.id for mark in (*mine.marks, *mine.unplaced) if mark.struck}
    placed = [_taken(mark, struck) for mark in _teachers(theirs.marks) if mark.id not in own]
    taken = own | {mark.id for mark in placed}
    unplaced = [_taken(mark, struck) for mark in _teachers(theirs.unplaced) if mark.id not in taken]
    over = mine.over or theirs.over
    loose = {mark.id for mark in unplaced}
    return replace(
        mine,
        title=mine.title or theirs.title,
        score_hash=mine.score_hash or theirs.score_hash,
        over=over,
        marks=in_order(one_fingering((*others, *placed)), over),
        unplaced=(*apart, *unplaced),
        unplaced_over=(
            *(row for row in mine.unplaced_over if row[0] in {mark.id for mark in apart}),
            *(row for row in theirs.unplaced_over if row[0] in loose),
        ),
    )


def for_sharing(prep: Prep) -> Prep:
    """The prep as somebody else gets it: every mark that was decided for becomes the teacher's. Left out is what is
    struck, what was computed and not decided on, what has no place, and the settings. A mark that was written by hand
    without an id gets one that nobody else's has."""
    decided = (mark for mark in prep.shown if mark.origin != "computed" or mark.state == "kept")
    marks = tuple(replace(mark, id=_sent_id(mark.id, prep.piece), origin="teacher", state="kept") for mark in decided)
    return replace(prep, piece="", marks=marks, unplaced=(), unplaced_over=(), settings=())


def _sent_id(name: str, piece: str) -> str:
    """The id of a mark in a share: the place gives its id to a mark written by hand, and would give it to two people's
    marks alike."""
    return f"{piece}-{name}" if piece and name.startswith(BY_HAND) else name


def _teachers(marks: Iterable[Mark]) -> Iterable[Mark]:
    """Somebody else's marks as a teacher's, those they struck or left undecided not among them."""
    return (replace(mark, origin="teacher", state="kept") for mark in marks if mark.state == "kept")


def _taken(mark: Mark, struck: set[str]) -> Mark:
    return replace(mark, state="struck") if mark.id in struck else mark


def rebase(base: Prep, theirs: Prep, mine: Prep) -> Prep:
    """My changes since `base` made to a prep that was changed elsewhere meanwhile (a file edited by hand).

    A mark that only one side changed is as that side has it. Where both changed it, mine stands and the other is kept
    beside it, struck, under an id of its own. What only one side took away is gone. All three count in the same score.
    """
    old, other, own = ({mark.id: mark for mark in (*prep.marks, *prep.unplaced)} for prep in (base, theirs, mine))
    taken = set(old) | set(other) | set(own)
    result: dict[str, Mark] = {}
    for name, mark in {**own, **other}.items():
        before, there, here = old.get(name), other.get(name), own.get(name)
        chosen = there if here == before else here
        if chosen is None and there != before:
            chosen = there  # taken away here, but changed there: a change is not lost
        if chosen is None:
            continue
        result[name] = chosen
        if here is not None and there is not None and here != before and there != before and here != there:
            spare = _spare(name, taken)
            result[spare] = replace(mark, id=spare, state="struck")
    loose = {mark.id for mark in (*theirs.unplaced, *mine.unplaced)} - {
        mark.id for mark in (*theirs.marks, *mine.marks)
    }
    placed = [mark for name, mark in result.items() if name not in loose]
    rows = {row: None for row in (*mine.unplaced_over, *theirs.unplaced_over) if row[0] in loose & set(result)}
    return replace(
        mine,
        marks=in_order(one_fingering(placed), mine.over),
        unplaced=tuple(mark for name, mark in result.items() if name in loose),
        unplaced_over=tuple(rows),
    )


def _spare(name: str, taken: set[str]) -> str:
    spare = next(f"{name[:100]}-{k}" for k in range(2, len(taken) + 3) if f"{name[:100]}-{k}" not in taken)
    taken.add(spare)
    return spare

"""What a key of the pencil decides at a note: the next of a few things, on the marks that stand there."""

from typing import TYPE_CHECKING

from coach.errors import RequestError
from coach.music.pitch import Pitch
from coach.prepare.mark import ACCIDENTALS, KINDS, Breath, Content, Mark, Reminder

if TYPE_CHECKING:
    from coach.lesson.marking import Pencil

ALONE = ("breath", "fingering", "swap", "reminder", "ornament", "alteration")  # kinds of which a note has one


def next_breath(pencil: "Pencil", at: str) -> str:
    """A breath after a note: none, full, catch, none again; one that is suggested is kept first. Returns the id of the
    mark. Raises RequestError, StoreError."""
    return _next(pencil, at, (Breath("full"), Breath("catch")))


def next_reminder(pencil: "Pencil", at: str, pitch: Pitch | None) -> str:
    """A reminder of a note: none, its accidental, its plain name, none again; one that is suggested is kept first.
    Returns the id of the mark. Raises RequestError (for a rest too), StoreError."""
    if pitch is None:
        raise RequestError("A rest needs no reminder; step to a note.")
    plain = pitch.plain
    return _next(pencil, at, (Reminder(ACCIDENTALS[pitch.alter + 2]), Reminder(f"{plain.step}{plain.accidental}")))


def toggle(pencil: "Pencil", at: str, content: Content) -> str:
    """A decision that is there or not; another one of its kind at the note gives way to it. Returns the id of the mark.
    Raises RequestError, StoreError."""
    return _next(pencil, at, (content,))


def write(pencil: "Pencil", at: str, content: Content, old: Mark | None = None, because: str = "") -> str:
    """Write what was typed or chosen, in place of a mark if one is given, and return the id of the mark. A mark that
    says the same is kept rather than doubled. Raises RequestError, StoreError."""
    same = old if old is not None and old.content == content else None if old else _saying(pencil, at, content)
    if same is not None:
        pencil.keep(same.id)
        return same.id
    return (pencil.put(content, at, because) if old is None else pencil.edit(old.id, content, because)).id


def one_there(pencil: "Pencil", at: str, kind: str) -> Mark | None:
    """The mark that a new one of this kind would take the place of: the one that stands, for kinds of which a note has
    one."""
    return next((mark for mark in _of(pencil, at, kind) if not mark.struck), None) if kind in ALONE else None


def _next(pencil: "Pencil", at: str, cycle: tuple[Content, ...]) -> str:
    kind = next(name for name, type_ in KINDS.items() if isinstance(cycle[0], type_))
    standing = next((mark for mark in _of(pencil, at, kind) if not mark.struck), None)
    if standing is None:
        return _bring(pencil, at, cycle[0])
    k = cycle.index(standing.content) if standing.content in cycle else -1
    if k >= 0 and standing.state == "suggested":
        pencil.keep(standing.id)
        return standing.id
    if k + 1 < len(cycle):
        return write(pencil, at, cycle[k + 1], standing)
    pencil.strike(standing.id)
    return standing.id


def _bring(pencil: "Pencil", at: str, content: Content) -> str:
    """Put a decision where none of its kind stands; a struck one of the player's own is used again, so that changes
    of mind leave one mark and not many."""
    kind = next(name for name, type_ in KINDS.items() if isinstance(content, type_))
    own = next((mark for mark in _of(pencil, at, kind) if mark.origin == "player"), None)
    return write(pencil, at, content, None if _saying(pencil, at, content) else own)


def _saying(pencil: "Pencil", at: str, content: Content) -> Mark | None:
    return next((mark for mark in pencil.prep.at(at) if mark.content == content), None)


def _of(pencil: "Pencil", at: str, kind: str) -> tuple[Mark, ...]:
    return tuple(mark for mark in pencil.prep.at(at) if mark.kind == kind)

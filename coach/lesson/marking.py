"""Marks on a piece of the stand: the pencil that the screens and the commands hold. Every change is saved at once."""

import secrets
from dataclasses import dataclass, replace
from functools import reduce
from typing import TYPE_CHECKING

from coach.errors import RequestError, StoreError
from coach.lesson.desk import Desk
from coach.music.piece import Piece
from coach.practice.set_piece import SetPiece
from coach.prepare import pencil
from coach.prepare.fields import mark_fields, mark_from
from coach.prepare.follow import follow, note_ids
from coach.prepare.history import History
from coach.prepare.like import content_there, like_places
from coach.prepare.mark import Content, Mark
from coach.prepare.merge import rebase
from coach.prepare.over import place_key, written_over
from coach.prepare.place import find_place
from coach.prepare.prep import Prep
from coach.prepare.typed import typed
from coach.prepare.words import mark_words

if TYPE_CHECKING:
    from pathlib import Path

    from coach.files.prep import Parsed


def open_pencil(desk: Desk, set_piece: SetPiece, piece: Piece) -> "Pencil":
    """The pencil for a piece on the stand, its marks moved to the score as it is now.

    A file that cannot be read raises nothing: its sentence is among the faults, the prep is empty, and every change
    raises StoreError until the file is mended or moved away, so that nothing in it is overwritten.
    """
    return Pencil(desk, set_piece, piece)


@dataclass(frozen=True, slots=True)
class Marks:
    """The marks of a piece as they are read, and what is wrong with their file, a sentence each."""

    prep: Prep
    faults: tuple[str, ...] = ()


def marks_of(desk: Desk, set_piece: SetPiece, piece: Piece) -> Marks:
    """The marks of a piece on the stand, moved to the score as it is now, for those who only read. Raises StoreError if
    their file cannot be read, or holds those of another piece."""
    from coach.files.prep import prep_path, read_prep  # deferred: a piece without marks needs no TOML

    path = prep_path(desk.paths.preps, set_piece.id)
    read = _own(read_prep(path), path, set_piece, piece)
    prep = _here(read.prep, set_piece, piece)
    return Marks(prep, (*read.faults, *_strange(prep)))


def prep_of(desk: Desk, set_piece: SetPiece, piece: Piece) -> Prep:
    """The marks of `marks_of` alone. Raises StoreError as it does."""
    return marks_of(desk, set_piece, piece).prep


def keep_places(desk: Desk, set_piece: SetPiece, piece: Piece) -> None:
    """Write into a prep file that was written by hand what its marks stand over, so that they follow their notes when
    the score changes. Raises StoreError."""
    from coach.files.prep import prep_path, read_prep

    path = prep_path(desk.paths.preps, set_piece.id)
    prep = _own(read_prep(path), path, set_piece, piece).prep
    if prep.marks and not prep.over:
        pencil = open_pencil(desk, set_piece, piece)
        pencil.take(pencil.prep)


class Pencil:
    """The marks of one piece while it is open. `faults` are sentences to tell when it opens, `said` those about the
    last change (another fingering was struck for it, the file had been edited meanwhile)."""

    def __init__(self, desk: Desk, set_piece: SetPiece, piece: Piece) -> None:
        from coach.files.prep import Parsed, prep_path, read_prep  # deferred with all reading of files

        self._piece = piece
        self._path = prep_path(desk.paths.preps, set_piece.id)
        self._blocked = ""
        try:
            self._read = _own(read_prep(self._path), self._path, set_piece, piece)
        except StoreError as error:
            self._blocked, self._read = str(error), Parsed(Prep())
        self._history = History(_here(self._read.prep, set_piece, piece))
        self.said: tuple[str, ...] = ()
        self.faults = self._opening_faults()

    @property
    def prep(self) -> Prep:
        """All marks as they are now."""
        return self._history.now

    @property
    def can_undo(self) -> bool:
        """Whether there is a change to take back."""
        return bool(self._history.past)

    @property
    def can_redo(self) -> bool:
        """Whether there is an undone change to make again."""
        return bool(self._history.undone)

    def put(self, content: Content, at: str, because: str = "") -> Mark:
        """Write a mark of the player's at a note, and save. Raises RequestError for a note that is not there,
        StoreError if it cannot be saved (the mark then stands until the program ends)."""
        mark = self._checked(Mark(_new_id(), at, content, because=because))
        self._do(pencil.put(self.prep, mark))
        return mark

    def put_typed(self, kind: str, text: str, at: str, to: str = "") -> Mark:
        """Write what the player typed for a mark of a kind. Raises RequestError with the remedy, StoreError."""
        return self.put(typed(kind, text, self._piece.part, at, to), at)

    def edit(self, mark_id: str, content: Content, because: str = "") -> Mark:
        """Change what a mark says, and save. A computed or a teacher's mark is struck, and the player's own takes its
        place. Raises RequestError, StoreError."""
        old = pencil.find(self.prep, mark_id)
        own = old.origin == "player"
        new = Mark(old.id if own else _new_id(), old.at, content, because=because or (old.because if own else ""))
        self._do(pencil.replace_mark(self.prep, self._checked(new), old.id), expected=old.id)
        return new

    def strike(self, mark_id: str) -> None:
        """Decide against a mark, and save. Raises RequestError, StoreError."""
        self._do(pencil.strike(self.prep, mark_id), expected=mark_id)

    def keep(self, mark_id: str) -> None:
        """Decide for a mark that was suggested or struck, and save. Raises RequestError, StoreError."""
        self._do(pencil.keep(self.prep, mark_id))

    def keep_all(self, mark_ids: tuple[str, ...]) -> None:
        """Decide for several marks, as one change, and save. Raises RequestError, StoreError."""
        self._do(reduce(pencil.keep, mark_ids, self.prep))

    def undo(self) -> bool:
        """Take back the last change, and save; False if there is none. Raises StoreError."""
        return self._go(self._history.undo())

    def redo(self) -> bool:
        """Make the change again that was undone last, and save; False if there is none. Raises StoreError."""
        return self._go(self._history.redo())

    def like(self, mark: Mark) -> tuple[str, ...]:
        """The like places that this decision can be offered at: those where it fits and does not stand yet."""
        part = self._piece.part
        found = []
        for note_id in like_places(part, mark.at, mark.kind):
            there = content_there(part, mark, note_id)
            stands = (one.content == there and not one.struck for one in self.prep.at(note_id))
            if there is not None and not any(stands):
                found.append(note_id)
        return tuple(found)

    def put_at_all(self, mark: Mark, ids: tuple[str, ...]) -> tuple[Mark, ...]:
        """Write the same decision at other notes, as one change, and save; where it does not fit it is left out. Raises
        RequestError, StoreError."""
        made: list[Mark] = []
        prep = self.prep
        for note_id in ids:
            there = content_there(self._piece.part, mark, note_id)
            if there is not None:
                made.append(self._checked(Mark(_new_id(), note_id, there, because=mark.because)))
                prep = pencil.put(prep, made[-1])
        self._do(prep)
        return tuple(made)

    def take(self, prep: Prep) -> None:
        """Take a whole prep that was made from this one (marks computed anew, a teacher's merged), and save. Raises
        StoreError."""
        self._do(prep, tell=False)

    def _checked(self, mark: Mark) -> Mark:
        """The mark, if its notes are there and it can be read again from a file. Raises RequestError."""
        part = self._piece.part
        for note_id in note_ids(mark):
            if find_place(part, note_id) is None:
                raise RequestError(f"{self._piece.title} has no note {note_id[:40]!r}; choose one on the page.")
        if runs_backwards(self.prep, mark):
            raise RequestError(f"The stretch runs backwards, from {mark.at} to {mark.to}; begin at the earlier note.")
        try:
            if mark_from(mark_fields(mark)) != mark:
                raise ValueError("it would not be read again as it is")
        except ValueError as error:
            raise RequestError(f"This cannot be written as a {mark.kind}: {error}; write it otherwise.") from None
        return mark

    def _do(self, prep: Prep, expected: str = "", tell: bool = True) -> None:
        """Take a changed prep and save it; marks struck by it are told, but for the one that was meant to be."""
        struck = [mark for mark in pencil.newly_struck(self.prep, prep) if tell and mark.id != expected]
        self._history = self._history.did(prep)
        self.said = tuple(f"Struck for it: {mark_words(replace(m, state='kept'), self._piece.part)}." for m in struck)
        self._save()

    def _go(self, history: History) -> bool:
        if history is self._history:
            return False
        self._history, self.said = history, ()
        self._save()
        return True

    def _save(self) -> None:
        from coach.files.prep import write_prep

        if self._blocked:
            raise StoreError(f"The marks are not saved: {self._blocked}")
        mine = self.prep
        self._read = write_prep(self._path, mine, self._piece.part, self._read)
        if self._read.joined:
            joined = self._read.prep
            self._history = self._history.each(lambda prep: joined if prep is mine else rebase(mine, joined, prep))
            self.said += (f"{self._path} was edited meanwhile; both changes are kept.", *self._read.faults)

    def _opening_faults(self) -> tuple[str, ...]:
        if self._blocked:
            return (self._blocked,)
        return (*self._read.faults, *_strange(self.prep))


def runs_backwards(prep: Prep, mark: Mark) -> bool:
    """Whether a stretch ends before it begins."""
    return bool(mark.to) and place_key(prep.over, mark.to) < place_key(prep.over, mark.at)


def _strange(prep: Prep) -> tuple[str, ...]:
    """Sentences on the marks that no page can show: those that run backwards, and those that find no note."""
    backwards = tuple(
        f"The {mark.kind} at {mark.at} runs backwards, to {mark.to}, and is not drawn; begin it at the earlier note."
        for mark in prep.shown
        if runs_backwards(prep, mark)
    )
    apart = prep.unplaced
    if not apart:
        return backwards
    count = f"{len(apart)} mark{' finds' if len(apart) == 1 else 's find'}"
    names = ", ".join(f"{mark.kind} at {mark.at}" for mark in apart[:3]) + (", ..." if len(apart) > 3 else "")
    return (*backwards, f"{count} no note in the score as it is now ({names}); none is lost.")


def _own(read: "Parsed", path: "Path", set_piece: SetPiece, piece: Piece) -> "Parsed":
    """A prep that was read, if it is of this piece, or of the same score. Raises StoreError."""
    prep = read.prep
    if prep.piece in ("", set_piece.id) or prep.score_hash == piece.score_hash:
        return read
    of = f" ({prep.title})" if prep.title else ""
    raise StoreError(f"{path} holds the marks of another piece{of}, not of {piece.title}; move it to where it belongs.")


def _here(prep: Prep, set_piece: SetPiece, piece: Piece) -> Prep:
    """A prep in the ids of the score as it is now."""
    named = replace(prep, piece=set_piece.id, title=piece.title)
    if not (prep.marks or prep.unplaced):
        return replace(named, score_hash=piece.score_hash, over=written_over(piece.part))
    return follow(named, piece.part, piece.score_hash)


def _new_id() -> str:
    return secrets.token_hex(6)

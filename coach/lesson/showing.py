"""Engraved music outside the screens: the systems in which a stretch of a part stands, with its marks."""

from typing import TYPE_CHECKING

from coach.lesson.desk import Desk
from coach.lesson.engraving import Copy, copy_of, engraving
from coach.lesson.marking import Marks, marks_of
from coach.music.piece import Piece, Span
from coach.practice.set_piece import SetPiece
from coach.prepare.mark import Mark
from coach.prepare.over import measure_of
from coach.prepare.prep import Prep

if TYPE_CHECKING:
    from coach.music.engraved import EngravedSystem


def marks_for(desk: Desk, set_piece: SetPiece | None, piece: Piece) -> Marks:
    """The marks of a piece on the stand; a part that was never added has none. Raises StoreError."""
    return marks_of(desk, set_piece, piece) if set_piece is not None else Marks(Prep())


def marks_in(prep: Prep, piece: Piece, span: Span) -> tuple[Mark, ...]:
    """The marks, struck ones too, that stand at the notes of a stretch."""
    here = {measure.id for measure in piece.measures(span)}
    return tuple(mark for mark in prep.marks if measure_of(mark.at) in here)


def copy_for(desk: Desk, source: str, part: str | None, set_piece: SetPiece | None, piece: Piece, prep: Prep) -> Copy:
    """What is to be engraved of a SOURCE: the copy of a piece on the stand, else the score itself."""
    text = ""
    if prep.shown:
        from coach.files.prep import prep_text  # deferred: a part without marks needs no TOML

        text = prep_text(prep, piece.part)
    return copy_of(desk, set_piece, text) if set_piece is not None else Copy(source, part, text)


def systems_of(desk: Desk, copy: Copy, span: Span, spaces: float) -> "tuple[EngravedSystem, ...]":
    """The engraved systems, `spaces` staff spaces wide, in which a stretch stands. Raises ScoreError."""
    engraver = engraving(desk)
    try:
        laid = engraver.lay(copy.source, copy.part, copy.prep, spaces)
        inside = [k for k, (first, last) in enumerate(laid.systems) if first <= span.last and last >= span.first]
        return tuple(filter(None, (engraver.system(laid, number) for number in inside)))
    finally:
        engraver.close()

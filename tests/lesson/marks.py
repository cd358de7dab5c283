"""Marks pencilled on a desk for the tests."""

from collections.abc import Callable
from dataclasses import replace
from functools import reduce

from coach.lesson.desk import Desk
from coach.lesson.marking import open_pencil, prep_of
from coach.lesson.stand import open_piece
from coach.practice.set_piece import SetPiece
from coach.prepare import pencil as by_hand
from coach.prepare.mark import Mark
from coach.prepare.prep import Prep


def pencil(desk: Desk, piece: SetPiece, *marks: Mark) -> None:
    """Put marks on a piece."""
    _do(desk, piece, lambda prep: reduce(by_hand.put, marks, prep))


def strike(desk: Desk, piece: SetPiece, mark_id: str) -> None:
    """Strike a mark."""
    _do(desk, piece, lambda prep: by_hand.strike(prep, mark_id))


def rub_out(desk: Desk, piece: SetPiece, mark_id: str) -> None:
    """Take a mark out of the prep altogether, as by hand in its file."""
    _do(desk, piece, lambda prep: replace(prep, marks=tuple(mark for mark in prep.marks if mark.id != mark_id)))


def marks_of(desk: Desk, piece: SetPiece) -> list[Mark]:
    """The marks of a piece as they are on the disk, struck ones too, in order."""
    piece = desk.record().pieces[piece.id]
    return list(prep_of(desk, piece, open_piece(desk, piece)).marks)


def _do(desk: Desk, piece: SetPiece, change: Callable[[Prep], Prep]) -> None:
    piece = desk.record().pieces[piece.id]
    held = open_pencil(desk, piece, open_piece(desk, piece))
    assert held.faults == ()
    held.take(change(held.prep))

"""Prep files written by hand, which say neither ids nor what they stand over: shared, and over a corrected score."""

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from coach.config import Settings
from coach.files.prep import prep_path
from coach.lesson.desk import Desk
from coach.lesson.sharing import put, write_share
from coach.lesson.stand import add
from coach.paths import Paths
from coach.practice.set_piece import SetPiece
from coach.prepare.mark import Breath, Comment
from tests.lesson.conftest import Clock
from tests.lesson.marks import marks_of, pencil
from tests.lesson.pages import FOUR, Bar, score

UNLIKE = (Bar((4, 2, 1, 1)), Bar((3, 1, 2, 2)), Bar((1, 1, 2, 4)), Bar((6, 2)), Bar((2, 4, 2)))  # in eighths


@pytest.fixture
def desks(tmp_path: Path, clock: Clock) -> Iterator[tuple[Desk, Desk]]:
    """A teacher's and a student's."""
    opened = [
        Desk(Paths(folder / "data", folder / "config", folder / "cache"), Settings(output="none"), clock)
        for folder in (tmp_path / "teacher", tmp_path / "student")
    ]
    yield opened[0], opened[1]
    for desk in opened:
        desk.close()


def write(desk: Desk, piece: SetPiece, *rows: str) -> None:
    """A prep file as somebody writes it, a mark a row."""
    path = prep_path(desk.paths.preps, piece.id)
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text('schema = "coach.prepfile/1"\n' + "".join(f"[[mark]]\n{row}\n" for row in rows), "utf-8")


def comment(at: str, text: str) -> str:
    return f'kind = "comment"\nat = "{at}"\ntext = "{text}"'


def comments(desk: Desk, piece: SetPiece) -> dict[str, str]:
    """Who wrote which comment."""
    return {mark.content.text: mark.origin for mark in marks_of(desk, piece) if isinstance(mark.content, Comment)}


def test_marks_of_two_people_at_one_place_both_stand(desks: tuple[Desk, Desk], tmp_path: Path) -> None:
    teacher, student = desks
    piece, file = add(teacher, score(tmp_path, FOUR, *UNLIKE)), str(tmp_path / "lesson.coach")
    write(teacher, piece, 'kind = "breath"\nat = "2.1"')
    write_share(teacher, piece.id, file)
    taken = put(student, file).piece
    write(student, taken, comment("3.1", "mine"))
    write(teacher, piece, comment("3.1", "yours"))
    write_share(teacher, piece.id, file)
    for _ in range(2):
        put(student, file)
        assert comments(student, taken) == {"mine": "player", "yours": "teacher"}
    write_share(student, taken.id, file)
    put(teacher, file)
    assert comments(teacher, piece) == {"yours": "player", "mine": "teacher"}


def test_marks_written_by_hand_follow_a_corrected_score(desks: tuple[Desk, Desk], tmp_path: Path) -> None:
    """The corrected page has a measure more at its front, so that what stood at 3.1 stands at 4.1."""
    desk, _ = desks
    piece = add(desk, score(tmp_path, FOUR, *UNLIKE))
    write(desk, piece, comment("3.1", "mine"), 'kind = "breath"\nat = "5.2"')
    corrected = put(desk, score(tmp_path, FOUR, Bar((8,)), *UNLIKE)).piece
    assert corrected == replace(piece, score_hash=corrected.score_hash, score=corrected.score, last=corrected.last)
    assert {(mark.at, type(mark.content)) for mark in marks_of(desk, corrected)} == {("4.1", Comment), ("6.2", Breath)}
    pencil(desk, corrected)

"""A desk with a clock that moves by a millisecond whenever it is looked at, and further when it is told to."""

from collections.abc import Iterator
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from coach.config import Settings
from coach.lesson.desk import Desk
from coach.lesson.stand import add, open_piece
from coach.music.piece import Piece
from coach.paths import Paths
from coach.practice.set_piece import SetPiece
from tests.lesson.pages import PLAIN, score

START = datetime.fromisoformat("2026-03-27T18:00:00+01:00")


class Clock:
    """The time, as the test sets it."""

    def __init__(self) -> None:
        self.at = START

    def __call__(self) -> datetime:
        self.at += timedelta(milliseconds=1)
        return self.at

    def on(self, **amount: float) -> None:
        """Let time pass."""
        self.at += timedelta(**amount)


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def desk(tmp_path: Path, clock: Clock) -> Iterator[Desk]:
    home = tmp_path / "home"
    paths = Paths(home / "data", home / "config", home / "cache")
    opened = Desk(paths, Settings(output="none"), clock)
    yield opened
    opened.close()


@pytest.fixture
def piece(desk: Desk, tmp_path: Path) -> SetPiece:
    """Six measures of four quarters, quarter = 60."""
    return add(desk, score(tmp_path, *PLAIN))


@pytest.fixture
def sheet(desk: Desk, piece: SetPiece) -> Piece:
    """The same piece, opened."""
    return open_piece(desk, piece)

"""The demo piece is an ordinary piece with spots to begin with."""

from datetime import date

from coach.lesson.demo import put_demo
from coach.lesson.desk import Desk
from coach.lesson.drilling import drop_spot, rename_spot, span_of, spots
from coach.lesson.stand import open_piece, pieces, remove
from tests.lesson.conftest import Clock


def test_it_is_put_there_with_its_spots_and_its_day(desk: Desk) -> None:
    piece = put_demo(desk)
    found = spots(desk, piece.id)
    assert piece.id.startswith("demo-") and piece.by == date(
        2026, 4, 24
    )  # four weeks after the day of the desk's clock
    assert [(spot.first, spot.last) for spot in found] == [("11", "13"), ("14", "18"), ("18", "19"), ("24", "26")]
    assert all(spot.why and spot.name for spot in found)
    page = open_piece(desk, piece)
    assert all(page.measures(span_of(page, spot)) for spot in found)


def test_asked_for_again_it_is_as_it_was_left(desk: Desk, clock: Clock) -> None:
    piece = put_demo(desk)
    first, second = spots(desk, piece.id)[:2]
    rename_spot(desk, first, "my place")
    drop_spot(desk, second)
    clock.on(days=3)
    assert put_demo(desk) == piece == pieces(desk)[0]
    assert [spot.name for spot in spots(desk, piece.id)][0] == "my place" and len(spots(desk, piece.id)) == 3


def test_taken_off_it_comes_back_fresh(desk: Desk) -> None:
    piece = put_demo(desk)
    remove(desk, piece)
    again = put_demo(desk)
    assert again.id != piece.id and len(spots(desk, again.id)) == 4

"""What holds, in the beats that are printed where it holds."""

from pathlib import Path

import pytest

from coach.lesson.demo import put_demo
from coach.lesson.desk import Desk
from coach.lesson.drilling import log_rep, log_run, mark_spot
from coach.lesson.playing import Take
from coach.lesson.progress import progress
from coach.lesson.rendering import document
from coach.lesson.stand import add, open_piece, remove
from coach.lesson.today import spots_by_need, today
from coach.music.piece import Piece
from coach.practice.set_piece import SetPiece
from tests.lesson.conftest import Clock
from tests.lesson.pages import PLAIN, score

WEBER = "corpus:weber/concertino_clarinet"


def test_a_section_with_another_beat_is_judged_in_its_own_beats(desk: Desk) -> None:
    """Weber: dotted quarter = 100 is printed at 147. Ten clean reps at 100 dotted quarters hold; at 66 they do not."""
    piece = add(desk, WEBER)
    page = open_piece(desk, piece)
    at_tempo = mark_spot(desk, piece, page, "150", "151")
    slower = mark_spot(desk, piece, page, "164", "165")
    for _ in range(10):
        assert log_rep(desk, piece, page, at_tempo, 100, "clean").beat == "dotted quarter"
        log_rep(desk, piece, page, slower, 66, "clean")
    found = {one.measure: one for one in progress(desk, piece, page).measures}
    assert (found["150"].state, found["164"].state, found["170"].state) == ("holds", "needs work", "unknown")
    assert found["150"].hold_tempo is not None and found["164"].hold_tempo is not None
    assert found["150"].hold_tempo > 100 > found["164"].hold_tempo > 60


def test_a_run_through_changing_beats_counts_everywhere(desk: Desk) -> None:
    """A clean run of the whole at the printed quarter = 60 is at tempo in every section, whatever its beat."""
    piece = add(desk, WEBER)
    page = open_piece(desk, piece)
    for _ in range(10):
        log_run(desk, piece, page, 60, "clean")
    found = progress(desk, piece, page)
    assert {one.state for one in found.measures} == {"holds"}
    assert found.whole_piece.now is not None and found.whole_piece.now > 0.8


def test_only_the_cut_is_told_of(desk: Desk, piece: SetPiece, tmp_path: Path) -> None:
    cut = add(desk, score(tmp_path, *PLAIN), measures="2-4")
    assert [one.measure for one in progress(desk, cut, open_piece(desk, cut)).measures] == ["2", "3", "4"]


def test_todays_plan_begins_where_the_need_is(desk: Desk, piece: SetPiece, sheet: Piece, clock: Clock) -> None:
    firm, weak = mark_spot(desk, piece, sheet, "1", "2", "firm"), mark_spot(desk, piece, sheet, "5", "6", "weak")
    for _ in range(10):
        clock.on(minutes=1)
        log_rep(desk, piece, sheet, firm, 60, "clean")
        log_rep(desk, piece, sheet, weak, 50, "slip")
    assert [need.spot.name for need in spots_by_need(desk)] == ["weak", "firm"]
    clock.on(days=1)
    items = [item for item in today(desk, 30).items if item.kind == "spot"]
    assert items[0].name == "weak" and "0 of 10" in items[0].because and "yesterday" in items[0].because
    assert sum(item.minutes for item in today(desk, 30).items) == 30


def test_a_day_ahead_can_be_planned(desk: Desk, piece: SetPiece, sheet: Piece, clock: Clock) -> None:
    spot = mark_spot(desk, piece, sheet, "1", "2")
    for _ in range(4):
        log_rep(desk, piece, sheet, spot, 60, "clean")
    ahead = clock.at.date().replace(day=30)
    (item, *_) = (item for item in today(desk, 30, ahead).items if item.kind == "spot")
    assert "3 days ago" in item.because


def test_a_piece_whose_score_is_lost_stops_no_plan(desk: Desk, piece: SetPiece, sheet: Piece) -> None:
    mark_spot(desk, piece, sheet, "1", "2")
    (desk.paths.scores / piece.score).unlink()
    put_demo(desk)
    assert {item.piece for item in today(desk, 60).items if item.piece} >= {piece.id}


def test_what_is_off_the_stand_is_off_the_plan(desk: Desk, piece: SetPiece, sheet: Piece) -> None:
    mark_spot(desk, piece, sheet, "1", "2")
    remove(desk, piece)
    assert today(desk, 30).items == () and spots_by_need(desk) == ()


@pytest.mark.parametrize(("click", "count_in", "clicks"), [(False, 0, 0), (False, 1, 4), (True, 0, 8), (True, 2, 16)])
def test_a_document_has_the_clicks_that_were_asked_for(
    click: bool, count_in: int, clicks: int, desk: Desk, piece: SetPiece, sheet: Piece
) -> None:
    """Two measures of four quarters, a second each, after a count-in of none, one or two."""
    take = Take(sheet, sheet.span("1", "2"), piece.tempo, 60, desk.settings.click)
    found = document(take, click=click, count_in=count_in)
    assert len(found["clicks"]) == clicks
    assert [note["at_s"] for note in found["notes"]] == pytest.approx([4.0 * count_in + k for k in range(8)])

"""Spots, ladders and reps. Tempi are marks of the metronome (facts.md section 6); below 40, half of marks."""

from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest

from coach.config import Settings
from coach.errors import RequestError, SettingsError
from coach.lesson.desk import Desk
from coach.lesson.drilling import (
    choose_ladder,
    climb,
    drop_spot,
    find_spot,
    ladder_of,
    log_rep,
    log_run,
    mark_spot,
    name_slip,
    rename_spot,
    spots,
    undo,
    widen_spot,
)
from coach.lesson.stand import add, change, open_piece
from coach.music.piece import Piece
from coach.music.rhythm import Value
from coach.music.tempo import Tempo
from coach.practice.ladder import Scale
from coach.practice.rep import Slip
from coach.practice.set_piece import SetPiece
from coach.practice.spot import Spot
from tests.lesson.conftest import Clock
from tests.lesson.pages import FOUR, Bar, score


@pytest.fixture
def spot(desk: Desk, piece: SetPiece, sheet: Piece) -> Spot:
    return mark_spot(desk, piece, sheet, "2", "3", "the leap", "it is high")


def play(desk: Desk, piece: SetPiece, sheet: Piece, spot: Spot, outcomes: str, per_minute: float | None = None) -> None:
    """Log reps at the rung, or at a tempo: c clean, s slip."""
    for outcome in outcomes:
        tempo = climb(desk, piece, sheet, spot).per_minute if per_minute is None else per_minute
        log_rep(desk, piece, sheet, spot, tempo, {"c": "clean", "s": "slip"}[outcome])


def test_a_spot_begins_and_ends_with_its_notes(spot: Spot) -> None:
    assert (spot.first, spot.last, spot.from_note, spot.to_note) == ("2", "3", "2.1", "3.4")
    assert (spot.name, spot.why) == ("the leap", "it is high")


def test_without_a_name_it_is_called_after_its_measures(desk: Desk, piece: SetPiece, sheet: Piece) -> None:
    one, two = mark_spot(desk, piece, sheet, "4", "4"), mark_spot(desk, piece, sheet, "4", "6")
    assert (one.name, two.name) == ("measure 4", "measures 4-6")
    assert widen_spot(desk, sheet, one, "3", "5").name == "measures 3-5"


def test_rests_alone_are_no_spot(desk: Desk, tmp_path: Path) -> None:
    piece = add(desk, score(tmp_path, FOUR, Bar((-8,))))
    with pytest.raises(RequestError, match="only rests"):
        mark_spot(desk, piece, open_piece(desk, piece), "2", "2")


def test_a_range_that_is_not_there_is_no_spot(desk: Desk, piece: SetPiece, sheet: Piece) -> None:
    for first, last in (("3", "2"), ("1", "9")):
        with pytest.raises(RequestError):
            mark_spot(desk, piece, sheet, first, last)
    assert spots(desk, piece.id) == ()


def test_renamed_and_widened_it_stays_the_same_spot(desk: Desk, piece: SetPiece, sheet: Piece, spot: Spot) -> None:
    play(desk, piece, sheet, spot, "ccc")
    before = climb(desk, piece, sheet, spot)
    changed = widen_spot(desk, sheet, rename_spot(desk, spot, " the long leap "), "1", "4")
    assert (changed.uuid, changed.name, changed.first, changed.last) == (spot.uuid, "the long leap", "1", "4")
    assert (changed.from_note, changed.to_note) == ("1.1", "4.4")
    assert spots(desk, piece.id) == (changed,)
    assert climb(desk, piece, sheet, changed) == before
    assert len(desk.record().reps_of(changed.uuid)) == 3


def test_a_spot_keeps_a_name(desk: Desk, spot: Spot) -> None:
    with pytest.raises(RequestError, match="needs a name"):
        rename_spot(desk, spot, "  ")


def test_dropped_it_leaves_its_reps(desk: Desk, piece: SetPiece, sheet: Piece, spot: Spot) -> None:
    play(desk, piece, sheet, spot, "cs")
    drop_spot(desk, spot)
    assert spots(desk, piece.id) == () and len(desk.record().reps) == 2


def test_a_spot_is_found_by_name_part_of_it_number_or_id(desk: Desk, piece: SetPiece, sheet: Piece, spot: Spot) -> None:
    other = mark_spot(desk, piece, sheet, "5", "6", "the end")
    for text in ("the leap", "THE LEAP", "leap", "1", spot.uuid[:8]):
        assert find_spot(desk, piece, text) == spot
    assert find_spot(desk, piece, "2") == other
    for text in ("the", "3", "0", "", "fugue"):
        with pytest.raises(RequestError, match="1 the leap, 2 the end"):
            find_spot(desk, piece, text)


def test_the_ladder_starts_at_the_mark_below_sixty_per_cent(
    desk: Desk, piece: SetPiece, sheet: Piece, spot: Spot
) -> None:
    """60 per cent of 60 is 36, on the scale with the click in half beats (half of the mark 72)."""
    ladder = ladder_of(desk, piece, sheet, spot)
    assert (ladder.start, ladder.target, ladder.beat, ladder.rule.name) == (36, 60, "quarter", "steady")


def test_three_clean_go_up_and_a_slip_goes_down(desk: Desk, piece: SetPiece, sheet: Piece, spot: Spot) -> None:
    found = []
    for outcome in "cccs":
        play(desk, piece, sheet, spot, outcome)
        found.append(climb(desk, piece, sheet, spot).per_minute)
    assert found == [36, 36, 38, 36]  # 38 is half of the mark 76


def test_undo_takes_back_the_latest_and_says_which(desk: Desk, piece: SetPiece, sheet: Piece, spot: Spot) -> None:
    play(desk, piece, sheet, spot, "ccs")
    taken = undo(desk, piece.id)
    assert taken is not None and taken.outcome == "slip"
    assert [rep.outcome for rep in desk.record().reps] == ["clean", "clean"]
    assert climb(desk, piece, sheet, spot).streak == 2
    assert undo(desk, piece.id) and undo(desk, piece.id) and undo(desk, piece.id) is None
    kinds = [entry.kind for entry in desk.log.entries()]
    assert kinds.count("rep") == 3 == kinds.count("retraction")  # the log keeps everything


def test_undo_leaves_other_pieces_alone(desk: Desk, piece: SetPiece, sheet: Piece, spot: Spot, tmp_path: Path) -> None:
    play(desk, piece, sheet, spot, "c")
    other = add(desk, score(tmp_path, FOUR, title="Other", name="other.musicxml"))
    assert undo(desk, other.id) is None and len(desk.record().reps) == 1


def test_what_slipped_can_be_said_afterwards(
    desk: Desk, piece: SetPiece, sheet: Piece, spot: Spot, clock: Clock
) -> None:
    rep = log_rep(desk, piece, sheet, spot, 36, "slip")
    clock.on(seconds=20)
    told = name_slip(desk, rep, "fingers", "2")
    (only,) = desk.record().reps
    assert only == told and only.at == rep.at and only.slips == (Slip("2", "fingers"),)
    twice = name_slip(desk, told, "rhythm")
    assert desk.record().reps == (twice,) and twice.slips == (Slip("", "rhythm"),)
    assert climb(desk, piece, sheet, spot).per_minute == 34.5  # one slip: from half of 72 to half of 69


def test_a_clean_rep_has_no_slip(desk: Desk, piece: SetPiece, sheet: Piece, spot: Spot) -> None:
    assert log_rep(desk, piece, sheet, spot, 36, "clean", what="fingers").slips == ()


def test_a_slip_is_placed_within_its_stretch(desk: Desk, piece: SetPiece, sheet: Piece, spot: Spot) -> None:
    assert log_rep(desk, piece, sheet, spot, 36, "slip", where="3").slips == (Slip("3", ""),)
    assert log_rep(desk, piece, sheet, spot, 36, "slip", where="2.4", what="tone").slips == (Slip("2.4", "tone"),)
    for wrong in ("1", "4", "2.9", "x"):
        with pytest.raises(RequestError, match="no measure or note of measures 2-3"):
            log_rep(desk, piece, sheet, spot, 36, "slip", where=wrong)
    with pytest.raises(RequestError, match="mood"):
        log_rep(desk, piece, sheet, spot, 36, "slip", what="mood")
    assert len(desk.record().reps) == 2


def test_a_faster_performance_tempo_lengthens_the_ladder(desk: Desk, piece: SetPiece, sheet: Piece, spot: Spot) -> None:
    play(desk, piece, sheet, spot, "ccc" * 13)  # 36, 38, 40 and so on to 60 are thirteen rungs
    assert climb(desk, piece, sheet, spot).arrived
    faster = change(desk, replace(piece, tempo=Tempo(Fraction(72))))
    there = climb(desk, faster, sheet, spot)
    assert (there.per_minute, there.arrived) == (63, False)  # 63 is the mark above 60
    assert ladder_of(desk, faster, sheet, spot).target == 72


def test_a_slower_performance_tempo_shortens_it(desk: Desk, piece: SetPiece, sheet: Piece, spot: Spot) -> None:
    choose_ladder(desk, piece, sheet, spot, "steady", start=50)
    slower = change(desk, replace(piece, tempo=Tempo(Fraction(40))))
    ladder = ladder_of(desk, slower, sheet, spot)
    assert ladder.target == 40 and ladder.start <= 40


def test_another_beat_unit_is_the_same_ladder_in_other_numbers(
    desk: Desk, piece: SetPiece, sheet: Piece, spot: Spot
) -> None:
    choose_ladder(desk, piece, sheet, spot, "brisk", start=50)
    halves = change(desk, replace(piece, tempo=Tempo(Fraction(30), Value("half"))))
    ladder = ladder_of(desk, halves, sheet, spot)
    assert (ladder.start, ladder.target, ladder.beat, ladder.rule.name) == (25, 30, "half", "brisk")  # 50 / 2, 60 / 2


def test_a_chosen_ladder_starts_where_the_spot_stands(desk: Desk, piece: SetPiece, sheet: Piece, spot: Spot) -> None:
    play(desk, piece, sheet, spot, "cccccc")
    here = climb(desk, piece, sheet, spot).per_minute
    ladder = choose_ladder(desk, piece, sheet, spot, "secure", scale=Scale("per cent", 5))
    assert ladder.start == here == climb(desk, piece, sheet, spot).per_minute == 40
    play(desk, piece, sheet, spot, "ccc")
    assert climb(desk, piece, sheet, spot).per_minute == pytest.approx(42)  # 5 per cent above 40


def test_a_ladder_that_cannot_be_is_told(desk: Desk, piece: SetPiece, sheet: Piece, spot: Spot) -> None:
    for name, start in (("hurried", None), ("steady", 200.0), ("steady", 0.0)):
        with pytest.raises(RequestError, match="cannot be set up"):
            choose_ladder(desk, piece, sheet, spot, name, start=start)


def test_the_rule_of_the_settings_is_for_new_spots(desk: Desk, piece: SetPiece, sheet: Piece, spot: Spot) -> None:
    """Three clean in a row and then two stand on one rung under "steady"; "brisk" would go up twice."""
    play(desk, piece, sheet, spot, "ccccc")
    here = climb(desk, piece, sheet, spot)
    desk.change(replace(desk.settings, ladder="brisk"))
    assert climb(desk, piece, sheet, spot) == here and here.streak == 2
    other = mark_spot(desk, piece, sheet, "5", "6", "the end")
    assert ladder_of(desk, piece, sheet, other).rule.name == "brisk"


def test_a_rule_in_the_settings_that_is_none_is_told(desk: Desk, piece: SetPiece, sheet: Piece, spot: Spot) -> None:
    desk.settings = Settings(ladder="hurried")
    with pytest.raises(SettingsError, match="ladder.*hurried"):
        climb(desk, piece, sheet, spot)


@pytest.mark.parametrize("per_minute", [0, 3.9, 600.1, 10_000, float("inf"), float("nan"), -5])
def test_an_impossible_tempo_is_not_logged(
    per_minute: float, desk: Desk, piece: SetPiece, sheet: Piece, spot: Spot
) -> None:
    with pytest.raises(RequestError, match="cannot be logged"):
        log_rep(desk, piece, sheet, spot, per_minute, "clean")
    assert desk.record().reps == ()


def test_the_first_run_of_the_day_is_cold_unless_something_was_played(
    desk: Desk, piece: SetPiece, sheet: Piece, spot: Spot, clock: Clock
) -> None:
    """The day is the player's: 23:30 and 00:30 are two days in Vienna, though one in UTC."""
    assert log_run(desk, piece, sheet, 60, "slip").kind == "cold"
    assert log_run(desk, piece, sheet, 60, "slip").kind == "run"
    clock.on(hours=5, minutes=30)  # 23:30
    assert log_run(desk, piece, sheet, 60, "clean").kind == "run"
    clock.on(hours=1)
    assert log_run(desk, piece, sheet, 60, "clean").kind == "cold"
    clock.on(days=1)
    play(desk, piece, sheet, spot, "c")
    assert log_run(desk, piece, sheet, 60, "clean").kind == "run"


def test_a_run_covers_the_cut(desk: Desk, piece: SetPiece, sheet: Piece) -> None:
    cut = change(desk, replace(piece, first="2", last="5"))
    run = log_run(desk, cut, sheet, 54, "slip", slips=[Slip("3"), Slip("5.1", "breath")])
    assert (run.first, run.last, run.from_note, run.to_note, run.spot) == ("2", "5", "2.1", "5.4", "")
    assert run.slips == (Slip("3"), Slip("5.1", "breath"))
    with pytest.raises(RequestError, match="measures 2-5"):
        log_run(desk, cut, sheet, 54, "slip", slips=[Slip("1")])


def test_a_rep_is_there_for_another_program_at_once(desk: Desk, piece: SetPiece, sheet: Piece, spot: Spot) -> None:
    play(desk, piece, sheet, spot, "c")
    other = Desk(desk.paths, desk.settings)
    try:
        assert other.record().reps == desk.record().reps != ()
        undo(other, piece.id)
        assert desk.record().reps == ()
    finally:
        other.close()


def test_a_rep_tells_where_the_ladder_stood(desk: Desk, piece: SetPiece, sheet: Piece, spot: Spot) -> None:
    rep = log_rep(desk, piece, sheet, spot, 50, "clean")
    assert (rep.rule, rep.rung, rep.per_minute, rep.beat, rep.zone) == ("steady", 36, 50, "quarter", "+01:00")

"""Pieces on the stand."""

from dataclasses import replace
from datetime import date, timedelta
from fractions import Fraction
from pathlib import Path

import pytest

from coach.errors import RequestError, ScoreError, StoreError
from coach.lesson.desk import Desk
from coach.lesson.drilling import log_rep, mark_spot
from coach.lesson.stand import (
    add,
    change,
    cut,
    find,
    open_piece,
    parse_tempo,
    performance_tempo,
    pieces,
    remove,
    resolve,
)
from coach.music.piece import Piece
from coach.music.rhythm import Value
from coach.music.tempo import Tempo
from coach.practice.set_piece import SetPiece
from tests.lesson.conftest import Clock
from tests.lesson.pages import FOUR, PLAIN, Bar, score


def test_added_twice_it_is_one_piece(desk: Desk, piece: SetPiece, tmp_path: Path) -> None:
    again = add(desk, score(tmp_path, *PLAIN), measures="2-3", tempo_text="72", by=date(2026, 4, 24))
    assert again.id == piece.id and pieces(desk) == (again,)
    assert (again.first, again.last, again.tempo, again.by) == ("2", "3", Tempo(Fraction(72)), date(2026, 4, 24))


def test_what_is_not_said_again_stays(desk: Desk, piece: SetPiece, tmp_path: Path) -> None:
    source = score(tmp_path, *PLAIN)
    add(desk, source, measures="2-3", tempo_text="72", by=date(2026, 4, 24), instrument="clarinet in A")
    again = add(desk, source)
    assert (again.first, again.last, again.tempo, again.by) == ("2", "3", Tempo(Fraction(72)), date(2026, 4, 24))
    assert again.instrument == "clarinet in A"


def test_a_day_that_has_passed_is_refused(desk: Desk, tmp_path: Path) -> None:
    today = desk.local().date()
    with pytest.raises(RequestError, match="has passed; give a day from today on"):
        add(desk, score(tmp_path, *PLAIN), by=today - timedelta(days=1))
    assert pieces(desk) == ()
    assert add(desk, score(tmp_path, *PLAIN), by=today).by == today


def test_a_corrected_score_keeps_its_id_and_its_reps(desk: Desk, piece: SetPiece, sheet: Piece, tmp_path: Path) -> None:
    spot = mark_spot(desk, piece, sheet, "2", "3")
    log_rep(desk, piece, sheet, spot, 60, "clean")
    corrected = add(desk, score(tmp_path, *PLAIN[:-1], Bar((4, 4))))
    assert corrected.id == piece.id and corrected.score_hash != piece.score_hash
    assert len(open_piece(desk, corrected).part.measures[5].notes) == 2
    assert len(desk.record().reps_in(corrected.id)) == 1


def test_another_piece_in_the_same_file_is_another_piece(desk: Desk, piece: SetPiece, tmp_path: Path) -> None:
    other = add(desk, score(tmp_path, *PLAIN, title="Another study"))
    assert other.id != piece.id and len(pieces(desk)) == 2


def test_a_correction_that_loses_the_cut_is_told(desk: Desk, piece: SetPiece, tmp_path: Path) -> None:
    with pytest.raises(RequestError, match="no measure 6"):
        add(desk, score(tmp_path, *PLAIN[:3]))
    assert pieces(desk) == (piece,)
    assert add(desk, score(tmp_path, *PLAIN[:3]), measures="1-3").id == piece.id


def test_taken_off_and_added_again_it_is_new_and_the_reps_stay(
    desk: Desk, piece: SetPiece, sheet: Piece, tmp_path: Path
) -> None:
    log_rep(desk, piece, sheet, mark_spot(desk, piece, sheet, "2", "3"), 60, "clean")
    remove(desk, piece)
    assert pieces(desk) == ()
    again = add(desk, score(tmp_path, *PLAIN))
    assert again.id != piece.id and pieces(desk) == (again,)
    assert len(desk.record().reps_in(piece.id)) == 1 and desk.record().reps_in(again.id) == ()


def test_the_latest_comes_first(desk: Desk, piece: SetPiece, clock: Clock, tmp_path: Path) -> None:
    clock.on(minutes=1)
    other = add(desk, score(tmp_path, FOUR, title="Other", name="other.musicxml"))
    assert pieces(desk) == (other, piece)


@pytest.mark.parametrize("text", ["Study", "study", "STU", "study-"])
def test_a_piece_is_found_by_title_or_the_start_of_title_or_id(text: str, desk: Desk, piece: SetPiece) -> None:
    assert find(desk, text) == piece == find(desk, piece.id)


def test_a_name_that_fits_two_is_told_with_their_ids(desk: Desk, piece: SetPiece, tmp_path: Path) -> None:
    other = add(desk, score(tmp_path, FOUR, title="Studies", name="other.musicxml"))
    with pytest.raises(RequestError) as told:
        find(desk, "stud")
    assert piece.id in str(told.value) and other.id in str(told.value)
    assert find(desk, "study") == piece


def test_nothing_is_found_by_nothing(desk: Desk, piece: SetPiece) -> None:
    for text in ("", "fugue"):
        with pytest.raises(RequestError, match="coach pieces"):
            find(desk, text)


def test_the_score_is_kept_and_outlives_its_file(desk: Desk, piece: SetPiece, tmp_path: Path) -> None:
    (tmp_path / "study.musicxml").unlink()
    assert open_piece(desk, piece).score_hash == piece.score_hash
    (desk.paths.scores / piece.score).unlink()
    with pytest.raises(StoreError, match="coach add"):
        open_piece(desk, piece)


def test_a_changed_title_is_seen(desk: Desk, piece: SetPiece) -> None:
    change(desk, replace(piece, title="My study"))
    assert open_piece(desk, find(desk, "my study")).title == "My study"


def test_the_cut_is_a_span(desk: Desk, piece: SetPiece, tmp_path: Path) -> None:
    changed = add(desk, score(tmp_path, *PLAIN), measures="3-5")
    span = cut(changed, open_piece(desk, changed))
    assert (span.first, span.last) == (2, 4)


def test_a_file_a_corpus_name_and_a_piece_resolve(desk: Desk, piece: SetPiece, tmp_path: Path) -> None:
    assert resolve(desk, str(tmp_path / "study.musicxml"))[0] is None
    assert resolve(desk, "corpus:weber/concertino_clarinet")[0] is None
    assert resolve(desk, "study")[0] == piece
    with pytest.raises(ScoreError, match="does not exist"):
        resolve(desk, "gone.musicxml")


@pytest.mark.parametrize(
    ("text", "beat", "quarters"),
    [
        ("72", Value("quarter", 1), 108),  # of the beat unit in force, a dotted quarter
        ("eighth=72", Value("eighth"), 36),
        ("half = 40", Value("half"), 80),
        ("dotted quarter=50", Value("quarter", 1), 75),
        ("quarter.=50", Value("quarter", 1), 75),
        ("62.5", Value("quarter", 1), Fraction(375, 4)),
    ],
)
def test_a_tempo_with_and_without_its_beat(text: str, beat: Value, quarters: Fraction) -> None:
    tempo = parse_tempo(text, Tempo(Fraction(50), Value("quarter", 1)))
    assert tempo.beat == beat and tempo.quarters_per_minute == quarters


@pytest.mark.parametrize(
    ("bars", "expected"),
    [
        ((Bar((4, 4), "2/2"),), Tempo(Fraction(60), Value("half"))),
        ((Bar((3, 3), "6/8"),), Tempo(Fraction(60), Value("quarter", 1))),
        ((Bar((2, 2, 2), "3/4"),), Tempo(Fraction(60), Value("quarter"))),
        ((Bar((3, 3), "6/8", ("quarter", 66, True)),), Tempo(Fraction(66), Value("quarter", 1))),
        ((Bar((3, 3), "6/8", ("eighth", 120, False)),), Tempo(Fraction(120), Value("eighth"))),
    ],
)
def test_without_a_printed_number_the_metres_beat_counts(
    bars: tuple[Bar, ...], expected: Tempo, desk: Desk, tmp_path: Path
) -> None:
    """Compound metres are felt in dotted beats, 2/2 in halves: general music theory."""
    added = add(desk, score(tmp_path, *bars))
    assert added.tempo == expected == performance_tempo(open_piece(desk, added))

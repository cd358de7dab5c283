"""The record: what the entries add up to, in whatever order they came in."""

import random
from dataclasses import replace
from datetime import timedelta
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coach.music.tempo import Tempo
from coach.practice.entry import Entry
from coach.practice.ladder import Ladder, preset
from coach.practice.record import check, fold, retraction
from coach.practice.rep import Rep
from coach.practice.set_piece import SetPiece
from coach.practice.spot import Spot
from tests.practice.factory import START, rep

PIECE = SetPiece("etude", "Étude", "c0ffee", "c0ffee.mxl", "1", "32", Tempo(Fraction(72)), START)
SPOT = Spot("s", "etude", "the leap", "1.1", "2.1", "1", "2", START)


def entry(uuid: str, minute: float, kind: str, **body: Any) -> Entry:
    return Entry(uuid, START + timedelta(minutes=minute), "UTC", kind, "etude", body)


def base() -> list[Entry]:
    return [PIECE.to_entry("e0", START, "UTC"), SPOT.to_entry("e1", START, "UTC")]


def test_pieces_spots_reps_and_ladders_are_found() -> None:
    ladder = Ladder(42, 72, since=START)
    one = rep("r1", minute=1)
    record = fold([*base(), ladder.to_entry("e2", START, "UTC", "etude", "s"), one.to_entry()])
    assert record.stand() == (PIECE,)
    assert record.spots_of("etude") == (SPOT,)
    assert record.reps_of("s") == record.reps_in("etude") == (one,)
    assert record.ladder_of("s") == ladder


def test_a_spot_renamed_and_widened_keeps_its_identity() -> None:
    renamed = entry("e2", 5, "spot", spot="s", name="the octave")
    widened = entry("e3", 6, "spot", spot="s", measures=["1", "4"], to="4.2")
    (spot,) = fold([*base(), renamed, widened, rep("r1", minute=1).to_entry()]).spots_of("etude")
    assert spot == replace(SPOT, name="the octave", last="4", to_note="4.2")


def test_a_removed_spot_is_hidden_with_its_reps_kept() -> None:
    record = fold([*base(), rep("r1", minute=1).to_entry(), entry("e2", 2, "spot", spot="s", removed=True)])
    assert record.spots_of("etude") == ()
    assert len(record.reps_of("s")) == 1
    assert fold(
        [*base(), entry("e2", 2, "spot", spot="s", removed=True), entry("e3", 3, "spot", spot="s", removed=False)]
    ).spots_of("etude") == (SPOT,)


def test_a_corrected_score_keeps_the_piece() -> None:
    record = fold([*base(), entry("e2", 5, "piece", score_hash="beef", score="beef.mxl")])
    assert record.pieces["etude"] == replace(PIECE, score_hash="beef", score="beef.mxl")
    assert fold([*base(), entry("e2", 5, "piece", removed=True)]).stand() == ()


def test_undo_takes_a_rep_back_and_the_ladder_with_it() -> None:
    clean = [rep(f"r{k}", minute=k, per_minute=42) for k in range(1, 4)]
    entries = [*base(), *(one.to_entry() for one in clean)]
    before, after = fold(entries[:-1]), fold(entries)
    undone = fold([*entries, retraction(clean[-1], "x", START + timedelta(minutes=9), "UTC")])
    first, second = before.climb("s"), after.climb("s")
    assert first is not None
    assert second is not None
    assert second.per_minute > first.per_minute
    assert undone.climb("s") == first
    assert undone.reps == before.reps


def test_undo_can_be_taken_back() -> None:
    one = rep("r1", minute=1)
    undo = entry("x1", 2, "retraction", of="r1")
    redo = entry("x2", 3, "retraction", of="x1")
    assert fold([one.to_entry(), undo]).reps == ()
    assert fold([one.to_entry(), undo, redo]).reps == (one,)
    assert fold([one.to_entry(), undo, redo, entry("x3", 4, "retraction", of="x2")]).reps == ()


def test_retractions_of_each_other_come_to_an_end() -> None:
    one = rep("r1", minute=0)
    circle = [entry("x1", 1, "retraction", of="x2"), entry("x2", 2, "retraction", of="x1")]
    assert fold([one.to_entry(), *circle]).reps == (one,)


def test_a_clock_set_back_does_not_stop_an_undo() -> None:
    assert fold([rep("r1", minute=9).to_entry(), entry("x1", 2, "retraction", of="r1")]).reps == ()


def test_a_change_to_a_spot_can_be_undone() -> None:
    renamed = entry("e2", 5, "spot", spot="s", name="oops")
    assert fold([*base(), renamed, entry("x", 6, "retraction", of="e2")]).spots_of("etude") == (SPOT,)


def test_a_new_ladder_is_not_moved_by_older_reps() -> None:
    old = [rep(f"r{k}", minute=k, per_minute=60).to_entry() for k in range(3)]
    ladder = Ladder(48, 72, preset("brisk")).to_entry("e2", START + timedelta(minutes=5), "UTC", "etude", "s")
    new = [rep(f"t{k}", minute=6 + k, per_minute=48).to_entry() for k in range(2)]
    climbed = fold([*base(), *old, ladder, *new]).climb("s")
    assert climbed is not None
    assert climbed.per_minute == 50
    assert [tread.per_minute for tread in climbed.history] == [48, 48]


def test_a_spot_without_a_ladder_is_offered_one() -> None:
    record = fold(base())
    ladder = record.ladder_of("s", preset("patient"))
    assert ladder is not None
    assert (ladder.start, ladder.target, ladder.rule.name) == (42, 72, "patient")
    assert record.ladder_of("nowhere") is None
    assert record.climb("nowhere") is None


def test_kinds_of_a_newer_program_are_counted_and_ignored() -> None:
    record = fold([*base(), entry("e2", 1, "weather", rain=True)])
    assert record.unknown == 1
    assert record.spots_of("etude") == (SPOT,)


def test_a_body_that_makes_no_sense_is_set_aside() -> None:
    bad = [
        entry("b1", 1, "rep", outcome="clean"),
        entry("b2", 2, "spot", spot="s", name=7),
        entry("b3", 3, "spot", spot="t", name="no measures"),
        entry("b4", 4, "ladder", spot="s"),
        entry("b5", 5, "piece", by="soon"),
        entry("b6", 6, "retraction", of=["r1"]),
    ]
    record = fold([*base(), *bad])
    assert [(one.entry.uuid, one.because) for one in record.unread] == [
        ("b1", "tempo is missing"),
        ("b2", "name is 7; it must be a text"),
        ("b3", "measures is missing"),
        ("b4", "start is missing"),
        ("b5", "by is 'soon'; it must be a day such as 2026-03-14"),
        ("b6", "of is ['r1']; it must be a text"),
    ]
    assert record.spots_of("etude") == (SPOT,)
    assert record.stand() == (PIECE,)
    for one in (bad[0], bad[1], bad[3], bad[4], bad[5]):
        with pytest.raises(ValueError, match=" is "):
            check(one)


kinds = st.sampled_from(["rep", "spot", "ladder", "retraction", "piece", "weather"])


@st.composite
def histories(draw: st.DrawFn) -> list[Entry]:
    entries = base()
    for k in range(draw(st.integers(0, 12))):
        minute, kind, uuid = draw(st.integers(0, 3)), draw(kinds), f"u{k}"
        if kind == "rep":
            outcome, tempo = draw(st.sampled_from(["clean", "slip"])), draw(st.sampled_from([42.0, 48.0, 60.0]))
            entries.append(rep(uuid, outcome, minute=minute, per_minute=tempo).to_entry())
        elif kind == "ladder":
            entries.append(Ladder(48, 72).to_entry(uuid, START + timedelta(minutes=minute), "UTC", "etude", "s"))
        elif kind == "retraction":
            entries.append(entry(uuid, minute, kind, of=f"u{draw(st.integers(0, 12))}"))
        else:
            fields = {"spot": "s", "name": uuid} if kind == "spot" else {"title": uuid}
            entries.append(entry(uuid, minute, kind, **fields))
    return entries


@given(histories(), st.randoms(use_true_random=False))
def test_the_record_does_not_depend_on_the_order_of_arrival(entries: list[Entry], dice: random.Random) -> None:
    shuffled = list(entries)
    dice.shuffle(shuffled)
    parsed: dict[str, Rep] = {}
    a, b = fold(entries, parsed), fold(shuffled)
    assert a == b == fold(shuffled, parsed)
    assert a.climb("s") == b.climb("s")


def test_a_spot_of_an_older_program_is_no_drill() -> None:
    """Fields that it did not know have their defaults, and a spot as printed is written as ever."""
    body = SPOT.to_entry("e1", START, "UTC").body
    assert "drill" not in body and "keys" not in body
    (spot,) = fold(base()).spots_of("etude")
    assert (spot.drill, spot.keys) == ("", ("", ""))


def test_a_renamed_drill_stays_a_drill() -> None:
    drill = replace(SPOT, drill="swap", keys=("L", "R"))
    entries = [base()[0], drill.to_entry("e1", START, "UTC"), entry("e2", 5, "spot", spot="s", name="the low one")]
    (spot,) = fold(entries).spots_of("etude")
    assert (spot.name, spot.drill, spot.keys) == ("the low one", "swap", ("L", "R"))


@pytest.mark.parametrize("keys", ["L", ["L"], ["L", 3], None])
def test_fingerings_that_make_no_sense_leave_the_entry_unread(keys: object) -> None:
    record = fold([*base(), entry("e2", 1, "spot", spot="s", drill="swap", keys=keys)])
    assert [item.because.split(" is ")[0] for item in record.unread] == ["keys"]
    assert record.spots["s"].drill == ""

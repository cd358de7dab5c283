"""Reps, spots and set pieces as entries of the log, and back."""

from datetime import UTC, date, datetime, timedelta
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coach.music.rhythm import Value
from coach.music.tempo import Tempo
from coach.practice.entry import Entry
from coach.practice.ladder import NOTCHES, PER_CENT, PRESETS, Ladder, Scale
from coach.practice.rep import OUTCOMES, WHAT, Rep, Slip
from coach.practice.set_piece import SetPiece
from coach.practice.spot import Spot
from tests.practice.factory import START, rep

words = st.text(max_size=6)
named = st.text(min_size=1, max_size=6).filter(str.strip)
beats = st.sampled_from(["quarter", "eighth", "dotted quarter", "half", "16th"])
tempi = st.floats(1, 1000)
times = st.datetimes(datetime(1990, 1, 1), datetime(2100, 1, 1)).map(lambda at: at.replace(tzinfo=UTC))  # noqa: DTZ001


@st.composite
def reps(draw: st.DrawFn) -> Rep:
    kind, outcome = draw(st.sampled_from(["rep", "run", "cold"])), draw(st.sampled_from(OUTCOMES))
    slips = st.lists(st.builds(Slip, words, st.sampled_from([*WHAT, ""])), max_size=3).map(tuple)
    return Rep(
        uuid=draw(named),
        at=draw(times),
        zone=draw(words),
        piece=draw(words),
        score_hash=draw(words),
        spot=draw(named) if kind == "rep" else "",
        from_note=draw(words),
        to_note=draw(words),
        first=draw(named),
        last=draw(named),
        per_minute=draw(tempi),
        beat=draw(beats),
        outcome=outcome,
        complete=draw(st.booleans()),
        kind=kind,
        slips=draw(slips) if outcome == "slip" else (),
        drill=draw(words),
        rule=draw(words),
        rung=draw(st.none() | tempi),
    )


@given(reps())
def test_a_rep_comes_back_as_it_was(one: Rep) -> None:
    assert Rep.from_entry(one.to_entry()) == one


def body(**changes: Any) -> dict[str, Any]:
    return {**rep().to_entry().body, **changes}


BAD: dict[str, tuple[dict[str, Any], str]] = {
    "outcome": ({"outcome": "good"}, "outcome is 'good'; it may be clean or slip"),
    "outcome missing": ({"outcome": None}, "outcome is missing"),
    "kind": ({"kind": "warm-up"}, "kind is 'warm-up'; it may be rep, run or cold"),
    "no tempo": ({"tempo": None}, "tempo is missing"),
    "tempo text": ({"tempo": "60"}, "tempo is '60'; it must be a table"),
    "tempo 0": ({"tempo": {"per_minute": 0, "beat": "quarter"}}, "per_minute is 0; a tempo lies between 1 and 1000"),
    "tempo 10000": ({"tempo": {"per_minute": 10_000, "beat": "quarter"}}, "per_minute is 10000;"),
    "tempo true": ({"tempo": {"per_minute": True, "beat": "quarter"}}, "per_minute is True; it must be a number"),
    "tempo nan": ({"tempo": {"per_minute": float("nan"), "beat": "quarter"}}, "per_minute is nan;"),
    "beat": ({"tempo": {"per_minute": 60, "beat": "minim"}}, "'minim' is not a beat unit"),
    "measures": ({"measures": ["1"]}, "measures is .'1'.; it must be two measures"),
    "complete": ({"complete": "yes"}, "complete is 'yes'; it must be true or false"),
    "slips": ({"outcome": "slip", "slips": "notes"}, "slips is 'notes'; it must be a list of slips"),
    "what": ({"outcome": "slip", "slips": [{"what": "luck"}]}, "what is 'luck'; it may be notes, rhythm"),
    "clean with slips": ({"slips": [{"what": "notes"}]}, "outcome is clean, yet slips are named"),
    "rep without spot": ({"spot": ""}, "only a run goes without a spot"),
    "run with spot": ({"kind": "run"}, "a run belongs to no spot"),
    "rung": ({"rung": "top"}, "rung is 'top'; it must be a number"),
    "drill": ({"drill": 3}, "drill is 3; it must be a text"),
}


@pytest.mark.parametrize(("changes", "sentence"), BAD.values(), ids=BAD.keys())
def test_a_body_that_makes_no_sense_is_told(changes: dict[str, Any], sentence: str) -> None:
    with pytest.raises(ValueError, match=sentence):
        Rep.from_entry(Entry("r", START, "UTC", "rep", "etude", body(**changes)))


def test_a_tempo_counts_in_other_beats() -> None:
    one = rep(per_minute=72, beat="eighth")
    assert one.per_minute_in("eighth") == 72
    assert one.per_minute_in("quarter") == 36
    assert one.per_minute_in("dotted quarter") == 24


@pytest.mark.parametrize(
    ("outcome", "complete", "clean"), [("clean", True, True), ("clean", False, False), ("slip", True, False)]
)
def test_clean_means_to_the_end(outcome: str, complete: bool, clean: bool) -> None:
    assert rep(outcome=outcome, complete=complete).clean is clean


def test_a_spot_comes_back_as_it_was() -> None:
    spot = Spot("s1", "etude", "the leap", "12.3", "14~2.1", "12", "14~2", START, "leaps", True)
    entry = spot.to_entry("e1", START + timedelta(days=1), "UTC")
    assert (entry.uuid, entry.kind, entry.piece) == ("e1", "spot", "etude")
    assert Spot.from_body("etude", START, entry.body) == spot


def test_a_set_piece_comes_back_as_it_was() -> None:
    tempo = Tempo(Fraction(63), Value("eighth", 1))
    piece = SetPiece(
        "etude", "Étude", "c0ffee", "c0ffee.mxl", "0", "32", tempo, START, "x", "y", "2", "z", date(2026, 4, 1)
    )
    entry = piece.to_entry("e1", START, "UTC")
    assert (entry.kind, entry.piece) == ("piece", "etude")
    assert SetPiece.from_body("etude", START, entry.body) == piece


@pytest.mark.parametrize("scale", [Scale(), Scale(NOTCHES, 3), Scale(PER_CENT, 7.5)])
@pytest.mark.parametrize("rule", PRESETS)
def test_a_ladder_comes_back_as_it_was(rule: Any, scale: Scale) -> None:
    ladder = Ladder(42, 72, rule, scale, "eighth", START)
    entry = ladder.to_entry("e1", START, "UTC", "etude", "s1")
    assert Ladder.from_entry(entry) == ladder


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"target": 30}, "cannot be climbed"),
        ({"spot": ""}, "spot is empty"),
        ({"rule": {"name": "x", "in_a_row": 0, "up": 1, "down": 1}}, "in_a_row is 0; it must be a whole number"),
        ({"scale": {"kind": "octaves", "size": 1}}, "kind is 'octaves'; it may be notches or per cent"),
        ({"scale": {"kind": "notches", "size": None}}, "size is None; it must be a number"),
    ],
)
def test_a_ladder_that_makes_no_sense_is_told(changes: dict[str, Any], sentence: str) -> None:
    entry = Ladder(42, 72).to_entry("e1", START, "UTC", "etude", "s1")
    with pytest.raises(ValueError, match=sentence):
        Ladder.from_entry(Entry("e1", START, "UTC", "ladder", "etude", {**entry.body, **changes}))

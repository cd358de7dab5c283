"""What reps say about measures, and the states by their stated rule."""

from dataclasses import replace
from datetime import timedelta
from fractions import Fraction

import pytest
from scipy.stats import beta  # type: ignore[import-untyped]  # comes with partitura, without types

from coach.music.rhythm import Value
from coach.music.tempo import Tempo
from coach.practice.hold import Evidence, Hold
from coach.practice.rep import Rep, Slip
from coach.practice.standing import (
    HOLDS,
    NEARLY,
    NEEDS_WORK,
    UNKNOWN,
    PieceStanding,
    standing,
    state_of,
    told,
    weight_of,
)
from tests.practice.factory import START, rep

MEASURES = ("0", "1", "2", "3", "4", "5", "6", "7", "8", "8~2")
TARGET = Tempo(Fraction(72))
NOW = START + timedelta(hours=1)


def states(reps: list[Rep]) -> dict[str, str]:
    return {one.measure: one.state for one in standing(reps, MEASURES, TARGET, NOW).measures}


def many(count: int, outcome: str = "clean", **fields: object) -> list[Rep]:
    return [rep(f"{outcome}{k}", outcome, **fields) for k in range(count)]  # type: ignore[arg-type]


# --- what a rep says --------------------------------------------------------------------------------------------------


def test_a_clean_rep_speaks_for_all_its_measures() -> None:
    assert told(rep(first="2", last="4"), MEASURES) == {"2": True, "3": True, "4": True}


def test_a_drill_speaks_for_no_measure() -> None:
    """It is easier and harder than the measure at once; its reps count for its own ladder alone."""
    for outcome in ("clean", "slip"):
        drilled = replace(rep(outcome=outcome, first="2", last="2"), drill="swap")
        assert told(drilled, MEASURES) == {}
    reps = [replace(rep(f"r{k}", first="2", last="2", per_minute=72), drill="swap") for k in range(9)]
    assert set(states(reps).values()) == {UNKNOWN}


def test_in_a_finished_run_measures_not_named_were_clean() -> None:
    run = rep(
        outcome="slip", kind="run", first="0", last="8~2", slips=(Slip("3.2", "notes"), Slip("8~2.1g1", "rhythm"))
    )
    assert told(run, MEASURES) == {measure: measure not in ("3", "8~2") for measure in MEASURES}


def test_in_a_run_broken_off_only_the_named_ones_are_told_of() -> None:
    run = rep(outcome="slip", kind="run", first="0", last="8~2", slips=(Slip("3", "notes"),), complete=False)
    assert told(run, MEASURES) == {"3": False}


def test_a_slip_without_a_place_counts_for_all_of_a_short_spot() -> None:
    for slips in ((), (Slip("", "tone"),)):
        assert told(rep(outcome="slip", first="1", last="4", slips=slips), MEASURES) == dict.fromkeys("1234", False)


def test_a_slip_without_a_place_counts_for_less_the_longer_the_spot() -> None:
    for slips in ((), (Slip("", "tone"),)):
        for last, weight in (("1", 1), ("4", 1), ("5", 4 / 5), ("8", 4 / 8)):
            one = rep(outcome="slip", first="1", last=last, slips=slips)
            said = told(one, MEASURES)
            assert set(said.values()) == {False} and len(said) == int(last)
            assert weight_of(one, said) == weight


def test_a_slip_with_its_place_counts_wholly() -> None:
    for slips in ((Slip("2.1", "notes"),), (Slip("2.1", "notes"), Slip("", "tone"))):
        one = rep(outcome="slip", first="1", last="8", slips=slips)
        assert weight_of(one, told(one, MEASURES)) == 1


def test_a_slip_without_a_place_beside_one_with_a_place_leaves_the_rest_of_a_long_spot_open() -> None:
    one = rep(outcome="slip", first="1", last="5", slips=(Slip("2.1", "notes"), Slip("", "tone")))
    assert told(one, MEASURES) == {"2": False}


def test_a_place_outside_the_spot_is_no_place() -> None:
    assert told(rep(outcome="slip", first="1", last="2", slips=(Slip("7.1"),)), MEASURES) == {"1": False, "2": False}


def test_clean_but_broken_off_says_nothing() -> None:
    assert told(rep(complete=False), MEASURES) == {}


def test_measures_that_are_no_longer_there_say_nothing() -> None:
    assert told(rep(first="1", last="99"), MEASURES) == {}


# --- states -----------------------------------------------------------------------------------------------------------


def test_nothing_played_is_unknown() -> None:
    found = standing([], MEASURES, TARGET, NOW)
    assert {one.state for one in found.measures} == {UNKNOWN}
    assert {(one.hold_tempo, one.low, one.high) for one in found.measures} == {(None, None, None)}
    assert found.whole_piece == PieceStanding(None, None, None, None)


def test_three_reps_are_seen() -> None:
    assert states(many(2, first="1", last="2"))["1"] == UNKNOWN
    seen = states(many(3, "slip", first="1", last="2"))
    assert (seen["1"], seen["2"], seen["3"]) == (NEEDS_WORK, NEEDS_WORK, UNKNOWN)


def test_often_clean_at_the_target_holds() -> None:
    assert states(many(8, first="1", last="1", per_minute=72))["1"] == HOLDS


def test_the_fastest_clean_tempo_is_told_beside_the_estimate() -> None:
    """Three clean reps at 43 leave the estimate to the prior above it; a slip faster shows nothing."""
    reps = [*many(3, first="1", last="1", per_minute=43), *many(1, "slip", first="1", last="1", per_minute=70)]
    one = standing(reps, MEASURES, TARGET, NOW).measures[1]
    assert one.shown == pytest.approx(43) and one.hold_tempo is not None and one.hold_tempo > 43
    assert standing(many(3, "slip", first="1", last="1"), MEASURES, TARGET, NOW).measures[1].shown is None


def test_often_clean_only_far_below_needs_work() -> None:
    assert states(many(30, first="1", last="1", per_minute=43))["1"] == NEEDS_WORK


def test_clean_just_below_the_target_nearly_holds() -> None:
    reps = [*many(6, first="1", last="1", per_minute=66), *many(2, "slip", first="1", last="1", per_minute=76)]
    assert states(reps)["1"] == NEARLY


def test_a_long_spot_that_slips_three_times_in_four_does_not_hold() -> None:
    reps = [*many(8, first="1", last="5", per_minute=72), *many(24, "slip", first="1", last="5", per_minute=72)]
    found = states(reps)
    assert {found[measure] for measure in "12345"} == {NEEDS_WORK} and found["6"] == UNKNOWN
    assert states(many(8, first="1", last="5", per_minute=72))["3"] == HOLDS


def test_one_weak_measure_is_told_apart_in_whole_runs() -> None:
    runs = many(8, "slip", kind="run", first="0", last="8~2", per_minute=72, slips=(Slip("5.1", "fingers"),))
    found = states(runs)
    assert found.pop("5") == NEEDS_WORK
    assert set(found.values()) == {HOLDS}


def test_what_is_long_ago_is_unknown_again() -> None:
    reps = many(8, first="1", last="1", per_minute=72)
    later = standing(reps, MEASURES, TARGET, NOW + timedelta(days=120))
    assert later.measures[1].state == UNKNOWN


@pytest.mark.parametrize(
    ("sure", "hold", "shown", "state"),
    [
        (0.8, 80, 72, HOLDS),
        (0.8, 80, 0.97 * 72, HOLDS),
        (0.79, 80, 72, NEARLY),
        (0.9, 80, 0.96 * 72, NEARLY),
        (0.1, 0.9 * 72, 66, NEARLY),
        (0.1, 0.89 * 72, 66, NEEDS_WORK),
        (0.9, 80, 60, NEEDS_WORK),
    ],
)
def test_the_rule_of_the_states(sure: float, hold: float, shown: float, state: str) -> None:
    estimate = Hold(hold, hold * 0.9, hold * 1.1, 0.5, sure)
    assert state_of([Evidence(shown, True), Evidence(90, False)], estimate, 72) == state
    assert state_of([Evidence(72, False)], estimate, 72) == NEEDS_WORK
    assert state_of([Evidence(shown, True)], None, 72) == UNKNOWN


def test_reps_in_another_beat_are_converted() -> None:
    in_eighths = standing(many(8, per_minute=144, beat="eighth"), MEASURES, TARGET, NOW)
    assert in_eighths == standing(many(8, per_minute=72), MEASURES, TARGET, NOW)
    target = Tempo(Fraction(24), Value("half", 1))
    dotted = standing(many(8, per_minute=72), MEASURES, target, NOW).measures[1]
    assert dotted.state == HOLDS
    quarters = in_eighths.measures[1]
    assert dotted.hold_tempo is not None
    assert quarters.hold_tempo is not None
    assert dotted.hold_tempo == pytest.approx(quarters.hold_tempo / 3)


def test_a_measure_may_have_its_own_performance_tempo() -> None:
    local = {"5": Tempo(Fraction(120)), "6": Tempo(Fraction(120))}
    reps = many(8, first="5", last="6", per_minute=72)
    assert standing(reps, MEASURES, TARGET, NOW).measures[5].state == HOLDS
    found = standing(reps, MEASURES, TARGET, NOW, local=local).measures[5]
    assert found.state == NEEDS_WORK
    assert found.hold_tempo is not None
    assert 72 < found.hold_tempo < 120


def test_only_the_cut_is_told_of_but_reps_across_its_ends_count() -> None:
    reps = many(8, first="2", last="4", per_minute=72)
    found = standing(reps, MEASURES, TARGET, NOW, cut=("3", "5"))
    assert [(one.measure, one.state) for one in found.measures] == [("3", HOLDS), ("4", HOLDS), ("5", UNKNOWN)]


# --- the whole --------------------------------------------------------------------------------------------------------


def whole(reps: list[Rep]) -> PieceStanding:
    return standing(reps, MEASURES, TARGET, NOW, cut=("1", "8")).whole_piece


def test_runs_of_the_cut_give_the_chance_of_a_clean_run() -> None:
    runs = [
        *many(3, kind="run", first="1", last="8", per_minute=72),
        *many(1, "slip", kind="cold", first="1", last="8", per_minute=76),
    ]
    found = whole(runs)
    # Jeffreys: (3 + 1/2) / (4 + 1), a hair less for the hour of forgetting (Brown, Cai, DasGupta 2001).
    assert found.now == pytest.approx(0.7, abs=0.001)
    assert found.low is not None
    assert found.high is not None
    assert (found.low, found.high) == pytest.approx(tuple(beta.ppf([0.1, 0.9], 3.5, 1.5)), abs=0.001)  # SciPy
    assert found.on_date is None


@pytest.mark.parametrize(
    "reps",
    [
        many(5, kind="rep", first="1", last="8", per_minute=72),
        many(5, kind="run", first="1", last="7", per_minute=72),
        many(5, kind="run", first="1", last="8", per_minute=60),
        many(5, kind="run", first="1", last="8", per_minute=72, complete=False),
    ],
)
def test_other_reps_say_nothing_about_the_whole(reps: list[Rep]) -> None:
    assert whole(reps) == PieceStanding()


def test_the_document() -> None:
    document = standing(many(8, first="1", last="1", per_minute=72), ("1", "2"), TARGET, NOW).document()
    assert document["schema"] == "coach.progress/1"
    assert list(document) == ["schema", "measures", "whole_piece"]
    assert [list(one) for one in document["measures"]] == [["measure", "state", "hold_tempo", "low", "high"]] * 2
    assert document["measures"][1] == {
        "measure": "2",
        "state": "unknown",
        "hold_tempo": None,
        "low": None,
        "high": None,
    }
    assert document["whole_piece"] == {"now": None, "on_date": None, "low": None, "high": None}

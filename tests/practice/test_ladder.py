"""The ladder against Levitt 1971 and Kaernbach 1991, and on the metronome's scale."""

import math
import random
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coach.music.tempo import METRONOME_MARKS
from coach.practice.ladder import (
    NOTCHES,
    PER_CENT,
    PRESETS,
    Attempt,
    Footing,
    Ladder,
    Rule,
    Scale,
    climb,
    first_ladder,
    preset,
    step,
)

# Levitt H. 1971, JASA 49(2):467-477, figures 4 and 5, as encoded in a public repository of staircase methods and
# replayed by hand (handbook facts, 3.1). C is a correct answer, I an incorrect one; a correct answer makes the next
# trial harder, which he draws downwards and a ladder goes upwards.
FIGURE_4 = "C C I I I I C C I I I C C C C C I I I C C I I I".split()
FIGURE_5 = "C C C C I C I I C I C C C C C I I I C C C C C C".split()


def levels(answers: list[str], in_a_row: int) -> list[int]:
    """Levitt's level of every trial: 0 at the start, one down after each step up the ladder."""
    ladder = Ladder(88, 208, Rule("levitt", "", in_a_row))
    climbed = climb(ladder, [Attempt(answer == "C") for answer in answers])
    return [-(tread.level - ladder.start_level) for tread in climbed.history]


def runs(levels: list[int]) -> list[tuple[int, int]]:
    """(first trial, last trial) of each run, counted from 1: a run is a stretch of steps in one direction, and its last
    trial, the reversal, begins the next one (Levitt 1971, p. 470)."""
    turns, direction = [1], 0
    for k, (a, b) in enumerate(pairwise(levels), 1):
        if a != b and direction and (b > a) != (direction > 0):
            turns.append(_first_at(levels, k))
        direction = b - a or direction
    return list(pairwise(turns))


def _first_at(levels: list[int], trial: int) -> int:
    """The first trial of the plateau that ends with this trial."""
    while trial > 1 and levels[trial - 2] == levels[trial - 1]:
        trial -= 1
    return trial


def midpoint(levels: list[int], run: tuple[int, int]) -> float:
    first, last = run
    return (levels[first - 1] + levels[last - 1]) / 2


def test_levitt_figure_4() -> None:
    track = levels(FIGURE_4, in_a_row=1)
    found = runs(track)
    assert found == list(pairwise([1, 3, 7, 9, 12, 17, 20, 22]))
    midpoints = [midpoint(track, found[k - 1]) for k in (2, 4, 6)]
    assert midpoints == [0.0, 1.5, -0.5]
    assert sum(midpoints) / 3 == pytest.approx(0.333, abs=0.0005)


def test_levitt_figure_4_step_by_step() -> None:
    # One up, one down: the level is the running sum of the answers.
    track = levels(FIGURE_4, in_a_row=1)
    expected, level = [], 0
    for answer in FIGURE_4:
        expected.append(level)
        level += -1 if answer == "C" else 1
    assert track == expected


def test_levitt_figure_5() -> None:
    track = levels(FIGURE_5, in_a_row=2)
    found = runs(track)
    assert [midpoint(track, found[k - 1]) for k in (2, 3, 4)] == [0.0, 1.0, 1.5]


# Where the rules settle: Levitt 1971 for equal steps, Kaernbach 1991 (Percept Psychophys 49:227-229) for unequal ones;
# values of handbook facts, 3.1.
SETTLE = [
    (2, 1, 1, 0.7071),
    (3, 1, 1, 0.7937),
    (4, 1, 1, 0.8409),
    (3, 1, 2, 0.8736),
    (2, 1, 2, 0.8165),
    (1, 1, 3, 0.75),
]


@pytest.mark.parametrize(("in_a_row", "up", "down", "chance"), SETTLE)
def test_a_simulated_player_settles_where_theory_says(in_a_row: int, up: int, down: int, chance: float) -> None:
    """A player whose chance of a clean rep is logistic in the logarithm of the tempo climbs small rungs."""
    ladder = Ladder(100, 1000, Rule("test", "", in_a_row, up, down), Scale(PER_CENT, 0.5))
    player, dice = [1 / (1 + math.exp(4 * math.log(rung / 150))) for rung in ladder.rungs], random.Random(1971)
    footing, total, counted = Footing(ladder.start_level), 0, 0
    for trial in range(150_000):
        if trial >= 1000:
            total, counted = total + footing.level, counted + 1
        footing = step(ladder, footing, dice.random() < player[footing.level])
    assert player[round(total / counted)] == pytest.approx(chance, abs=0.01)
    assert ladder.rule.settles_at == pytest.approx(chance, abs=0.00005)


def test_the_scale_of_the_metronome_is_climbed_notch_by_notch() -> None:
    # The 39 marks of the traditional scale (handbook facts, section 6; Oxford Dictionary of Music gives 40 to 208).
    ladder = Ladder(40, 208)
    assert ladder.rungs == tuple(METRONOME_MARKS)
    assert len(ladder.rungs) == 39


def test_a_rung_may_be_several_notches() -> None:
    assert Ladder(60, 76, scale=Scale(NOTCHES, 2)).rungs == (40, 44, 48, 52, 56, 60, 66, 72, 76)


def test_start_and_target_off_the_scale_are_rungs() -> None:
    assert Ladder(43.2, 51).rungs == (40, 42, 43.2, 44, 46, 48, 50, 51)


def test_below_the_scale_the_click_counts_half_beats() -> None:
    ladder = Ladder(30, 36)
    assert ladder.rungs[0] == 20
    assert ladder.rungs[ladder.start_level :] == (30, 31.5, 33, 34.5, 36)


def test_above_the_scale_the_click_counts_double_beats() -> None:
    assert Ladder(208, 240).rungs[-5:] == (208, 216, 224, 232, 240)


def test_rungs_by_per_cent() -> None:
    ladder = Ladder(60, 72, scale=Scale(PER_CENT, 5))
    assert ladder.rungs[ladder.start_level :] == pytest.approx((60, 63, 66.15, 69.4575, 72))
    assert 40 <= ladder.rungs[0] < 42


def test_start_at_the_target_is_a_ladder() -> None:
    assert Ladder(60, 60).rungs[-1] == 60
    assert climb(Ladder(60, 60), [Attempt(True)] * 3).arrived


def test_it_stays_between_the_ends() -> None:
    ladder = Ladder(42, 44, preset("brisk"))
    assert climb(ladder, [Attempt(False)] * 5).per_minute == 40
    assert climb(ladder, [Attempt(True)] * 9).per_minute == 44


def test_arriving_means_clean_in_a_row_on_the_target() -> None:
    ladder = Ladder(56, 60, preset("brisk"))
    clean, slip = Attempt(True), Attempt(False)
    assert climb(ladder, [clean] * 4).per_minute == 60
    assert not climb(ladder, [clean] * 5).arrived
    assert climb(ladder, [clean] * 6).arrived
    assert climb(ladder, [clean] * 7).arrived
    assert not climb(ladder, [clean] * 6 + [slip]).arrived


def test_undoing_is_following_the_ladder_again() -> None:
    ladder = Ladder(60, 80)
    before = climb(ladder, [Attempt(True)] * 2)
    assert (before.per_minute, before.streak) == (60, 2)
    assert climb(ladder, [Attempt(True)] * 3).per_minute == 63
    assert climb(ladder, [Attempt(True)] * 2) == before


# --- the player outranks the ladder -----------------------------------------------------------------------------------


def test_a_rep_at_another_tempo_moves_the_foot_there() -> None:
    ladder = Ladder(60, 80)
    climbed = climb(ladder, [Attempt(True, 60), Attempt(True, 60), Attempt(True, 72)])
    assert (climbed.per_minute, climbed.streak) == (72, 1)
    assert [tread.per_minute for tread in climbed.history] == [60, 60, 72]


def test_a_slip_at_another_tempo_goes_down_from_there() -> None:
    assert climb(Ladder(60, 80), [Attempt(False, 72)]).per_minute == 69


def test_a_tempo_between_rungs_counts_on_the_nearest() -> None:
    ladder = Ladder(60, 120, scale=Scale(PER_CENT, 10))
    climbed = climb(ladder, [Attempt(True, 60), Attempt(True, 61), Attempt(True, 59)])
    assert climbed.per_minute == pytest.approx(66)


def test_past_the_ends_it_counts_one_way_only() -> None:
    ladder = Ladder(60, 80)
    at_top = [Attempt(True, 80)] * 2
    assert climb(ladder, [*at_top, Attempt(False, 96)]).streak == 2
    assert climb(ladder, [*at_top, Attempt(True, 96)]).arrived
    assert climb(ladder, [Attempt(True, 60), Attempt(True, 30)]).streak == 1
    assert climb(ladder, [Attempt(True, 60), Attempt(False, 30)]).per_minute == 40


def test_breaking_off_without_a_slip_counts_for_nothing() -> None:
    ladder = Ladder(60, 80)
    assert climb(ladder, [Attempt(True), Attempt(True, complete=False), Attempt(True)]).streak == 2
    assert climb(ladder, [Attempt(True), Attempt(False, complete=False)]).per_minute == 58


# --- properties and settings ------------------------------------------------------------------------------------------

tempi = st.floats(10, 400)
ladders = st.builds(
    lambda a, b, rule, scale: Ladder(min(a, b), max(a, b), rule, scale),
    tempi,
    tempi,
    st.sampled_from(PRESETS),
    st.builds(Scale, st.just(NOTCHES), st.integers(1, 6)) | st.builds(Scale, st.just(PER_CENT), st.floats(1, 30)),
)
attempts = st.lists(st.builds(Attempt, st.booleans(), st.none() | tempi, st.booleans()), max_size=30)


@given(ladders)
def test_rungs_rise_and_hold_both_ends(ladder: Ladder) -> None:
    assert all(a < b for a, b in pairwise(ladder.rungs))
    assert ladder.rungs[ladder.start_level] == ladder.start
    assert ladder.rungs[-1] == ladder.target
    assert ladder.rungs[0] >= min(ladder.start, 40 if ladder.start >= 40 else 20)


@given(ladders, tempi)
def test_the_nearest_rung_is_the_nearest_by_ratio(ladder: Ladder, tempo: float) -> None:
    apart = [max(rung, tempo) / min(rung, tempo) for rung in ladder.rungs]
    assert apart[ladder.nearest(tempo)] == pytest.approx(min(apart))


@given(ladders, attempts, attempts)
def test_climbing_on_is_climbing_from_where_one_stands(
    ladder: Ladder, some: list[Attempt], more: list[Attempt]
) -> None:
    whole, part = climb(ladder, some + more), climb(ladder, some)
    assert whole.history[: len(part.history)] == part.history
    assert ladder.rungs[0] <= whole.per_minute <= ladder.target
    assert 0 <= whole.streak < ladder.rule.in_a_row


def test_the_first_ladder_starts_at_a_mark_below_60_per_cent() -> None:
    assert first_ladder(72, "eighth").start == 42
    assert first_ladder(100, "quarter").start == 60
    assert first_ladder(36, "quarter").start == 21


@pytest.mark.parametrize("rule", PRESETS)
def test_presets_are_told_apart_and_settle_between_a_half_and_nine_tenths(rule: Rule) -> None:
    assert preset(rule.name) is rule
    assert rule.words.endswith(".")
    assert 0.5 < rule.settles_at < 0.9


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (lambda: Ladder(80, 60), "cannot be climbed"),
        (lambda: Ladder(0, 60), "cannot be climbed"),
        (lambda: Ladder(math.nan, 60), "cannot be climbed"),
        (lambda: Ladder(60, math.inf), "cannot be climbed"),
        (lambda: Ladder(60, 80, Rule("x", "", 0)), "never moves"),
        (lambda: Ladder(60, 80, Rule("x", "", 1, up=0)), "never moves"),
        (lambda: Ladder(60, 80, scale=Scale(NOTCHES, 0.5)), "no rung"),
        (lambda: Ladder(60, 80, scale=Scale(PER_CENT, 0)), "no rung"),
        (lambda: Ladder(60, 80, scale=Scale("octaves", 1)), "not known"),
        (lambda: preset("heroic"), "the rules are steady"),
    ],
)
def test_a_ladder_that_cannot_be_climbed_is_refused(make: object, words: str) -> None:
    assert callable(make)
    with pytest.raises(ValueError, match=words):
        make()

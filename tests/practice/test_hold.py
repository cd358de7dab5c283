"""The hold tempo: against an independent numerical integration, and calibrated on simulated players."""

import math
import random

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from coach.practice.hold import (
    LAPSE,
    LEAST_ATTEMPTS,
    PRIOR_CENTRE,
    PRIOR_SPREAD,
    SLOPE_WEIGHTS,
    SLOPES,
    Evidence,
    Hold,
    chance_clean,
    estimate,
    prior_chance,
)


def test_the_chance_at_the_hold_tempo_is_four_in_five() -> None:
    for slope in SLOPES:
        assert chance_clean(-0.2, -0.2, slope) == pytest.approx(0.8)
        assert chance_clean(-5, 0, slope) == pytest.approx(1 - LAPSE, abs=1e-6)
        assert chance_clean(5, 0, slope) == pytest.approx(0, abs=1e-6)


def by_numpy(evidence: list[Evidence], target: float) -> tuple[float, float, float, float, float]:
    """The same posterior by brute force on a much finer grid, written from the equations in the module's head."""
    h = np.linspace(-1.8, 0.9, 20_001)
    total = np.zeros_like(h)
    chance = np.zeros_like(h)
    for slope, weight in zip(SLOPES, SLOPE_WEIGHTS, strict=True):
        m = h + math.log(0.8 / (1 - LAPSE - 0.8)) / slope
        density = weight * np.exp(-0.5 * ((h - PRIOR_CENTRE) / PRIOR_SPREAD) ** 2)
        for one in evidence:
            p = (1 - LAPSE) / (1 + np.exp(slope * (math.log(one.per_minute / target) - m)))
            density = density * (p if one.clean else 1 - p) ** (2 ** (-one.age_days / 14))
        total += density
        chance += density * (1 - LAPSE) / (1 + np.exp(-slope * m))
    share = np.cumsum(total) / total.sum()
    low, middle, high = (target * math.exp(float(np.interp(q, share, h))) for q in (0.1, 0.5, 0.9))
    return middle, low, high, float(chance.sum() / total.sum()), float(1 - np.interp(0.0, h, share))


@pytest.mark.parametrize("seed", range(12))
def test_it_is_the_posterior_of_the_stated_model(seed: int) -> None:
    dice, target = random.Random(seed), 72.0
    evidence = [
        Evidence(dice.choice([42, 48, 54, 60, 66, 72, 76]), dice.random() < 0.6, dice.choice([0.0, 0.5, 3.0, 20.0]))
        for _ in range(dice.choice([3, 8, 20, 60]))
    ]
    hold = estimate(evidence, target)
    assert hold is not None
    middle, low, high, chance, sure = by_numpy(evidence, target)
    assert (hold.per_minute, hold.low, hold.high) == pytest.approx((middle, low, high), rel=0.01)
    assert hold.chance == pytest.approx(chance, abs=0.01)
    assert hold.sure == pytest.approx(sure, abs=0.02)


def drawn_players(players: int, attempts: int, seed: int) -> list[tuple[float, Hold]]:
    """(true hold tempo, its estimate) of players drawn from the prior, all with the target 1."""
    dice, result = random.Random(seed), []
    for _ in range(players):
        h = dice.gauss(PRIOR_CENTRE, PRIOR_SPREAD)
        slope = dice.choices(SLOPES, SLOPE_WEIGHTS)[0]
        tempi = [dice.choice([0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 1.0]) for _ in range(attempts)]
        evidence = [Evidence(x, dice.random() < chance_clean(math.log(x), h, slope)) for x in tempi]
        hold = estimate(evidence, 1.0)
        assert hold is not None
        result.append((math.exp(h), hold))
    return result


# Calibration of a posterior (Cook, Gelman, Rubin 2006, J Comput Graph Stat 15:675-692, from memory): for players drawn
# from the prior, what is given a probability p is true in a share p of the cases. 1500 players: two standard errors are
# 2.1 per cent.


@pytest.mark.parametrize("attempts", [4, 25])
def test_the_interval_holds_the_truth_four_times_in_five(attempts: int) -> None:
    players = drawn_players(1500, attempts, 2006)
    covered = sum(hold.low <= truth <= hold.high for truth, hold in players)
    assert covered / len(players) == pytest.approx(0.8, abs=0.025)


@pytest.mark.parametrize("attempts", [10, 25])
def test_players_said_to_be_ready_are_as_often_ready_as_is_said(attempts: int) -> None:
    players = drawn_players(1500, attempts, 1965)
    ready = [(truth >= 1, hold.sure) for truth, hold in players if hold.sure >= 0.8]
    assert len(ready) > 30
    said = sum(sure for _, sure in ready) / len(ready)
    error = math.sqrt(said * (1 - said) / len(ready))
    assert sum(true for true, _ in ready) / len(ready) == pytest.approx(said, abs=2.5 * error)


def test_more_reps_find_the_hold_tempo() -> None:
    dice = random.Random(5)
    truth, slope = math.log(60 / 72), 13.0
    evidence = [
        Evidence(tempo, dice.random() < chance_clean(math.log(tempo / 72), truth, slope))
        for tempo in [dice.choice([48, 52, 56, 60, 63, 66, 69, 72]) for _ in range(500)]
    ]
    hold = estimate(evidence, 72)
    assert hold is not None
    assert hold.per_minute == pytest.approx(60, rel=0.04)
    assert hold.high / hold.low < 1.12


@pytest.mark.parametrize("attempts", range(LEAST_ATTEMPTS))
def test_too_few_attempts_say_nothing(attempts: int) -> None:
    assert estimate([Evidence(60, True)] * attempts, 72) is None


def test_attempts_count_by_their_weight() -> None:
    """Two attempts of half a weight are one attempt; less than three whole ones say nothing."""
    halves = [Evidence(tempo, clean, 0.0, 0.5) for tempo, clean in [(60, True), (60, True), (72, False), (72, False)]]
    assert estimate(halves, 72) is None
    rest = [Evidence(66, True), Evidence(60, True)]
    assert estimate([*halves, *rest], 72) == estimate([Evidence(60, True), Evidence(72, False), *rest], 72)


def test_forgotten_attempts_say_nothing() -> None:
    assert estimate([Evidence(60, True, 90)] * 20, 72) is None
    assert estimate([Evidence(60, True, 90)] * 20, 72, half_life_days=90) is not None


def test_time_widens_the_interval() -> None:
    evidence = [(60.0, True)] * 8 + [(72.0, False)] * 8
    widths = []
    for days in (0, 7, 14, 28):
        hold = estimate([Evidence(tempo, clean, days) for tempo, clean in evidence], 72)
        assert hold is not None
        widths.append(hold.high / hold.low)
    assert widths == sorted(widths)
    assert widths[-1] > 1.1 * widths[0]


def test_something_never_tried_probably_does_not_hold() -> None:
    assert 0.2 < prior_chance() < 0.5


evidences = st.lists(
    st.builds(Evidence, st.floats(1, 1000), st.booleans(), st.floats(0, 30)), min_size=LEAST_ATTEMPTS, max_size=12
)


@given(evidences, st.floats(1, 1000))
def test_any_evidence_gives_an_ordered_estimate(evidence: list[Evidence], target: float) -> None:
    hold = estimate(evidence, target)
    if hold is not None:
        assert 0 < hold.low < hold.per_minute < hold.high
        assert 0 <= hold.chance <= 1
        assert 0 <= hold.sure <= 1


@given(evidences)
def test_at_the_target_a_clean_rep_raises_the_chance_and_a_slip_lowers_it(evidence: list[Evidence]) -> None:
    # Exact for any posterior: E[p p] / E[p] is at least E[p].
    before = estimate(evidence, 72)
    better, worse = estimate([*evidence, Evidence(72, True)], 72), estimate([*evidence, Evidence(72, False)], 72)
    if before is not None:
        assert better is not None
        assert worse is not None
        assert worse.chance - 1e-6 <= before.chance <= better.chance + 1e-6

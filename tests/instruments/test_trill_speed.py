"""How fast the fingers of a trill go, against aggregates of published measurements: Libricky and Hajic 2025, "Modeling
the difficulty of saxophone music", in the project's handbook of facts (table of trill speed by number of keys): up to a
tone, medians of 10.5, 8.4 and 9.9 notes a second for one, two and three keys, the fastest of all 16.5; any interval,
trills a second by keys from one to eleven 4.78, 3.56, 2.72, 2.04, 2.03, 1.89, 1.74, 1.71, 1.50, 1.57, 1.53. How many
fingers a trill moves is read off the chart of trills in the clarinet handbook, section C, or fingered by hand here."""

from itertools import pairwise

import pytest

from coach.config import Settings
from coach.instruments.chart import Player
from coach.instruments.trill_speed import CLOSE, LIMIT, SPURT, WIDE, fastest_trill, moving_fingers
from coach.lesson.fingering import planner_for
from tests.instruments.clarinet import clarinet, midi, saxophone

TRILLS_A_SECOND = (4.78, 3.56, 2.72, 2.04, 2.03, 1.89, 1.74, 1.71, 1.50, 1.57, 1.53)


def test_the_numbers_are_those_measured() -> None:
    """Two notes a trill, rounded to a tenth; what is not slower with more keys counts as they do."""
    assert (CLOSE[0], CLOSE[1], SPURT, LIMIT) == (10.5, 8.4, 14.2, 16.5)
    assert all(abs(ours - 2 * theirs) <= 0.06 for ours, theirs in zip(WIDE, TRILLS_A_SECOND, strict=False))
    for medians in (CLOSE, WIDE):
        assert all(more <= fewer for fewer, more in pairwise(medians))


@pytest.mark.parametrize(
    ("low", "high", "fingers", "rate"),
    [
        ("C5", "D5", 1, 10.5),  # the right F/C key alone
        ("E5", "F5", 1, 10.5),  # the right middle finger alone
        ("A4", "B4", 1, 10.5),  # the top side key alone
        ("E4", "F#4", 1, 10.5),  # both lower side keys, with one finger
        ("Ab3", "Bb3", 2, 8.4),  # middle and ring finger of the right hand
        ("Eb5", "F5", 2, 8.4),
    ],
)
def test_trills_of_the_clarinet(low: str, high: str, fingers: int, rate: float) -> None:
    assert moving_fingers(clarinet(), midi(low), midi(high)) == fingers
    assert fastest_trill(clarinet(), midi(low), midi(high)) == rate


def test_a_wide_trill_is_slower_with_as_many_fingers() -> None:
    """Any interval: A fourth, C4 to F4, moves the three fingers of the left hand: 5.4."""
    assert fastest_trill(clarinet(), midi("C4"), midi("F4")) == 5.4


@pytest.mark.parametrize(
    ("low", "high", "fingers", "rate"),
    [
        ("G4", "A4", 1, 10.5),  # the left ring finger
        ("D4", "E4", 1, 10.5),  # not in the chart's table: the right ring finger
        ("F#4", "Ab4", 2, 8.4),  # not in the table: a finger of each hand
        ("C#5", "D5", 7, 3.5),  # over the break: six fingers and the thumb
        ("Bb3", "B3", 4, 4.1),  # one little finger from key to key: a slide
    ],
)
def test_trills_of_the_alto_saxophone(low: str, high: str, fingers: int, rate: float) -> None:
    assert moving_fingers(saxophone(), midi(low), midi(high)) == fingers
    assert fastest_trill(saxophone(), midi(low), midi(high)) == rate


def test_without_a_chart_or_beyond_it_a_trill_is_taken_for_easy() -> None:
    assert fastest_trill(None, 72, 74) == 10.5
    assert fastest_trill(clarinet(), 20, 22) == 10.5
    assert fastest_trill(clarinet(), 72, 72) == 10.5


def test_the_order_of_the_notes_does_not_matter() -> None:
    assert fastest_trill(clarinet(), midi("F5"), midi("Eb5")) == fastest_trill(clarinet(), midi("Eb5"), midi("F5"))


@pytest.mark.parametrize("size", [1, 2])
def test_no_trill_is_faster_than_any_that_was_measured(size: int) -> None:
    for chart in (clarinet(), saxophone()):
        for low in range(chart.lowest, chart.highest + 1 - size):
            assert 3.0 <= fastest_trill(chart, low, low + size) <= LIMIT


def test_a_players_own_chart() -> None:
    """A player's instrument may lack keys; what is left is reckoned with."""
    bare = clarinet().for_player(Player())
    assert fastest_trill(bare, midi("C5"), midi("D5")) == 10.5
    chart = planner_for(Settings(), "clarinet in B-flat").chart
    assert fastest_trill(chart, midi("Eb5"), midi("F5")) == 8.4

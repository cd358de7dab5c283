"""Tempo and the traditional metronome: 39 marks (handbook facts.md, section 6, check 16; the scale comes from
a horn players' list, its count and increments are derived there)."""

from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coach.music.rhythm import Value
from coach.music.tempo import METRONOME_MARKS, SLOWEST_BEAT, WHOLE_SCALE, Tempo, notch_down, notch_up

PRINTED = (
    "40 42 44 46 48 50 52 54 56 58 60 63 66 69 72 76 80 84 88 92 96 100 104 108 112 116 120 126 132 138 144 152 160 "
    "168 176 184 192 200 208"
)


def test_the_39_marks() -> None:
    assert METRONOME_MARKS == tuple(map(int, PRINTED.split()))
    assert (len(METRONOME_MARKS), SLOWEST_BEAT) == (39, 40)


def test_the_increments() -> None:
    for low, high, step in ((40, 60, 2), (60, 72, 3), (72, 120, 4), (120, 144, 6), (144, 208, 8)):
        inside = [mark for mark in METRONOME_MARKS if low <= mark <= high]
        assert {after - before for before, after in pairwise(inside)} == {step}


def test_the_steps_in_per_cent() -> None:
    steps = [100 * (after / before - 1) for before, after in pairwise(METRONOME_MARKS)]
    geometric = 100 * ((208 / 40) ** (1 / 38) - 1)
    assert (round(min(steps), 2), round(max(steps), 2), round(geometric, 2)) == (3.45, 5.56, 4.43)


def test_the_scale_doubles() -> None:
    assert tuple(2 * mark for mark in METRONOME_MARKS[:17]) == tuple(
        mark for mark in METRONOME_MARKS if 80 <= mark <= 160 and mark % 2 == 0 and mark // 2 in METRONOME_MARKS
    )
    assert {mark // 2 for mark in METRONOME_MARKS if mark >= 160} <= set(METRONOME_MARKS)


@given(st.floats(1, 500))
def test_notches(per_minute: float) -> None:
    up, down = notch_up(per_minute), notch_down(per_minute)
    assert up > per_minute or up == 416
    assert down < per_minute or down == 20
    assert not [mark for mark in METRONOME_MARKS if per_minute < mark < up]
    assert not [mark for mark in METRONOME_MARKS if down < mark < per_minute]


def test_below_and_above_the_marks_the_scale_is_halved_and_doubled() -> None:
    """A tempo below the scale is counted in half beats, which are on it; the steps stay those of the marks."""
    below = [scale for scale in WHOLE_SCALE if scale < 40]
    above = [scale for scale in WHOLE_SCALE if scale > 208]
    assert [2 * half for half in below] == [mark for mark in METRONOME_MARKS if mark < 80]
    assert [double / 2 for double in above] == [mark for mark in METRONOME_MARKS if mark > 104]
    steps = [100 * (after / before - 1) for before, after in pairwise(WHOLE_SCALE)]
    assert (round(min(steps), 2), round(max(steps), 2)) == (3.45, 5.56)


@pytest.mark.parametrize(
    ("here", "up", "down"), [(72, 76, 69), (73, 76, 72), (208, 216, 200), (40, 42, 38), (30, 31.5, 29), (20, 21, 20)]
)
def test_notches_by_name(here: float, up: int, down: int) -> None:
    assert (notch_up(here), notch_down(here)) == (up, down)


@given(st.fractions(min_value=1, max_value=400, max_denominator=12), st.sampled_from(["eighth", "quarter", "half"]))
def test_counting_in_another_unit_keeps_the_speed(per_minute: Fraction, kind: str) -> None:
    tempo = Tempo(per_minute, Value("quarter", 1))
    other = tempo.counted_in(Value(kind))
    assert other.quarters_per_minute == tempo.quarters_per_minute
    assert other.counted_in(Value("quarter", 1)) == tempo


def test_names() -> None:
    assert Tempo(Fraction(72), Value("eighth")).name == "eighth = 72"
    assert Tempo(Fraction(145, 2), Value("quarter", 1)).name == "dotted quarter = 72.5"

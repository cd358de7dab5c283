"""Note values: each half as long as the one before (MusicXML 4.0 `note-type-value`, from 1024th to maxima)."""

from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coach.music.rhythm import VALUE_Q, Value, beat_unit, simplest_value

VALUES = st.builds(Value, st.sampled_from(list(VALUE_Q)), st.integers(0, 3), st.integers(1, 13), st.integers(1, 12))


def test_each_value_is_half_of_the_one_before() -> None:
    assert all(longer == 2 * shorter for longer, shorter in pairwise(VALUE_Q.values()))
    assert len(VALUE_Q) == 14 and VALUE_Q["quarter"] == 1


@given(VALUES)
def test_dots_and_tuplets(value: Value) -> None:
    plain = VALUE_Q[value.kind]
    dotted = sum((plain / 2**k for k in range(value.dots + 1)), Fraction(0))
    assert value.length_q * value.actual == dotted * value.normal


def test_names() -> None:
    assert Value("quarter").name == "quarter"
    assert Value("half", 1).name == "dotted half"
    assert Value("eighth", 2).name == "double-dotted eighth"
    assert Value("16th", 0, 3, 2).name == "16th (3 in 2)"


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("quarter", Value("quarter")), ("Eighth", Value("eighth")), ("dotted quarter", Value("quarter", 1)),
        ("quarter.", Value("quarter", 1)), ("dotted-half", Value("half", 1)), ("half..", Value("half", 2)),
    ],
)  # fmt: skip
def test_beat_units(text: str, value: Value) -> None:
    assert beat_unit(text) == value


@pytest.mark.parametrize(
    "text", ["", "crotchet", "dotted", "quarter eighth", "quarter...", "dotted dotted dotted half"]
)
def test_what_is_no_beat_unit(text: str) -> None:
    with pytest.raises(ValueError, match="is not a beat unit"):
        beat_unit(text)


@given(st.sampled_from(list(VALUE_Q)), st.integers(0, 2))
def test_the_simplest_value_of_a_printed_one(kind: str, dots: int) -> None:
    assert simplest_value(Value(kind, dots).length_q) == Value(kind, dots)


@given(st.fractions(min_value=Fraction(1, 512), max_value=40, max_denominator=600))
def test_the_simplest_value_lasts_as_long(length: Fraction) -> None:
    value = simplest_value(length)
    assert value is None or value.length_q == length
    assert simplest_value(Fraction(5, 4)) is None  # a quarter tied to a 16th

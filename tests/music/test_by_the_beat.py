"""Tied values that show the beats of a compound metre, as any primer of notation has it (common practice)."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coach.music.rhythm import by_the_beat

DOTTED = Fraction(3, 2)


@pytest.mark.parametrize(
    ("length", "at", "names"),
    [
        ("5/2", "0", ["dotted quarter", "quarter"]),
        ("5/2", "2", ["quarter", "dotted quarter"]),
        ("2", "1", []),  # one value says it
        ("11/4", "0", ["dotted quarter", "quarter", "16th"]),
        ("13/4", "1", ["eighth", "dotted quarter", "quarter", "16th"]),
        ("5", "0", ["dotted half", "dotted quarter", "eighth"]),
        ("9/2", "0", ["dotted half", "dotted quarter"]),
        ("5/3", "0", []),
    ],
)
def test_beats_are_shown(length: str, at: str, names: list[str]) -> None:
    assert [value.name for value in by_the_beat(Fraction(length), Fraction(at), DOTTED)] == names


def test_simple_metres_are_left_alone() -> None:
    assert by_the_beat(Fraction(5, 2), Fraction(0), Fraction(1)) == ()


@given(st.integers(1, 96).map(lambda n: Fraction(n, 8)), st.integers(0, 40).map(lambda n: Fraction(n, 8)))
def test_nothing_is_lost(length: Fraction, at: Fraction) -> None:
    values = by_the_beat(length, at, DOTTED)
    assert not values or sum((value.length_q for value in values), Fraction(0)) == length

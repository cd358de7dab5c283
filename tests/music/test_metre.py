"""Metres and keys as any theory primer has them."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coach.music.metre import Key, Metre
from coach.music.rhythm import Value

METRES = st.builds(Metre, st.integers(1, 24), st.sampled_from([1, 2, 4, 8, 16]))


@pytest.mark.parametrize(
    ("metre", "beats", "unit"),
    [
        (Metre(4, 4), 4, Value("quarter")),
        (Metre(3, 4), 3, Value("quarter")),
        (Metre(2, 2), 2, Value("half")),
        (Metre(6, 8), 2, Value("quarter", 1)),
        (Metre(9, 8), 3, Value("quarter", 1)),
        (Metre(12, 8), 4, Value("quarter", 1)),
        (Metre(6, 4), 2, Value("half", 1)),
        (Metre(3, 8), 3, Value("eighth")),
        (Metre(6, 16), 2, Value("eighth", 1)),
    ],
)
def test_felt_beats(metre: Metre, beats: int, unit: Value) -> None:
    assert len(metre.beat_onsets_q()) == beats
    assert metre.beat_unit == unit


def test_additive_metres() -> None:
    metre = Metre(8, 8, (3, 3, 2))
    assert metre.name == "3+3+2/8"
    assert list(metre.beat_onsets_q()) == [0, Fraction(3, 2), 3]
    assert list(metre.beat_onsets_q(Fraction(2))) == [0, Fraction(3, 2)]


@given(METRES, st.fractions(min_value=0, max_value=40, max_denominator=16))
def test_beats_lie_inside_their_measure(metre: Metre, length: Fraction) -> None:
    assert all(0 <= onset < length for onset in metre.beat_onsets_q(length))
    full = metre.beat_onsets_q()
    assert full[0] == 0 and full[-1] < metre.length_q
    assert len(full) * metre.beat_q >= metre.length_q


@pytest.mark.parametrize(
    ("fifths", "name"), [(0, "no sharps or flats"), (1, "1 sharp"), (-1, "1 flat"), (-5, "5 flats"), (7, "7 sharps")]
)
def test_signatures_in_words(fifths: int, name: str) -> None:
    assert Key(fifths).name == name


def test_what_a_key_alters() -> None:
    assert [Key(2).alter_of(step) for step in "CDEFGAB"] == [1, 0, 0, 1, 0, 0, 0]
    assert [Key(-5).alter_of(step) for step in "CDEFGAB"] == [0, -1, -1, 0, -1, -1, -1]
    assert [Key(8).alter_of(step) for step in "CDEFGAB"] == [1, 1, 1, 2, 1, 1, 1]
    free = Key(0, "", (("F", 1), ("E", -1)))
    assert (free.alter_of("F"), free.alter_of("E"), free.alter_of("C")) == (1, -1, 0)
    assert free.name == "its own signature of F# Eb"


@given(st.integers(-14, 14))
def test_alterations_add_up_to_the_signature(fifths: int) -> None:
    assert sum(Key(fifths).alter_of(step) for step in "CDEFGAB") == fifths

"""A trill turned line by line: what each key does to it. Counts are the arithmetic written beside them."""

from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coach.music.pitch import parse_pitch
from coach.prepare.mark import CURVES, Ornament, Shake
from coach.prepare.ornaments.shake import shaken
from coach.screen.stand.shaking import LINES, Shaking, number, shaken_anew, shaking

MAIN, OTHER, LOWER = map(parse_pitch, ("C5", "D5", "B4"))
CLOSE = (LOWER, MAIN)
BEGINS, FIRST, LAST, GROWS, CLOSES = range(len(LINES))


def begun(first: int, last: int, curve: str, close: bool = True) -> Shaking:
    """A trill over four quarters at a quarter a second, the beat a quarter; it can close with B4 C5."""
    quarter = Fraction(1, 4) if close else Fraction(0)
    shake = Shake(
        OTHER, Fraction(0), Fraction(4), Fraction(first), Fraction(last), curve, "main", CLOSE * close, quarter
    )
    other = replace(shake, close=CLOSE, close_q=Fraction(1, 4))
    return shaking(MAIN, shake, [other], Fraction(1), Fraction(1), Fraction(2))


def test_the_values_in_words() -> None:
    assert begun(2, 9, "late").values() == (
        "from the main note",
        "2 a beat, 2 a second",
        "9 a beat, 9 a second",
        "late, near its end",
        "with B4 C5",
    )
    compound = replace(begun(2, 9, "late"), beat_q=Fraction(3, 2), second_q=Fraction(5, 4))
    assert compound.values()[1:3] == ("3 a beat, 2.5 a second", "13.5 a beat, 11.2 a second")  # 2 and 9 times each


@pytest.mark.parametrize(("rate", "up", "down"), [(2, "5/2", "3/2"), (4, "5", "7/2"), (8, "9", "7"), (1, "3/2", "1")])
def test_steps_of_a_rate(rate: int, up: str, down: str) -> None:
    """Half a note where it is slow, whole notes where it is fast; never under one note a quarter."""
    here = begun(rate, 20, "steady")
    assert here.turned(FIRST, 1).shake.first == Fraction(up)
    assert here.turned(FIRST, -1).shake.first == Fraction(down)


def test_the_first_rate_never_passes_the_last() -> None:
    assert begun(5, 5, "steady").turned(FIRST, 1).shake.first == 5
    slower = begun(5, 5, "steady").turned(LAST, -1).shake
    assert slower.first == slower.last == 4


def test_an_even_trill_has_one_rate() -> None:
    even = begun(8, 8, "even")
    for line in (FIRST, LAST):
        turned = even.turned(line, 1).shake
        assert turned.first == turned.last == 9
        assert turned.curve == "even"


def test_growing_comes_back_to_its_slow_beginning() -> None:
    growing = begun(8, 8, "even").turned(GROWS, 1)
    assert growing.shake.curve == "steady"
    assert [growing.shake.first, growing.shake.last] == [2, 8]
    even = growing.turned(GROWS, -1)
    assert even.shake.curve == "even"
    assert even.shake.first == 8
    assert even.turned(GROWS, 1) == growing


def test_it_closes_or_not() -> None:
    closed = begun(2, 9, "steady")
    opened = closed.turned(CLOSES, 1)
    assert (opened.shake.close, opened.values()[CLOSES]) == ((), "with nothing")
    assert opened.turned(CLOSES, 1).shake.close == CLOSE


def test_the_count_is_the_area_under_the_curve() -> None:
    """From 2 to 8 notes a quarter steadily over 4 quarters: the mean, 5, times 4 is 20; it ends on the main note it
    began with, so that the number is odd: 19 or 21."""
    assert begun(2, 8, "steady", close=False).count in (19, 21)


@given(
    st.lists(st.tuples(st.integers(0, len(LINES) - 1), st.sampled_from((-1, 1))), max_size=30), st.sampled_from(CURVES)
)
def test_whatever_is_turned_fills_its_time(turns: list[tuple[int, int]], curve: str) -> None:
    here = begun(8 if curve == "even" else 2, 8, curve)
    for line, by in turns:
        here = here.turned(line, by)
        assert here.shake.first <= here.shake.last
        assert (here.shake.curve != "even") or here.shake.first == here.shake.last
    ornament = Ornament(shaken(MAIN, here.shake), "trill", "lyrical", here.shake)
    made = shaken_anew(ornament, here, [Fraction(k) for k in range(5)])
    assert (made.shake, made.style, made.what) == (here.shake, "", "trill")
    assert made.notes[0].onset_q == 0
    assert sum(note.length_q for note in made.notes) == 4
    for before, after in zip(made.notes, made.notes[1:], strict=False):
        assert before.onset_q + before.length_q == after.onset_q


def test_numbers() -> None:
    assert [number(Fraction(text)) for text in ("3", "25/2", "10/3")] == ["3", "12.5", "3.3"]

"""The curve of a trill: its ends, its beats, a tick for every note. Dots are read by their Unicode names."""

from fractions import Fraction
from itertools import pairwise

import pytest

from coach.music.pitch import parse_pitch
from coach.prepare.mark import Shake
from coach.prepare.ornaments.shake import shaken
from coach.screen.view.canvas import Canvas
from coach.screen.view.glyphs import ASCII, UNICODE, Glyphs
from coach.screen.view.shake_curve import LABEL, draw_shake
from tests.screen.view.braille import dots_of

MAIN, OTHER = parse_pitch("C5"), parse_pitch("D5")
BEATS = [(Fraction(k), str(k % 4 + 1)) for k in range(5)]
SIZE = (40, 6)


def drawn(shake: Shake, glyphs: Glyphs = UNICODE, size: tuple[int, int] = SIZE) -> Canvas:
    # a quarter a second: rates a quarter are rates a second
    return draw_shake(shake, shaken(MAIN, shake), BEATS, Fraction(1), size, glyphs)


def over_four(first: int, last: int, curve: str) -> Shake:
    return Shake(OTHER, Fraction(0), Fraction(4), Fraction(first), Fraction(last), curve)


def heights(canvas: Canvas) -> list[int]:
    """The curve between the beats (their lines are dotted), from left to right: the highest dot of each column."""
    beats = {column for column, _ in enumerate(canvas.cells(5)) if canvas.at(5, column).isdigit()}
    dots = dots_of(canvas, range(4), left=LABEL)
    return [max(at) for x, at in sorted(dots.items()) if x // 2 not in beats and x // 2 + 1 not in beats]


@pytest.mark.parametrize("curve", ["steady", "late", "early"])
def test_it_rises_to_the_top(curve: str) -> None:
    found = heights(drawn(over_four(2, 12, curve)))
    assert all(a <= b for a, b in pairwise(found))
    assert found[-1] >= 14  # of 0 to 15 dots in four rows
    assert found[0] <= 16 * 2 / 12 + 2


def test_late_lies_under_steady_and_early_over_it() -> None:
    late, steady, early = (heights(drawn(over_four(2, 12, curve))) for curve in ("late", "steady", "early"))
    middle = len(steady) // 2
    assert late[middle] < steady[middle] < early[middle]


def test_an_even_trill_is_level() -> None:
    assert len(set(heights(drawn(over_four(8, 8, "even"))))) == 1


def test_rates_and_beats_are_named() -> None:
    canvas = drawn(over_four(2, 12, "steady"))
    assert [canvas.text().splitlines()[0][:4].strip(), canvas.text().splitlines()[5].split()] == [
        "12",
        ["1", "2", "3", "4", "1"],
    ]
    assert any(line[:4].strip() == "2" for line in canvas.text().splitlines())


def test_a_tick_for_every_note() -> None:
    """Wide enough that no two ticks meet: 4 notes in 2 quarters, then two closing ones, taller."""
    close = (parse_pitch("B4"), MAIN)
    shake = Shake(OTHER, Fraction(0), Fraction(4), Fraction(1), Fraction(1), "even", "main", close, Fraction(1, 2))
    notes = shaken(MAIN, shake)
    dots = dots_of(drawn(shake, size=(80, 6)), range(4, 5), left=LABEL)
    assert len(dots) == len(notes)
    assert [len(at) for _, at in sorted(dots.items())] == [2] * (len(notes) - 2) + [4, 4]


@pytest.mark.parametrize("size", [(0, 0), (10, 3), (13, 2), (200, 40)])
def test_any_size(size: tuple[int, int]) -> None:
    canvas = drawn(over_four(2, 12, "late"), size=size)
    assert (canvas.width, canvas.height) == size


def test_plain_ascii() -> None:
    text = drawn(over_four(2, 12, "late"), ASCII).text()
    assert text.isascii() and "*" in text

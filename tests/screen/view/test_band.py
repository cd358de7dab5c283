"""A band under a system: where its line runs, how high, how it is shaded. Dots are read by their Unicode names; the
heights are the arithmetic written beside them."""

from itertools import pairwise
from unicodedata import name

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coach.screen.view.band import Band, Held, band_rows, draw_bands
from coach.screen.view.canvas import Canvas
from coach.screen.view.glyphs import ASCII, UNICODE, Glyphs
from tests.screen.view.braille import dots_of

values = st.floats(0, 1, allow_nan=False)


def drawn(band: Band, places: dict[str, float], stop: float, rows: int = 2, glyphs: Glyphs = UNICODE) -> Canvas:
    canvas = Canvas(40, rows + 2)
    draw_bands(canvas, 1, rows, (band,), places, stop, glyphs)
    return canvas


def line_of(canvas: Canvas, rows: int = 2) -> dict[int, int]:
    """The highest dot of each column of dots, the name at the left left out."""
    return {x: max(heights) for x, heights in dots_of(canvas, range(1, 1 + rows), left=6).items()}


def test_a_note_is_drawn_from_its_head_to_the_next() -> None:
    band = Band("level", {"1.1": Held(1.0, 1.0), "1.2": Held(0.0, 0.0)})
    line = line_of(drawn(band, {"1.1": 20.0, "1.2": 33.0}, 50.0))
    assert sorted(line) == [*range(20, 50)]
    assert {line[x] for x in range(20, 33)} == {7}  # two rows of four dots: 0 to 7
    assert {line[x] for x in range(34, 50)} == {0}


def test_a_step_is_one_line_without_gaps() -> None:
    band = Band("level", {"1.1": Held(0.0, 0.0), "1.2": Held(1.0, 1.0)})
    dots = dots_of(drawn(band, {"1.1": 20.0, "1.2": 30.0}, 40.0), range(1, 3), left=6)
    assert dots[30] == {1, 2, 3, 4, 5, 6, 7}  # up from the 0 of the note before


def test_a_slope_rises_all_the_way() -> None:
    band = Band("level", {"1.1": Held(0.0, 1.0)})
    line = line_of(drawn(band, {"1.1": 20.0}, 76.0))
    assert (line[20], line[75]) == (0, 7)
    assert all(b - a in (0, 1) for a, b in pairwise(line[x] for x in range(20, 76)))


def test_a_rest_breaks_the_line_and_a_grace_does_not() -> None:
    held = Held(0.5, 0.5)
    rest = Band("level", {"1.1": held, "1.2": None, "1.3": held})
    places = {"1.1": 20.0, "1.2": 30.0, "1.3": 40.0, "1.3g1": 36.0}
    assert sorted(line_of(drawn(rest, places, 50.0))) == [*range(20, 30), *range(40, 50)]
    grace = Band("level", {"1.1": held, "1.3": held})
    assert sorted(line_of(drawn(grace, places, 50.0))) == [*range(20, 50)]


def test_shade_is_told_without_colour() -> None:
    """The brighter, the more dots beneath the line; none under a dark note."""
    counts = []
    for shade in (0.0, 0.5, 1.0):
        dots = dots_of(drawn(Band("level", {"1.1": Held(1, 1, shade)}), {"1.1": 20.0}, 60.0), range(1, 3), left=6)
        counts.append(sum(map(len, dots.values())))
    assert counts[0] == 40  # the line alone: one dot in each of 60 - 20 columns
    assert counts[0] < counts[1] < counts[2]


def test_the_name_stands_at_the_left() -> None:
    canvas = drawn(Band("level", {"1.1": Held(1, 1)}), {"1.1": 20.0}, 60.0)
    assert canvas.text().splitlines()[2].startswith("level")
    assert canvas.cells(2)[0][1] == "band-name"


@given(st.lists(values, min_size=1, max_size=6), st.integers(2, 3))
def test_heights(levels: list[float], rows: int) -> None:
    """A held note's line lies at its value, of as many dots as there are."""
    places = {f"1.{k}": 20.0 + 8 * k for k in range(len(levels))}
    band = Band("level", {f"1.{k}": Held(value, value) for k, value in enumerate(levels)})
    line = line_of(drawn(band, places, 20.0 + 8 * len(levels), rows), rows)
    for k, value in enumerate(levels):
        assert abs(line[20 + 8 * k + 4] - value * (4 * rows - 1)) <= 0.5


def test_one_row_has_eight_heights() -> None:
    """The lower blocks of Unicode, by their names in its character database."""
    eighths = ("ONE EIGHTH", "ONE QUARTER", "THREE EIGHTHS", "HALF", "FIVE EIGHTHS", "THREE QUARTERS", "SEVEN EIGHTHS")
    names = [*(f"LOWER {eighth} BLOCK" for eighth in eighths), "FULL BLOCK"]
    band = Band("level", {f"1.{k}": Held(k / 7, k / 7) for k in range(8)})
    canvas = drawn(band, {f"1.{k}": 14.0 + 4 * k for k in range(8)}, 46.0, rows=1)
    row = canvas.text().splitlines()[1]
    assert [name(row[7 + 2 * k]) for k in range(8)] == names
    assert (row[:5], row[5:7]) == ("level", "  ")


@given(st.lists(st.tuples(values, values, values), max_size=8), st.integers(0, 2))
def test_any_band_in_plain_ascii(levels: list[tuple[float, float, float]], rows: int) -> None:
    band = Band("level", {f"1.{k}": Held(*one) for k, one in enumerate(levels)})
    places = {f"1.{k}": 14.0 + 7 * k for k in range(len(levels))}
    assert drawn(band, places, 80.0, rows, ASCII).text().isascii()


def test_ascii_steps() -> None:
    """Two rows of three heights: low, middle, high."""
    band = Band("level", {f"1.{k}": Held(k / 5, k / 5) for k in range(6)})
    canvas = drawn(band, {f"1.{k}": 14.0 + 4 * k for k in range(6)}, 38.0, glyphs=ASCII)
    rows = canvas.text().splitlines()
    assert rows[1][7:] == "      __--''"
    assert rows[2][7:13] == "__--''"


@pytest.mark.parametrize(
    ("count", "systems", "spare", "rows"),
    [
        (1, 1, 5, 2),
        (1, 1, 2, 2),
        (1, 1, 1, 1),
        (1, 1, 0, 0),
        (1, 2, 4, 2),
        (1, 2, 3, 1),  # three rows between two systems: one each
        (1, 2, 1, 0),
        (2, 1, 4, 4),
        (2, 1, 3, 2),  # a row for each of two bands
        (2, 1, 1, 0),
        (0, 1, 9, 0),
    ],
)
def test_only_free_rows_are_taken(count: int, systems: int, spare: int, rows: int) -> None:
    assert band_rows(count, systems, spare) == rows
    assert rows * systems <= spare

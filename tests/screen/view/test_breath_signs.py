"""Planned breaths over the music: between their note and the next, in the first row that is free; and a band's warning
of low values."""

from coach.screen.view.band import LOW_STYLE, Band, Held, draw_bands, fitted
from coach.screen.view.breathing import BreathSign, draw_breaths
from coach.screen.view.canvas import Canvas
from coach.screen.view.glyphs import ASCII, UNICODE

HEADS = {"1.1": 5, "1.2": 20, "2.1": 30}


def test_a_sign_stands_before_the_next_note() -> None:
    canvas = Canvas(40, 2)
    draw_breaths(canvas, (0, 1), HEADS, 38, [BreathSign("1.1", "full"), BreathSign("2.1", "catch", True)])
    row = canvas.text().splitlines()[0]
    assert row.index("[,]") == 17  # three columns, up to the head in column 20
    assert row.index("{(,)}") == 33  # five, up to the end of the music in column 38


def test_a_sign_takes_the_next_row_where_the_first_is_full() -> None:
    canvas = Canvas(40, 2)
    canvas.fill(0, 0, 40, "-")
    draw_breaths(canvas, (0, 1), HEADS, 38, [BreathSign("1.1", "full")])
    assert canvas.text().splitlines()[1].strip() == "[,]"
    canvas.fill(1, 0, 40, "-")
    draw_breaths(canvas, (0, 1), HEADS, 38, [BreathSign("1.2", "full", True)])
    assert "{,}" in canvas.text().splitlines()[1]  # over what is there rather than nowhere


def test_a_sign_before_a_near_note_stands_over_its_own() -> None:
    canvas = Canvas(40, 1)
    draw_breaths(canvas, (0,), {"1.1": 5, "1.2": 37}, 40, [BreathSign("1.2", "catch", True)])
    assert canvas.text().index("{(,)}") == 35  # five columns, up to the end in column 40


def test_a_number_is_never_covered() -> None:
    canvas = Canvas(40, 1)
    canvas.fill(0, 0, 40, "9", "number")
    draw_breaths(canvas, (0,), HEADS, 38, [BreathSign("1.1", "full")])
    assert canvas.text() == "9" * 40


def test_low_values_are_told_by_a_word_and_a_style() -> None:
    band = Band("air", {"1.1": Held(1.0, 0.5), "1.2": Held(0.1, 0.0)}, low=0.2)
    for glyphs in (UNICODE, ASCII):
        canvas = Canvas(40, 2)
        draw_bands(canvas, 0, 2, [band], {"1.1": 20.0, "1.2": 40.0}, 70.0, glyphs)
        cells = canvas.cells(0)
        assert "".join(text for text, style in cells if style == LOW_STYLE) == "low"
        assert [text for text, _ in cells].index("l") == 20  # the column of the head in dot column 40
        assert all(style == LOW_STYLE for _, style in canvas.cells(1)[21:34])


def test_low_values_in_a_single_row() -> None:
    band = Band("air", {"1.1": Held(1.0, 0.5), "1.2": Held(0.1, 0.0)}, low=0.2)
    canvas = Canvas(40, 1)
    draw_bands(canvas, 0, 1, [band], {"1.1": 20.0, "1.2": 40.0}, 70.0, UNICODE)
    assert canvas.cells(0)[20] == ("!", LOW_STYLE)


def test_the_first_bands_stand_where_not_all_fit() -> None:
    level, air = Band("level", {}), Band("air", {})
    assert fitted((level, air), 1, 4) == ((level, air), 4)
    assert fitted((level, air), 2, 4) == ((level, air), 2)
    assert fitted((level, air), 1, 1) == ((level,), 1)
    assert fitted((level, air), 2, 1) == ((), 0)

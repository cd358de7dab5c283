"""Lines too long for a dialog go on below their own words."""

from hypothesis import given
from hypothesis import strategies as st

from coach.screen.hung import hang


def test_the_words_of_a_key_stay_in_their_column() -> None:
    assert hang("  l        loop the measure, or stop looping", 30) == [
        "  l        loop the measure,",
        "           or stop looping",
    ]


def test_a_mark_and_an_item_of_a_list_hang_from_their_words() -> None:
    assert hang("   3  catch breath after C5", 18) == ["   3  catch breath", "      after C5"]
    assert hang("- one two three", 9) == ["- one two", "  three"]


def test_a_line_that_fits_and_an_empty_one_stay() -> None:
    assert hang("  Everywhere", 40) == ["  Everywhere"]
    assert hang("", 40) == [""]


@given(st.lists(st.text("abc, ", max_size=12), max_size=8), st.integers(20, 40))
def test_no_word_is_lost_and_none_is_cut_off(parts: list[str], width: int) -> None:
    line = "  ".join(parts)
    pieces = hang(line, width)
    assert " ".join(pieces).split() == line.split() or max(map(len, line.split())) > width // 2
    assert "".join("".join(pieces).split()) == "".join(line.split())
    assert all(len(piece) <= width for piece in pieces)

"""Places in a measure as players say them."""

from fractions import Fraction

import pytest

from coach.screen.view.glyphs import ASCII, UNICODE
from coach.screen.view.words import beat_text


@pytest.mark.parametrize(
    ("beat", "text", "plain"),
    [("1", "1", "1"), ("5/2", "2½", "2 and 1/2"), ("10/3", "3⅓", "3 and 1/3"), ("13/5", "2 and 3/5", "2 and 3/5")],
)
def test_parts_of_a_beat(beat: str, text: str, plain: str) -> None:
    assert (beat_text(Fraction(beat), UNICODE), beat_text(Fraction(beat), ASCII)) == (text, plain)

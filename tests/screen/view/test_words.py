"""Places in a measure as players say them."""

from fractions import Fraction

import pytest

from coach.music.pitch import parse_pitch
from coach.prepare.mark import Alteration, Comment, Mark, Phrase
from coach.screen.view.glyphs import ASCII, UNICODE
from coach.screen.view.words import beat_text, marked_measure_words
from tests.prepare.factory import part


@pytest.mark.parametrize(
    ("beat", "text", "plain"),
    [("1", "1", "1"), ("5/2", "2½", "2 and 1/2"), ("10/3", "3⅓", "3 and 1/3"), ("13/5", "2 and 3/5", "2 and 3/5")],
)
def test_parts_of_a_beat(beat: str, text: str, plain: str) -> None:
    assert (beat_text(Fraction(beat), UNICODE), beat_text(Fraction(beat), ASCII)) == (text, plain)


def test_marks_name_notes_as_the_page_does_and_keep_the_players_words() -> None:
    played = part("Db5:1 F#4:1 C5:1")
    marks = (
        Mark("a", "1.1", Phrase("1.2")),
        Mark("b", "1.2", Alteration((parse_pitch("Gb4"), parse_pitch("Bbb4")))),
        Mark("c", "1.3", Comment("like the Db5 before")),
    )
    told = marked_measure_words(played, played.measures[0], marks, UNICODE)
    assert "[phrase from D♭5, beat 1 to F♯4, beat 2]" in told
    assert "[G♭4 Bbb4 in its place]" in told  # few terminals have the sign of a double flat
    assert '["like the Db5 before"]' in told
    assert marked_measure_words(played, played.measures[0], marks, ASCII).isascii()

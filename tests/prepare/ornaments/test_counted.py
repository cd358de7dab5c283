"""Ornaments in countable words. The values are those of any primer of notation: a dotted quarter is 3/2 quarters, a
sixteenth of a triplet 1/6, of a quintuplet 1/5, a 32nd of a sextuplet 1/12."""

from dataclasses import replace
from fractions import Fraction as F

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coach.music.pitch import parse_pitch
from coach.prepare.mark import Ornament, OssiaNote, Shake
from coach.prepare.ornaments.counted import MOST_SAID, counted, counted_notes, rate_words, value_words
from coach.prepare.ossia import parse_ossia
from tests.prepare.factory import PITCHES


@pytest.mark.parametrize(
    ("notes", "words"),
    [
        # the half note, three graces and an eighth of trade practice
        ("C5:3/2 Db5:1/6 C5:1/6 Bb4:1/6 C5:1/2", "dotted quarter C5, triplet 16ths Db5 C5 Bb4, eighth C5"),
        ("C5:5/2 Db5:1/4 C5:1/4 Ab4:1", "half tied to an eighth C5, 16ths Db5 C5, quarter Ab4"),
        ("D5:1/5 E5:1/5 D5:1/5 C5:1/5 D5:1/5", "quintuplet 16ths D5 E5 D5 C5 D5"),
        ("D5:1/12 C5:1/12 D5:1/12 C5:1/12 D5:1/12 C5:1/12 D5:1/2", "sextuplet 32nds D5 C5 D5 C5 D5 C5, eighth D5"),
        ("D5:1/9 C5:1/9", "2 32nds in the time of 8 D5 C5"),
        ("r:1/4 C5:7/8 r:1/2 r:1/2", "16th rest, double-dotted eighth C5, 2 eighth rests"),
        ("C5:1/37", "1/37 of a quarter C5"),
    ],
)
def test_note_values(notes: str, words: str) -> None:
    assert counted_notes(parse_ossia(notes)) == words


def test_a_shake_is_counted_by_the_notes_of_each_beat() -> None:
    """2 notes a quarter rising to 4 over 3 quarters less the two closing sixteenths: the onsets are where the integral
    2 t + 0.4 t^2 passes whole numbers (2.5 quarters: 7.5 notes, a whole and odd number of which is 7), and 3 of 7 lie
    before the first quarter has passed."""
    close = (parse_pitch("C5"), parse_pitch("D5"))
    shake = Shake(parse_pitch("E5"), F(0), F(3), F(2), F(4), "steady", "main", close, F(1, 4))
    trill = Ornament(parse_ossia("D5:1 E5:1 D5:1/2 C5:1/4 D5:1/4"), "trill", "", shake)
    words = counted(trill)
    numbers = [int(word) for word in words.split() if word.isdigit()]
    assert words.startswith("trill with E5, ") and words.endswith(" notes a quarter, then 16ths C5 D5")
    assert len(numbers) == 3 and numbers[0] <= numbers[1] and sum(numbers) == 7
    assert counted(trill, F(3, 2)).count("notes a dotted quarter") == 1
    assert rate_words(shake) == "2-4"


def test_what_stands_before_a_shake_is_counted_too() -> None:
    shake = Shake(parse_pitch("E5"), F(1), F(1), F(6), F(6))
    trill = Ornament(parse_ossia("C5:1/2 B4:1/4 C5:1/4 D5:1/6 E5:1/6 D5:1/6 E5:1/6 D5:1/6 E5:1/6"), "trill", "", shake)
    assert counted(trill).startswith("eighth C5, 16ths B4 C5, trill with E5, ")
    assert rate_words(shake) == "6"
    even = Ornament(parse_ossia("D5:2"), "trill", "", replace(shake, onset_q=F(0), length_q=F(2)))
    assert counted(even) == "trill with E5, 6 notes a quarter"
    assert counted(even, F(3, 2)) == "trill with E5, 9 notes a dotted quarter"  # 6 * 3/2


@given(
    st.lists(st.tuples(st.none() | PITCHES, st.fractions(F(1, 64), F(8), max_denominator=64)), min_size=1, max_size=40)
)
def test_every_note_is_named_in_order(notes: list[tuple[object, F]]) -> None:
    at, made = F(0), []
    for pitch, length in notes:
        made.append(OssiaNote(pitch, at, length))  # type: ignore[arg-type]
        at += length
    words = counted_notes(made).replace(",", "").split()
    names = [one.pitch.name for one in made if one.pitch]
    said = [word for word in words if word[0] in "ABCDEFG"]
    assert said == names if len(made) <= MOST_SAID else words == [str(len(made)), "notes"]


@pytest.mark.parametrize(
    ("length", "words"), [(F(5, 4), "quarter tied to a 16th"), (F(4), "whole"), (F(3), "dotted half")]
)
def test_a_length_in_words(length: F, words: str) -> None:
    assert value_words(length) == words

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
        # 1/9 of a quarter is 8/9 of a plain 32nd
        ("D5:1/9 C5:1/9", "2 of 9 32nds in the time of 8 D5 C5"),
        ("C5:1/9" + " D5:1/9 C5:1/9" * 4, "9 32nds in the time of 8 C5" + " D5 C5" * 4),
        ("C5:1/11 D5:1/11" + " C5:1/11 D5:1/11" * 10, "22 32nds in the time of 16 C5 D5" + " C5 D5" * 10),
        ("r:1/4 C5:7/8 r:1/2 r:1/2", "16th rest, double-dotted eighth C5, 2 eighth rests"),
        ("C5:1/37", "1/37 of a quarter C5"),
        # 33 per cent of a half note; 10 and 20 per cent of two halves, 9/20 and 3/20 of a whole note
        ("D5:33/50 C5:67/50", "about a third of a half note D5, the rest C5"),
        ("E5:9/5 D5:3/5 C5:8/5", "about half of a whole note E5, about a sixth D5, the rest C5"),
        ("A4:1 D5:33/100 C5:67/100 B4:1/2", "quarter A4, about a third of a quarter note D5, the rest C5, eighth B4"),
    ],
)
def test_note_values(notes: str, words: str) -> None:
    assert counted_notes(parse_ossia(notes)) == words


def test_a_shake_that_grows_is_counted_by_its_values() -> None:
    """Two eighths, a triplet of eighths, and two sixteenths before the two closing ones fill 2 * 1/2 + 3 * 1/3 +
    2 * 1/4 + 2 * 1/4 = 3 quarters."""
    close = (parse_pitch("C5"), parse_pitch("D5"))
    shake = Shake(parse_pitch("E5"), F(0), F(3), F(2), F(4), "steady", "main", close, F(1, 4))
    form = "D5:1/2 E5:1/2 D5:1/3 E5:1/3 D5:1/3 E5:1/4 D5:1/4 C5:1/4 D5:1/4"
    trill = Ornament(parse_ossia(form), "trill", "", shake)
    assert counted(trill) == "trill with E5, 2 eighths, triplet eighths, 2 16ths, then 16ths C5 D5"
    assert rate_words(shake) == "2-4"
    six = replace(trill, notes=parse_ossia("E5:1 " + "D5:1/6 E5:1/6 " * 3 + "D5:1/4 E5:1/4 C5:1/4 D5:1/4"))
    assert counted(replace(six, shake=replace(shake, start="upper"))) == (
        "trill with E5 from the upper note, 1 quarter, sextuplet 16ths, 2 16ths, then 16ths C5 D5"
    )


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

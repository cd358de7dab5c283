"""Marks in words, read aloud by hand."""

from fractions import Fraction

import pytest

from coach.music.pitch import Pitch
from coach.prepare.mark import (
    Alteration,
    Breath,
    Comment,
    Content,
    Dynamic,
    Fingering,
    Mark,
    Ornament,
    OssiaNote,
    Pace,
    Phrase,
    Reminder,
    Swap,
)
from coach.prepare.place import place_words
from coach.prepare.words import mark_words
from tests.prepare.factory import part

PART = part("C5:1 Db5:1/2 Eb5:1/2 r:1", "E5:g F5:4")
C4 = Pitch("C", 0, 4)


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (Breath(), "full breath after Db5, beat 2"),
        (Fingering("L"), "fingering L on Db5, beat 2"),
        (Swap("L", "R", Fraction(1)), "change from L to R after 1 quarter on Db5, beat 2"),
        (Swap("L", "R", Fraction(3, 2)), "change from L to R after a dotted quarter on Db5, beat 2"),  # 1 + 1/2
        (Swap("L", "R", Fraction(1, 2)), "change from L to R after an eighth on Db5, beat 2"),
        (Swap("L", "R", Fraction(5, 2)), "change from L to R after 2 and 1/2 quarters on Db5, beat 2"),
        (Swap("L", "R", Fraction(2, 3)), "change from L to R after 2/3 of a quarter on Db5, beat 2"),
        (Reminder("double-flat"), "reminder double flat before Db5, beat 2"),
        (Reminder("C"), "reminder C over Db5, beat 2"),
        (Ornament((OssiaNote(C4, Fraction(0), Fraction(1)), OssiaNote(None, Fraction(1), Fraction(1))), "turn"),
         "Db5, beat 2: turn written out as quarter C4, quarter rest"),
        (Dynamic("mf"), "mf at Db5, beat 2"),
        (Dynamic("crescendo", "1.3"), "crescendo from Db5, beat 2 to Eb5, beat 2 and 1/2"),
        # against the mf that holds where nothing is printed; a step is 4 dB (coach/prepare/dynamics/steps.py)
        (Dynamic(level_db=-3.0), "about mp (-3 dB) at Db5, beat 2"),
        (Dynamic("diminuendo", "1.2", -3.0), "diminuendo a little, to about mp (-3 dB) on Db5, beat 2"),
        (Dynamic("crescendo", "1.2", -1.0), "crescendo a little, within mf (to -1 dB) on Db5, beat 2"),
        (Dynamic("diminuendo", "1.3", -9.0),
         "diminuendo to about p (-9 dB) from Db5, beat 2 to Eb5, beat 2 and 1/2"),
        (Alteration((C4,)), "C4 in place of Db5, beat 2"),
        (Phrase("2.1", "1.3"), "phrase from Db5, beat 2 to F5, beat 1 of measure 2, leading to Eb5, beat 2 and 1/2"),
        (Pace("rit.", "2.1"), "rit. from Db5, beat 2 to F5, beat 1 of measure 2"),
        (Pace("fermata", length_q=Fraction(4)), "fermata of 4 quarters on Db5, beat 2"),
        (Comment("sing\nout"), '"sing out" at Db5, beat 2'),
    ],
)  # fmt: skip
def test_each_kind(content: Content, words: str) -> None:
    assert mark_words(Mark("m", "1.2", content), PART) == words


def test_where_it_comes_from_and_whether_it_stands() -> None:
    assert mark_words(Mark("m", "1.1", Breath(), "teacher", "struck"), PART).endswith("beat 1, your teacher's, struck")
    assert mark_words(Mark("m", "1.1", Breath(), "computed", "suggested"), PART).endswith("beat 1, suggested")


def test_graces_rests_and_notes_that_are_gone() -> None:
    assert mark_words(Mark("m", "2.1g1", Comment("x")), PART) == '"x" at grace note E5, beat 1'
    assert mark_words(Mark("m", "1.r1", Breath()), PART) == "full breath after the rest, beat 3"
    assert mark_words(Mark("m", "9.1", Breath()), PART) == "full breath after note 9.1"
    assert place_words(PART, "2.1g1") == "measure 2, beat 1, E5 (grace note)"

"""Mordents and slides. MusicXML 4.0: "mordent" is the sign with the stroke (the lower neighbour), "inverted-mordent"
the one without, `long` makes it longer; values: common practice."""

from coach.music.note import Ornament
from tests.prepare.ornaments.pages import all_words, first, page


def touched(text: str, kind: str, quarter_s: float = 1.0, key: int = 0, **attributes: str) -> str:
    """An ornament on the second note."""
    ornament = Ornament(kind, attributes=tuple(attributes.items()))
    return first(page(text, key=key, ornaments={"1.2": ornament}), "1.2", quarter_s=quarter_s)


def test_both_ways() -> None:
    assert touched("A4:1 C5:1 r:2", "mordent") == "C5:1/8 B4:1/8 C5:3/4"
    assert touched("A4:1 C5:1 r:2", "inverted-mordent") == "C5:1/8 D5:1/8 C5:3/4"
    assert touched("A4:1 C5:1 r:2", "mordent", 0.5) == "C5:1/8 B4:1/8 C5:3/4"


def test_a_long_one_touches_twice() -> None:
    assert touched("A4:1 C5:2 r:1", "mordent", long="yes") == "C5:1/8 B4:1/8 C5:1/8 B4:1/8 C5:3/2"


def test_a_very_short_note_is_a_triplet() -> None:
    """A sixteenth at 120 (0.125 s) has no room for two thirty-seconds and a note."""
    assert touched("A4:1 C5:1/4 r:11/4", "mordent", 0.75) == "C5:1/12 B4:1/12 C5:1/12"


def test_the_neighbour() -> None:
    assert touched("C5:1 F5:1 r:2", "mordent", key=-4) == "F5:1/8 Eb5:1/8 F5:3/4"
    assert touched("Eb5:1 F4:1 r:2", "mordent") == "F4:1/8 E4:1/8 F4:3/4"
    sharp = Ornament("mordent", (("above", "sharp"),))
    assert first(page("G5:1 r:3", ornaments={"1.1": sharp}), "1.1") == "G5:1/8 F#5:1/8 G5:3/4"


def test_the_short_trill_of_the_treatises_is_offered() -> None:
    """From the upper note (C. P. E. Bach 1753, ch. 2): four notes."""
    of = page("A4:1 C5:1 r:2", ornaments={"1.2": Ornament("inverted-mordent")})
    assert "D5:1/6 C5:1/6 D5:1/6 C5:1/2" in all_words(of, "1.2", "treatise")


def test_a_slide_rises_from_the_third_below() -> None:
    assert touched("A4:1 C5:1 r:2", "schleifer") == "A4:1/8 B4:1/8 C5:3/4"
    assert touched("A4:1 D5:1 r:2", "schleifer", key=3) == "B4:1/8 C#5:1/8 D5:3/4"

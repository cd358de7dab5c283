"""Like places, counted by hand: the same figure, wherever it comes again."""

from fractions import Fraction

from coach.music.pitch import Pitch
from coach.prepare.like import content_there, like_places
from coach.prepare.mark import Breath, Dynamic, Fingering, Mark, Ornament, OssiaNote, Phrase
from tests.prepare.factory import part

# Measures 1, 2 and 4 hold one figure; 2 has other lengths; 3 comes to D5 from elsewhere.
PART = part(
    "r:1 C5:1 D5:1 E5:1 r:1", "r:1 C5:1/2 D5:1/2 E5:1/2 r:1", "r:1 B4:1 D5:1 E5:1 r:1", "r:1 C5:1 D5:1 E5:1 r:1"
)


def test_a_hand_depends_on_the_neighbours_and_not_on_lengths() -> None:
    assert like_places(PART, "1.2", "fingering") == ("2.2", "4.2")


def test_a_breath_depends_on_the_rhythm_too() -> None:
    assert like_places(PART, "1.2", "breath") == ("4.2",)
    assert like_places(PART, "1.3", "breath") == ()  # two notes on, the part ends at the last one


def test_a_note_that_is_not_there_has_no_like() -> None:
    assert like_places(PART, "9.9", "fingering") == ()


def test_tied_notes_are_one_note_with_several_heads() -> None:
    tied = part("C5:1 F5:2~", "F5:1 E5:1", "C5:1 F5:2~", "F5:1 E5:1", "C5:1 F5:3 E5:1")
    assert like_places(tied, "2.1", "breath") == ()  # the neighbours two away differ at the start
    assert like_places(tied, "1.2", "swap") == ("3.2",)  # another length of one head is no like place for a swap
    assert like_places(tied, "1.2", "fingering") == ("3.2", "5.2")


def test_graces_and_their_notes() -> None:
    graced = part("C5:1 E5:g D5:1 C5:1", "C5:1 E5:g D5:1 C5:1", "C5:1 D5:1 C5:1")
    assert like_places(graced, "1.2g1", "comment") == ("2.2g1",)
    assert like_places(graced, "1.2", "fingering") == ("2.2",)


def test_a_decision_taken_to_another_place() -> None:
    phrase = Mark("p", "1.1", Phrase("1.3", "1.2"))
    assert content_there(PART, phrase, "4.1") == Phrase("4.3", "4.2")
    assert content_there(PART, Mark("d", "1.2", Dynamic("crescendo", "1.3")), "2.2") == Dynamic("crescendo", "2.3")
    assert content_there(PART, Mark("d", "1.2", Dynamic("crescendo", "2.1")), "4.2") is None  # the part ends before
    assert content_there(PART, Mark("f", "1.2", Fingering("L")), "2.2") == Fingering("L")
    assert content_there(PART, Mark("b", "1.2", Breath("catch")), "2.2") == Breath("catch")


def test_notes_written_out_move_with_their_note() -> None:
    """In measure 1 D5 begins 2 quarters in, in measure 2 one and a half."""
    ossia = Ornament((OssiaNote(Pitch("E", 0, 5), Fraction(2), Fraction(1, 4)),))
    moved = content_there(PART, Mark("o", "1.2", ossia), "2.2")
    assert moved == Ornament((OssiaNote(Pitch("E", 0, 5), Fraction(3, 2), Fraction(1, 4)),))

"""What a player types for a mark, and back."""

from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coach.errors import RequestError
from coach.music.pitch import Pitch
from coach.prepare.fields import from_fields, to_fields
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
    Shake,
    Swap,
)
from coach.prepare.ornaments.shake import sounds
from coach.prepare.typed import HINTS, typed, typed_text
from tests.prepare.factory import contents, part, shakes

F = Fraction
PART = part("C5:1 Db5:2 E5:1", "F5:1 G5:1~", "G5:1 r:1 A5:g B5:1")


@pytest.mark.parametrize(
    ("kind", "text", "content"),
    [
        ("breath", "", Breath()),
        ("breath", "Catch", Breath("catch")),
        ("fingering", "l", Fingering("L")),
        ("fingering", "side key", Fingering("side key")),
        ("swap", "L>R 1", Swap("L", "R", F(1))),
        ("swap", " r > l 3/2 ", Swap("R", "L", F(3, 2))),
        ("swap", "L>R quarter", Swap("L", "R", F(1))),
        ("reminder", "b", Reminder("flat")),
        ("reminder", "#", Reminder("sharp")),
        ("reminder", "x", Reminder("double-sharp")),
        ("reminder", "bb", Reminder("double-flat")),
        ("reminder", "Natural", Reminder("natural")),
        ("reminder", "B", Reminder("B")),
        ("reminder", "Bb", Reminder("Bb")),
        ("reminder", "upper b", Reminder("flat", "upper")),
        ("reminder", "Lower n", Reminder("natural", "lower")),
        # the note begins one quarter into its measure
        ("ornament", "Db5:1/2 r:1/4", Ornament((OssiaNote(Pitch("D", -1, 5), F(1), F(1, 2)),
                                               OssiaNote(None, F(3, 2), F(1, 4))))),
        # a dotted eighth is three quarters of a quarter, a 16th a fourth of one (any primer of notation)
        ("ornament", "Db5:dotted-eighth r:16th", Ornament((OssiaNote(Pitch("D", -1, 5), F(1), F(3, 4)),
                                                     OssiaNote(None, F(7, 4), F(1, 4))))),
        ("ornament", "trill lyrical @-1/2 C5:1/2", Ornament((OssiaNote(Pitch("C", 0, 5), F(1, 2), F(1, 2)),),
                                                            "trill", "lyrical")),
        ("dynamic", "mf", Dynamic("mf")),
        ("dynamic", "<", Dynamic("crescendo", "2.1")),
        ("dynamic", "dim. 2.2", Dynamic("diminuendo", "2.2")),
        ("dynamic", "-3 dB", Dynamic(level_db=-3.0)),
        ("dynamic", "p -3.5dB colour 0.25", Dynamic("p", level_db=-3.5, colour=0.25)),
        ("alteration", "Db4 f#4", Alteration((Pitch("D", -1, 4), Pitch("F", 1, 4)))),
        ("phrase", "", Phrase("2.1")),
        ("phrase", "3.1 2.1", Phrase("3.1", "2.1")),
        ("pace", "rit", Pace("rit.", "2.1")),
        ("pace", "a tempo", Pace("a tempo", "2.1")),
        ("pace", "accel. 3.1", Pace("accel.", "3.1")),
        ("pace", "tenuto 3/2", Pace("tenuto", "", F(3, 2))),
        ("pace", "fermata half.", Pace("fermata", "", F(3))),
        ("pace", "fermata", Pace("fermata")),
        ("comment", "  sing\nout ", Comment("sing\nout")),
    ],
)  # fmt: skip
def test_what_is_typed_is_what_is_meant(kind: str, text: str, content: Content) -> None:
    assert typed(kind, text, PART, "1.2", to="2.1") == content


@pytest.mark.parametrize(
    ("kind", "text"),
    [
        ("breath", "deep"),
        ("fingering", ""),
        ("fingering", "L\x1b[2J"),
        ("swap", "L>R"),
        ("swap", "L>R 2"),  # the note lasts 2 quarters, so it is over then
        ("swap", "L>R 0"),
        ("swap", "L>R 1e400"),
        ("reminder", "h"),
        ("reminder", "upper"),
        ("reminder", "above b"),
        ("ornament", "trill 2 to 900 steady"),
        ("ornament", "trill 2 to 9, with H5"),
        ("ornament", "trill 2 to 9, close Eb5 5"),  # longer than the note
        ("ornament", "Db5:1 shaken 2 to 9"),
        ("ornament", ""),
        ("ornament", "Db5"),
        ("ornament", "H5:1"),
        ("ornament", "Db5:0"),
        ("ornament", "Db5:1/0"),
        ("ornament", "Db5:eighth..."),
        ("ornament", "Db5:crotchety"),
        ("ornament", "C99999999999:1"),
        ("dynamic", ""),
        ("dynamic", "loud"),
        ("dynamic", "mf mf"),
        ("dynamic", "-400dB"),
        ("alteration", ""),
        ("alteration", "Db4 F"),
        ("phrase", "9.9"),
        ("phrase", "1.1"),  # before the mark's note
        ("pace", "rit. 4"),
        ("pace", "slower"),
        ("pace", "tenuto 0"),
        ("comment", " "),
        ("comment", "x" * 2001),
        ("comment", "\x9b31m"),
    ],
)
def test_a_slip_is_told_in_one_sentence_with_what_to_write(kind: str, text: str) -> None:
    with pytest.raises(RequestError) as told:
        typed(kind, text, PART, "1.2")
    sentence = str(told.value)
    assert HINTS[kind] in sentence and sentence.endswith(".") and "\n" not in sentence and sentence.isprintable()


def test_a_held_note_with_its_ties_has_room_for_a_change() -> None:
    assert typed("swap", "L>R 1", PART, "2.2") == Swap("L", "R", F(1))  # 1 + 1 quarters tied


@pytest.mark.parametrize(("kind", "at", "said"), [("bowing", "1.1", "kinds are"), ("breath", "7.7", "no note '7.7'")])
def test_what_there_is_not(kind: str, at: str, said: str) -> None:
    with pytest.raises(RequestError, match=said):
        typed(kind, "full", PART, at)


def test_a_rest_is_not_fingered() -> None:
    with pytest.raises(RequestError, match="A rest is not fingered"):
        typed("fingering", "L", PART, "3.r1")


def test_a_trill_is_typed_in_a_few_words() -> None:
    """The other note by the key (E above D flat in no key), the length that of the note: 2 quarters. The number of
    notes is the integral of the rate, 2 * (2 + 9) / 2 = 11."""
    trill = typed("ornament", "trill lyrical 2 to 9 steady", PART, "1.2")
    assert isinstance(trill, Ornament) and trill.shake is not None
    assert (trill.what, trill.style) == ("trill", "lyrical")
    assert trill.shake == Shake(Pitch("E", 0, 5), F(1), F(2), F(2), F(9), "steady")
    assert sum(one.length_q for one in trill.notes) == 2 and trill.notes[0].onset_q == 1
    assert len(sounds(trill, Pitch("D", -1, 5))) == 11
    assert typed("ornament", typed_text(trill, PART, "1.2"), PART, "1.2") == trill


def test_a_typed_trill_takes_the_closing_graces_of_the_page() -> None:
    """Closing notes stand as graces before the next note, from the lower neighbour (trade practice)."""
    page = part("D5:2 C5:g D5:g E5:2")
    trill = typed("ornament", "trill 8", page, "1.1")
    assert isinstance(trill, Ornament) and trill.shake is not None
    assert [pitch.name for pitch in trill.shake.close] == ["C5", "D5"] and trill.shake.close_q == F(1, 4)
    own = typed("ornament", "trill 8, from upper, close C#5 D5 1/8", page, "1.1")
    assert isinstance(own, Ornament) and own.shake is not None
    assert ([p.name for p in own.shake.close], own.shake.start) == (["C#5", "D5"], "upper")


def test_a_trill_on_a_tie_lasts_to_its_end_and_a_rest_has_none() -> None:
    trill = typed("ornament", "trill 6", PART, "2.2")
    assert isinstance(trill, Ornament) and trill.shake is not None and trill.shake.length_q == 2
    with pytest.raises(RequestError, match="needs a note"):
        typed("ornament", "trill 6", PART, "3.r1")


@given(contents(st.sampled_from(("2.1", "2.2", "3.2"))))
def test_a_content_as_text_is_read_back_to_the_same(content: Content) -> None:
    content = _typable(content)
    kind = Mark("m", "1.2", content).kind
    assert typed(kind, typed_text(content, PART, "1.2"), PART, "1.2") == content


@given(shakes(), st.sampled_from(("trill", "ossia")))
def test_a_shake_as_text_is_read_back_to_the_same(shake: Shake, what: str) -> None:
    trill = Ornament((OssiaNote(Pitch("D", -1, 5), F(1), F(2)),), what, "lyrical", shake)
    assert typed("ornament", typed_text(trill, PART, "1.2"), PART, "1.2") == trill
    assert from_fields("ornament", to_fields(trill)) == trill


def _typable(content: Content) -> Content:
    """The same content within what fits at the note 1.2."""
    match content:
        case Swap():
            return Swap("L", "side", F(1, 2))
        case Fingering(choice):
            return Fingering("R" if choice.strip() in ("l", "r") else choice.strip())
        case Comment(text):
            return Comment(text.strip())
        case Pace(shape, to, length_q):
            return Pace(shape, to, length_q if shape in ("tenuto", "fermata") else None)
        case Ornament():
            return replace(content, notes=tuple(replace(one, onset_q=abs(one.onset_q)) for one in content.notes))
    return content

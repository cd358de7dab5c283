"""Which heads the page has a sign for: the rule of accidentals of standard notation, against music21's own."""

from dataclasses import replace
from fractions import Fraction as F

import music21
from hypothesis import given, settings
from hypothesis import strategies as st

from coach.music.measure import Change
from coach.music.metre import Key
from coach.music.pitch import Pitch
from coach.prepare.mark import Ornament, OssiaNote, Shake
from coach.prepare.reminders.heads import heads
from tests.prepare.reminders.pages import keyed, trilled

PITCHES = st.builds(Pitch, st.sampled_from("CDEFGAB"), st.integers(-1, 1), st.just(4))


@settings(max_examples=80, deadline=None)
@given(st.integers(-7, 7), st.lists(PITCHES, min_size=1, max_size=12))
def test_a_sign_is_shown_where_music21_shows_one(fifths: int, pitches: list[Pitch]) -> None:
    """music21.stream.makeNotation.makeAccidentals without its courtesies, on one measure."""
    page = keyed(fifths, " ".join(f"{pitch.name}:1" for pitch in pitches))
    measure = music21.stream.Measure()
    measure.keySignature = music21.key.KeySignature(fifths)
    notes = [music21.note.Note(pitch.name.replace("b", "-")) for pitch in pitches]
    measure.append(notes)  # type: ignore[no-untyped-call]
    measure.makeAccidentals(
        inPlace=True, overrideStatus=True, cautionaryPitchClass=False, cautionaryNotImmediateRepeat=False
    )
    theirs = [bool(note.pitch.accidental and note.pitch.accidental.displayStatus) for note in notes]
    assert [head.shown for head in heads(page, {})] == theirs


def test_a_sign_is_for_its_own_octave() -> None:
    """The rule of standard notation; music21 10.5.1 lets a natural hold in every octave, so it is not asked here."""
    page = keyed(2, "C4:1 C5:1 C#5:1 C4:1")
    assert [(head.in_force, head.shown) for head in heads(page, {})] == [
        (1, True),
        (1, True),
        (0, True),
        (0, False),
    ]


def test_a_sign_goes_with_a_tie_over_the_barline_and_no_further() -> None:
    """Any primer of notation: the tied note needs no sign, the next one of its kind does."""
    page = keyed(0, "F#5:4~", "F#5:1 G5:1 F#5:1 F5:1")
    assert [(head.shown, head.tied) for head in heads(page, {})] == [
        (True, False),
        (False, True),
        (False, False),
        (True, False),
        (True, False),
    ]


def test_the_key_that_holds_is_that_of_the_place() -> None:
    """A key of two sharps after the second quarter: F sharp and C sharp (circle of fifths)."""
    page = keyed(0, "F5:1 C5:1 F#5:1 C#5:1")
    measure = replace(page.measures[0], changes=(Change(F(2), Key(2)),))
    assert [head.by_key for head in heads(replace(page, measures=(measure,)), {})] == [0, 0, 1, 1]


def test_neighbours_of_a_trill_stand_after_it_and_those_printed_as_graces_are_none() -> None:
    page = keyed(0, "D5:4", "C5:g D5:g E5:4")
    notes = (OssiaNote(Pitch("D", 0, 5), F(0), F(4)),)
    shake = Shake(
        Pitch("E", -1, 5), F(0), F(4), F(8), F(8), close=(Pitch("C", 1, 5), Pitch("D", 0, 5)), close_q=F(1, 4)
    )
    trill = {"1.1": Ornament(notes, "trill", "lyrical", shake)}
    assert [(head.id, head.pitch.name, head.of) for head in heads(page, trill)][:3] == [
        ("1.1", "D5", ""),
        ("1.1", "Eb5", "upper"),
        ("1.1", "C#5", "lower"),
    ]
    printed = {"1.1": Ornament(notes, "trill", "lyrical", replace(shake, close=(Pitch("C", 0, 5),)))}
    assert [head.of for head in heads(page, printed)][:3] == ["", "upper", ""]
    signed = trilled(page, "1.1", "trill-mark", ("above", "flat"))
    assert [head.shown for head in heads(signed, trill) if head.of] == [True, False]

"""Drills of the breath: the phrase in growing lengths, the breath in time, one note at three dynamics."""

from dataclasses import replace

import pytest

from coach.errors import RequestError
from coach.music.metre import Metre
from coach.music.note import Note
from coach.music.piece import Piece
from coach.practice.drills.decided import Decided
from coach.practice.drills.drill import Drill, lengths_of, make
from coach.practice.drills.lengths import breath_phrase
from coach.practice.spot import NO_KEYS
from tests.practice.drills.pieces import RECIPES, piece, text_of

FOUR, NINE = Metre(4, 4), Metre(9, 8)
PHRASE, BREATH, TONE = RECIPES["one-breath"], RECIPES["breath-in-time"], RECIPES["tone-at-three"]


def bars(drill: Drill) -> list[str]:
    return [text_of(measure) for measure in drill.piece.part.measures]


def words(drill: Drill) -> list[tuple[float, str]]:
    return [(float(word.onset_q), word.text) for word in drill.piece.part.words]


def at(drill: Drill, name: str) -> Note:
    return drill.piece.note(name)


# --- the phrase on one breath

# Slurs end on the long notes of measures 2 and 4: good places (common practice: after a slur, after a long note).
SLURRED = piece(
    FOUR,
    "C5:1- D5:1- E5:1- F5:1-", "G5:3 E5:1-", "F5:1- G5:1- A5:1- B5:1-", "C6:3 A5:1-", "G5:1- F5:1- E5:1- D5:1-", "C5:4",
)  # fmt: skip


def test_it_grows_from_good_place_to_good_place() -> None:
    drill = make(PHRASE, SLURRED, "1.1", "6.1")
    first, second = ["C5:1- D5:1- E5:1- F5:1-", "G5:3 r:1"], "C6:3 r:1"
    whole = [text_of(measure) for measure in SLURRED.part.measures]
    assert lengths_of(PHRASE, SLURRED, "1.1", "6.1") == 3
    assert bars(drill) == [*first, "r:4", *whole[:3], second, "r:4", *whole]
    assert [text for _, text in words(drill)] == ["1 of 3", "2 of 3", "all"]
    assert [step.says for step in drill.steps] == [
        "On one breath: as far as G5 in measure 2", "On one breath: as far as C6 in measure 4",
        "On one breath: all of it",
    ]  # fmt: skip


@pytest.mark.parametrize(("length", "measures"), [(1, 2), (2, 4), (3, 6), (4, 6), (20, 6)])
def test_one_length_alone(length: int, measures: int) -> None:
    """A number beyond them is all of it: the score may have been corrected."""
    drill = make(PHRASE, SLURRED, "1.1", "6.1", length=length)
    assert len(drill.piece.part.measures) == measures
    assert len(drill.steps) == 1


def test_without_a_good_place_it_has_one_length_before_the_whole() -> None:
    """Under one slur all the way every place is bad: the least bad one a measure from either end is taken."""
    even = piece(FOUR, *["C5:1- D5:1- E5:1- F5:1-"] * 3, "G5:4")
    assert lengths_of(PHRASE, even, "1.1", "4.1") == 2
    short = piece(FOUR, "C5:1- D5:1- E5:1- F5:1")
    assert lengths_of(PHRASE, short, "1.1", "1.4") == 1


def test_a_breath_that_is_printed_inside_is_left_out() -> None:
    measures = list(SLURRED.part.measures)
    first, *rest = measures[1].notes
    measures[1] = replace(measures[1], notes=(replace(first, breath="comma"), *rest))
    of = replace(SLURRED, part=replace(SLURRED.part, measures=tuple(measures)))
    drill = make(PHRASE, of, "1.1", "6.1")
    assert not any(note.breath for note in drill.piece.part.notes())


def test_it_takes_three_notes_and_sixteen_measures() -> None:
    with pytest.raises(RequestError, match="three notes or more, in 16 measures at most"):
        make(PHRASE, SLURRED, "1.1", "1.2")
    long = piece(FOUR, *["C5:4"] * 17)
    assert make(PHRASE, long, "1.1", "16.1").steps
    with pytest.raises(RequestError, match="16 measures at most"):
        make(PHRASE, long, "1.1", "17.1")


def test_the_phrase_is_from_breath_to_breath() -> None:
    breaths = {"2.1": "full", "4.1": "catch"}
    found = [breath_phrase(SLURRED.part, breaths, name) for name in ("1.3", "2.1", "2.2", "4.1", "6.1")]
    assert [(one.first, one.at, one.after) for one in found if one is not None] == [
        ("1.1", "2.1", "2.2"), ("1.1", "2.1", "2.2"), ("2.2", "4.1", "4.2"), ("2.2", "4.1", "4.2"), ("4.2", "6.1", ""),
    ]  # fmt: skip
    assert breath_phrase(SLURRED.part, {}, "1.1") is None


# --- the breath in time


def breathing(of: Piece, first: str, last: str, size: str = "full") -> Drill:
    return make(BREATH, of, first, last, NO_KEYS, Decided(breaths={first: size}))


def test_two_beats_then_one_then_its_own_time_then_as_printed() -> None:
    """In four beats: two held and two of silence; three and one; both at their place. Here the measure as printed has
    no more than that and is left out. The note after the breath comes on the first beat of its measure."""
    drill = breathing(SLURRED, "2.1", "2.2")
    assert bars(drill) == ["G5:2 r:1 r:1", "E5:4", "G5:3 r:1", "E5:4", "G5:3 E5:1"]
    assert words(drill)[:7] == [
        (0, "two beats"), (2, "out"), (3, "in"), (4, "play"), (8, "one beat"), (11, "out, in"), (12, "play"),
    ]  # fmt: skip


def test_its_own_time_is_a_comma_that_sounds_as_planned() -> None:
    drill = breathing(SLURRED, "4.1", "4.2", "catch")
    assert at(drill, "5.1").breath == "comma" and drill.interpretation.breaths["5.1"] == "catch"
    assert at(drill, "1.1").breath is None and set(drill.interpretation.breaths.values()) == {"catch"}


def test_over_the_barline_in_nine_eighths() -> None:
    """Three beats a measure: four held and two of silence, two held and one of silence."""
    of = piece(NINE, "C5:3 D5:3/2", "E5:9/2")
    drill = breathing(of, "1.2", "2.1")
    assert bars(drill) == [
        "D5:3~ D5:3/2~", "D5:3/2 r:3/2 r:3/2", "E5:3~ E5:3/2", "D5:3 r:3/2", "E5:3~ E5:3/2",
        "r:3 D5:3/2", "E5:9/2", "C5:3 D5:3/2", "E5:9/2",
    ]  # fmt: skip
    assert [text for _, text in words(drill)][-3:] == ["as printed", "out, in", "play"]


@pytest.mark.parametrize("metre", [Metre(1, 4), Metre(2, 4), Metre(3, 8), Metre(5, 8, (3, 2)), Metre(12, 8)])
def test_in_every_metre_the_note_before_has_two_beats(metre: Metre) -> None:
    of = piece(metre, f"C5:{metre.length_q}", f"D5:{metre.length_q}")
    drill = breathing(of, "1.1", "2.1")
    rest = next(note for note in drill.piece.part.notes() if note.pitch is None)
    assert rest.onset_q >= 2 * metre.beat_q
    play = [at_q for at_q, text in words(drill) if text == "play"]
    assert play[0] in {float(measure.onset_q) for measure in drill.piece.part.measures}


def test_without_a_breath_it_does_not_fit() -> None:
    with pytest.raises(RequestError, match="choose a note that a breath follows"):
        make(BREATH, SLURRED, "2.1", "2.2")
    measures = list(SLURRED.part.measures)
    first, *rest = measures[1].notes
    measures[1] = replace(measures[1], notes=(replace(first, breath="comma"), *rest))
    printed = replace(SLURRED, part=replace(SLURRED.part, measures=tuple(measures)))
    assert set(make(BREATH, printed, "2.1", "2.2").interpretation.breaths.values()) == {"full"}


# --- one note at three dynamics


@pytest.mark.parametrize(
    ("metre", "measures"),
    [(FOUR, 2), (Metre(3, 4), 3), (NINE, 3), (Metre(2, 2), 4), (Metre(12, 8), 2), (Metre(6, 4), 4)],
)
def test_each_is_held_for_eight_beats_or_the_whole_measures_of_them(metre: Metre, measures: int) -> None:
    """Eight beats or a little more, and as long a rest between the three."""
    of = piece(metre, f"C5:{metre.length_q}")
    drill = make(TONE, of, "1.1", "1.1")
    sounding = [any(note.pitch for note in measure.notes) for measure in drill.piece.part.measures]
    wanted = [*[True] * measures, *[False] * measures]
    assert sounding == [*wanted, *wanted, *[True] * measures]
    signs = [(mark.mark, int(mark.onset_q / metre.length_q)) for mark in drill.piece.part.dynamics]
    assert signs == [("pp", 0), ("mf", 2 * measures), ("ff", 4 * measures)]
    assert 8 <= measures * metre.length_q / metre.beat_q <= 12


def test_it_is_one_note_each_time() -> None:
    drill = make(TONE, piece(FOUR, "C5:1 D5:3"), "1.1", "1.1")
    heads = list(drill.piece.part.pitched())
    struck = [note for note in heads if note.tie not in ("continue", "stop")]
    assert len(struck) == 3 and {note.pitch.name for note in heads if note.pitch} == {"C5"}

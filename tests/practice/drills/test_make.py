"""Drills of a few notes: what each recipe makes, and what holds for all of them.

What a recipe does is common practice of the trade, as the issue states it; the arithmetic stands beside each check.
"""

from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from coach.config import ClickSettings
from coach.errors import RequestError
from coach.music.metre import Key, Metre
from coach.music.piece import Piece
from coach.music.tempo import Tempo
from coach.practice.drills.bricks import sizes
from coach.practice.drills.drill import Drill, make
from coach.practice.drills.stretch import chains_of
from coach.sound.compile import perform
from coach.sound.performance import TONGUE_GAP_S
from tests.practice.drills.pieces import RECIPES, F, drills, piece, text_of

PATIENT = settings(deadline=None)
FOUR, NINE = Metre(4, 4), Metre(9, 8)
LINE = ("C5:1 G#4:3-", "F#4:2 E4:1- D4:1", "C4:1/2 D4:1/2 E4:1/2 F4:1/2 G4:2")


def bars(drill: Drill) -> list[str]:
    return [text_of(measure) for measure in drill.piece.part.measures]


# --- the swap on a held note


def test_a_swap_is_counted_beat_by_beat_on_a_note_that_never_stops() -> None:
    """Hold, add, release on three beats in a row (the issue), the note tied through; twice, then between its
    neighbours: a beat of the note before, four beats, and three more of the note after fill two measures of four."""
    drill = make(RECIPES["swap"], piece(FOUR, *LINE), "1.2", "1.2", ("L", "R"))
    held = "G#4:1~ G#4:1~ G#4:1~ G#4:1"
    assert bars(drill) == [held, held, "C5:1- G#4:1~ G#4:1~ G#4:1~", "G#4:1- F#4:3"]
    assert [(float(word.onset_q), word.text) for word in drill.piece.part.words][:8] == [
        (0, "hold L"), (1, "add R"), (2, "release L"), (3, "stay"),
        (4, "hold L"), (5, "add R"), (6, "release L"), (7, "stay"),
    ]  # fmt: skip
    assert [(float(word.onset_q), word.text) for word in drill.piece.part.words][8:] == [
        (9, "hold L"), (10, "add R"), (11, "release L"), (12, "stay"),
    ]  # fmt: skip
    assert [drill.step_at(at).says for at in (0, 1.5, 2, 10)] == [
        "beat 1: hold the left key",
        "beat 2: add the right key",
        "beat 3: release the left key",
        "beat 3: add the right key",
    ]


def test_the_held_note_sounds_all_the_while_under_the_click() -> None:
    """At a quarter a second: one note of 4 s but for the tongue at its end, and a click each second."""
    drill = make(RECIPES["swap"], piece(FOUR, *LINE), "1.2", "1.2")
    played = perform(drill.piece, drill.piece.span("1", "1"), tempo=Tempo(F(60)), click=ClickSettings())
    (note,) = played.notes
    assert (note.at_s, note.midi) == (0, 68 - 2)
    assert note.length_s == pytest.approx(4 - TONGUE_GAP_S)
    assert [click.at_s for click in played.clicks if click.at_s >= 0 and click.below_rate is None] == [0, 1, 2, 3]


def test_in_two_beats_the_release_falls_on_the_next_barline() -> None:
    drill = make(RECIPES["swap"], piece(Metre(2, 4), "G#4:2"), "1.1", "1.1")
    assert bars(drill) == ["G#4:1~ G#4:1~", "G#4:1~ G#4:1"] * 2
    assert [word.text for word in drill.piece.part.words][:4] == ["hold 1st", "add 2nd", "release 1st", "stay"]
    assert drill.step_at(2).says == "beat 1: release the first fingering"


def test_in_nine_eighths_the_dotted_quarter_is_the_beat() -> None:
    """Four counts take one measure of three beats and a second one, held to its end."""
    drill = make(RECIPES["swap"], piece(NINE, "F4:3 E4:3/2"), "1.1", "1.1")
    assert bars(drill)[:2] == ["F4:3/2~ F4:3/2~ F4:3/2~", "F4:3/2~ F4:3/2~ F4:3/2"]
    assert [word.onset_q for word in drill.piece.part.words][:4] == [0, F(3, 2), 3, F(9, 2)]


# --- back and forth


def test_the_change_goes_back_and_forth_from_halves_to_sixteenths() -> None:
    """Halves, quarters, eighths, triplets, sixteenths at one tempo (the issue), each a measure of four quarters: 2, 4,
    8, 12 and 16 notes; then the next one in turn is held."""
    notes = piece(FOUR, "C5:1/4 D5:1/4 E5:1/2 r:3")
    drill = make(RECIPES["back-and-forth"], notes, "1.1", "1.2")
    counts = [len(measure.notes) for measure in drill.piece.part.measures]
    assert counts == [2, 4, 8, 12, 16, 1]
    lengths = [{note.length_q for note in measure.notes} for measure in drill.piece.part.measures]
    assert lengths == [{2}, {1}, {F(1, 2)}, {F(1, 3)}, {F(1, 4)}, {4}]
    names = [note.pitch.name for note in drill.piece.part.notes() if note.pitch]
    assert names == (["C5", "D5"] * 22)[:43]
    assert [word.text for word in drill.piece.part.words] == [
        "halves", "quarters", "eighths", "triplet eighths", "16ths", "hold",
    ]  # fmt: skip


def test_each_stage_says_what_it_is() -> None:
    drill = make(RECIPES["back-and-forth"], piece(FOUR, "C5:2 D5:2"), "1.1", "1.2")
    said = [step.says.partition(":")[0] for step in drill.steps]
    assert said == ["halves", "quarters", "eighths", "Hold the last one"]


def test_it_grows_no_faster_than_the_piece_asks_for_but_has_three_stages() -> None:
    halves = make(RECIPES["back-and-forth"], piece(FOUR, "C5:2 D5:2"), "1.1", "1.2")
    assert [len(measure.notes) for measure in halves.piece.part.measures] == [2, 4, 8, 1]


def test_in_compound_time_beats_fall_into_two_three_and_six() -> None:
    """9/8: one note a measure (two measures), one a beat, two, three, six a beat, the last one held."""
    drill = make(RECIPES["back-and-forth"], piece(NINE, "C5:1/4 D5:1/4 r:4"), "1.1", "1.2")
    sounded = [len(chains_of(measure.notes)) for measure in drill.piece.part.measures]
    assert sounded == [1, 1, 3, 6, 9, 18, 1]


def test_each_stage_is_one_slur() -> None:
    drill = make(RECIPES["back-and-forth"], piece(FOUR, "C5:2 D5:2"), "1.1", "1.2")
    slurred = [[note.slurred for note in measure.notes] for measure in drill.piece.part.measures]
    assert slurred == [[True, False], [True] * 3 + [False], [True] * 8, [False]]  # the last change is slurred too


# --- where it stands


def test_the_change_in_its_place_and_what_surrounds_it() -> None:
    drill = make(RECIPES["in-its-measure"], piece(FOUR, *LINE), "3.2", "3.3")
    assert bars(drill) == [
        *["r:1/2 D4:1/2- E4:1/2 r:1/2 r:2"] * 2,
        *["C4:1/2- D4:1/2- E4:1/2- F4:1/2 r:2"] * 2,
        "C4:1/2- D4:1/2- E4:1/2- F4:1/2- G4:2",
        LINE[2],
    ]


def test_a_change_over_the_barline_has_both_measures() -> None:
    drill = make(RECIPES["in-its-measure"], piece(FOUR, *LINE), "1.2", "2.1")
    assert bars(drill)[:2] == ["r:1 G#4:3-", "F#4:2 r:1 r:1"]
    assert bars(drill)[-2:] == list(LINE[:2])


def test_what_comes_out_like_before_is_not_played_again() -> None:
    """A measure of two notes has nothing around the change."""
    drill = make(RECIPES["in-its-measure"], piece(FOUR, "C5:2 D5:2"), "1.1", "1.2")
    assert bars(drill) == ["C5:2- D5:2"] * 2 + ["C5:2 D5:2"]


def test_what_is_printed_as_it_was_slurred_is_not_played_again() -> None:
    """Under one slur without signs on the page, it is as printed already; a staccato is not."""
    notes = piece(FOUR, "C5:1- D5:1- E5:2")
    assert len(bars(make(RECIPES["from-the-front"], notes, "1.1", "1.3"))) == 2  # two notes, then all
    (measure,) = notes.part.measures
    first, *others = measure.notes
    dotted = replace(measure, notes=(replace(first, articulations=("staccato",)), *others))
    dressed = replace(notes, part=replace(notes.part, measures=(dotted,)))
    drill = make(RECIPES["from-the-front"], dressed, "1.1", "1.3")
    assert [measure.notes[0].articulations for measure in drill.piece.part.measures] == [(), (), ("staccato",)]


def test_a_measure_grows_from_its_front() -> None:
    drill = make(RECIPES["from-the-front"], piece(FOUR, *LINE), "3.1", "3.5")
    assert bars(drill) == [
        "C4:1/2- D4:1/2 r:1 r:2",
        "C4:1/2- D4:1/2- E4:1/2 r:1/2 r:2",
        "C4:1/2- D4:1/2- E4:1/2- F4:1/2 r:2",
        "C4:1/2- D4:1/2- E4:1/2- F4:1/2- G4:2",
        LINE[2],
    ]
    assert [word.text for word in drill.piece.part.words] == ["2 notes", "3 notes", "4 notes", "all", "as printed"]


def test_and_from_its_end() -> None:
    drill = make(RECIPES["from-the-end"], piece(FOUR, *LINE), "3.1", "3.5")
    assert bars(drill)[:2] == ["r:1 r:1/2 F4:1/2- G4:2", "r:1 E4:1/2- F4:1/2- G4:2"]
    assert bars(drill)[-1] == LINE[2]


def test_slurred_first_then_as_printed() -> None:
    drill = make(RECIPES["slurred-first"], piece(FOUR, LINE[1]), "1.1", "1.3")
    assert bars(drill) == ["F#4:2- E4:1- D4:1"] * 2 + [LINE[1]] * 2


@given(st.integers(2, 200), st.integers(1, 24))
def test_rounds_grow_to_all_in_as_many_as_there_may_be(count: int, rounds: int) -> None:
    found = sizes(count, rounds)
    assert found[-1] == count and all(a < b for a, b in pairwise(found)) and len(found) <= rounds
    assert found[0] == 2 or len(found) == 1
    if rounds >= count - 1:
        assert found == list(range(2, count + 1))  # note by note


def test_a_metre_that_the_page_does_not_set_is_the_one_that_is_filled() -> None:
    free = piece(Metre(7, 8), "C5:2 D5:3/2")
    (measure,) = free.part.measures
    for metre in (None, Metre(2, 4)):
        odd = replace(free, part=replace(free.part, measures=(replace(measure, metre=metre),)))
        drill = make(RECIPES["slurred-first"], odd, "1.1", "1.2")
        assert {one.metre for one in drill.piece.part.measures} == {Metre(7, 8)}


def test_an_upbeat_is_played_at_the_end_of_a_whole_measure() -> None:
    short = piece(Metre(2, 4), "C5:1 D5:1")
    (measure,) = short.part.measures
    upbeat = replace(measure, metre=FOUR, pickup=True)
    drill = make(RECIPES["slurred-first"], replace(short, part=replace(short.part, measures=(upbeat,))), "1.1", "1.2")
    assert bars(drill)[0] == "r:1 r:1 C5:1- D5:1"


# --- what holds for all


@PATIENT
@given(drills())
def test_every_drill_is_whole_measures_of_the_stretch(found: tuple[Piece, Drill, set[int]]) -> None:
    of, drill, may = found
    part = drill.piece.part
    names = [note.id for note in part.notes()]
    assert len(set(names)) == len(names)
    assert {note.pitch.midi for note in part.pitched() if note.pitch} <= may
    assert part.transposition == of.part.transposition
    onset = Fraction(0)
    for measure in part.measures:
        metre = of.part.measures[0].metre
        assert metre is not None and (measure.metre, measure.length_q) == (metre, metre.length_q)
        assert (measure.onset_q, measure.key, measure.clef) == (
            onset, of.part.measures[0].key, of.part.measures[0].clef,
        )  # fmt: skip
        for note in measure.notes:
            assert (note.onset_q, note.measure) == (onset, measure.id)
            assert note.value is None or note.value.length_q == note.length_q
            onset += note.length_q
        assert onset == measure.end_q


@PATIENT
@given(drills())
def test_joins_lead_somewhere(found: tuple[Piece, Drill, set[int]]) -> None:
    """A tie leads to the same pitch, a slur to a note; slurs begin and end in pairs."""
    _, drill, _ = found
    notes = list(drill.piece.part.notes())
    opened: set[int] = set()
    for note, after in zip(notes, [*notes[1:], None], strict=True):
        if note.tie in ("start", "continue"):
            assert after is not None and after.pitch == note.pitch and after.tie in ("continue", "stop")
        for end in note.slurs:
            assert (end.number in opened) == (end.kind == "stop")
            opened ^= {end.number}
        assert note.slurred == bool(opened)
        assert not note.slurred or (after is not None and after.pitch is not None)
    assert not opened


@PATIENT
@given(drills())
def test_what_is_slurred_first_is_joined_and_bare(found: tuple[Piece, Drill, set[int]]) -> None:
    """Outside "as printed" only a rest or the end of a stage parts two notes, and nothing is written at them."""
    _, drill, _ = found
    assume(drill.recipe.works_on not in ("phrase", "breath"))  # which are as printed from the beginning
    as_printed = {"as printed", "free", "as decided"}
    printed_q = min((word.onset_q for word in drill.piece.part.words if word.text in as_printed), default=None)
    starts = {word.onset_q for word in drill.piece.part.words}
    notes = [note for note in drill.piece.part.notes() if printed_q is None or note.onset_q < printed_q]
    assert not any(note.articulations or note.ornaments or note.fermata for note in notes)
    for note, after in pairwise(notes):
        if note.pitch is not None and after.pitch is not None and after.onset_q not in starts:
            joined = note.slurred or note.tie in ("start", "continue")
            assert joined or after.onset_q in {measure.onset_q for measure in drill.piece.part.measures}


def test_accidentals_are_printed_where_the_measure_needs_them() -> None:
    """The rule of common notation: an accidental holds for its line to the end of the measure."""
    notes = piece(FOUR, "Bb4:1 B4:1 Bb4:1 F#4:1", key=Key(-1))
    drill = make(RECIPES["slurred-first"], notes, "1.1", "1.4")
    (first, *_) = drill.piece.part.measures
    assert [note.accidental for note in first.notes] == [None, "natural", "flat", "sharp"]


# --- what does not fit


@pytest.mark.parametrize(
    ("recipe", "first", "last", "words"),
    [
        ("swap", "3.1", "3.1", "a beat or more"),
        ("swap", "1.1", "1.2", "a beat or more"),
        ("back-and-forth", "1.1", "2.1", "another one follows at once"),
        ("back-and-forth", "1.1", "1.1", "another one follows at once"),
        ("from-the-front", "1.1", "1.1", "two notes or more"),
        ("swap", "9.1", "9.1", "no note 9.1"),
        ("from-the-end", "2.1", "1.1", "run backwards"),
    ],
)
def test_what_does_not_fit_is_refused(recipe: str, first: str, last: str, words: str) -> None:
    with pytest.raises(RequestError, match=words):
        make(RECIPES[recipe], piece(FOUR, *LINE), first, last)


def test_what_would_take_minutes_is_no_drill() -> None:
    """Three measures are a spot; the change back and forth is as short after a long note as after any other."""
    notes = piece(FOUR, "C5:4~", "C5:4~", "C5:3 D5:1", "E5:4", "F5:4")
    for recipe, last in (("slurred-first", "4.1"), ("in-its-measure", "3.2")):
        with pytest.raises(RequestError, match="one or two measures"):
            make(RECIPES[recipe], notes, "1.1", last)
    drill = make(RECIPES["back-and-forth"], notes, "1.1", "3.2")
    assert [len(measure.notes) for measure in drill.piece.part.measures] == [2, 4, 8, 1]


def test_a_stretch_is_cut_out_of_what_is_tied_to_it() -> None:
    """Measures 2 and 3 begin and end inside tied notes; neither measure 1 nor 4 is drawn in."""
    notes = piece(FOUR, "C5:4~", "C5:1 D5:3", "E5:2 F5:2~", "F5:4")
    drill = make(RECIPES["slurred-first"], notes, "2.1", "3.2")
    assert bars(drill)[:2] == ["C5:1- D5:3-", "E5:2- F5:2"]
    assert bars(drill)[-2:] == ["C5:1 D5:3", "E5:2 F5:2"]
    for recipe in ("slurred-first", "swap"):
        with pytest.raises(RequestError, match="run backwards"):
            make(RECIPES[recipe], notes, "2.1", "1.1")


def test_a_rest_parts_a_change_and_the_same_pitch_is_none() -> None:
    apart = piece(FOUR, "C5:1 r:1 D5:1 D5:1")
    for first, last in (("1.1", "1.2"), ("1.2", "1.3")):
        with pytest.raises(RequestError, match="follows at once"):
            make(RECIPES["back-and-forth"], apart, first, last)

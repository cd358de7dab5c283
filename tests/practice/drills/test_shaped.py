"""Drills for leaps and long tones: their notes, and the dynamics printed in them."""

from dataclasses import replace

import pytest

from coach.errors import RequestError
from coach.music.metre import Metre
from coach.music.part import DynamicMark, Hairpin
from coach.practice.drills.decided import Decided, beyond
from coach.practice.drills.drill import Drill, make
from coach.practice.spot import NO_KEYS
from coach.prepare.dynamics.line import dynamic_line
from tests.practice.drills.pieces import RECIPES, F, decided, piece, text_of

FOUR = Metre(4, 4)
# Dynamics in this program's decibels against mezzoforte, 4 dB a step: mp -4, p -8, f 4 (coach/prepare/dynamics).
MP, P, F_ = -4.0, -8.0, 4.0


def bars(drill: Drill) -> list[str]:
    return [text_of(measure) for measure in drill.piece.part.measures]


def signs(drill: Drill) -> list[tuple[float, str]]:
    return [(float(mark.onset_q), mark.mark) for mark in drill.piece.part.dynamics]


def hairpins(drill: Drill) -> list[tuple[str, float, float]]:
    return [(one.kind, float(one.start_q), float(one.end_q)) for one in drill.piece.part.hairpins]


# --- the leap

# Three notes before an octave leap into piano (common practice of the trade: they make a small crescendo).
LEAP = piece(FOUR, "A4:1 B4:1 C5:1 D5:1", "D6:2 C6:2")
LOUD = Decided({}, {"1.1": (MP, MP), "1.2": (MP, MP), "1.3": (MP, MP), "1.4": (MP, MP), "2.1": (P, P)})


def test_the_leap_alone_then_one_note_more_each_time() -> None:
    drill = make(RECIPES["lead-and-leap"], LEAP, "1.4", "2.1", NO_KEYS, LOUD)
    landing = "D6:2 r:2"
    assert bars(drill) == [
        "r:1 r:1 r:1 D5:1-", landing,
        "r:1 r:1 C5:1- D5:1-", landing,
        "r:1 B4:1- C5:1- D5:1-", landing,
        "A4:1- B4:1- C5:1- D5:1-", landing,
        "A4:1 B4:1 C5:1 D5:1", landing,
    ]  # fmt: skip
    assert [word.text for word in drill.piece.part.words] == [
        "the leap", "1 before", "2 before", "3 before", "as printed",
    ]  # fmt: skip
    assert [step.says.partition(": ")[2] for step in drill.steps][:3] == [
        "the leap alone", "with 1 note before it", "with 2 notes before it",
    ]  # fmt: skip


def test_it_grows_up_to_the_arrival_and_arrives_soft() -> None:
    """The dynamic that is decided at the first note, a crescendo up to the arrival, and the arrival's own dynamic."""
    drill = make(RECIPES["lead-and-leap"], LEAP, "1.4", "2.1", NO_KEYS, LOUD)
    assert signs(drill) == [(3, "mp"), (4, "p"), (10, "mp"), (12, "p"), (17, "mp"), (20, "p"), (24, "mp"), (28, "p"),
                            (32, "mp"), (36, "p")]  # fmt: skip
    assert hairpins(drill) == [
        ("crescendo", at - size, at) for at, size in ((4, 1), (12, 2), (20, 3), (28, 4), (36, 4))
    ]


def test_its_level_rises_before_the_leap_and_falls_at_it() -> None:
    """What sounds: each note before the leap louder than the one before it, the arrival softer."""
    drill = make(RECIPES["lead-and-leap"], LEAP, "1.4", "2.1", NO_KEYS, LOUD)
    line = {one.at: one.level_db for one in dynamic_line(drill.piece.part)}
    rising = [line[name] for name in ("7.1", "7.2", "7.3", "7.4")]
    assert rising == sorted(rising) and rising[0] < rising[-1]
    assert line["8.1"] < rising[0]


@pytest.mark.parametrize(
    ("notes", "last", "fitting"),
    [
        ("C5:2 G5:2", "1.2", {"lead-and-leap"}),  # a fifth, seven semitones
        ("C5:2 Gb5:2", "1.2", set()),
        ("C5:2 F4:2", "1.2", {"leap-down"}),
        ("C5:2 F#4:2", "1.2", set()),
    ],
)
def test_a_leap_is_a_fifth_or_more(notes: str, last: str, fitting: set[str]) -> None:
    of = piece(FOUR, notes)
    for name in ("lead-and-leap", "leap-down"):
        if name in fitting:
            assert make(RECIPES[name], of, "1.1", last).piece.part.measures
        else:
            with pytest.raises(RequestError, match="7 semitones (higher|lower) or more"):
                make(RECIPES[name], of, "1.1", last)


def test_down_there_is_no_crescendo() -> None:
    of = piece(FOUR, "A5:2 A4:2")
    drill = make(RECIPES["leap-down"], of, "1.1", "1.2", NO_KEYS, Decided({}, {"1.1": (F_, F_), "1.2": (P, P)}))
    assert signs(drill)[:2] == [(0, "f"), (2, "p")] and hairpins(drill) == []


def test_the_lead_in_ends_at_a_rest_and_takes_two_measures_at_most() -> None:
    rest = piece(FOUR, "A4:1 r:1 C5:1 D5:1", "D6:4")
    assert bars(make(RECIPES["lead-and-leap"], rest, "1.3", "2.1"))[-2:] == ["r:1 r:1 C5:1 D5:1", "D6:4"]
    far = piece(FOUR, "A4:1 B4:1 C5:1 D5:1", "E5:4", "E6:4")
    assert bars(make(RECIPES["lead-and-leap"], far, "2.1", "3.1"))[:2] == ["E5:4-", "E6:4"]
    near = piece(FOUR, "A4:1 B4:1 C5:1 D5:1", "E5:2 E6:2")
    assert bars(make(RECIPES["lead-and-leap"], near, "2.1", "2.2"))[-2:] == ["r:1 B4:1 C5:1 D5:1", "E5:2 E6:2"]


# --- long tones


def test_each_long_note_is_held_with_its_dynamics_then_there_is_rest() -> None:
    """From p to f under a hairpin, then f throughout; the note of half a beat is no long one."""
    of = piece(FOUR, "C5:5/2 D5:1/2 E5:1", "F5:4")
    known = Decided({}, {"1.1": (P, F_), "1.2": (F_, F_), "1.3": (F_, F_), "2.1": (F_, F_)})
    drill = make(RECIPES["long-tones"], of, "1.1", "2.1", NO_KEYS, known)
    assert bars(drill) == ["C5:3~ C5:1", "r:4", "E5:4", "r:4", "F5:4", "r:4"]
    assert signs(drill) == [(0, "p"), (3, "f"), (8, "f"), (16, "f")]
    assert hairpins(drill) == [("crescendo", 0, 3)]
    assert [step.says for step in drill.steps][:2] == [
        "C5, from p to f; then breathe through the rest",
        "E5, f throughout; then breathe through the rest",
    ]


def test_a_small_move_is_a_step_and_a_smaller_one_none() -> None:
    """2 dB up are shown as one dynamic more; 1 dB is not shown."""
    of = piece(FOUR, "C5:2 D5:2")
    drill = make(
        RECIPES["long-tones"], of, "1.1", "1.2", NO_KEYS, Decided({}, {"1.1": (P, P + 1.9), "1.2": (P, P - 1)})
    )
    assert signs(drill) == [(0, "p"), (3, "mp"), (8, "p")]
    fades = Decided({}, {"1.1": (P, P - 1.9), "1.2": (P, P)})
    drill = make(RECIPES["long-tones"], of, "1.1", "1.2", NO_KEYS, fades)
    assert hairpins(drill) == [("diminuendo", 0, 3)]


@pytest.mark.parametrize(
    ("metre", "measures", "silent"),
    [(Metre(2, 4), 2, 1), (Metre(3, 4), 2, 1), (Metre(9, 8), 2, 1), (Metre(12, 8), 1, 1), (Metre(1, 4), 4, 2)],
)
def test_a_long_tone_lasts_four_beats_or_more_in_whole_measures(metre: Metre, measures: int, silent: int) -> None:
    of = piece(metre, f"C5:{metre.length_q}", f"D5:{metre.length_q}")
    drill = make(RECIPES["long-tones"], of, "1.1", "2.1")
    sounding = [any(note.pitch for note in measure.notes) for measure in drill.piece.part.measures]
    assert sounding == ([True] * measures + [False] * silent) * 2


def test_there_are_six_at_most_the_longest_ones() -> None:
    of = piece(FOUR, *["C5:1 D5:2 E5:1"] * 8)
    drill = make(RECIPES["long-tones"], of, "1.1", "8.3")
    names = [note.pitch.name for note in drill.piece.part.pitched() if note.pitch]
    assert names == ["D5"] * 6
    with pytest.raises(RequestError, match="does not fit"):
        make(RECIPES["long-tones"], piece(FOUR, *["C5:4"] * 17), "1.1", "17.1")


def test_the_ends_of_the_scale_of_dynamics() -> None:
    assert (beyond("p", 1), beyond("pppp", -1), beyond("ffff", 1), beyond("mf", -1)) == ("mp", "pppp", "ffff", "mp")


# --- what is as printed


def test_as_printed_has_the_dynamics_of_the_page() -> None:
    of = piece(FOUR, "C5:1 D5:1 E5:1 F5:1")
    notes = list(of.part.measures[0].notes)
    shown = ("p", "p", "p", "f")
    marked = tuple(
        replace(note, dynamic=level, hairpin="crescendo" if k in (1, 2) else None, articulations=("tenuto",))
        for k, (note, level) in enumerate(zip(notes, shown, strict=True))
    )
    measure = replace(of.part.measures[0], notes=marked)
    part = replace(
        of.part,
        measures=(measure,),
        dynamics=(DynamicMark(F(0), "p"), DynamicMark(F(3), "f")),
        hairpins=(Hairpin("crescendo", F(1), F(3)),),
    )
    drill = make(RECIPES["slurred-first"], replace(of, part=part), "1.1", "1.4")
    assert signs(drill) == [(8, "p"), (11, "f"), (12, "p"), (15, "f")]  # the slurred ones have none
    assert hairpins(drill) == [("crescendo", 9, 11), ("crescendo", 13, 15)]


def test_levels_come_from_the_page_where_nothing_is_marked() -> None:
    of = piece(FOUR, "C5:2 D5:2")
    part = replace(of.part, dynamics=(DynamicMark(F(0), "pp"),), hairpins=(Hairpin("crescendo", F(2), F(4)),))
    known = decided(replace(of, part=part))
    assert known.level_of("1.1") == (-12, -12)  # three steps of 4 dB: mp, p, pp
    start, end = known.level_of("1.2")
    assert start == -12 and end > start

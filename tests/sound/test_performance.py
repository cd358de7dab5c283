"""Notes as they sound. Lengths at quarter = 120 and transposition are the handbook's facts, sections 2.2 and 9; how
much of its length a staccato or a tongued note sounds is trade practice."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coach.config import ClickSettings
from coach.music.measure import Measure
from coach.music.metre import Clef, Key, Metre
from coach.music.note import Ornament
from coach.music.part import Part
from coach.music.pitch import Transposition, parse_pitch
from coach.sound.compile import perform
from coach.sound.line import GRACE_S
from coach.sound.performance import TONGUE_GAP_S
from tests.sound.hand import QUIET, bars, grace, measure, n, piece, played, quarter, solo


def test_written_and_sounding_pitch() -> None:
    for transposition, sounding in ((Transposition(-1, -2), 50), (Transposition(-2, -3), 49), (Transposition(), 52)):
        notes = solo(played(piece(bars([n("E3", 4)]), transposition=transposition)))
        assert notes["1.1"].pitch.midi == 52 and notes["1.1"].midi == sounding


def test_tied_notes_sound_as_one() -> None:
    measures = bars(
        [n("C5", 1), n("D5", 3, tie="start")], [n("D5", 4, tie="continue")], [n("D5", 1, tie="stop"), n("", 3)]
    )
    notes = solo(played(piece(measures), quarter(120)))
    assert list(notes) == ["1.1", "1.2"]
    assert notes["1.2"].length_q == 8 and notes["1.2"].length_s == 4.0


def test_a_tie_to_another_pitch_is_no_tie() -> None:
    notes = solo(played(piece(bars([n("C5", 2, tie="start"), n("D5", 2, tie="stop")]))))
    assert list(notes) == ["1.1", "1.2"]


def test_a_stretch_cuts_what_is_tied_over_its_edges() -> None:
    of = piece(bars([n("C5", 4, tie="start")], [n("C5", 4, tie="continue")], [n("C5", 4, tie="stop")]))
    notes = perform(of, of.span("2", "2"), tempo=quarter(60), click=QUIET).notes
    four = Fraction(4)
    assert [(note.at, note.at_s, note.length_q, note.onset_q) for note in notes] == [("2.1", 0.0, four, four)]


def test_slurred_notes_connect_and_tongued_ones_do_not() -> None:
    measures = bars([n("C5", 1, slurred=True), n("D5", 1), n("E5", 1), n("", 1)])
    notes = solo(played(piece(measures)))
    assert notes["1.1"].length_s == 1.0 and notes["1.1"].slurred and not notes["1.2"].tongued
    assert notes["1.2"].length_s == pytest.approx(1 - TONGUE_GAP_S) and notes["1.3"].tongued
    assert notes["1.3"].length_s == 1.0  # before a rest a note is held to its end


def test_the_gap_of_the_tongue_is_seconds_and_not_per_cent() -> None:
    of = piece(bars([n("C5", 2), n("D5", 1), n("E5", "1/8"), n("F5", "7/8")]))
    notes = solo(played(of))
    assert 2 - notes["1.1"].length_s == pytest.approx(1 - notes["1.2"].length_s)
    assert notes["1.3"].length_s >= 0.125 * 0.75 - 1e-9


def test_articulations_shorten_as_the_trade_has_it() -> None:
    marks = [("staccato",), ("staccatissimo",), ("tenuto",), ("detached-legato",)]
    notes = solo(played(piece(bars([n("C5", 1, articulations=mark) for mark in marks]))))
    lengths = [notes[f"1.{k}"].length_s for k in range(1, 5)]
    assert lengths[0] == pytest.approx(0.5) and lengths[1] == pytest.approx(1 / 3)
    assert lengths[2] >= 0.98 and lengths[3] == pytest.approx(0.75)


def test_dots_under_a_slur_are_tongued_again_and_longer_than_staccato() -> None:
    dotted = [n("C5", 1, articulations=("staccato",), slurred=True)] * 3 + [n("C5", 1, articulations=("staccato",))]
    notes = solo(played(piece(bars(dotted))))
    assert all(note.tongued for note in notes.values())
    assert 0.5 < notes["1.2"].length_s < 1.0


def test_the_same_note_again_under_a_slur_is_heard_again() -> None:
    notes = solo(played(piece(bars([n("C5", 2, slurred=True), n("C5", 2)]))))
    assert notes["1.2"].tongued and notes["1.1"].length_s < 2.0


def test_a_printed_breath_leaves_time_to_breathe() -> None:
    notes = solo(played(piece(bars([n("C5", 2, slurred=True, breath="comma"), n("D5", 2)]))))
    assert notes["1.1"].length_s == pytest.approx(1.75) and notes["1.2"].tongued


def test_graces_come_before_the_beat_out_of_the_note_before() -> None:
    led = (grace("1.2g1", "B4"), grace("1.2g2", "D5"))
    notes = solo(played(piece(bars([n("A4", 2, slurred=True), n("C5", 2, graces=led)])), quarter(120)))
    assert list(notes) == ["1.1", "1.2g1", "1.2g2", "1.2"]
    assert notes["1.2"].at_s == 1.0 and notes["1.2"].length_q == 2
    spans = [notes[at].at_q for at in ("1.2g1", "1.2g2", "1.2")]
    assert spans == [Fraction(2) - 2 * notes["1.2g1"].length_q, Fraction(2) - notes["1.2g1"].length_q, 2]
    assert notes["1.1"].length_q == notes["1.2g1"].onset_q
    assert not any(notes[at].tongued for at in ("1.2g1", "1.2g2", "1.2"))


def test_graces_at_the_start_come_out_of_the_note_itself() -> None:
    led = (grace("1.1g1", "B4"),)
    notes = solo(played(piece(bars([n("C5", 1, graces=led), n("C5", 3)]))))
    assert notes["1.1g1"].at_q == 0 and notes["1.1g1"].tongued
    assert notes["1.1"].at_q == notes["1.1g1"].length_q and not notes["1.1"].tongued
    assert notes["1.1"].at_q + notes["1.1"].length_q == 1


def test_graces_after_a_rest_sound_in_the_rest() -> None:
    notes = solo(played(piece(bars([n("", 2), n("C5", 2, graces=(grace("1.1g1", "B4"),))]))))
    assert notes["1.1g1"].at_q < 2 and notes["1.1g1"].tongued and notes["1.1"].at_q == 2


def test_after_graces_end_their_note() -> None:
    ending = (grace("1.1a1", "B4"), grace("1.1a2", "C5"))
    trill = n("C5", 2, after_graces=ending, ornaments=(Ornament("trill-mark"),), slurred=True)
    notes = solo(played(piece(bars([trill, n("D5", 2)]))))
    assert list(notes) == ["1.1", "1.1a1", "1.1a2", "1.2"]
    assert notes["1.1a2"].at_q + notes["1.1a2"].length_q == 2 and notes["1.2"].at_q == 2
    assert notes["1.1"].pitch.name == "C5"  # a trill sounds as its printed note for now
    assert not any(notes[at].tongued for at in ("1.1a1", "1.1a2", "1.2"))


@given(st.integers(1, 8), st.integers(20, 300), st.sampled_from(["1/8", "1/2", "1", "3"]))
def test_graces_are_short_and_never_take_more_than_half(count: int, tempo: int, length_q: str) -> None:
    led = tuple(grace(f"1.2g{k + 1}", "B4") for k in range(count))
    notes = solo(played(piece(bars([n("A4", length_q), n("C5", 4, graces=led)])), quarter(tempo)))
    graces = [note for at, note in notes.items() if "g" in at]
    assert all(note.length_q * 60 / tempo <= GRACE_S for note in graces)
    assert sum(note.length_q for note in graces) <= Fraction(length_q) / 2
    assert notes["1.2"].at_q == Fraction(length_q)


def test_other_parts_sound_with_their_chords_and_only_when_asked() -> None:
    chord = (parse_pitch("E3"), parse_pitch("C3"))
    piano = Part("P2", "Piano", "", Transposition(), bars([n("G3", 2, chord=chord), n("A3", 2)], [n("", 4)]))
    of = piece(bars([n("C5", 4)], [n("D5", 4)]), others=(piano,))
    assert {note.line for note in played(of).notes} == {0}
    theirs = [note for note in played(of, others=True).notes if note.line == 1]
    assert sorted((note.at_s, note.midi) for note in theirs) == [(0.0, 48), (0.0, 52), (0.0, 55), (2.0, 57)]


def test_percussion_makes_no_pitches() -> None:
    drum = Part("P2", "Drum", "", Transposition(), bars([n("C4", 4, unpitched=True)]))
    assert {note.line for note in played(piece(bars([n("C5", 4)]), others=(drum,)), others=True).notes} == {0}


def test_other_voices_of_the_practised_part_are_heard_with_the_others() -> None:
    low = measure("1", [n("C4", 4, voice="2")], Metre(4, 4)).notes
    one = bars([n("C5", 4)])[0]
    both = Measure(one.id, one.number, one.onset_q, one.length_q, one.metre, Key(), Clef(), one.notes, low)
    found = played(piece((both,)), others=True).notes
    assert [(note.line, note.midi) for note in found] == [(0, 70), (1, 58)]


def test_the_document_has_the_shape_that_other_programs_read() -> None:
    of = piece(bars([n("C#5", "4/3"), n("D5", "8/3")]), dynamics=[(0, "f")])
    found = played(of, quarter(120), ClickSettings(count_in=0)).document()
    assert found["schema"] == "coach.performance/1"
    assert found["notes"][1] == {
        "at": "1.2",
        "written": "D5",
        "midi": 74,
        "onset": "4/3",
        "duration": "8/3",
        "at_s": 0.666667,
        "length_s": pytest.approx(4 / 3 - TONGUE_GAP_S, abs=1e-6),
        "level_db": 0.0,
    }
    assert found["clicks"] == [{"at_s": k / 2, "accent": k == 0} for k in range(4)]


def test_the_document_at_half_speed_takes_twice_as_long_and_counts_from_the_count_in() -> None:
    perf = played(piece(bars([n("C5", 4)])), quarter(120), ClickSettings(count_in=1))
    half = perf.document(0.5)
    assert half["notes"][0]["at_s"] == 4.0
    assert [click["at_s"] for click in half["clicks"]] == [float(k) for k in range(8)]


def test_the_breath_ends_a_note_before_a_rest_and_the_tongue_a_staccato() -> None:
    """Trade practice: a phrase rings out, a staccato note is stopped."""
    measures = bars([n("C5", 1), n("D5", 1), n("", 1), n("E5", 1, articulations=("staccato",))], [n("", 4)])
    notes = solo(played(piece(measures)))
    assert [notes[at].ends_open for at in ("1.1", "1.2", "1.3")] == [False, True, False]

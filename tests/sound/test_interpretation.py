"""A stretch played as somebody decided: seconds by the arithmetic beside the checks, the MIDI file reread by mido."""

from dataclasses import replace
from fractions import Fraction as F
from typing import Any

import mido
import pytest

from coach.music.piece import Piece
from coach.music.pitch import parse_pitch
from coach.prepare.interpretation import BreathTimes, Interpretation
from coach.prepare.mark import Alteration, Mark, Ornament, OssiaNote, Pace, Phrase
from coach.sound.compile import perform
from coach.sound.performance import Performance
from coach.sound.smf import PPQ, midi_file
from tests.sound.hand import QUIET, bars, grace, n, piece, played, quarter, solo

LED = (grace("1.2g1", "D5"), grace("1.2g2", "E5"), grace("1.2g3", "D5"))
GRACED = piece(bars([n("C5", 2), n("C5", "1/2", graces=LED), n("", "3/2")]))
SIXTH = F(1, 6)
COUNTED = Ornament(
    (
        OssiaNote(parse_pitch("C5"), F(0), F(3, 2)),
        OssiaNote(parse_pitch("D5"), F(3, 2), SIXTH),
        OssiaNote(parse_pitch("E5"), F(5, 3), SIXTH),
        OssiaNote(parse_pitch("D5"), F(11, 6), SIXTH),
        OssiaNote(parse_pitch("C5"), F(2), F(1, 2)),
    ),
    "grace",
    "lyrical",
)


def decided(of: Piece, **more: Any) -> Performance:
    kinds = ("ornaments", "alterations", "breaths", "times", "phrases", "paces")
    decisions = {key: more.pop(key) for key in kinds if key in more}
    return played(of, interpretation=Interpretation(**decisions), **more)


def paced(at: str, shape: str, to: str = "", length_q: F | None = None) -> tuple[Mark, ...]:
    return (Mark("p", at, Pace(shape, to, length_q)),)


def test_graces_sound_in_the_rhythm_in_which_they_are_counted() -> None:
    found = solo(decided(GRACED, ornaments={"1.2": COUNTED}))
    assert [(at, note.onset_q, note.length_q) for at, note in found.items()] == [
        ("1.1", 0, F(3, 2)),
        ("1.2g1", F(3, 2), SIXTH),
        ("1.2g2", F(5, 3), SIXTH),
        ("1.2g3", F(11, 6), SIXTH),
        ("1.2", 2, F(1, 2)),
    ]
    assert [note.at_s for note in found.values()] == pytest.approx([0, 1.5, 5 / 3, 11 / 6, 2])
    assert [note.tongued for note in found.values()] == [True, True, False, False, False]


def test_an_ornament_that_nobody_decided_on_is_played_plainly() -> None:
    assert decided(GRACED).notes == played(GRACED).notes


def test_a_note_an_octave_lower_keeps_its_place_and_its_accent() -> None:
    of = piece(bars([n("C5", 2, articulations=("accent",)), n("D5", 2)]))
    found, before = solo(decided(of, alterations={"1.1": Alteration((parse_pitch("C4"),))})), solo(played(of))
    assert before["1.1"].midi - found["1.1"].midi == 12
    assert (
        replace(found["1.1"], pitch=before["1.1"].pitch, midi=before["1.1"].midi, colour=before["1.1"].colour)
        == (before["1.1"])
    )


def test_a_fermata_makes_what_follows_late() -> None:
    """At quarter = 60 the note of two quarters lasts 3.5 s, so that the next begins at 1 + 3.5."""
    of = piece(bars([n("C5", 1), n("D5", 2, fermata=True, slurred=True), n("E5", 1)]))
    free, steady = solo(decided(of)), solo(decided(of, steady=True))
    assert (free["1.3"].at_s, free["1.2"].length_s) == (4.5, 3.5)
    assert (steady["1.3"].at_s, played(of).length_s) == (3.0, 4.0)
    assert (free["1.3"].onset_q, free["1.2"].length_q) == (F(3), F(2))  # quarters are those of the page


def test_a_ritardando_lasts_as_long_as_the_sum_of_its_steps() -> None:
    """Over two quarters in 16 steps: each lasts 1/8 s over its factor, 1 - 0.3 (k + 1/2) / 16."""
    of = piece(bars([n("C5", 2), n("D5", 1), n("E5", 1)], [n("F5", 4)]))
    found = solo(decided(of, paces=paced("1.2", "rit.", "1.3")))
    slow_s = sum(0.125 / (1 - 0.3 * (k + 0.5) / 16) for k in range(16))
    assert found["2.1"].at_s == pytest.approx(2 + slow_s)
    assert decided(of, paces=paced("1.2", "rit.", "1.3")).length_s == pytest.approx(2 + slow_s + 4)


def test_a_tenuto_of_three_halves_of_a_quarter() -> None:
    of = piece(bars([n("C5", 1), n("D5", 3)]))
    assert solo(decided(of, paces=paced("1.1", "tenuto", length_q=F(3, 2))))["1.2"].at_s == 1.5


def test_the_count_in_goes_at_the_printed_tempo() -> None:
    of = piece(bars([n("C5", 4, fermata=True)]))
    found = decided(of, count_in=1)
    assert found.count_in_s == 4.0 and found.length_s == 7.0
    assert [click.at_s for click in found.clicks if click.click != "part"] == [-4.0, -3.0, -2.0, -1.0]


def test_breaths_take_their_time_from_the_note_before() -> None:
    """0.6 s for a full one, 0.3 s for a catch breath, but half of the note and a quarter of a second stay."""
    of = piece(bars([n("C5", 2, slurred=True), n("D5", 1, slurred=True), n("E5", "1/2"), n("F5", "1/2")]))
    found = solo(decided(of, breaths={"1.1": "full", "1.2": "full", "1.3": "catch"}))
    assert [found[f"1.{k}"].length_s for k in (1, 2, 3)] == pytest.approx([2 - 0.6, 1 - 0.5, 0.5 - 0.25])
    assert [found[f"1.{k}"].at_s for k in (2, 3, 4)] == [2.0, 3.0, 3.5]
    assert found["1.2"].tongued and found["1.1"].ends_open


def test_a_rest_gives_its_time_to_a_breath() -> None:
    """Quarters of a second: a quarter rest is longer than a full breath; an eighth's 0.5 s lack 0.1 s; a sixteenth and
    a 32nd, 0.375 s together, are longer than a catch breath; a breath that takes its note's end breaks its slur."""
    of = piece(
        bars(
            [n("C5", 3), n("", 1)],
            [n("C5", "7/2"), n("", "1/2")],
            [n("C5", "29/8"), n("", "1/4"), n("", "1/8")],
            [n("C5", 4, articulations=("staccato",))],
            [n("C5", 4)],
        )
    )
    found = solo(decided(of, breaths={"1.1": "full", "2.1": "full", "3.1": "catch", "4.1": "catch"}))
    assert [found[f"{k}.1"].length_s for k in (1, 2, 3)] == pytest.approx([3.0, 3.5 - 0.1, 29 / 8])
    assert found["4.1"].length_s == pytest.approx(2.0), "a staccato stays short"


def test_breaths_take_the_times_that_are_planned() -> None:
    """Half a second is planned for a full breath, a tenth for a catch breath; notes keep four fifths."""
    of = piece(bars([n("C5", 2), n("D5", 1), n("E5", 1)], [n("F5", 4)]))
    times = BreathTimes(full_s=0.5, catch_s=0.1, keep_share=0.8, keep_s=0.1)
    found = solo(decided(of, breaths={"1.1": "full", "1.2": "catch", "1.3": "full"}, times=times))
    assert [found[f"1.{k}"].length_s for k in (1, 2, 3)] == pytest.approx([2 - 0.4, 1 - 0.1, 1 - 0.2])


def test_a_phrase_ends_a_little_early_and_the_music_waits() -> None:
    """The last note gives up 0.1 s and the next comes 0.15 s late; with a steady beat only the first."""
    of = piece(bars([n("C5", 2), n("D5", 2)], [n("E5", 4)]))
    phrase = (Mark("f", "1.1", Phrase("1.2")),)
    free, steady = solo(decided(of, phrases=phrase)), solo(decided(of, phrases=phrase, steady=True))
    assert free["2.1"].at_s == pytest.approx(4.15) and steady["2.1"].at_s == 4.0
    assert free["1.2"].length_s == pytest.approx(1.9) and steady["1.2"].length_s == pytest.approx(1.9)


@pytest.mark.parametrize("rate", [1.0, 0.5])
def test_mido_reads_the_same_notes_from_the_bent_file(rate: float) -> None:
    of = piece(bars([n("C5", 2), n("C5", "1/2", graces=LED), n("", "3/2")], [n("D5", 2, fermata=True), n("E5", 2)]))
    made = decided(of, ornaments={"1.2": COUNTED}, paces=paced("1.1", "rit.", "1.2"))
    midi = midi_file(of, made, rate=rate)
    at_s, starts = 0.0, []
    for message in mido.MidiFile(file=_saved(midi)):
        at_s += message.time
        if message.type == "note_on" and message.velocity:
            starts.append((message.note, at_s))
    tick_s = 60 / (float(min(made.passage.clock.speeds)) * rate) / PPQ
    assert [note for note, _ in starts] == [note.midi for note in made.notes]
    assert [at_s for _, at_s in starts] == pytest.approx([note.at_s / rate for note in made.notes], abs=2 * tick_s)


def test_a_loop_that_begins_at_a_graced_note_plays_it_on_the_beat() -> None:
    led = (grace("2.1g1", "D5"),)
    of = piece(bars([n("C5", 4)], [n("C5", 4, graces=led)]))
    mark = Ornament(
        (
            OssiaNote(parse_pitch("C5"), F(-4), F(15, 4)),
            OssiaNote(parse_pitch("D5"), F(-1, 4), F(1, 4)),
            OssiaNote(parse_pitch("C5"), F(0), F(4)),
        ),
        "grace",
        "lyrical",
    )
    decisions = Interpretation(ornaments={"2.1": mark})
    alone = perform(of, of.span("2", "2"), tempo=quarter(60), click=QUIET, interpretation=decisions)
    assert [(note.at, note.at_s, note.length_q) for note in alone.notes] == [
        ("2.1g1", 0.0, F(1, 4)),
        ("2.1", 0.25, F(15, 4)),
    ]
    assert solo(played(of, interpretation=decisions))["2.1g1"].at_s == 3.75


def _saved(midi: mido.MidiFile) -> Any:
    import io

    stream = io.BytesIO()
    midi.save(file=stream)
    stream.seek(0)
    return stream

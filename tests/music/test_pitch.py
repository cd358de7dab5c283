"""Spelled pitches. Numbers from the MIDI 1.0 specification: middle C is 60."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coach.music.pitch import STEPS, Pitch, Transposition, from_midi, parse_pitch

PITCHES = st.builds(Pitch, st.sampled_from(STEPS), st.integers(-3, 3), st.integers(0, 8))
TRANSPOSITIONS = st.builds(Transposition, st.integers(-7, 7), st.integers(-12, 12), st.integers(-2, 2))


@pytest.mark.parametrize(
    ("name", "midi"),
    [("C4", 60), ("A4", 69), ("E3", 52), ("F6", 89), ("B#3", 60), ("Cb4", 59), ("F##4", 67), ("Bbb4", 69), ("C-1", 0)],
)
def test_midi_numbers(name: str, midi: int) -> None:
    assert parse_pitch(name).midi == midi


@given(PITCHES)
def test_a_name_reads_back(pitch: Pitch) -> None:
    assert parse_pitch(pitch.name) == pitch


@pytest.mark.parametrize("text", ["", "H4", "C", "4", "C#b4", "C4.5", "C#", "#C4", "C 4"])
def test_what_is_no_pitch(text: str) -> None:
    with pytest.raises(ValueError, match="write it like C#5"):
        parse_pitch(text)


@given(PITCHES)
def test_the_plain_spelling_sounds_the_same_and_is_simple(pitch: Pitch) -> None:
    assert pitch.plain.midi == pitch.midi
    assert abs(pitch.plain.alter) <= 1
    assert pitch.plain.plain == pitch.plain


def test_plain_spellings() -> None:
    """A player reads E# as F and Fb as E; Gb and F# stay as they are written."""
    plain = {name: parse_pitch(name).plain.name for name in ("E#4", "Fb4", "B#4", "Cb4", "F##4", "Gb4", "F#4", "Bbb4")}
    assert plain == {
        "E#4": "F4", "Fb4": "E4", "B#4": "C5", "Cb4": "B3", "F##4": "G4", "Gb4": "Gb4", "F#4": "F#4", "Bbb4": "A4",
    }  # fmt: skip


@given(st.integers(0, 127))
def test_from_midi(midi: int) -> None:
    assert from_midi(midi).midi == midi


@pytest.mark.parametrize(
    ("transposition", "written", "sounding"),
    [
        (Transposition(-1, -2), "E3", "D3"),  # B-flat clarinet: written E3 sounds D3, 146.83 Hz (facts.md, check 23)
        (Transposition(-1, -2), "C#5", "B4"),
        (Transposition(-2, -3), "C5", "A4"),  # A clarinet
        (Transposition(-1, -2, -1), "C5", "Bb3"),  # bass clarinet
        (Transposition(2, 3), "C5", "Eb5"),  # E-flat clarinet
        (Transposition(-4, -7), "C5", "F4"),  # the MusicXML 4.0 specification's own example
    ],
)
def test_transpositions(transposition: Transposition, written: str, sounding: str) -> None:
    assert transposition.sounding(parse_pitch(written)).name == sounding


@given(PITCHES, TRANSPOSITIONS)
def test_written_and_sounding_are_inverse(pitch: Pitch, transposition: Transposition) -> None:
    assert transposition.written(transposition.sounding(pitch)) == pitch
    assert transposition.sounding(pitch).midi == pitch.midi + transposition.semitones


def test_the_key_moves_with_the_transposition() -> None:
    """A B-flat clarinet reads two sharps more than the piano, an A clarinet three flats more (orchestration books)."""
    assert (Transposition(-1, -2).fifths, Transposition(-2, -3).fifths, Transposition(2, 3).fifths) == (-2, 3, -3)
    assert Transposition(-1, -2, -1).fifths == -2

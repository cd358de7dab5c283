"""MIDI files. The byte-exact examples are those of the Standard MIDI File 1.0 specification (RP-001, 1996, pages 12-14;
the handbook's facts, section 8), through the writing path that performances take; rereading is done by pretty_midi and
partitura, independent of each other. Program and wood-block numbers are General MIDI 1."""

import warnings
from collections.abc import Iterable
from dataclasses import replace
from fractions import Fraction
from math import log10
from pathlib import Path

import mido
import pytest

from coach.config import ClickSettings
from coach.errors import RequestError, StoreError
from coach.music.metre import Metre
from coach.music.part import Hairpin, Part
from coach.music.pitch import Transposition
from coach.music.rhythm import Value
from coach.music.tempo import Tempo
from coach.sound.performance import Performance
from coach.sound.smf import PPQ, file_bytes, midi_file, track, write_smf
from tests.sound.hand import bars, n, piece, played, quarter

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # both import modules that are on their way out
    import partitura
    import pretty_midi

FORMAT_0 = """
4D 54 68 64 00 00 00 06 00 00 00 01 00 60 4D 54 72 6B 00 00 00 3B 00 FF 58 04 04 02 18 08 00 FF 51 03 07 A1 20
00 C0 05 00 C1 2E 00 C2 46 00 92 30 60 00 3C 60 60 91 43 40 60 90 4C 20 81 40 82 30 40 00 3C 40
00 81 43 40 00 80 4C 40 00 FF 2F 00
"""
FORMAT_1 = """
4D 54 68 64 00 00 00 06 00 01 00 04 00 60
4D 54 72 6B 00 00 00 14 00 FF 58 04 04 02 18 08 00 FF 51 03 07 A1 20 83 00 FF 2F 00
4D 54 72 6B 00 00 00 10 00 C0 05 81 40 90 4C 20 81 40 4C 00 00 FF 2F 00
4D 54 72 6B 00 00 00 0F 00 C1 2E 60 91 43 40 82 20 43 00 00 FF 2F 00
4D 54 72 6B 00 00 00 15 00 C2 46 00 92 30 60 00 3C 60 83 00 30 00 00 3C 00 00 FF 2F 00
"""
VARIABLE_LENGTHS = {
    0x0: "00",
    0x40: "40",
    0x7F: "7F",
    0x80: "81 00",
    0x2000: "C0 00",
    0x3FFF: "FF 7F",
    0x4000: "81 80 00",
    0x100000: "C0 80 00",
    0x1FFFFF: "FF FF 7F",
    0x200000: "81 80 80 00",
    0x8000000: "C0 80 80 00",
    0xFFFFFFF: "FF FF FF 7F",
}

Timed = tuple[int, mido.Message]


def meta() -> list[Timed]:
    return [(0, mido.MetaMessage("time_signature")), (0, mido.MetaMessage("set_tempo", tempo=500_000))]


def program(channel: int, number: int) -> Timed:
    return 0, mido.Message("program_change", channel=channel, program=number)


def start(at: int, channel: int, note: int, velocity: int) -> Timed:
    return at, mido.Message("note_on", channel=channel, note=note, velocity=velocity)


def stop(channel: int, note: int) -> Timed:
    return 384, mido.Message("note_off", channel=channel, note=note, velocity=64)


def test_the_specifications_format_0_example_byte_for_byte() -> None:
    midi = mido.MidiFile(type=0, ticks_per_beat=96)
    events = [*meta(), program(0, 5), program(1, 46), program(2, 70), start(0, 2, 48, 96), start(0, 2, 60, 96)]
    events += [start(96, 1, 67, 64), start(192, 0, 76, 32), stop(2, 48), stop(2, 60), stop(1, 67), stop(0, 76)]
    midi.tracks.append(track(events))
    assert file_bytes(midi) == bytes.fromhex(FORMAT_0) and len(bytes.fromhex(FORMAT_0)) == 81


def test_the_specifications_format_1_example_byte_for_byte() -> None:
    midi = mido.MidiFile(type=1, ticks_per_beat=96)
    midi.tracks.append(track([*meta(), (384, mido.MetaMessage("end_of_track"))]))
    midi.tracks.append(track([program(0, 5), start(192, 0, 76, 32), start(384, 0, 76, 0)]))
    midi.tracks.append(track([program(1, 46), start(96, 1, 67, 64), start(384, 1, 67, 0)]))
    low = [program(2, 70), start(0, 2, 48, 96), start(0, 2, 60, 96), start(384, 2, 48, 0), start(384, 2, 60, 0)]
    midi.tracks.append(track(low))
    assert file_bytes(midi) == bytes.fromhex(FORMAT_1) and len(bytes.fromhex(FORMAT_1)) == 118


@pytest.mark.parametrize(("ticks", "quantity"), VARIABLE_LENGTHS.items())
def test_variable_length_quantities(ticks: int, quantity: str) -> None:
    midi = mido.MidiFile(type=0, ticks_per_beat=96)
    midi.tracks.append(track([(ticks, mido.Message("note_on", note=60, velocity=64))]))
    body = file_bytes(midi)[22:]
    assert body == bytes.fromhex(quantity) + bytes.fromhex("90 3C 40 00 FF 2F 00")


def conductor(performance: Performance, rate: float = 1.0) -> list[tuple[int, mido.Message]]:
    midi = midi_file(piece(bars([n("C5", 4)])), performance, rate=rate)
    found, now = [], 0
    for message in midi.tracks[0]:
        now += message.time
        found.append((now, message))
    return found


@pytest.mark.parametrize(("tempo", "bytes_"), [(60, "0F4240"), (90, "0A2C2B"), (120, "07A120"), (140, "068A1B")])
def test_tempo_bytes(tempo: int, bytes_: str) -> None:
    performance = played(piece(bars([n("C5", 4)])), quarter(tempo))
    written = file_bytes(midi_file(piece(bars([n("C5", 4)])), performance))
    assert bytes.fromhex("FF5103" + bytes_) in written


@pytest.mark.parametrize(
    ("metre", "tempo", "signature", "tempo_bytes"),
    [
        # 6/8: 06 03 24 08 (facts, 8.3); dotted quarter = 60 is 90 quarters a minute.
        (Metre(6, 8), Tempo(Fraction(60), Value("quarter", 1)), "06032408", "0A2C2B"),
        # 2/2: two halves, 48 MIDI clocks each (24 a quarter); half = 60 is 120 quarters a minute.
        (Metre(2, 2), Tempo(Fraction(60), Value("half")), "02013008", "07A120"),
        (Metre(4, 4), quarter(60), "04021808", "0F4240"),
    ],
)
def test_time_signatures_and_their_beats(metre: Metre, tempo: Tempo, signature: str, tempo_bytes: str) -> None:
    of = piece(bars([n("C5", metre.length_q)], metre=metre))
    written = file_bytes(midi_file(of, played(of, tempo)))
    assert bytes.fromhex("FF5804" + signature) in written
    assert bytes.fromhex("FF5103" + tempo_bytes) in written


def test_a_rate_scales_the_tempo_map_and_its_changes() -> None:
    of = piece(bars([n("C5", 4)], [n("C5", 4)]), tempos=[(0, quarter(120)), (4, quarter(90))])
    tempi = [
        (at, round(60e6 / message.tempo, 3))
        for at, message in conductor(played(of, quarter(120)), rate=0.5)
        if message.type == "set_tempo"
    ]
    assert tempi == [(0, 60.0), (4 * PPQ, 45.0)]


def test_a_pickup_keeps_the_barlines_of_a_reader_in_place() -> None:
    of = piece(bars([n("C5", 1)], [n("C5", 3)], [n("C5", 3)], metre=Metre(3, 4), pickup=True))

    def signatures(count_in: int) -> list[tuple[float, int, int]]:
        performance = played(of, click=ClickSettings(count_in=count_in))
        return [
            (at / PPQ, message.numerator, message.denominator)
            for at, message in conductor(performance)
            if message.type == "time_signature"
        ]

    assert signatures(0) == [(0, 1, 4), (1, 3, 4)]
    assert signatures(1) == [(0, 3, 4)]  # three beats and two, and the pickup completes the second measure


def test_general_midi_numbers() -> None:
    of = piece(bars([n("E3", 4)]))
    midi = midi_file(of, played(of, click=ClickSettings(count_in=0, subdivision=2)))
    solo, clicks = midi.tracks[1], midi.tracks[2]
    assert [m.program for m in solo if m.type == "program_change"] == [71]
    assert [m.note for m in solo if m.type == "note_on"] == [50]
    knocks = [m for m in clicks if m.type == "note_on"]
    assert {m.channel for m in knocks} == {9}
    assert [m.note for m in knocks] == [76, 77, 77, 77, 77, 77, 77, 77]
    assert knocks[2].velocity > knocks[1].velocity  # a beat is louder than a part


def test_tuplets_are_exact_and_sevenths_never_add_up() -> None:
    triplets = [n("C5", "1/3"), n("D5", "1/3"), n("E5", "1/3"), n("F5", "1/5"), n("G5", "4/5")]
    of = piece(bars([*triplets, *([n("C5", "2/7")] * 7)]))
    midi = midi_file(of, played(of))
    now, starts = 0, []
    for message in midi.tracks[1]:
        now += message.time
        if message.type == "note_on":
            starts.append(now)
    assert starts[:5] == [0, 320, 640, 960, 1152]
    assert all(abs(at - PPQ * (2 + Fraction(2, 7) * k)) <= Fraction(1, 2) for k, at in enumerate(starts[5:]))


def test_a_hairpin_inside_a_note_is_expression_and_is_undone_after_it() -> None:
    swell = Hairpin("crescendo", Fraction(0), Fraction(4))
    of = piece(bars([n("C5", 4)], [n("D5", 4)]), dynamics=[(0, "p"), (4, "f")], hairpins=[swell])
    midi = midi_file(of, played(of))
    values = [m.value for m in midi.tracks[1] if m.type == "control_change" and m.control == 11]
    assert values == sorted(values) and values[-1] == 127
    # General MIDI's square law: 40 log10(value / 127) dB; from p to f are 12 dB here.
    assert 40 * log10(values[0] / 127) == pytest.approx(-12, abs=0.2)
    assert {m.velocity for m in midi.tracks[1] if m.type == "note_on"} == {127}


Heard = tuple[float, float, int, int]


def in_order(notes: Iterable[Heard]) -> list[Heard]:
    """By time to a hundredth, then by pitch: readers round what begins together."""
    return sorted(notes, key=lambda note: (round(note[0], 2), note[2]))


def test_independent_readers_hear_the_same_notes(tmp_path: Path) -> None:
    low = Part("P2", "Piano", "", Transposition(), bars([n("C3", 4)], [n("E3", 4)], [n("G2", 4)]))
    dotted = n("G3", "1/2", articulations=("staccato",))
    of = piece(
        bars(
            [n("E3", 1, slurred=True), n("F#3", "1/2"), dotted, n("", 1), n("Bb4", 1)],
            [n("B4", "4/3"), n("C5", "4/3"), n("C6", "4/3", tie="start")],
            [n("C6", 2, tie="stop"), n("C7", 2)],
        ),
        tempos=[(0, quarter(72)), (8, quarter(96))],
        others=(low,),
    )
    performance = played(of, quarter(72), ClickSettings(count_in=1), others=True)
    path = tmp_path / "Étude no. 1.mid"
    write_smf(path, of, performance, rate=0.6)
    ours = in_order(
        ((note.at_s + performance.count_in_s) / 0.6, note.length_s / 0.6, note.midi, note.line)
        for note in performance.notes
    )
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # pretty_midi asks for an old module's successor
        read = pretty_midi.PrettyMIDI(str(path))
        theirs = partitura.load_performance_midi(path)
    tick_s = 60 / (72 * 0.6) / PPQ
    pitched = [instrument for instrument in read.instruments if not instrument.is_drum]
    assert [instrument.program for instrument in pitched] == [71, 0]
    found = in_order(
        (note.start, note.end - note.start, note.pitch, line)
        for line, instrument in enumerate(pitched)
        for note in instrument.notes
    )
    assert [one[2:] for one in found] == [one[2:] for one in ours]
    for mine, other in zip(ours, found, strict=True):
        assert other[:2] == pytest.approx(mine[:2], abs=tick_s)
    third = in_order(
        (float(row["onset_sec"]), float(row["duration_sec"]), int(row["pitch"]), 0)
        for row in theirs.note_array()
        if row["channel"] != 9
    )
    assert [one[2] for one in third] == [one[2] for one in ours]
    for mine, other in zip(ours, third, strict=True):
        assert other[:2] == pytest.approx(mine[:2], abs=tick_s)


def test_names_in_any_script_are_kept(tmp_path: Path) -> None:
    of = replace(piece(bars([n("C5", 4)])), title="Этюд № 1")
    write_smf(tmp_path / "one.mid", of, played(of))
    assert "Этюд № 1".encode() in (tmp_path / "one.mid").read_bytes()


def test_a_tempo_that_no_file_can_hold_is_said() -> None:
    of = piece(bars([n("C5", 4)]))
    with pytest.raises(RequestError, match="cannot hold 3 quarters a minute"):
        midi_file(of, played(of, quarter(6)), rate=0.5)


def test_a_file_that_cannot_be_written_is_said(tmp_path: Path) -> None:
    of = piece(bars([n("C5", 4)]))
    with pytest.raises(StoreError, match=r"one\.mid cannot be written \(no such file or directory\)"):
        write_smf(tmp_path / "none" / "one.mid", of, played(of))


def test_tuning_is_written_as_fine_tuning() -> None:
    # Registered parameter 1 (MIDI 1.0): 8192 steps to 100 cents, 8192 in the middle; 442 Hz is 7.85 cents up.
    of = piece(bars([n("C5", 4)]))
    settings = [m for m in midi_file(of, played(of), a_hz=442.0).tracks[1] if m.type == "control_change"]
    coarse, fine = (next(m.value for m in settings if m.control == control) for control in (6, 38))
    assert ((coarse << 7 | fine) - 8192) / 8192 * 100 == pytest.approx(7.85, abs=0.02)
    assert not [m for m in midi_file(of, played(of)).tracks[1] if m.type == "control_change"]

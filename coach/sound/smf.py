"""Standard MIDI Files (format 1) of a performance.

The first track is the tempo map: tempo in microseconds a quarter (the rate scales it) and time signatures with their
beat in MIDI clocks (36 in 6/8, 48 in 2/2). Then a track a line, sounding pitch, and one for the click on channel 10.
`PPQ` ticks a quarter are exact for every value down to the 256th, its triplets and quintuplets; other tuplets are
rounded to the nearest tick from their exact place, so nothing adds up. Where a note ends inside its place is rounded
too. Levels follow the MIDI output: the louder end of a note is its velocity, a hairpin inside it is expression
(controller 11). Source: Standard MIDI File 1.0; General MIDI 1.
"""

import io
from collections.abc import Iterable, Iterator
from fractions import Fraction
from itertools import pairwise
from math import ceil
from pathlib import Path
from typing import Any

import mido

from coach.errors import RequestError
from coach.music.part import Part
from coach.music.piece import Piece
from coach.sound.midi import CLARINET, CLICKS, PERCUSSION, channel, scaled, tuning
from coach.sound.passage import Bar
from coach.sound.performance import Performance, SoundedNote
from coach.whole_file import write_whole

PPQ = 960
# Other parts whose file names no program sound as General MIDI's first, a piano.
_PIANO = 0
# How finely a hairpin inside a note is drawn.
_GLIDE_STEP_S = 0.02
_LONGEST_TEMPO = 0xFFFFFF
# At one tick ends come first, then what prepares a note, then beginnings.
_OFF, _SETTING, _ON = range(3)

Message = Any  # mido's messages, which carry no types
Timed = tuple[int, Message]


def write_smf(
    path: Path, piece: Piece, performance: Performance, *, rate: float = 1.0, a_hz: float = 440.0, click_db: float = 0.0
) -> None:
    """Write a performance, played once with its count-in, as a MIDI file, whole or not at all.

    `rate` is nominal seconds per second of the file, `click_db` the level of the click against the voice. Raises
    RequestError for a tempo that no MIDI file can hold, StoreError if the file cannot be written.
    """
    write_whole(path, file_bytes(midi_file(piece, performance, rate=rate, a_hz=a_hz, click_db=click_db)))


def file_bytes(midi: mido.MidiFile) -> bytes:
    """The bytes of a MIDI file."""
    stream = io.BytesIO()
    midi.save(file=stream)
    return stream.getvalue()


def midi_file(
    piece: Piece, performance: Performance, *, rate: float = 1.0, a_hz: float = 440.0, click_db: float = 0.0
) -> mido.MidiFile:
    """A performance as mido's own document. Raises RequestError for a tempo that no MIDI file can hold."""
    midi = mido.MidiFile(type=1, ticks_per_beat=PPQ, charset="utf-8")
    midi.tracks.append(track(_conductor(piece, performance, rate)))
    parts = [piece.part, *piece.others, piece.part]
    for line in sorted({note.line for note in performance.notes}):
        notes = [note for note in performance.notes if note.line == line]
        midi.tracks.append(track(_line(parts[line], line, notes, performance, a_hz)))
    clicks = [click for click in performance.clicks if click.at_s < performance.length_s]
    heard = [click for click in clicks if click.below_rate is None or rate < click.below_rate]
    if heard:
        midi.tracks.append(track(_clicks(performance, [(c.at_s, c.click, c.level_db + click_db) for c in heard])))
    return midi


def track(events: Iterable[Timed]) -> mido.MidiTrack:
    """A track from messages at absolute ticks: at one tick ends before settings before beginnings, else as given."""
    result = mido.MidiTrack()
    now = 0
    for at, message in sorted(events, key=lambda event: (event[0], _rank(event[1]))):
        result.append(message.copy(time=at - now))
        now = at
    return result


def _rank(message: Message) -> int:
    if message.type == "end_of_track":
        return _ON + 1
    if message.type == "note_off" or (message.type == "note_on" and message.velocity == 0):
        return _OFF
    return _ON if message.type == "note_on" else _SETTING


def _tick(performance: Performance, at_q: Fraction) -> int:
    return round((at_q + performance.count_in_q) * PPQ)


def _tick_s(performance: Performance, at_s: float) -> int:
    return _tick(performance, performance.passage.clock.at_q(Fraction(at_s)))


def _conductor(piece: Piece, performance: Performance, rate: float) -> Iterator[Timed]:
    yield 0, mido.MetaMessage("track_name", name=piece.title)
    clock = performance.passage.clock
    for k, (at_q, speed) in enumerate(zip(clock.onsets_q, clock.speeds, strict=True)):
        yield (
            _tick(performance, at_q) if k else 0,
            mido.MetaMessage("set_tempo", tempo=_microseconds(speed * Fraction(rate))),
        )
    for at_q, (top, bottom, clocks) in _signatures(performance):
        yield (
            _tick(performance, at_q),
            mido.MetaMessage("time_signature", numerator=top, denominator=bottom, clocks_per_click=clocks),
        )
    yield _tick(performance, performance.passage.end_q), mido.MetaMessage("end_of_track")


def _microseconds(speed: Fraction) -> int:
    tempo = round(60_000_000 / speed)
    if not 1 <= tempo <= _LONGEST_TEMPO:
        raise RequestError(
            f"A MIDI file cannot hold {float(speed):g} quarters a minute; it takes 3.6 and more, so raise the tempo."
        )
    return tempo


def _signatures(performance: Performance) -> Iterator[tuple[Fraction, tuple[int, int, int]]]:
    """(onset as played, (top, bottom, clocks a beat)) wherever it changes. Measures of another length than their
    metre's get a signature of their own, except a pickup that completes the count-in."""
    now = None
    for bar in performance.passage.bars:
        completes = bar.number == 0 and performance.count_in_q > 0
        signature = _signature(bar, bar.metre.length_q if completes else bar.measure.length_q)
        if signature != now:
            yield (-performance.count_in_q if completes else bar.at_q), signature
        now = signature


def _signature(bar: Bar, length_q: Fraction) -> tuple[int, int, int]:
    metre = bar.metre
    clocks = max(1, min(255, int(24 * metre.beat_q)))
    bottom = max(metre.beat_type, (length_q / 4).denominator)
    top = length_q / 4 * bottom
    if length_q == metre.length_q or bottom & (bottom - 1) or not 1 <= top <= 255:
        return metre.beats, metre.beat_type, clocks
    return int(top), bottom, clocks


def _line(part: Part, line: int, notes: list[SoundedNote], performance: Performance, a_hz: float) -> Iterator[Timed]:
    number = channel(line)
    program = part.midi_program if part.midi_program is not None else (_PIANO if line else CLARINET)
    yield 0, mido.MetaMessage("track_name", name=part.name)
    yield 0, mido.Message("program_change", channel=number, program=program)
    if a_hz != 440.0:
        for message in tuning(number, a_hz):
            yield 0, mido.Message.from_bytes(message)
    for note in notes:
        yield from _note(note, number, performance)
    yield from _expression(notes, number, performance)


def _note(note: SoundedNote, number: int, performance: Performance) -> Iterator[Timed]:
    start = _tick(performance, note.at_q)
    if note.slurred:
        end = _tick(performance, note.at_q + note.length_q)
    else:
        end = _tick_s(performance, note.at_s + note.length_s)
    velocity = scaled(_peak_db(note), least=1)
    if 0 <= note.midi <= 127:
        yield start, mido.Message("note_on", channel=number, note=note.midi, velocity=velocity)
        yield max(start + 1, end), mido.Message("note_off", channel=number, note=note.midi)


def _peak_db(note: SoundedNote) -> float:
    return max(db for _, db in note.event.curve)


def _expression(notes: list[SoundedNote], number: int, performance: Performance) -> Iterator[Timed]:
    now = 127
    for note in notes:
        for share, level_db in _drawn(note):
            value = scaled(level_db - _peak_db(note))
            if value != now:
                at = _tick_s(performance, note.at_s + share * note.length_s) if share else _tick(performance, note.at_q)
                yield at, mido.Message("control_change", channel=number, control=11, value=value)
            now = value


def _drawn(note: SoundedNote) -> Iterator[tuple[float, float]]:
    """The level of a note as (share of its length, dB), close together where it moves."""
    curve = note.event.curve
    yield curve[0]
    for (share, level_db), (next_share, next_db) in pairwise(curve):
        steps = max(1, ceil((next_share - share) * note.length_s / _GLIDE_STEP_S))
        for k in range(1, steps + 1):
            yield share + (next_share - share) * k / steps, level_db + (next_db - level_db) * k / steps


def _clicks(performance: Performance, clicks: list[tuple[float, str, float]]) -> Iterator[Timed]:
    yield 0, mido.MetaMessage("track_name", name="click")
    for at_s, click, level_db in clicks:
        note, own_db = CLICKS[click]
        at = _tick_s(performance, at_s)
        velocity = scaled(own_db + level_db, least=1)
        yield at, mido.Message("note_on", channel=PERCUSSION, note=note, velocity=velocity)
        yield at + PPQ // 16, mido.Message("note_off", channel=PERCUSSION, note=note)

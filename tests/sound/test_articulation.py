"""How the built-in voice begins, joins, breathes and ends, measured on its samples.

What is asked for is common practice of the trade: soft notes speak more gently than loud ones and accents more quickly,
the upper partials come in after the fundamental, a slur has no attack, a leap is parted more than a step, the tongue
stops a note sooner than the breath lets it end, and nobody adds vibrato unasked. Pitch is measured by Praat
(parselmouth); the rise of a note is the time from a tenth to nine tenths of its level.
"""

from math import log2

import numpy as np
import parselmouth
import pytest

from coach.sound.action import Action
from coach.sound.oscillator import frequency
from coach.sound.timeline import Event
from coach.sound.voice import Mixer
from tests.sound.test_voice import RATE, Wave, centroid_hz, held, mixer, note, on, rendered, rms_db

PITCHES = (50, 62, 74, 86)


def envelope(wave: Wave, frames: int = 480) -> Wave:
    return np.asarray(np.sqrt(np.convolve(wave * wave, np.ones(frames) / frames, "same")), dtype=np.float64)


def partial(wave: Wave, hz: float, frames: int = 960) -> Wave:
    """The size of one partial over time."""
    turned = wave * np.exp(-2j * np.pi * hz * np.arange(wave.size) / RATE)
    return np.asarray(np.abs(np.convolve(turned, np.hanning(frames), "same")), dtype=np.float64)


def reaches(rising: Wave, share: float) -> int:
    """The frame at which something has come to a share of what it settles at."""
    return int(np.argmax(rising > share * np.median(rising[-RATE // 5 : -RATE // 10])))


def rise_ms(event: Event) -> float:
    heard = envelope(rendered([on(event)], RATE // 2, mixer(plain=True)))
    return 1000 / RATE * (reaches(heard, 0.9) - reaches(heard, 0.1))


def high(wave: Wave) -> Wave:
    """What lies above about 8 kHz, where a click would show first."""
    return np.convolve(wave, np.array([1.0, -6.0, 15.0, -20.0, 15.0, -6.0, 1.0]) / 64, "same")


@pytest.mark.parametrize("midi", PITCHES)
def test_soft_notes_speak_gently_loud_ones_sooner_and_accents_at_once(midi: int) -> None:
    soft, middle, loud = (rise_ms(note(midi, db)) for db in (-24.0, -12.0, 0.0))
    assert 60 > soft > 1.3 * middle and middle > 1.2 * loud and loud > 8
    assert rise_ms(note(midi, -12.0, accented=True)) < 0.8 * middle


def test_a_short_note_has_no_time_to_be_gentle() -> None:
    short = Event(0.0, 0.08, "note", midi=69, level_db=-24.0)
    wave = rendered([on(short), Action(round(0.08 * RATE), "off", 1)], RATE // 4, mixer(plain=True))
    long = held(note(69, -24.0), plain=True)
    assert rms_db(wave[round(0.03 * RATE) : round(0.07 * RATE)]) == pytest.approx(rms_db(long), abs=0.5)


@pytest.mark.parametrize("midi", PITCHES)
@pytest.mark.parametrize("level_db", [-18.0, -4.0])
def test_upper_partials_come_in_after_the_fundamental(midi: int, level_db: float) -> None:
    wave = rendered([on(note(midi, level_db))], RATE // 2, mixer(plain=True))
    hz = frequency(midi, 440.0)
    assert reaches(partial(wave, 3 * hz), 0.7) - reaches(partial(wave, hz), 0.7) > 0.002 * RATE


def test_a_breath_of_noise_comes_with_the_tongue_and_not_with_a_slur() -> None:
    def first(event: Event) -> tuple[float, float]:
        acts = [on(event)]
        both = rendered(acts, RATE // 2, Mixer(RATE, dry=True)) - rendered(
            acts, RATE // 2, Mixer(RATE, dry=True, chance=None)
        )
        return rms_db(both[240:1440]), rms_db(both[RATE // 4 :])

    at_first, later = first(note(62, -12.0))
    assert at_first > later + 3
    at_first, later = first(note(62, -12.0, tongued=False))
    assert at_first < later + 1


@pytest.mark.parametrize("level_db", [-24.0, -8.0, 0.0])
@pytest.mark.parametrize("midi", PITCHES)
def test_no_click_where_a_note_begins_or_ends(midi: int, level_db: float) -> None:
    """Against the same note held, at its steadiest: nothing but the breath of the attack is above it."""
    for open_end in (False, True):
        event = Event(0.0, 0.5, "note", midi=midi, level_db=level_db, ends_open=open_end)
        wave = high(rendered([on(event), Action(24_000, "off", 1)], 36_000, mixer(plain=True)))
        steady = np.abs(wave[12_000:22_000]).max()
        assert np.abs(wave[:4000]).max() < 1.05 * steady and np.abs(wave[23_900:]).max() < 1.05 * steady


@pytest.mark.parametrize("interval", [-19, -12, -5, -2, -1, 1, 2, 5, 12, 19])
def test_a_slur_has_no_click_and_a_leap_is_parted_more_than_a_step(interval: int) -> None:
    at = 24_000
    acts = [on(note(69, -8.0, slurred=True)), Action(at, "off", 1), on(note(69 + interval, -8.0, tongued=False), at, 2)]
    wave = rendered(acts, 2 * at, mixer(plain=True))
    steady = max(np.abs(high(wave))[12_000:22_000].max(), np.abs(high(wave))[30_000:46_000].max())
    assert np.abs(high(wave))[at - 100 : at + 3000].max() < 1.1 * steady
    around = 20 * np.log10(envelope(wave, 440))
    dip = float(np.median(around[12_000:22_000]) - around[at : at + 1500].min())
    assert (0.5 < dip < 3.0) if abs(interval) <= 2 else (2.0 < dip < 8.0)


@pytest.mark.parametrize("interval", [-2, -1, 1, 2])
def test_over_a_step_the_pitch_glides_and_never_strays(interval: int) -> None:
    """Periods between zero crossings of the fundamental, from one pitch to the other without leaving the way."""
    at = 24_000
    acts = [
        on(note(81, -20.0, slurred=True)),
        Action(at, "off", 1),
        on(note(81 + interval, -20.0, tongued=False), at, 2),
    ]
    wave = rendered(acts, 2 * at, mixer(plain=True))
    low, up = wave[:-1], wave[1:]
    crossing = np.flatnonzero((low < 0) & (up >= 0))
    exact = crossing + low[crossing] / (low[crossing] - up[crossing])
    hz = RATE / np.diff(exact)
    cents = 1200 * np.log2(hz / frequency(81, 440.0)) * np.sign(interval)
    assert cents.min() > -15 and cents.max() < 100 * abs(interval) + 15
    between = (cents > 15) & (cents < 100 * abs(interval) - 15)
    assert 3 <= int(between.sum()) <= 14  # some periods of 1.1 ms, on their way for about a hundredth of a second
    assert np.all(np.diff(cents[between]) > -5)


def fall_ms(event: Event) -> float:
    """From the end of a note until it is 20 dB softer."""
    made = mixer(plain=True)
    heard = envelope(rendered([on(event), Action(24_000, "off", 1)], 48_000, made), 330)
    return 1000 / RATE * int(np.argmax(heard[24_000:] < np.median(heard[12_000:22_000]) / 10))


@pytest.mark.parametrize("midi", PITCHES)
def test_the_tongue_stops_a_note_and_the_breath_lets_it_end(midi: int) -> None:
    stopped = [fall_ms(note(midi, db)) for db in (-24.0, 0.0)]
    opened = [fall_ms(note(midi, db, ends_open=True)) for db in (-24.0, 0.0)]
    assert max(stopped) < 35 and all(open_ms > 2 * stop_ms for open_ms, stop_ms in zip(opened, stopped, strict=True))
    assert stopped[0] > stopped[1] and opened[0] > opened[1]


def test_what_ends_is_over() -> None:
    made = mixer()
    wave = rendered([on(note(62, ends_open=True)), Action(24_000, "off", 1)], 24_000 + RATE, made)
    assert not made.sounding and not np.any(wave[-RATE // 3 :])


def between_partials_db(midi: int, level_db: float) -> float:
    """What is heard beside the partials against the whole note."""
    wave = held(note(midi, level_db), frames=RATE)
    power = np.abs(np.fft.rfft(wave * np.blackman(wave.size))) ** 2
    hz = np.fft.rfftfreq(wave.size, 1 / RATE)
    pitch_hz = frequency(midi, 440.0)
    beside = np.abs(hz - np.rint(hz / pitch_hz) * pitch_hz) > 20
    return 10 * float(np.log10(power[beside].sum() / power.sum()))


def test_there_is_a_little_breath_and_more_of_it_in_soft_low_notes() -> None:
    beside = {(midi, db): between_partials_db(midi, db) for midi in (52, 79) for db in (-22.0, 0.0)}
    assert beside[52, -22.0] > beside[52, 0.0] + 6 and beside[79, -22.0] > beside[79, 0.0] + 6
    assert beside[52, -22.0] > beside[79, -22.0]
    assert max(beside.values()) < -30 and min(beside.values()) > -65


def test_chance_is_an_argument() -> None:
    def heard(chance: int | None) -> Wave:
        return rendered([on(note(62, -12.0))], 12_000, Mixer(RATE, chance=chance, dry=True))

    assert np.array_equal(heard(1), heard(1))
    assert 0 < np.abs(heard(1) - heard(2)).max() < 0.15 * np.abs(heard(1)).max()
    # The same event sounds the same whatever was played before it: the second time as the first.
    twice = Mixer(RATE, chance=1, dry=True)
    first = rendered([on(note(62, -12.0)), Action(12_000, "off", 1)], RATE, twice)
    assert np.allclose(rendered([on(note(62, -12.0)), Action(12_000, "off", 1)], RATE, twice), first, atol=1e-9, rtol=0)


@pytest.mark.parametrize("midi", PITCHES)
def test_a_long_note_has_no_vibrato_and_is_not_dead(midi: int) -> None:
    wave = held(Event(0.0, 5.0, "note", midi=midi, level_db=-12.0), frames=4 * RATE)
    target_hz = frequency(midi, 440.0)
    pitch = parselmouth.Sound(wave, RATE).to_pitch_ac(
        time_step=0.02, pitch_floor=target_hz * 0.7, pitch_ceiling=target_hz * 1.5, very_accurate=True
    )
    hz = pitch.selected_array["frequency"]
    cents = [1200 * log2(each / target_hz) for each in hz[hz > 0]]
    assert max(cents) - min(cents) < 3
    levels = [rms_db(wave[at : at + 4800]) for at in range(0, wave.size - 4800, 2400)]
    assert 0.1 < max(levels) - min(levels) < 1.0


def test_registers_have_colours_of_their_own() -> None:
    """Common knowledge of the instrument: odd partials rule in the chalumeau, even ones grow upwards, throat tones are
    thinner than what lies on either side, nothing jumps from one semitone to the next."""

    def heard(written: int) -> tuple[float, float]:
        wave, hz = held(note(written - 2, -8.0), plain=True), frequency(written - 2, 440.0)
        sizes = [float(np.median(partial(wave, k * hz)[9600:-9600])) for k in (1, 2, 3)]
        return 20 * float(np.log10(sizes[1] / sizes[2])), centroid_hz(wave) / hz

    even = {written: heard(written)[0] for written in (52, 62, 76, 84, 89)}
    assert even[52] < -20 and even[62] < -12 and even[76] < even[84] < even[89] and even[89] > 3
    assert heard(69)[1] < heard(62)[1] and heard(69)[1] < heard(77)[1]
    steps = np.diff([centroid_hz(held(note(written - 2, -8.0), plain=True)) for written in range(52, 97)])
    assert np.abs(steps).max() < 140  # hertz from one semitone to the next; a semitone up there is 105 Hz itself


def test_the_room_is_small_and_quiet_and_the_click_stays_dry() -> None:
    acts = [on(note(69, -8.0)), Action(24_000, "off", 1)]
    dry, wet = rendered(acts, 2 * RATE, Mixer(RATE, dry=True)), rendered(acts, 2 * RATE, Mixer(RATE))
    room = wet - dry
    assert not np.any(room[: RATE // 100])  # nothing comes back within a hundredth of a second
    assert -32 < rms_db(room[12_000:22_000]) - rms_db(dry[12_000:22_000]) < -18
    assert not np.any(room[24_000 + 2000 + RATE * 2 // 5 :])  # and nothing after four tenths
    click = [Action(0, "click", 0, Event(0, 0.05, "click", click="accent"))]
    assert np.array_equal(rendered(click, RATE, Mixer(RATE)), rendered(click, RATE, Mixer(RATE, dry=True)))

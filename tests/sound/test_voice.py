"""The built-in voice. Pitch is measured by Praat (parselmouth), an independent tracker; the target is equal temperament
on A (ISO 16 gives 440 Hz), checked against 146.8324 Hz for written E3 on the B-flat clarinet (SHARC's lowest clarinet
note, the handbook's facts, section 5.1)."""

from collections.abc import Sequence
from itertools import pairwise
from math import log2

import numpy as np
import parselmouth
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from coach.prepare.dynamics.colouring import colour
from coach.prepare.dynamics.steps import LEVEL_DB
from coach.sound.action import Action
from coach.sound.oscillator import frequency, partials
from coach.sound.timeline import Event
from coach.sound.voice import DEFAULT_DB, Mixer

RATE = 48000
Wave = NDArray[np.float64]


def note(midi: int, level_db: float = 0.0, **more: object) -> Event:
    return Event(at_s=0.0, length_s=1.0, kind="note", midi=midi, level_db=level_db, **more)  # type: ignore[arg-type]


def on(event: Event, offset: int = 0, key: int = 1) -> Action:
    return Action(offset, "on", key, event)


def mixer(a_hz: float = 440.0, all_db: float = 0.0, *, plain: bool = False) -> Mixer:
    """A mixer whose gains have settled; a plain one has the tone alone, without breath, drift or room."""
    made = Mixer(RATE, a_hz, chance=None if plain else 1, dry=plain)
    made.set_gain("all", all_db)
    made.render(RATE // 10)
    return made


def rendered(actions: Sequence[Action], frames: int, of: Mixer | None = None) -> Wave:
    return np.asarray((of or mixer()).render(frames, actions), dtype=np.float64)


def held(event: Event, frames: int = RATE // 2, a_hz: float = 440.0, *, plain: bool = False) -> Wave:
    """A note after its attack."""
    return rendered([on(event)], frames + RATE // 5, mixer(a_hz, plain=plain))[RATE // 5 :]


def rms_db(wave: Wave) -> float:
    return 10 * float(np.log10(np.mean(wave * wave)))


def measured_hz(wave: Wave, near_hz: float) -> float:
    sound = parselmouth.Sound(wave, RATE)
    pitch = sound.to_pitch_ac(pitch_floor=near_hz * 0.7, pitch_ceiling=near_hz * 1.5, very_accurate=True)
    heard = pitch.selected_array["frequency"]
    assert np.all(heard[2:-2] > 0)
    return float(np.median(heard[heard > 0]))


def centroid_hz(wave: Wave) -> float:
    power = np.abs(np.fft.rfft(wave * np.hanning(wave.size))) ** 2
    return float((np.fft.rfftfreq(wave.size, 1 / RATE) * power).sum() / power.sum())


def test_written_e3_on_the_b_flat_clarinet() -> None:
    assert frequency(50, 440.0) == pytest.approx(146.8324, abs=1e-4)
    assert abs(1200 * log2(measured_hz(held(note(50)), 146.8324) / 146.8324)) < 3


@pytest.mark.parametrize("a_hz", [440.0, 442.0])
def test_every_pitch_from_written_e3_to_c7_is_in_tune(a_hz: float) -> None:
    off_cents = []
    for written in range(52, 97):
        target_hz = a_hz * 2 ** ((written - 2 - 69) / 12)
        wave = held(note(written - 2), frames=RATE // 4, a_hz=a_hz)
        off_cents.append(1200 * log2(measured_hz(wave, target_hz) / target_hz))
    assert max(map(abs, off_cents)) < 3


def test_dynamics_are_heard_as_level_and_as_brightness() -> None:
    marks = ["pp", "p", "mp", "mf", "f", "ff"]
    for midi in (50, 62, 74, 86):
        waves = [held(note(midi, LEVEL_DB[mark] - LEVEL_DB["ff"], colour=colour(LEVEL_DB[mark]))) for mark in marks]
        levels = [rms_db(wave) for wave in waves]
        steps = [LEVEL_DB[louder] - LEVEL_DB[softer] for softer, louder in pairwise(marks)]
        assert [b - a for a, b in pairwise(levels)] == pytest.approx(steps, abs=0.1)
        assert all(a < b for a, b in pairwise(centroid_hz(wave) for wave in waves))


def test_colour_alone_changes_brightness_and_not_level() -> None:
    dark, bright = held(note(62, colour=0.1)), held(note(62, colour=0.9))
    assert centroid_hz(bright) > 1.1 * centroid_hz(dark)
    assert rms_db(bright) == pytest.approx(rms_db(dark), abs=0.1)


def test_low_down_the_odd_partials_rule_and_even_ones_grow_with_pitch() -> None:
    # The closed cylinder: facts, section 5.1 (the register key goes up a twelfth, which is the third partial).
    low, high = partials(147.0, 0.5, 18_000), partials(1175.0, 0.5, 18_000)
    assert low[1] < 0.1 * low[2]
    assert high[1] / high[2] > 10 * low[1] / low[2]


@pytest.mark.parametrize("midi", [50, 69, 88, 94, 100, 108])
def test_nothing_is_mirrored_down_from_above_the_band_limit(midi: int) -> None:
    wave = held(note(midi, colour=1.0), frames=RATE, plain=True)
    size = np.abs(np.fft.rfft(wave * np.blackman(wave.size)))
    hz = np.fft.rfftfreq(wave.size, 1 / RATE)
    pitch_hz = frequency(midi, 440.0)
    between = np.abs(hz - np.rint(hz / pitch_hz) * pitch_hz) > 12
    assert 20 * np.log10(size[between].max() / size.max()) < -70


def test_no_direct_current() -> None:
    wave = held(note(60), frames=RATE)
    window = np.hanning(wave.size)  # a mean over periods cut in two would not be 0 either
    assert abs((wave * window).sum() / window.sum()) < 1e-5


@settings(max_examples=30, deadline=None)
@given(st.lists(st.integers(1, 700), min_size=1, max_size=12), st.integers(0, 400), st.integers(0, 900))
def test_samples_do_not_depend_on_how_time_is_cut(blocks: list[int], first: int, gap: int) -> None:
    total = 3000
    whole = [
        on(note(62, -6.0, end_level_db=-1.0, slurred=True), first, 1),
        Action(first + gap, "off", 1),
        on(note(66, -3.0, tongued=False), first + gap, 2),
        Action(min(first + gap + 300, total - 1), "click", 0, Event(0, 0.05, "click", click="accent")),
        Action(total - 200, "off", 2),
    ]
    at_once = rendered(whole, total)
    cut, at, pieces = mixer(), 0, []
    sizes = [*blocks, total]
    for size in sizes:
        size = min(size, total - at)
        now = [
            Action(action.offset - at, action.what, action.key, action.event)
            for action in whole
            if at <= action.offset < at + size
        ]
        pieces.append(cut.render(size, now))
        at += size
    assert np.abs(np.concatenate(pieces) - at_once).max() < 1e-6


@pytest.mark.parametrize("offset", [0, 1, 479, 1234])
def test_what_starts_starts_on_its_frame(offset: int) -> None:
    for action in (on(note(70), offset), Action(offset, "click", 0, Event(0, 0.05, "click", click="beat"))):
        moved = np.flatnonzero(rendered([action], offset + 100))
        assert moved[0] - offset in (0, 1, 2)  # the envelope and the phase begin at 0


def test_every_click_is_the_same_to_the_sample() -> None:
    click = Event(0, 0.05, "click", click="beat")
    wave = rendered([Action(at, "click", 0, click) for at in (100, 24_100)], 48_000)
    assert np.array_equal(wave[100:10_000], wave[24_100:34_000])


def test_the_three_clicks_differ_in_pitch_and_level() -> None:
    waves = [
        rendered([Action(0, "click", 0, Event(0, 0.05, "click", click=click))], 4800)
        for click in ("accent", "beat", "part")
    ]
    strongest = [int(np.abs(np.fft.rfft(wave)).argmax()) for wave in waves]
    assert strongest[0] > strongest[1] > strongest[2]
    assert np.abs(waves[0]).max() > np.abs(waves[1]).max() > np.abs(waves[2]).max()


def roughness(wave: Wave, at: int, around: int = 1200) -> float:
    """The largest sample-to-sample step near a place against the largest step in the steady tones around it."""
    steps = np.abs(np.diff(wave))
    near = steps[at - 10 : at + around].max()
    steady = max(steps[at - 4 * around : at - 10].max(), steps[at + around : at + 4 * around].max())
    return float(near / steady)


@pytest.mark.parametrize("interval", [-19, -12, -1, 1, 2, 7, 12, 19])
@pytest.mark.parametrize("order", ["off first", "on first", "on late"])
def test_slurs_join_without_a_jump_or_a_gap(interval: int, order: str) -> None:
    at = 12_000
    late = 200 if order == "on late" else 0
    off, start = Action(at, "off", 1), on(note(70 + interval, tongued=False), at + late, 2)
    acts = [start, off] if order == "on first" else [off, start]
    wave = rendered([on(note(70, slurred=True)), *acts], 36_000)
    assert roughness(wave, at) < 1.15
    window = 480
    power = [float(np.mean(wave[k : k + window] ** 2)) for k in range(at - 2400, at + 2400, 120)]
    assert min(power) > 0.15 * float(np.median(power))  # no silence inside a slur


def test_tongued_notes_are_parted_and_begin_softly() -> None:
    at, gap = 12_000, 1440
    wave = rendered([on(note(70)), Action(at - gap, "off", 1), on(note(72), at, 2)], 24_000)
    assert np.abs(wave[at - 20 : at + 20]).max() < 0.25 * np.abs(wave[6000:9000]).max()
    assert roughness(wave, at) < 1.05
    rise = np.abs(wave[at : at + 120]).max() / np.abs(wave[at + 4800 :]).max()
    assert rise < 0.1


def test_a_note_ends_softly_and_wholly() -> None:
    made = mixer(plain=True)
    wave = rendered([on(note(70)), Action(12_000, "off", 1)], 15_000, made)
    assert roughness(wave, 12_000) < 1.05
    assert not made.sounding and not np.any(wave[12_000 + 1680 + 1 :])


def test_a_long_note_swells_evenly() -> None:
    event = Event(0, 2.0, "note", midi=62, level_db=-18.0, end_level_db=0.0)
    wave = rendered([on(event)], 2 * RATE, mixer(plain=True))
    levels = [rms_db(wave[at : at + 4800]) for at in range(9600, 2 * RATE, 9600)]
    assert np.diff(levels) == pytest.approx([1.8] * len(np.diff(levels)), abs=0.15)


def test_a_note_swells_and_fades_by_way_of_its_turn() -> None:
    event = Event(0, 2.0, "note", midi=62, level_db=-12.0, end_level_db=-12.0, middle_level_db=0.0, middle_share=0.25)
    wave = rendered([on(event)], 2 * RATE)
    levels = [rms_db(wave[at - 1200 : at + 1200]) for at in (RATE // 4, RATE // 2, RATE, 3 * RATE // 2)]
    assert [level - levels[1] for level in levels] == pytest.approx([-6, 0, -4, -8], abs=0.4)


def test_a_swell_lasts_as_long_as_its_note_at_any_rate() -> None:
    event = Event(0, 1.0, "note", midi=62, level_db=-18.0, end_level_db=0.0)
    slow = np.asarray(mixer().render(2 * RATE, [Action(0, "on", 1, event, 0.5)]), dtype=np.float64)
    # Halfway through the note the level is halfway; the measured stretch is centred there.
    assert rms_db(slow[RATE - 2400 : RATE + 2400]) - rms_db(slow[-2400:]) == pytest.approx(-9 + 0.2, abs=0.4)


def test_a_full_orchestra_is_bent_and_never_beyond_full_scale() -> None:
    actions = [on(note(40 + 2 * key, colour=1.0, line=key), 0, key) for key in range(30)]
    loud = rendered(actions, RATE // 4)
    assert 0.7 < np.abs(loud).max() <= 1.0
    soft = rendered(actions, RATE // 4, mixer(all_db=DEFAULT_DB))
    softer = rendered(actions, RATE // 4, mixer(all_db=DEFAULT_DB - 20))
    assert np.abs(soft - 10 * softer).max() < 1e-5  # at the default level thirty loud notes are not bent at all


def test_the_level_of_full_scale_is_moderate_until_asked_for() -> None:
    wave = np.asarray(Mixer(RATE).render(RATE, [on(note(62))]), dtype=np.float64)[RATE // 10 :]
    assert 20 * np.log10(np.abs(wave).max()) < DEFAULT_DB
    assert DEFAULT_DB - 12 < rms_db(wave) < DEFAULT_DB - 6


@pytest.mark.parametrize(("what", "line"), [("voice", 0), ("others", 3)])
def test_gains_reach_their_own_voices_alone(what: str, line: int) -> None:
    plain = rendered([on(note(62, line=line))], RATE // 2)[RATE // 10 :]
    for name in ("voice", "others", "click", "drone"):
        made = mixer()
        made.set_gain(name, -6.0)
        made.render(RATE // 10)
        changed = rendered([on(note(62, line=line))], RATE // 2, made)[RATE // 10 :]
        assert rms_db(changed) - rms_db(plain) == pytest.approx(-6.0 if name == what else 0.0, abs=0.01)


def test_a_gain_changes_without_a_click_and_an_unknown_name_is_an_error() -> None:
    made = mixer()
    first = made.render(12_000, [on(note(62))])
    made.set_gain("voice", -20.0)
    wave = np.concatenate([first, made.render(12_000)]).astype(np.float64)
    assert roughness(wave, 12_000) < 1.05
    with pytest.raises(KeyError):
        made.set_gain("piano", 0.0)


def test_a_drone_holds_any_pitch_and_ends() -> None:
    made = mixer()
    made.drone(62.5)
    wave = np.asarray(made.render(RATE), dtype=np.float64)[RATE // 2 :]
    target_hz = 440 * 2 ** ((62.5 - 69) / 12)
    assert abs(1200 * log2(measured_hz(wave, target_hz) / target_hz)) < 3
    made.drone(None)
    made.render(RATE // 10)
    assert not made.sounding


def test_hush_ends_everything_at_once_without_a_click() -> None:
    made = mixer()
    acts = [
        on(note(62)),
        on(note(50, line=2), 0, 2),
        Action(11_900, "click", 0, Event(0, 0.05, "click", click="accent")),
    ]
    wave = rendered([*acts, Action(12_000, "hush")], 13_000, made)
    assert not made.sounding and not np.any(wave[12_000 + 481 :])
    assert np.abs(np.diff(wave[11_990:])).max() <= np.abs(np.diff(wave[:11_990])).max()


def test_a_note_that_never_began_can_be_ended() -> None:
    made = mixer()
    assert not np.any(made.render(480, [Action(0, "off", 9), Action(10, "hush")]))
    assert made.render(0).shape == (0,)

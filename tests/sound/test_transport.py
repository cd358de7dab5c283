"""The transport beside a brute-force account of what should sound, and under commands in any order."""

from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from coach.errors import RequestError
from coach.sound.action import Action
from coach.sound.timeline import Event, Timeline
from coach.sound.transport import Position, Transport, course

RATE_HZ = 48_000


def click(at_s: float, bar: int = 0, sound: str = "beat") -> Event:
    return Event(at_s, 0.02, "click", click=sound, bar=bar)


def note(at_s: float, length_s: float, midi: int = 60, **more: object) -> Event:
    return Event(at_s, length_s, "note", midi=midi, **more)  # type: ignore[arg-type]


def metronome(bars: int, beats: int, beat_s: Fraction, *, count_in: int = 0, rest_bars: int = 0) -> Timeline:
    """A click on every beat; bars number from 0, those of the count-in are negative."""
    events = [
        click(float((bar * beats + beat) * beat_s), bar, "accent" if beat == 0 else "beat")
        for bar in range(-count_in, bars + rest_bars)
        for beat in range(beats)
    ]
    bar_s = float(beats * beat_s)
    return Timeline(tuple(events), bars * bar_s, count_in * bar_s, rest_bars * bar_s, bars + rest_bars)


def run(transport: Transport, frames: int, block: int = 480) -> list[tuple[int, Action]]:
    """(frame, action) of so many frames, made in blocks."""
    happened = []
    while frames > 0:
        size = min(block, frames)
        start = transport.frame
        actions = transport.advance(size)
        assert all(0 <= action.offset < size for action in actions)
        assert [action.offset for action in actions] == sorted(action.offset for action in actions)
        happened += [(start + action.offset, action) for action in actions]
        frames -= size
    return happened


def frames_of(happened: list[tuple[int, Action]], what: str) -> list[int]:
    return [frame for frame, action in happened if action.what == what]


@pytest.mark.parametrize("block", [1, 7, 480, 4096, 1_000_000])
def test_clicks_fall_on_the_same_frames_in_blocks_of_any_size(block: int) -> None:
    transport = Transport(metronome(1, 3, Fraction(1, 100)), sample_rate=RATE_HZ, loop=True)
    transport.play()
    assert frames_of(run(transport, 14_400, block), "click") == [480 * k for k in range(30)]


@given(st.fractions(Fraction(1, 4), 4, max_denominator=40), st.integers(1, 7), st.integers(20, 260))
def test_every_click_is_the_exact_time_rounded(rate: Fraction, beats: int, per_minute: int) -> None:
    beat_s = Fraction(60, per_minute)
    transport = Transport(metronome(2, beats, beat_s), sample_rate=RATE_HZ, rate=float(rate), loop=True)
    transport.play()
    for k, frame in enumerate(frames_of(run(transport, 60 * RATE_HZ, 50_000), "click")):
        assert abs(frame - k * beat_s / rate * RATE_HZ) <= Fraction(5002, 10000)


@given(st.lists(st.tuples(st.integers(0, 3000), st.fractions(Fraction(1, 3), 3, max_denominator=20)), max_size=8))
def test_intervals_that_are_whole_frames_stay_exact_between_changes_of_rate(
    changes: list[tuple[int, Fraction]],
) -> None:
    """A beat of 1/3 s at rate 1 is 16000 frames wherever the changes before left the music."""
    transport = Transport(metronome(1, 3, Fraction(1, 3)), sample_rate=RATE_HZ, loop=True)
    transport.play()
    for frames, rate in changes:
        run(transport, frames)
        transport.set_rate(float(rate))
    run(transport, 777)
    transport.set_rate(1.0)
    clicks = frames_of(run(transport, 40 * RATE_HZ, 9600), "click")
    assert {after - before for before, after in zip(clicks, clicks[1:], strict=False)} == {16_000}


def test_a_change_of_rate_never_moves_the_past() -> None:
    transport = Transport(metronome(4, 4, Fraction(1, 2)), sample_rate=RATE_HZ)
    transport.play()
    run(transport, 30_000)
    before = transport.position
    transport.set_rate(0.5)
    assert transport.position == before
    assert frames_of(run(transport, 60_000), "click") == [30_000 + (48_000 - 30_000) * 2]


def test_a_count_in_is_given_before_the_first_lap_only() -> None:
    transport = Transport(metronome(1, 2, Fraction(1, 2), count_in=1), sample_rate=RATE_HZ, loop=True)
    transport.play()
    assert transport.position == Position(-1.0, 0, True)
    happened = run(transport, 5 * RATE_HZ)
    bars = [action.event.bar for _, action in happened if action.event]
    assert bars == [-1, -1] + [0, 0] * 4
    assert frames_of(happened, "click") == [24_000 * k for k in range(10)]


def test_playing_from_a_time_leaves_the_count_in_out() -> None:
    transport = Transport(metronome(2, 2, Fraction(1, 2), count_in=1), sample_rate=RATE_HZ)
    transport.play(1.0)
    assert transport.position == Position(1.0, 0, True)
    assert frames_of(run(transport, RATE_HZ), "click") == [0, 24_000]


def test_a_rest_between_laps_has_its_own_clicks_and_a_position_beyond_the_length() -> None:
    transport = Transport(metronome(1, 2, Fraction(1, 2), rest_bars=1), sample_rate=RATE_HZ, loop=True)
    transport.play()
    run(transport, RATE_HZ + 12_000)
    assert transport.position == Position(1.25, 0, True)
    run(transport, RATE_HZ)
    assert transport.position == Position(0.25, 1, True)


def test_without_a_loop_the_rest_is_not_played() -> None:
    transport = Transport(metronome(1, 2, Fraction(1, 2), rest_bars=1), sample_rate=RATE_HZ)
    transport.play()
    assert frames_of(run(transport, 3 * RATE_HZ), "click") == [0, 24_000]
    assert transport.position == Position(1.0, 0, False)


@given(st.integers(1, 5), st.integers(1, 4), st.integers(0, 4), st.integers(0, 2))
def test_the_silent_measures_of_the_click_are_counted_on_across_laps(
    bars: int, heard: int, silent: int, rest_bars: int
) -> None:
    timeline = metronome(bars, 2, Fraction(1, 8), count_in=1, rest_bars=rest_bars)
    transport = Transport(timeline, sample_rate=RATE_HZ, loop=True, silence=(heard, silent))
    transport.play()
    sounded = frames_of(run(transport, 41 * 12_000), "click")
    expected = [0, 6_000]  # the count-in is always heard
    for bar in range(40):
        if bar % (heard + silent) < heard:
            expected += [(bar + 1) * 12_000, (bar + 1) * 12_000 + 6_000]
    assert sounded == expected


def test_notes_are_never_dropped_by_the_silence_of_the_click() -> None:
    timeline = Timeline((note(0.0, 0.5, bar=0), note(1.0, 0.5, bar=1)), 2.0, bars=2)
    transport = Transport(timeline, sample_rate=RATE_HZ, loop=True, silence=(1, 3))
    transport.play()
    assert len(frames_of(run(transport, 8 * RATE_HZ), "on")) == 8


def test_an_event_with_below_rate_sounds_only_below_it() -> None:
    half = Event(0.5, 0.02, "click", click="part", below_rate=0.8)
    transport = Transport(Timeline((click(0.0), half), 1.0), sample_rate=RATE_HZ, loop=True)
    transport.play()
    assert frames_of(run(transport, 2 * RATE_HZ), "click") == [0, 48_000]
    transport.set_rate(0.5)
    assert frames_of(run(transport, 2 * RATE_HZ), "click") == [96_000, 144_000]


def test_what_leads_into_the_first_note_leads_into_it_on_every_lap() -> None:
    grace, main = note(-0.25, 0.25, 71), note(0.0, 1.0, 72)
    transport = Transport(Timeline((grace, main), 1.0), sample_rate=RATE_HZ, loop=True)
    transport.play()
    assert transport.position.at_s == -0.25
    happened = run(transport, 2 * RATE_HZ + 12_000)
    assert [(f, a.event.midi) for f, a in happened if a.event] == [
        (0, 71),
        (12_000, 72),
        (48_000, 71),
        (60_000, 72),
        (96_000, 71),
    ]
    assert frames_of(happened, "off")[:2] == [12_000, 60_000]


def test_a_note_ends_with_its_lap_and_ends_come_before_beginnings() -> None:
    transport = Transport(Timeline((note(0.0, 5.0), note(0.5, 0.5)), 1.0), sample_rate=RATE_HZ, loop=True)
    transport.play()
    happened = run(transport, RATE_HZ + 1)
    assert [(f, a.what) for f, a in happened] == [
        (0, "on"),
        (24_000, "on"),
        (48_000, "off"),
        (48_000, "off"),
        (48_000, "on"),
    ]


def test_what_an_output_with_a_queue_sounds_now_lies_behind() -> None:
    transport = Transport(metronome(1, 4, Fraction(1, 2)), sample_rate=RATE_HZ, rate=0.5, loop=True)
    transport.play()
    assert transport.heard(960).at_s == 0.0
    run(transport, 4 * RATE_HZ + 480)
    assert transport.heard(960).at_s == pytest.approx(1.995)


@pytest.mark.parametrize("rate", [0.0, -1.0, float("nan"), float("inf")])
def test_a_rate_that_is_not_above_zero_is_refused(rate: float) -> None:
    transport = Transport(Timeline((), 1.0), sample_rate=RATE_HZ)
    with pytest.raises(RequestError, match="above 0"):
        transport.set_rate(rate)


@pytest.mark.parametrize("silence", [(0, 1), (1, -1)])
def test_measures_that_cannot_be_counted_are_refused(silence: tuple[int, int]) -> None:
    with pytest.raises(RequestError, match="at least 1 measure"):
        course(Timeline((), 1.0), silence=silence)


def test_an_empty_timeline_ends_at_once_even_as_a_loop() -> None:
    transport = Transport(Timeline((), 0.0), sample_rate=RATE_HZ, loop=True)
    transport.play()
    assert transport.advance(480) == ()
    assert transport.position == Position(0.0, 0, False)


times = st.floats(-0.5, 3.0, allow_nan=False)
events = st.builds(
    Event,
    at_s=times,
    length_s=st.floats(0.0, 2.0),
    kind=st.sampled_from(["note", "note", "click"]),
    midi=st.integers(40, 80),
    below_rate=st.sampled_from([None, None, 0.7]),
    bar=st.integers(-1, 3),
)
timelines = st.builds(
    lambda items, length_s, rest_s, count_in_s: Timeline(
        tuple(sorted(items, key=lambda event: event.at_s)), length_s, count_in_s, rest_s, 4
    ),
    st.lists(events, max_size=12),
    st.floats(0.05, 3.0),
    st.floats(0.0, 1.0),
    st.floats(0.0, 1.0),
)
commands = st.one_of(
    st.tuples(st.just("play"), st.none() | st.floats(-1.0, 4.0)),
    st.tuples(st.just("stop"), st.none()),
    st.tuples(st.just("rate"), st.floats(0.1, 5.0)),
    st.tuples(st.just("load"), st.tuples(timelines, st.booleans(), st.sampled_from([None, (1, 1), (2, 3)]))),
    st.tuples(st.just("advance"), st.integers(1, 60_000)),
    st.tuples(st.just("advance"), st.integers(1, 60_000)),
)


def obey(transport: Transport, command: str, value: Any) -> tuple[Action, ...]:
    match command, value:
        case "play", from_s:
            transport.play(from_s)
        case "stop", _:
            transport.stop()
        case "rate", float(rate):
            transport.set_rate(rate)
        case "load", (timeline, loop, silence):
            transport.load(course(timeline, loop=loop, silence=silence))
        case "advance", int(frames):
            return transport.advance(frames)
    return ()


@settings(max_examples=300)
@given(timelines, st.booleans(), st.lists(commands, max_size=25))
def test_every_beginning_has_exactly_one_end_whatever_happens(
    timeline: Timeline, loop: bool, script: list[tuple[str, object]]
) -> None:
    transport = Transport(timeline, sample_rate=8000, loop=loop)
    transport.play()
    sounding: set[int] = set()
    for command, value in [*script, ("advance", 1), ("stop", None), ("advance", 1)]:
        actions = obey(transport, command, value)
        assert [action.offset for action in actions] == sorted(action.offset for action in actions)
        for action in actions:
            if action.what == "on":
                assert action.key not in sounding
                sounding.add(action.key)
            elif action.what == "off":
                sounding.remove(action.key)  # KeyError: ended twice, or never begun
        if command == "advance" and not transport.playing:
            assert not sounding
    assert not sounding
    assert transport.advance(48_000) == ()


@given(timelines, st.floats(0.2, 4.0))
def test_one_pass_plays_what_a_plain_count_says(timeline: Timeline, rate: float) -> None:
    """Brute force: each event that lies in the stretch, at its own rounded frame, ended by its length or the end."""
    transport = Transport(timeline, sample_rate=8000, rate=rate)
    transport.play()
    start_s = transport.position.at_s
    happened = run(transport, int((timeline.length_s - start_s) / rate * 8000) + 10, 1000)
    inside = [
        e for e in timeline.events if e.at_s < timeline.length_s and (e.below_rate is None or rate < e.below_rate)
    ]
    begun = [(frame, action.event) for frame, action in happened if action.event is not None]
    assert [event for _, event in begun] == inside
    for frame, event in begun:
        assert abs(frame - (event.at_s - start_s) / rate * 8000) <= 0.501
    ends = {action.key: frame for frame, action in happened if action.what == "off"}
    for _, action in happened:
        if action.what == "on" and action.event is not None:
            end_s = min(action.event.at_s + action.event.length_s, timeline.length_s)
            assert abs(ends[action.key] - (end_s - start_s) / rate * 8000) <= 0.501
    assert not transport.playing

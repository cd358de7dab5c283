"""The MIDI output on a port that only remembers.

Numbers from the General MIDI level 1 lists: clarinet is program 72 counted from 1, hi and low wood block are keys 76
and 77 of channel 10 counted from 1. From MIDI 1.0: fine tuning is registered parameter 1 in steps of 100/8192 cents.
"""

from collections.abc import Iterator
from dataclasses import replace
from time import perf_counter

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from coach.sound import midi
from coach.sound.action import Action
from coach.sound.deck import Deck
from coach.sound.midi import MidiOutput, channel, scaled, tuning
from coach.sound.timeline import Event, Timeline
from coach.sound.transport import Transport
from tests.sound.test_transport import commands, obey, timelines


class Memory:
    """A port that remembers what is sent."""

    name = "memory"

    def __init__(self) -> None:
        self.sent: list[tuple[int, ...]] = []
        self.closed = False
        self.there = True

    def send(self, message: bytes) -> None:
        assert not self.closed
        self.sent.append(tuple(message))

    def alive(self, now_s: float) -> bool:
        return self.there

    def close(self) -> None:
        self.closed = True


@pytest.fixture(autouse=True)
def no_gaps(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(midi, "_GAP_S", 0.0)


def output(a_hz: float = 440.0) -> tuple[MidiOutput, Memory]:
    port = Memory()
    out = MidiOutput(Deck(), port, a_hz=a_hz)  # type: ignore[arg-type]
    return out, port


@pytest.fixture
def started() -> Iterator[tuple[MidiOutput, Memory]]:
    out, port = output()
    out.start()
    out._gently = False
    yield out, port
    out.close()


def test_the_practised_part_is_a_clarinet_on_the_first_channel(started: tuple[MidiOutput, Memory]) -> None:
    assert (0xC0, 72 - 1) in started[1].sent


def test_clicks_are_wood_blocks_on_channel_ten_and_end() -> None:
    out, port = output()
    for sound in ("accent", "beat", "part"):
        out.perform(Action(0, "click", 0, Event(0.0, 0.02, "click", click=sound)))
    assert [message[:2] for message in port.sent] == [(0x99, 76), (0x99, 77), (0x99, 77)]
    velocities = [message[2] for message in port.sent]
    assert velocities == sorted(velocities, reverse=True) and len(set(velocities)) == 3
    port.sent.clear()
    out.settle(perf_counter() + 1)
    assert port.sent == [(0x89, 76, 0), (0x89, 77, 0), (0x89, 77, 0)]


@pytest.mark.parametrize(("db", "value"), [(0.0, 127), (-12.0, 64), (-40.0, 13), (-200.0, 0), (6.0, 127)])
def test_levels_follow_the_square_law(db: float, value: int) -> None:
    """40 log10(value / 127): half the value is 12 dB less (trade practice of GM synthesisers)."""
    assert scaled(db) == value


def test_lines_have_channels_of_their_own_and_none_is_that_of_the_clicks() -> None:
    channels = [channel(line) for line in range(14)]
    assert len(set(channels)) == 14 and 9 not in channels and 15 not in channels


def test_tuning_is_registered_parameter_one() -> None:
    """442 Hz lies 1200 log2(442/440) = 7.851 cents up: 8192 + 643 = 8835 = 69 * 128 + 3."""
    assert tuning(2, 442.0) == [
        bytes((0xB2, 101, 0)),
        bytes((0xB2, 100, 1)),
        bytes((0xB2, 6, 69)),
        bytes((0xB2, 38, 3)),
    ]
    out, port = output(a_hz=442.0)
    out.start()
    out.close()
    assert (0xB0, 6, 69) in port.sent


def test_a_hairpin_within_a_note_is_drawn_with_expression(monkeypatch: pytest.MonkeyPatch) -> None:
    """From -24 to 0 dB over 2 s at half speed: 4 s; the note has the velocity of its loudest."""
    out, port = output()
    monkeypatch.setattr(midi, "perf_counter", lambda: 10.0)
    swell = Event(0.0, 2.0, "note", midi=60, level_db=-24.0, end_level_db=0.0)
    out.perform(Action(0, "on", 1, swell, 0.5))
    assert port.sent[-2:] == [(0xB0, 11, scaled(-24.0)), (0x90, 60, 127)]
    for at_s, db in ((12.0, -12.0), (14.0, 0.0)):
        out.settle(at_s)
        assert port.sent[-1] == (0xB0, 11, scaled(db))
    out.perform(Action(0, "off", 1))
    out.perform(Action(0, "on", 2, replace(swell, level_db=-12.0, end_level_db=None)))
    assert port.sent[-1] == (0x90, 60, scaled(-12.0)) and out._expression[0] == 127


def test_gains_are_channel_volumes_and_the_usual_one_at_the_usual_level(started: tuple[MidiOutput, Memory]) -> None:
    out, port = started
    assert (0xB0, 7, 100) in port.sent
    out._set_gain("click", -12.0412)
    assert port.sent[-1] == (0xB9, 7, 50)


def test_a_drone_is_held_until_told(started: tuple[MidiOutput, Memory]) -> None:
    out, port = started
    out._hold(57.2)
    assert port.sent[-1] == (0x9F, 57, 80)
    out._hold(None)
    assert port.sent[-1] == (0x8F, 57, 0)


def test_closing_ends_what_sounds_and_then_everything() -> None:
    out, port = output()
    out.start()
    out.perform(Action(0, "on", 1, Event(0.0, 9.0, "note", midi=60)))
    out.perform(Action(0, "on", 2, Event(0.0, 9.0, "note", midi=64, line=1)))
    port.sent.clear()
    out.close()
    assert port.closed
    assert {(0x80, 60, 0), (0x81, 64, 0)} <= set(port.sent[:3])
    assert {(0xB0 | number, control, 0) for number in (0, 1, 9) for control in (123, 120)} <= set(port.sent)


def test_a_port_that_has_gone_is_told(started: tuple[MidiOutput, Memory]) -> None:
    out, port = started
    assert out.lost() is None
    port.there = False
    out.settle(perf_counter() + 1)
    assert "connect it again" in (out.lost() or "")


@settings(max_examples=100)
@given(timelines, st.booleans(), st.lists(commands, max_size=20))
def test_on_the_wire_every_note_that_begins_ends_whatever_happens(
    timeline: Timeline, loop: bool, script: list[tuple[str, object]]
) -> None:
    out, port = output()
    out._gently = False
    transport = Transport(timeline, sample_rate=8000, loop=loop)
    transport.play()
    for command, value in script:
        for action in obey(transport, command, value):
            out.perform(action)
    out.close()
    sounding: dict[tuple[int, int], int] = {}
    for status, note, *_ in port.sent:
        place = (status & 0x0F, note)
        if status & 0xF0 == 0x90:
            assert status == 0x99 or not sounding.get(place)
            sounding[place] = sounding.get(place, 0) + 1
        elif status & 0xF0 == 0x80:
            assert sounding[place] > 0
            sounding[place] -= 1
    assert not any(sounding.values())

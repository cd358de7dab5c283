"""The audio output against a real PulseAudio, and on a machine without a device."""

import signal
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from coach.sound.audio import AudioOutput
from coach.sound.bounce import bounce
from coach.sound.deck import Deck
from coach.sound.player import Player, check_sound
from coach.sound.timeline import Event, Timeline
from coach.sound.transport import course
from tests.bench import bench_audio, bench_key
from tests.servers import RATE_HZ, Recording, Server, onsets, pulse, wait_until
from tests.sound.test_player import answers, troubles_of

QUIET_S = 3.0  # an idle null sink holds up to two seconds before it takes samples at its own pace
TUNE = Timeline(
    (
        Event(-1.0, 0.02, "click", click="accent", bar=-1),
        Event(-0.5, 0.02, "click", click="beat", bar=-1),
        Event(0.0, 0.5, "note", midi=69, slurred=True),
        Event(0.0, 0.02, "click", click="accent"),
        Event(0.5, 0.5, "note", midi=71, level_db=-12.0, end_level_db=0.0, tongued=False),
        Event(0.5, 0.4, "note", midi=52, line=1),
        Event(0.5, 0.02, "click", click="beat"),
    ),
    1.0,
    QUIET_S,
    bars=1,
)
HELD = Timeline((Event(QUIET_S, 60.0, "note", midi=60),), 60.0 + QUIET_S)


@pytest.fixture
def player(tmp_path: Path) -> Iterator[Player]:
    player = Player("audio", log_path=tmp_path / "sound.log")
    yield player
    player.close()


@pytest.mark.server
def test_what_is_captured_is_what_was_bounced_sample_by_sample(player: Player, record: Recording) -> None:
    """But for the last bits of the sums, far below anything heard, which follow how time is cut into blocks. A machine
    so busy that the server itself is starved drops samples whoever plays, so there are three attempts."""
    meant = bounce(TUNE)
    meant = meant[onsets(meant)[0] :]
    for _ in range(3):
        heard = captured(player, record, meant.size)
        if np.allclose(heard, meant, rtol=0, atol=1e-10):
            break
    np.testing.assert_allclose(heard, meant, rtol=0, atol=1e-10)
    assert player.take_troubles() == () and player.output == "audio"


def captured(player: Player, record: Recording, frames: int) -> NDArray[np.float32]:
    """Play the tune once; so many samples from where it began to sound."""
    start = record.frames
    player.load(TUNE)
    player.play()
    wait_until(lambda: answers(player) and not player.position.playing, 15)
    end = record.frames + RATE_HZ + frames
    wait_until(lambda: record.frames >= end, 15)
    heard = record.samples[start:]
    return heard[onsets(heard)[0] :][:frames]


@pytest.mark.server
def test_a_note_ends_when_playing_stops(player: Player, record: Recording) -> None:
    player.load(HELD)
    player.play()
    wait_until(lambda: bool(np.any(record.samples[-4800:])), 15)
    player.stop()
    wait_until(lambda: record.frames > RATE_HZ and not np.any(record.samples[-4800:]))
    assert player.take_troubles() == ()


@pytest.mark.server
def test_the_drone_sounds_without_anything_playing(player: Player, record: Recording) -> None:
    player.drone(57.0)
    wait_until(lambda: bool(np.any(record.samples[-4800:])), 15)
    player.drone(None)
    wait_until(lambda: not np.any(record.samples[-4800:]))


@pytest.mark.server
def test_closing_lets_the_last_note_fade(player: Player, record: Recording) -> None:
    player.load(HELD)
    player.play()
    wait_until(lambda: np.count_nonzero(record.samples) > RATE_HZ // 2, 15)
    player.close()
    end = record.frames + RATE_HZ
    wait_until(lambda: record.frames >= end, what="the recording")
    assert not np.any(record.samples[-4800:])
    samples = np.trim_zeros(record.samples)
    steps = np.abs(np.diff(samples))
    assert abs(float(samples[-1])) <= float(steps[:-4800].max()), "no step at the end larger than within the tone"


@pytest.mark.server
def test_a_server_that_vanishes_is_told_once_time_goes_on_and_the_output_can_be_had_again(
    player: Player, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with pulse(tmp_path) as server:
        monkeypatch.setenv("PULSE_SERVER", server.environment["PULSE_SERVER"])
        player.load(HELD, loop=True)
        player.play()
        wait_until(lambda: player.output == "audio" and player.position.at_s > 0.1, 15)
        server.process.send_signal(signal.SIGKILL)
        (trouble,) = troubles_of(player)
        assert "The sound device has gone" in trouble and "choose the output again in Setup" in trouble
    wait_until(lambda: player.output == "none")
    at_s = player.position.at_s
    wait_until(lambda: player.position.playing and player.position.at_s > at_s + 0.1)
    with pulse(tmp_path):
        player.set_output("audio")
        wait_until(lambda: player.output == "audio")
        at_s = player.position.at_s
        wait_until(lambda: player.position.playing and player.position.at_s > at_s + 0.1, 15)
        assert player.take_troubles() == ()


@pytest.mark.server
def test_a_server_that_comes_back_is_heard_at_the_next_play(
    player: Player, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with pulse(tmp_path) as server:
        monkeypatch.setenv("PULSE_SERVER", server.environment["PULSE_SERVER"])
        player.load(HELD, loop=True)
        player.play()
        wait_until(lambda: player.output == "audio" and player.position.at_s > 0.1, 15)
        server.process.send_signal(signal.SIGKILL)
        assert len(troubles_of(player)) == 1
    wait_until(lambda: player.output == "none")
    player.stop()
    player.play()
    wait_until(lambda: player.position.playing and player.position.at_s > 0.1)
    assert player.output == "none" and player.take_troubles() == (), "still away, and that was said"
    with pulse(tmp_path):
        player.stop()
        player.play()
        wait_until(lambda: player.output == "audio", 15)
        assert player.take_troubles() == ()


@pytest.mark.usefixtures("no_device")
def test_without_a_device_it_is_said_once_and_everything_else_works(player: Player) -> None:
    player.load(TUNE, loop=True)
    player.play()
    (trouble,) = troubles_of(player)
    assert trouble.startswith("No sound device answers; playing goes on in silence")
    player.stop()
    player.play(0.25)
    wait_until(lambda: answers(player) and player.position.lap >= 1)
    assert player.take_troubles() == () and player.output == "none"


@pytest.mark.usefixtures("no_device")
def test_the_check_names_the_missing_device() -> None:
    check = check_sound()
    assert check.audio == "" and "connect or start a sound device" in check.audio_problem


@pytest.mark.server
def test_the_check_names_the_sound_system(pulse_server: Server) -> None:
    assert check_sound().audio == "PulseAudio"


def test_a_voice_that_fails_makes_silence_and_is_told(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """An exception in the driver's thread would end there unseen."""
    output = AudioOutput(Deck(), a_hz=440.0)
    monkeypatch.setattr(output._mixer, "render", lambda frames, actions=(): 1 / 0)
    assert output._samples(480) == bytes(4 * 480)
    assert "has gone" in (output.lost() or "")
    assert "ZeroDivisionError" in capsys.readouterr().err


def test_patience_is_for_a_device_that_starts_not_for_one_that_has_stopped() -> None:
    output = AudioOutput(Deck(), a_hz=440.0)
    assert [output.lost() for _ in range(120)] == [None] * 120, "4 s, while it starts"
    for _ in range(20):
        output._samples(480)
    assert output.lost() is None
    assert [output.lost() is None for _ in range(90)].count(False) > 0, "within 3 s, once it runs"


def test_the_position_told_is_the_one_heard() -> None:
    """Three periods of 10 ms lie between what is made and what is heard; before that, playing is at its start."""
    deck = Deck()
    output = AudioOutput(deck, a_hz=440.0)
    deck.post(lambda: deck.transport.load(course(HELD)))
    deck.post(lambda: deck.transport.play(None))
    heard = []
    for _ in range(6):
        output._samples(480)
        heard.append(deck._heard[0].at_s)
    assert heard == pytest.approx([0.0, 0.0, 0.0, 0.0, 0.01, 0.02], abs=1e-9)


@pytest.mark.server
@pytest.mark.slow
def test_captured_clicks_are_exact_while_a_program_repaints(tmp_path: Path) -> None:
    """Three attempts, as above: any one shows that the clicks are where they belong."""
    for _ in range(3):
        result = bench_audio.compare(4.0)
        if not result.different:
            break
    assert (result.heard, result.inexact, result.different) == (16, 0, 0)
    assert result.repaints > 0


@pytest.mark.server
def test_a_change_of_speed_is_found_in_the_sound() -> None:
    """The bench's way of finding it; the figures themselves are for the bench."""
    result = bench_key.measure(3, calm=True)
    assert len(result.from_key) == len(result.from_call) == 3
    assert all(key >= call > 0 for key, call in zip(result.from_key, result.from_call, strict=True))


def test_onsets_are_found_where_they_are() -> None:
    samples = np.zeros(10_000, np.float32)
    samples[[100, 103, 5000, 5100]] = 0.5
    assert onsets(samples).tolist() == [100, 5000]

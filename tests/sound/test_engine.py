"""The sound process on a real JACK port, and its rules when driven by hand."""

import json
import os
import signal
import subprocess
import sys
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from queue import SimpleQueue

import numpy as np
import pytest

from coach.child import surroundings
from coach.sound import codec
from coach.sound.engine import Engine
from coach.sound.player import Player, check_sound, ports
from coach.sound.timeline import Event, Timeline
from tests.bench import bench_midi
from tests.receiver import Received, Receiver
from tests.servers import Server, jack, wait_until
from tests.sound.test_player import answers, troubles_of

CHORD = Timeline((Event(0.0, 60.0, "note", midi=60), Event(0.0, 60.0, "note", midi=64, line=1)), 60.0)
SCALE = Timeline(
    tuple(Event(k * 0.05, 0.05, "note", midi=60 + k) for k in range(8))
    + tuple(Event(0.4 + k * 0.1, 0.02, "click", click="beat" if k else "accent") for k in range(4)),
    0.8,
)


@pytest.fixture
def player(tmp_path: Path) -> Iterator[Player]:
    player = Player("midi:receiver", log_path=tmp_path / "sound.log")
    yield player
    player.close()


def unended(came: list[Received]) -> dict[tuple[int, int], int]:
    """Notes that began and did not end, by (channel, key)."""
    held: Counter[tuple[int, int]] = Counter()
    for one in came:
        if one.begins:
            held[one.message[0] & 0x0F, one.message[1]] += 1
        elif one.ends:
            held[one.message[0] & 0x0F, one.message[1]] -= 1
    return {place: count for place, count in held.items() if count > 0}


@pytest.mark.server
def test_a_pass_arrives_as_written_and_on_time(player: Player, jack_server: Server) -> None:
    """Keys 76 and 77 of channel 10: General MIDI's wood blocks. A period of the server is 1.3 ms."""
    receiver = Receiver(jack_server)
    player.load(SCALE)
    player.play()
    wait_until(lambda: answers(player) and not player.position.playing)
    assert player.output == "midi:receiver:in" and player.take_troubles() == ()
    player.close()
    came = receiver.close()
    begun = [one for one in came if one.begins]
    assert [one.message[:2] for one in begun] == [(0x90, 60 + k) for k in range(8)] + [(0x99, 76)] + [(0x99, 77)] * 3
    assert unended(came) == {}
    assert (0xC0, 71) in {one.message for one in came}
    meant_s = np.array([event.at_s for event in SCALE.events])
    late_s = np.array([one.at_s for one in begun]) - meant_s
    assert np.median(late_s - late_s.min()) < 0.01


def held_after(player: Player, receiver: Receiver, what: str) -> list[Received]:
    """Hold a chord, do something, and return all that came."""
    player.load(CHORD, loop=True)
    player.play()
    wait_until(lambda: answers(player) and player.position.at_s > 0.2)
    pid = player.pid
    assert pid is not None
    match what:
        case "stop":
            player.stop()
        case "seek":
            player.play(61.0)
        case "load":
            player.load(SCALE)
        case "tuning":
            player.set_tuning(442.0)
        case "output":
            player.set_output("none")
        case "terminate":
            os.kill(pid, signal.SIGTERM)
        case "close":
            player.close()
    if what == "terminate":
        wait_until(lambda: player.pid is None)
    elif what != "close":
        wait_until(lambda: answers(player) and (what != "output" or player.output == "none"))
        if what == "seek":
            player.stop()
            wait_until(lambda: answers(player))
    return receiver.close()


@pytest.mark.server
@pytest.mark.parametrize("what", ["stop", "seek", "load", "tuning", "output", "terminate", "close"])
def test_no_note_goes_on_sounding(player: Player, jack_server: Server, what: str) -> None:
    came = held_after(player, Receiver(jack_server), what)
    assert {one.message[:2] for one in came if one.begins} == {(0x90, 60), (0x91, 64)}
    assert unended(came) == {}
    if what in ("terminate", "close", "output", "tuning"):  # the port is let go: all notes off, all sound off
        sent = {one.message for one in came}
        assert {(0xB0 | number, control, 0) for number in (0, 1, 9) for control in (123, 120)} <= sent


@pytest.mark.server
def test_no_note_goes_on_sounding_when_the_program_is_killed(jack_server: Server, tmp_path: Path) -> None:
    receiver = Receiver(jack_server)
    code = (
        "import sys, time\nfrom pathlib import Path\nfrom tests.sound.test_engine import CHORD, Player\n"
        "player = Player('midi:receiver', log_path=Path(sys.argv[1]))\nplayer.load(CHORD)\nplayer.play()\n"
        "while not player.position.at_s > 0.2: time.sleep(0.01)\nprint(player.pid, flush=True)\ntime.sleep(60)\n"
    )
    arguments = [sys.executable, "-c", code, str(tmp_path / "sound.log")]
    with subprocess.Popen(arguments, stdout=subprocess.PIPE) as parent:
        assert parent.stdout is not None
        engine = int(parent.stdout.readline())
        parent.kill()
    wait_until(lambda: not Path(f"/proc/{engine}/task").exists())
    came = receiver.close()
    assert sum(one.begins for one in came) == 2 and unended(came) == {}


@pytest.mark.server
def test_a_port_that_vanishes_is_told_once_and_can_be_had_again(player: Player, jack_server: Server) -> None:
    receiver = Receiver(jack_server)
    player.load(SCALE, loop=True)
    player.play()
    wait_until(lambda: player.output == "midi:receiver:in" and player.position.lap >= 1)
    receiver.kill()
    (trouble,) = troubles_of(player)
    assert trouble == (
        "The MIDI port 'receiver:in' has gone; playing goes on in silence: connect it again, then choose the output "
        "again in Setup."
    )
    wait_until(lambda: player.output == "none")
    lap = player.position.lap
    wait_until(lambda: player.position.playing and player.position.lap > lap)
    again = Receiver(jack_server)
    player.set_output("midi:receiver")
    wait_until(lambda: player.output == "midi:receiver:in")
    lap = player.position.lap
    wait_until(lambda: player.position.lap > lap + 1)
    player.close()
    came = again.close()
    assert any(one.begins for one in came) and unended(came) == {}


@pytest.mark.server
def test_a_jack_server_that_dies_is_told_and_nothing_hangs(
    player: Player, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """JACK says nothing of it, and its client library would block in the end."""
    with jack(tmp_path) as server:
        monkeypatch.setenv("JACK_DEFAULT_SERVER", server.environment["JACK_DEFAULT_SERVER"])
        receiver = Receiver(server)
        player.load(SCALE, loop=True)
        player.play()
        wait_until(lambda: player.output == "midi:receiver:in" and player.position.lap >= 1)
        server.process.terminate()
        (trouble,) = troubles_of(player)
        assert "has gone" in trouble
        receiver.kill()
    wait_until(lambda: player.output == "none")
    lap = player.position.lap
    wait_until(lambda: player.position.playing and player.position.lap > lap)


@pytest.mark.server
def test_a_port_that_is_not_there_is_told_with_those_that_are(player: Player, jack_server: Server) -> None:
    receiver = Receiver(jack_server, "synth")
    player.load(SCALE)
    player.play()
    (trouble,) = troubles_of(player)
    assert "no MIDI port named 'receiver' (there is: synth:in)" in trouble
    assert ports() == check_sound().ports == ("synth:in",)
    receiver.kill()


def test_the_lateness_bench_tells_lost_and_doubled_notes_apart() -> None:
    keys = [bench_midi.KEYS[k % 40] for k in range(100)]
    assert bench_midi.numbered(keys) == (list(range(100)), 0)
    assert bench_midi.numbered([*keys[:50], *keys[52:]]) == ([*range(50), *range(52, 100)], 0)
    assert bench_midi.numbered([*keys[:50], keys[49], *keys[50:]]) == ([*range(50), None, *range(50, 100)], 1)


@pytest.mark.server
@pytest.mark.slow
def test_every_note_of_the_lateness_bench_arrives() -> None:
    """The figures are for the bench."""
    ours, reference = bench_midi.compare(3.0)
    assert ours.missing == ours.doubled == reference.missing == reference.doubled == 0
    assert 0 <= ours.p50 <= ours.p99 <= ours.worst


def test_an_engine_ends_when_its_parent_no_longer_listens() -> None:
    def gone(line: bytes) -> None:
        raise BrokenPipeError

    Engine(gone).run(SimpleQueue())  # returns at the first report


def test_reports_tell_the_turn_obeyed() -> None:
    lines: list[codec.Report] = []
    queue: SimpleQueue[bytes | None] = SimpleQueue()
    for order in codec.timeline_lines(CHORD, loop=False, rate=2.0, silence=(2, 1), turn=7):
        queue.put(order)
    queue.put(codec.line("play", from_s=1.0, turn=8))

    def hear(line: bytes) -> None:
        lines.append(codec.report(line))
        if lines[-1].turn == 8:
            queue.put(None)

    Engine(hear).run(queue)
    assert lines[-1].playing and lines[-1].rate == 2.0 and 1.0 <= lines[-1].at_s < 2.0


def test_nothing_but_reports_comes_out_of_the_process() -> None:
    """Drivers print what they like; a print of our own would go to standard error as well."""
    orders = b"".join(codec.timeline_lines(SCALE, loop=True, rate=1.0, silence=None, turn=1))
    orders += codec.line("output", name="midi:nothing of that name") + codec.line("play", from_s=None, turn=2)
    process = subprocess.Popen(
        [sys.executable, "-m", "coach.sound.engine"],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        **surroundings(),
    )
    assert process.stdin is not None and process.stdout is not None
    process.stdin.write(orders)
    process.stdin.flush()
    first = [process.stdout.readline() for _ in range(5)]
    rest, _ = process.communicate(timeout=20)
    lines = [*first, *rest.splitlines()]
    assert process.returncode == 0
    assert all(isinstance(json.loads(line), list) and codec.report(line) for line in lines)

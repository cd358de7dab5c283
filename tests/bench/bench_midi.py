"""How late MIDI messages arrive at a real JACK port while the screens repaint as hard as they can.

A note begins every 10 ms. The receiver is a process of its own behind jackd (dummy driver) and stamps what comes with
the clock that all processes share. JACK delivers once a period (a third of a millisecond), to both contestants alike.
Lateness is counted from the best arrival of the run: that of the k-th note is (t_k - k * 10 ms) less the least of
these. The reference is `mido.MidiFile.play()` in a thread of the same busy program, sending through the same rtmidi to
the same port.

    python -m tests.bench.bench_midi [--seconds 60]
"""

import argparse
import json
import os
import subprocess
import sys
import tempfile
from dataclasses import dataclass
from pathlib import Path
from threading import Event as Flag

import mido
import numpy as np

from coach.sound.player import Player
from coach.sound.timeline import Event, Timeline
from tests.bench.busy import busily, table
from tests.receiver import Receiver
from tests.servers import Server, jack

EVERY_S = 0.01
PERIOD = 16
KEYS = tuple(range(40, 80))  # the keys of the stream, again and again


@dataclass(frozen=True)
class Lateness:
    """Milliseconds late at the receiving end, notes that never came or came twice, and repaints a second meanwhile."""

    p50: float
    p99: float
    worst: float
    missing: int
    doubled: int
    repaints: float


def stream(seconds: float) -> Timeline:
    """A note every 10 ms, each 5 ms long."""
    count = round(seconds / EVERY_S)
    events = tuple(Event(k * EVERY_S, EVERY_S / 2, "note", midi=KEYS[k % len(KEYS)]) for k in range(count))
    return Timeline(events, count * EVERY_S)


def play_ours(seconds: float, log: Path) -> None:
    """Our player to the end of the stream."""
    player = Player("midi:receiver", log_path=log)
    player.load(stream(seconds))
    player.play()
    pause = Flag()
    while player.position.playing:
        pause.wait(1 / 30)
    troubles = player.take_troubles()
    player.close()
    assert not troubles, troubles


def play_mido(seconds: float) -> None:
    """mido's own player; 1000 ticks a second."""
    track = mido.MidiTrack([mido.MetaMessage("set_tempo", tempo=1_000_000)])
    for k in range(round(seconds / EVERY_S)):
        track.append(mido.Message("note_on", note=KEYS[k % len(KEYS)], velocity=127, time=5 if k else 0))
        track.append(mido.Message("note_off", note=KEYS[k % len(KEYS)], time=5))
    song = mido.MidiFile(ticks_per_beat=1000, tracks=[track])
    with mido.Backend("mido.backends.rtmidi/UNIX_JACK").open_output("receiver:in") as port:
        for message in song.play():
            port.send(message)


def measure(who: str, seconds: float, folder: Path, server: Server) -> Lateness:
    """Play in a busy process and look at what came."""
    receiver = Receiver(server)
    done = subprocess.run(
        [sys.executable, "-m", "tests.bench.bench_midi", "--inside", who, "--seconds", str(seconds), str(folder)],
        env={**os.environ, **server.environment},
        stdout=subprocess.PIPE,
        check=True,
        timeout=seconds * 3 + 60,
    )
    came = [(one.at_s, one.message[1]) for one in receiver.close() if one.begins]
    which, doubled = numbered([key for _, key in came])
    came_s = np.array([at_s for (at_s, _), k in zip(came, which, strict=True) if k is not None])
    numbers = np.array([k for k in which if k is not None])
    late_ms = 1000 * (came_s - EVERY_S * numbers)
    late_ms -= late_ms.min()
    p50, p99 = np.percentile(late_ms, [50, 99])
    missing = round(seconds / EVERY_S) - numbers.size
    return Lateness(p50, p99, late_ms.max(), missing, doubled, json.loads(done.stdout.splitlines()[-1]))


def numbered(keys: list[int]) -> tuple[list[int | None], int]:
    """Which note of the stream each arrival is, told by its key, and how many came again (those are None).

    Up to twenty in a row are told apart. What loses or doubles a note, the server or a player, this does not tell.
    """
    which: list[int | None] = []
    due = doubled = 0
    for key in keys:
        ahead = (key - KEYS[due % len(KEYS)]) % len(KEYS)
        if ahead < len(KEYS) // 2:
            which.append(due + ahead)
            due += ahead + 1
        else:
            which.append(None)
            doubled += 1
    return which, doubled


def compare(seconds: float) -> tuple[Lateness, Lateness]:
    """Ours and the reference, one after the other, each behind a JACK server of its own."""
    results = []
    for who in ("ours", "mido"):
        with tempfile.TemporaryDirectory() as name, jack(Path(name), PERIOD) as server:
            results.append(measure(who, seconds, Path(name), server))
    return results[0], results[1]


def inside(who: str, seconds: float, folder: Path) -> None:
    """The busy process of one measurement; prints its repaints a second."""
    log = folder / "sound.log"
    print(json.dumps(busily(lambda _: play_ours(seconds, log) if who == "ours" else play_mido(seconds))))


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--seconds", type=float, default=60.0)
    parser.add_argument("--inside")
    parser.add_argument("folder", nargs="?", type=Path)
    asked = parser.parse_args()
    if asked.inside:
        inside(asked.inside, asked.seconds, asked.folder)
        return
    ours, reference = compare(asked.seconds)
    rows = [
        (f"MIDI lateness {name}, ms", f"{a:.3f}", f"{b:.3f}", f"{a / b:.3f}")
        for name, a, b in (
            ("p50", ours.p50, reference.p50),
            ("p99", ours.p99, reference.p99),
            ("max", ours.worst, reference.worst),
        )
    ]
    rows.append(("notes missing", str(ours.missing), str(reference.missing), ""))
    rows.append(("notes that came twice", str(ours.doubled), str(reference.doubled), ""))
    rows.append(("repaints a second", f"{ours.repaints:.0f}", f"{reference.repaints:.0f}", ""))
    table(f"A note every 10 ms for {asked.seconds:g} s (reference: mido.MidiFile.play in a thread)", rows)


if __name__ == "__main__":
    main()

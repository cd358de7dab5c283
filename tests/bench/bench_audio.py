"""Clicks captured from PulseAudio's null sink while the screens repaint as hard as they can: each on its very sample?

The monitor of the null sink (48 kHz mono float) is recorded by parec. The reference is the same timeline played into an
array by `coach.sound.bounce`, without any clock or device: the capture must equal it sample by sample.

    python -m tests.bench.bench_audio [--seconds 60]
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

import numpy as np

from coach.sound.bounce import bounce
from coach.sound.player import Player
from coach.sound.timeline import Event, Timeline
from tests.bench.busy import busily, table
from tests.servers import RATE_HZ, Server, onsets, pulse, recording

EVERY_S = 0.25
BEFORE_S = 3.0  # an idle null sink holds up to two seconds before it begins to take samples at its own pace


@dataclass(frozen=True)
class Clicks:
    """Clicks asked for and heard, intervals that are not the exact number of samples, samples that differ from the
    bounced ones, and repaints a second."""

    asked: int
    heard: int
    inexact: int
    different: int
    repaints: float


def clicks(seconds: float) -> Timeline:
    """An accent every fourth click, a click every quarter of a second, after a stretch of quiet."""
    count = round(seconds / EVERY_S)
    events = tuple(
        Event(BEFORE_S + k * EVERY_S, 0.05, "click", click="beat" if k % 4 else "accent", bar=k // 4)
        for k in range(count)
    )
    return Timeline(events, BEFORE_S + count * EVERY_S + 0.5)


def play(seconds: float, log: Path) -> None:
    """Play to the end."""
    player = Player("audio", log_path=log)
    player.load(clicks(seconds))
    player.play()
    pause = Flag()
    while player.position.playing:
        pause.wait(1 / 30)
    pause.wait(0.3)  # what is queued in the server
    troubles = player.take_troubles()
    player.close()
    assert not troubles, troubles


def capture(seconds: float, folder: Path, server: Server) -> Clicks:
    """Play in a busy process, record, compare."""
    with recording(server) as record:
        done = subprocess.run(
            [sys.executable, "-m", "tests.bench.bench_audio", "--inside", "--seconds", str(seconds), str(folder)],
            env={**os.environ, **server.environment},
            stdout=subprocess.PIPE,
            check=True,
            timeout=seconds * 3 + 60,
        )
        heard = record.samples
    meant = bounce(clicks(seconds))
    begins, expected = onsets(heard), onsets(meant)
    different = meant.size
    if begins.size:
        start = begins[0] - expected[0]
        length = min(meant.size, heard.size - start)
        first = max(0, -start)
        different = int(np.count_nonzero(heard[start + first : start + length] != meant[first:length]))
    inexact = np.count_nonzero(np.diff(begins) != round(EVERY_S * RATE_HZ))
    return Clicks(expected.size, begins.size, int(inexact), different, json.loads(done.stdout.splitlines()[-1]))


def compare(seconds: float) -> Clicks:
    """One capture with a server of its own."""
    with tempfile.TemporaryDirectory() as name, pulse(Path(name)) as server:
        return capture(seconds, Path(name), server)


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--seconds", type=float, default=60.0)
    parser.add_argument("--inside", action="store_true")
    parser.add_argument("folder", nargs="?", type=Path)
    asked = parser.parse_args()
    if asked.inside:
        print(json.dumps(busily(lambda _: play(asked.seconds, asked.folder / "sound.log"))))
        return
    result = compare(asked.seconds)
    rows = [
        ("clicks heard", str(result.heard), str(result.asked), f"{result.heard / result.asked:.3f}"),
        ("intervals not exact to the sample", str(result.inexact), "0", ""),
        ("samples that differ", str(result.different), "0", ""),
        ("repaints a second", f"{result.repaints:.0f}", "", ""),
    ]
    table(f"{asked.seconds:g} s of clicks captured from PulseAudio (reference: the same, bounced)", rows)


if __name__ == "__main__":
    main()

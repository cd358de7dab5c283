"""From a key press in a Textual program to the changed tempo in the sound that PulseAudio plays.

The sound is a click every 5 ms (at rate 1, every 6.25 ms at 0.8), so that it repeats itself from period to period; a
change of tempo is the first sample that does not. The moment of the press, in samples, is what the recording had by
then: parec hands samples on a little after they sound, so the figures are upper bounds. The key event goes through the
program's own queue: of one that shows the position 30 times a second, as the screens do, and of one that repaints as
hard as it can, where a key waits for the repaint that is under way.

    python -m tests.bench.bench_key [--trials 20]
"""

import argparse
import os
import tempfile
from dataclasses import dataclass
from pathlib import Path
from threading import Event as Flag
from time import perf_counter

import numpy as np
from numpy.typing import NDArray
from textual.events import Key

from coach.sound.player import Player
from coach.sound.timeline import Event, Timeline
from tests.bench.busy import Busy, busily, table
from tests.servers import RATE_HZ, Recording, pulse, recording, wait_until

EVERY_FRAMES = 240
RATES = (0.8, 1.0)
_SETTLE_FRAMES = RATE_HZ // 4


@dataclass(frozen=True)
class Latency:
    """Milliseconds from key press (through the busy program) and from `set_rate` to the changed sound, per trial."""

    from_key: list[float]
    from_call: list[float]
    repaints: float


def dense() -> Timeline:
    """A click every 5 ms, to be looped."""
    every_s = EVERY_FRAMES / RATE_HZ
    return Timeline(tuple(Event(k * every_s, 0.0, "click", click="part") for k in range(200)), 200 * every_s)


def first_change(samples: NDArray[np.float32], start: int, period: int) -> int | None:
    """The first frame from `start` on that is not as one period before."""
    changed = np.flatnonzero(samples[start:] != samples[start - period : -period])
    return start + int(changed[0]) if changed.size else None


class Trials:
    """Presses keys in a busy program and looks for the change in the recording."""

    def __init__(self, player: Player, record: Recording, trials: int) -> None:
        self._player = player
        self._record = record
        self._trials = trials
        self._rate = 1.0
        self._called_at = 0
        self.from_key: list[float] = []
        self.from_call: list[float] = []

    def pressed(self, key: str) -> None:
        """What the program does with the key."""
        self._called_at = self._record.frames
        self._player.set_rate(self._rate)

    def run(self, app: Busy) -> None:
        """All trials, one after the other, each once the sound is steady."""
        for trial in range(self._trials):
            period = round(EVERY_FRAMES / self._rate)
            self._steady(period)
            self._rate = RATES[trial % 2]
            pressed_at = self._record.frames
            app.post_message(Key("up", None))
            changed = self._changed(pressed_at, period)
            self.from_key.append(1000 * (changed - pressed_at) / RATE_HZ)
            self.from_call.append(1000 * (changed - self._called_at) / RATE_HZ)

    def _steady(self, period: int) -> None:
        """Wait until a quarter of a second repeats itself."""

        def repeats() -> bool:
            end = self._record.frames
            samples = self._record.samples[end - 2 * _SETTLE_FRAMES : end]
            return end > 2 * _SETTLE_FRAMES and bool(np.any(samples)) and first_change(samples, 12_000, period) is None

        wait_until(repeats, 20, "a steady sound")

    def _changed(self, start: int, period: int) -> int:
        deadline_s = perf_counter() + 10
        pause = Flag()
        while (changed := first_change(self._record.samples, start, period)) is None:
            assert perf_counter() < deadline_s, "the tempo never changed"
            pause.wait(0.02)
        return changed


def measure(trials: int, *, calm: bool) -> Latency:
    """Trials with a server and a program of their own."""
    with tempfile.TemporaryDirectory() as name, pulse(Path(name)) as server, recording(server) as record:
        os.environ.update(server.environment)
        player = Player("audio", log_path=Path(name) / "sound.log")
        try:
            player.load(dense(), loop=True)
            player.play()
            run = Trials(player, record, trials)
            repaints = busily(run.run, run.pressed, calm=calm)
            assert not player.take_troubles()
        finally:
            player.close()
        return Latency(run.from_key, run.from_call, repaints)


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--trials", type=int, default=20)
    asked = parser.parse_args()
    rows = []
    for program, calm in (("30 Hz", True), ("busy", False)):
        result = measure(asked.trials, calm=calm)
        for what, values in (("key press", result.from_key), ("set_rate", result.from_call)):
            for name, value in (("p50", float(np.median(values))), ("max", max(values))):
                rows.append((f"{program}: from {what}, {name}, ms", f"{value:.1f}", "60", f"{value / 60:.2f}"))
        rows.append((f"{program}: repaints a second", f"{result.repaints:.0f}", "", ""))
    table(f"To the changed tempo in the sound, {asked.trials} trials (reference: the aim)", rows)


if __name__ == "__main__":
    main()

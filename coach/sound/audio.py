"""The audio output: the built-in voice and click on the machine's own sound system, through miniaudio.

Periods of 10 ms, four in the queue: short enough that a change of tempo is heard at once, long enough for an ordinary
laptop. miniaudio would take its null device where there is none and say nothing, so that one is left out. Nor does it
say when a server goes away while playing: blocks simply stop being asked for, which `lost` notices.
"""

import json
import sys
import traceback
from collections.abc import Generator
from typing import Any

import miniaudio
import numpy as np

from coach.errors import SoundError
from coach.sound.deck import FRAMES_PER_S, Deck
from coach.sound.voice import Mixer

PERIOD_MS = 10
PERIODS = 4
QUEUED_FRAMES = FRAMES_PER_S * PERIOD_MS * (PERIODS - 1) // 1000
# Looks (30 a second) without a new block before the device counts as lost: while it starts, and once it runs.
_PATIENCE_STARTING, _PATIENCE = 150, 60
_STARTED_BLOCKS = 10
REMEDY = "connect or start a sound device, then choose the output again in Setup"


class AudioOutput:
    """Plays the deck through the mixer on the default device, 48 kHz mono, spread to the device's channels."""

    name = "audio"

    def __init__(self, deck: Deck, *, a_hz: float) -> None:
        self._deck = deck
        self._mixer = Mixer(FRAMES_PER_S, a_hz)
        self._device: Any = None
        self._failed = False
        self._closing = False
        self._blocks, self._last_blocks, self._quiet_looks = 0, 0, 0

    def start(self) -> None:
        """Open the device. Raises SoundError if there is none."""
        try:
            self._device = _device()
            self._device.stop_callback = self._stopped
            source = self._blocks_of_samples()
            next(source)
            self._device.start(source)
        except miniaudio.MiniaudioError as error:
            raise SoundError(f"No sound device answers; playing goes on in silence: {REMEDY}.") from error

    @property
    def system(self) -> str:
        """The sound system in use, as miniaudio names it."""
        return str(self._device.backend)

    def lost(self) -> str | None:
        """The sentence, once the device has stopped asking for samples."""
        patience = _PATIENCE if self._blocks >= _STARTED_BLOCKS else _PATIENCE_STARTING
        self._quiet_looks = self._quiet_looks + 1 if self._blocks == self._last_blocks else 0
        self._last_blocks = self._blocks
        if self._failed or self._quiet_looks > patience:
            return f"The sound device has gone; playing goes on in silence: {REMEDY}."
        return None

    def set_gain(self, what: str, db: float) -> None:
        """Gain in dB of "voice", "others", "click", "drone" or "all"."""
        self._deck.post(lambda: self._mixer.set_gain(what, db))

    def drone(self, midi: float | None) -> None:
        """Hold a pitch."""
        self._deck.post(lambda: self._mixer.drone(midi))

    def close(self) -> None:
        """Let the device go; what still sounds ends with it."""
        self._closing = True
        if self._device is not None:
            self._device.close()

    def _stopped(self) -> None:
        self._failed = self._failed or not self._closing

    def _blocks_of_samples(self) -> Generator[bytes, int, None]:
        frames = yield b""
        while True:
            frames = yield self._samples(frames)

    def _samples(self, frames: int) -> bytes:
        self._blocks += 1
        if self._failed:
            return bytes(4 * frames)
        try:
            samples = self._mixer.render(frames, self._deck.block(frames, QUEUED_FRAMES))
        except Exception:  # noqa: BLE001 - raised into the driver's thread it would end there unseen
            traceback.print_exc()
            self._failed = True
            return bytes(4 * frames)
        return np.ascontiguousarray(samples, dtype=np.float32).tobytes()


def _device() -> Any:
    backends = [backend for backend in miniaudio.Backend if backend is not miniaudio.Backend.NULL]
    return miniaudio.PlaybackDevice(
        output_format=miniaudio.SampleFormat.FLOAT32,
        nchannels=1,
        sample_rate=FRAMES_PER_S,
        buffersize_msec=PERIOD_MS,
        callback_periods=PERIODS,
        backends=backends,
        app_name="coach",
    )


def main() -> None:
    """Print the sound system that answers as JSON: {"system": "...", "problem": ""}."""
    answer = {"system": "", "problem": ""}
    try:
        device = _device()
        answer["system"] = str(device.backend)
        device.close()
    except miniaudio.MiniaudioError:
        answer["problem"] = f"No sound device answers: {REMEDY}."
    sys.stdout.write(json.dumps(answer) + "\n")


if __name__ == "__main__":
    main()

"""One sounding note: a phase that runs through its tables, under an envelope and a level that may glide."""

from collections.abc import Sequence
from math import pi

import numpy as np
from numpy.typing import NDArray

from coach.sound.oscillator import SIZE

Samples = NDArray[np.float64]


class Tone:
    """A note from its attack to its silence; `done` once nothing of it is left.

    The phase counts periods in double precision, so pitch is exact over any length. The level in dB runs along
    `levels_db` at the frames `frames`, evenly between them, and stays at the last; the spectrum goes with it from the
    first table (at the softest) to the second (at the loudest).
    """

    def __init__(
        self,
        tables: tuple[Samples, Samples],
        increment: float,
        levels_db: Sequence[float] = (0.0,),
        frames: Sequence[float] = (0.0,),
        phase: float = 0.0,
    ) -> None:
        self.phase = phase
        self.done = False
        self.released_for: int | None = None
        self._soft, self._loud = tables
        self._increment = increment
        self._levels_db, self._frames = tuple(levels_db), tuple(frames)
        self._age = 0
        self._fade_from, self._fade_to, self._fade_frames, self._fade_age = 0.0, 0.0, 0, 0

    @property
    def envelope(self) -> float:
        """The envelope at this moment, 0 to 1."""
        if self._fade_age >= self._fade_frames:
            return self._fade_to
        share = 0.5 - 0.5 * np.cos(pi * self._fade_age / self._fade_frames)
        return float(self._fade_from + (self._fade_to - self._fade_from) * share)

    def fade(self, to: float, frames: int) -> None:
        """Move the envelope to a value over some frames, from wherever it is."""
        self._fade_from, self._fade_to, self._fade_frames, self._fade_age = self.envelope, to, max(frames, 1), 0

    def release(self, frames: int) -> None:
        """Let it fade to silence over some frames."""
        self.fade(0.0, frames)
        self.released_for = 0

    def samples(self, frames: int) -> Samples:
        """The next frames."""
        steps = np.arange(frames, dtype=np.float64)
        place: Samples = (self.phase + self._increment * steps) % 1.0 * SIZE
        whole = place.astype(np.intp)
        part: Samples = place - whole
        wave = _read(self._soft, whole, part)
        low, high = min(self._levels_db), max(self._levels_db)
        if low == high:
            wave *= 10.0 ** (low / 20)
        else:
            level = np.interp(self._age + steps, self._frames, self._levels_db)
            wave += (level - low) / (high - low) * (_read(self._loud, whole, part) - wave)
            wave *= np.exp(level * (np.log(10) / 20))
        self._shape(wave)
        self.phase = (self.phase + self._increment * frames) % 1.0
        self._age += frames
        return wave

    def _shape(self, wave: Samples) -> None:
        frames = wave.size
        moving = min(frames, max(0, self._fade_frames - self._fade_age))
        if moving:
            steps = np.arange(self._fade_age, self._fade_age + moving)
            share = 0.5 - 0.5 * np.cos(pi / self._fade_frames * steps)
            wave[:moving] *= self._fade_from + (self._fade_to - self._fade_from) * share
        if self._fade_to != 1.0:
            wave[moving:] *= self._fade_to
        self._fade_age += frames
        if self.released_for is not None:
            self.released_for += frames
            self.done = self._fade_age >= self._fade_frames


def _read(table: Samples, whole: NDArray[np.intp], part: Samples) -> Samples:
    low = table[whole]
    return np.asarray(low + part * (table[whole + 1] - low), dtype=np.float64)

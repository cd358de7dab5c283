"""A very small, quiet room around the voice: a few dozen early reflections that die away in a third of a second.

Notes that stop dead tire the ears, in headphones above all. Each reflection is the voice, dulled, a while later and
weaker: wet(t) = sum over k of g_k * dull(t - t_k), with |g_k| falling as 10 ** (-3 t_k / DECAY_S) and signs and times
drawn once with a fixed seed (velvet noise). The whole is finite, so silence is silence, and exact however time is cut.
The figures are defaults chosen for a plain practice tone; no hall was measured.
"""

import numpy as np
from numpy.typing import NDArray

from coach.sound.tone import Ramp, Samples

FIRST_S, LAST_S = 0.013, 0.36
DECAY_S = 0.5
REFLECTIONS = 56
# Energy of all reflections against the voice itself.
WET_DB = -26.0
_SEED = 5
_DULL_S = 0.0004


class Room:
    """What the room gives back of a voice. Nothing is heard sooner than `FIRST_S` after its cause."""

    def __init__(self, sample_rate: int) -> None:
        rng = np.random.default_rng(_SEED)
        even_s = FIRST_S + (LAST_S - FIRST_S) * (np.arange(REFLECTIONS) + rng.random(REFLECTIONS)) / REFLECTIONS
        gains = 10.0 ** (-3 * even_s / DECAY_S) * rng.choice((-1.0, 1.0), REFLECTIONS)
        self._gains: Samples = gains * 10.0 ** (WET_DB / 20) / np.sqrt(np.sum(gains * gains))
        self._delays: NDArray[np.intp] = np.rint(even_s * sample_rate).astype(np.intp)
        self._longest = int(self._delays.max())
        dull = np.hanning(max(3, round(_DULL_S * sample_rate)) + 2)[1:-1]
        self._dull: Samples = dull / dull.sum()
        self._recent = np.zeros(self._dull.size - 1)
        self._dulled = np.zeros(self._longest)
        self._quiet = self._longest + self._dull.size
        self._ending = np.zeros(0)
        self._shut = 0
        self._open = Ramp(1.0)

    @property
    def sounding(self) -> bool:
        """Whether anything is still to come back."""
        return bool(self._ending.size) or self._ringing

    @property
    def _ringing(self) -> bool:
        return bool(self._quiet < self._longest + self._dull.size)

    def wet(self, voice: Samples) -> Samples:
        """What comes back during the next samples, the voice itself not included."""
        ending, self._ending = self._ending[: voice.size], self._ending[voice.size :]
        shut = min(self._shut, voice.size)
        self._shut -= shut
        heard = voice.copy()
        heard[:shut] = 0.0
        self._open.apply(heard[shut:])
        back = self._reflected(heard)
        back[: ending.size] += ending
        return back

    def hush(self, frames: int) -> None:
        """Fall silent within so many frames, fewer than the first reflection needs; what ends in them is not heard."""
        ending = self._reflected(np.zeros(frames))
        self._ending = np.asarray(ending * np.linspace(1.0, 0.0, frames), dtype=np.float64)
        self._recent[:] = 0.0
        self._dulled[:] = 0.0
        self._quiet = self._longest + self._dull.size
        self._shut = frames
        self._open = Ramp(0.0)
        self._open.move(1.0, frames)

    def _reflected(self, voice: Samples) -> Samples:
        frames = voice.size
        heard_at = np.flatnonzero(voice)
        silent = not heard_at.size and not self._ringing
        self._quiet = frames - 1 - int(heard_at[-1]) if heard_at.size else self._quiet + frames
        if silent or not frames:
            return np.zeros(frames)
        raw = np.concatenate([self._recent, voice])
        self._recent = raw[frames:]
        dulled = np.concatenate([self._dulled, np.convolve(raw, self._dull, "valid")])
        self._dulled = dulled[frames:]
        # Row k of this view begins at sample k; only the rows of the reflections are read.
        rows: Samples = np.ndarray((self._longest + 1, frames), np.float64, dulled, strides=dulled.strides * 2)
        heard = rows[self._longest - self._delays]
        return np.asarray(self._gains @ heard, dtype=np.float64)

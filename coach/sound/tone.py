"""One sounding note: a phase that runs through its tables, under an envelope and a level that may glide.

Everything is a function of the note's own age in frames, so the samples do not depend on how time is cut into blocks.
What moves slowly (level, brightness, drift, breath) is reckoned every `GRID` frames of that age, and runs evenly
between.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import log, pi

import numpy as np
from numpy.typing import NDArray

from coach.sound.oscillator import RMS, SIZE

Samples = NDArray[np.float64]
GRID = 32
# A long note is never quite still: its level and its brightness drift, periods in frames at 48 kHz and dB of each.
# So slow and small that it is felt rather than heard; it comes in over a third of a second. A default, not measured.
_DRIFT_TURN = 2 * pi / np.array([[96_000.0], [37_000.0], [13_700.0]])
_DRIFT_DB = np.array([0.14, 0.08, 0.05])
_DRIFT_BEGIN = 2 * pi * np.array([[1.0], [2.0], [3.0]])
_DRIFT_IN = 16_000.0
_BRIGHTER_PER_DB = 0.06
# How far the tone opens and shuts the breath heard beside it, once a period.
_PULSE = 1.2
_BREATH_RISE = 400.0
_BURST_FALL = 1100.0
_BURST_OVER = 40 * _BURST_FALL  # less than rounding by then
_LEVEL_FALL = 2600.0
_DB = log(10) / 20


@dataclass(frozen=True, slots=True)
class Course:
    """How a note goes: at the ages `frames` its level in dB and the share of the second table (0 to 1), evenly between
    them. At first the share lags by `lag` and the level is `over_db` higher, for about `opening` frames."""

    levels_db: Sequence[float] = (0.0,)
    shares: Sequence[float] = (0.0,)
    frames: Sequence[float] = (0.0,)
    lag: float = 0.0
    over_db: float = 0.0
    opening: float = 1.0


@dataclass(frozen=True, slots=True)
class Breath:
    """The breath beside a note: a loop of noise, where it begins, its levels in dB at the ages of the course, and how
    much louder it is at first (a factor). `drift` (0 to 1) says where in its drift the note begins."""

    noise: Samples
    begins: int
    levels_db: Sequence[float]
    burst: float
    drift: float


class Ramp:
    """An envelope on its way from one value to another: half a cosine, to a power that makes a fall rounder."""

    def __init__(self, value: float) -> None:
        self._from = self._to = value
        self._frames = self._age = 0
        self._power = 1.0

    @property
    def value(self) -> float:
        """Where it is now, 0 to 1."""
        if self._age >= self._frames:
            return self._to
        return float(self._at(np.array([float(self._age)]))[0])

    @property
    def arrived(self) -> bool:
        """Whether it has come to its end."""
        return self._age >= self._frames

    def move(self, to: float, frames: int, power: float = 1.0) -> None:
        """Set off for a value over some frames, from wherever it is."""
        self._from, self._to, self._frames, self._age, self._power = self.value, to, max(frames, 1), 0, power

    def apply(self, wave: Samples) -> None:
        """Multiply the next samples, in place."""
        frames = wave.size
        moving = min(frames, max(0, self._frames - self._age))
        if moving:
            wave[:moving] *= self._at(np.arange(self._age, self._age + moving, dtype=np.float64))
        if self._to != 1.0:
            wave[moving:] *= self._to
        self._age += frames

    def _at(self, age: Samples) -> Samples:
        share = 0.5 - 0.5 * np.cos(pi / self._frames * age)
        if self._to < self._from:
            return np.asarray(self._to + (self._from - self._to) * (1.0 - share) ** self._power, dtype=np.float64)
        return np.asarray(self._from + (self._to - self._from) * share**self._power, dtype=np.float64)


class Tone:
    """A note from its attack to its silence; `done` once nothing of it is left.

    The phase counts periods in double precision, so pitch is exact over any length. The spectrum goes from the first
    table to the second as the course's shares do; both have the same RMS, and so has every mixture of them.
    """

    def __init__(
        self,
        tables: tuple[Samples, Samples],
        increment: float,
        course: Course = Course(),  # noqa: B008 - frozen
        phase: float = 0.0,
        breath: Breath | None = None,
    ) -> None:
        self.done = False
        self.released_for: int | None = None
        self.increment = increment
        self._tables = tables
        self._alike = float(np.mean(tables[0][:-1] * tables[1][:-1])) / RMS**2
        self._course, self._breath = course, breath
        self._age = 0
        self._origin, self._origin_age = phase, 0
        self._bend, self._glide = 0.0, 1.0
        self._closing: tuple[int, int, float] | None = None
        self._rise, self._fall = Ramp(0.0), Ramp(1.0)

    @property
    def phase(self) -> float:
        """Where in its period it is, 0 to 1."""
        return float(self._periods(np.array([float(self._age - self._origin_age)]))[0] % 1.0)

    @property
    def increment_now(self) -> float:
        """Periods per sample at this moment, on a glide too."""
        x = min((self._age - self._origin_age) / self._glide, 1.0)
        return self.increment + self._bend * (1.0 - 3.0 * x * x + 2.0 * x**3)

    @property
    def breath_at(self) -> int | None:
        """Where in the noise its breath is now."""
        return None if self._breath is None else self._breath.begins + self._age

    def fade(self, frames: int, power: float = 1.0) -> None:
        """Let it come in over some frames."""
        self._rise.move(1.0, frames, power)

    def release(self, frames: int, power: float = 1.0, closing: float = 0.0) -> None:
        """Let it fade to silence over some frames, its brightness falling by `closing`."""
        self._fall.move(0.0, frames, power)
        self._closing = (self._age, frames, closing) if closing else None
        self.released_for = 0

    def glide(self, begin: float, end: float, frames: int) -> None:
        """Go smoothly from one number of periods per sample to another, beginning now."""
        self._origin, self._origin_age = self.phase, self._age
        self.increment, self._bend, self._glide = end, begin - end, float(max(frames, 1))

    def samples(self, frames: int) -> Samples:
        """The next frames."""
        age = np.arange(self._age, self._age + frames, dtype=np.float64)
        place = self._periods(age - self._origin_age)
        place -= np.floor(place)
        place *= SIZE
        whole = place.astype(np.intp)
        place -= whole
        following = whole + 1
        grid = np.arange(self._age // GRID, (self._age + frames - 1) // GRID + 2, dtype=np.float64) * GRID
        drift_db = self._drift_db(grid)
        share, factor = self._slow(grid, drift_db)
        wave = _read(self._tables[0], whole, following, place)
        if self._tables[0] is not self._tables[1]:
            brighter = _read(self._tables[1], whole, following, place)
            brighter -= wave
            brighter *= np.interp(age, grid, share)
            wave += brighter
        breath = self._breathed(age, grid, wave)
        wave *= np.interp(age, grid, factor)
        self._rise.apply(wave)
        if breath is not None:
            wave += breath
        self._fall.apply(wave)
        self._age += frames
        if self.released_for is not None:
            self.released_for += frames
            self.done = self._fall.arrived
        return wave

    def _periods(self, since: Samples) -> Samples:
        periods = self._origin + self.increment * since
        if self._bend:
            # The integral of the increment: its departure falls from `_bend` to 0 as 1 - 3 x^2 + 2 x^3.
            x = np.minimum(since / self._glide, 1.0)
            periods += self._bend * self._glide * (x - x**3 + 0.5 * x**4)
        return np.asarray(periods, dtype=np.float64)

    def _drift_db(self, grid: Samples) -> Samples:
        if self._breath is None:
            return np.zeros_like(grid)
        drift = _DRIFT_DB @ np.sin(_DRIFT_TURN * grid + _DRIFT_BEGIN * self._breath.drift)
        if grid[0] < _DRIFT_IN:
            drift *= np.minimum(grid / _DRIFT_IN, 1.0)
        return np.asarray(drift, dtype=np.float64)

    def _slow(self, grid: Samples, drift_db: Samples) -> tuple[Samples, Samples]:
        """The share of the second table and the factor of the level at the grid's ages."""
        course = self._course
        share = _BRIGHTER_PER_DB * drift_db + self._along(grid, course.shares)
        if course.lag and grid[0] < course.opening:
            share -= course.lag * np.maximum(1.0 - grid / course.opening, 0.0) ** 2
        if self._closing is not None:
            begun, length, closing = self._closing
            share -= closing * np.clip((grid - begun) / length, 0.0, 1.0)
        share = np.minimum(np.maximum(share, 0.0), 1.0)
        level_db = drift_db + self._along(grid, course.levels_db)
        if course.over_db and grid[0] < 20 * _LEVEL_FALL:
            level_db += course.over_db * np.exp(-grid / _LEVEL_FALL)
        # A mixture of two tables of one RMS is weaker than either unless they are alike.
        mixed = 1.0 - 2.0 * share * (1.0 - share) * (1.0 - self._alike)
        return share, np.exp(level_db * _DB) / np.sqrt(mixed)

    def _breathed(self, age: Samples, grid: Samples, wave: Samples) -> Samples | None:
        breath = self._breath
        if breath is None:
            return None
        factor = RMS * np.exp(self._along(grid, breath.levels_db) * _DB)
        if breath.burst and grid[0] < _BURST_OVER:
            factor *= 1.0 + breath.burst * np.exp(-grid / _BURST_FALL)
        if grid[0] < _BREATH_RISE:
            factor *= np.minimum(grid / _BREATH_RISE, 1.0)
        heard = _PULSE * wave
        heard += 1.0
        heard *= _looped(breath.noise, breath.begins + self._age, age.size)
        heard *= np.interp(age, grid, factor)
        return heard

    def _along(self, grid: Samples, values: Sequence[float]) -> Samples:
        """Values of the course's ages at the grid's."""
        if len(values) == 1:
            return np.full_like(grid, values[0])
        return np.asarray(np.interp(grid, self._course.frames, values), dtype=np.float64)


def _read(table: Samples, whole: NDArray[np.intp], following: NDArray[np.intp], part: Samples) -> Samples:
    low = table[whole]
    rise = table[following]
    rise -= low
    rise *= part
    rise += low
    return rise


def _looped(noise: Samples, begin: int, frames: int) -> Samples:
    begin %= noise.size
    if begin + frames <= noise.size:
        return noise[begin : begin + frames]
    return np.take(noise, np.arange(begin, begin + frames), mode="wrap")

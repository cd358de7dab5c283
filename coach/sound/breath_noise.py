"""The breath and reed heard beside the tone: filtered noise, the same for the same seed.

A loop of noise between about 400 Hz and 5 kHz is made once. Its level follows that of the note by half only, so that a
soft note has more breath beside its tone than a loud one. The figures are defaults chosen for a plain practice tone,
not measured.
"""

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from coach.sound.timeline import Event

FRAMES = 1 << 17
# RMS of the breath of a note at 0 dB in the middle clarion, against that of the tone, and how it follows the level.
LOUD_DB = -53.0
FOLLOWS = 0.55
_LOW_HZ, _HIGH_HZ = 700.0, 3000.0


@lru_cache(maxsize=2)
def noise(seed: int, sample_rate: int) -> NDArray[np.float64]:
    """`FRAMES` samples of RMS 1 that can be played in a loop."""
    white = np.fft.rfft(np.random.default_rng(seed).standard_normal(FRAMES))
    hz = np.fft.rfftfreq(FRAMES, 1 / sample_rate)
    low, high = hz / _LOW_HZ, hz / _HIGH_HZ
    wave = np.fft.irfft(white * low * low / (1.0 + low * low) / (1.0 + high * high), FRAMES)
    wave /= np.sqrt(np.mean(wave * wave))
    wave.flags.writeable = False
    return np.asarray(wave, dtype=np.float64)


def breath_db(level_db: float, register_db: float) -> float:
    """Level of the breath of a note at a level, against a tone at 0 dB."""
    return LOUD_DB + register_db + FOLLOWS * level_db


def place(event: Event, seed: int) -> int:
    """A number below `FRAMES` that belongs to an event: where in the noise it begins, so that an event always sounds
    the same and two events differ."""
    mixed = (round(event.at_s * 1000) * 2_654_435_761 + event.midi * 40_503 + seed * 97) & 0xFFFFFFFF
    return (mixed ^ (mixed >> 13)) % FRAMES

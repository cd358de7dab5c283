"""The three sounds of the click: knocks on wood, told apart by pitch and level."""

import numpy as np
from numpy.typing import NDArray

# Pitch in Hz and peak against full scale of each; trade practice (a higher, louder knock on the first beat).
SOUNDS: dict[str, tuple[float, float]] = {"accent": (1760.0, 0.9), "beat": (1320.0, 0.6), "part": (990.0, 0.3)}
# Modes of a struck block: ratio to the lowest, share, and seconds until it has fallen to 1/e.
_MODES = ((1.0, 1.0, 0.012), (2.57, 0.4, 0.005), (4.2, 0.15, 0.003))
_LENGTH_S = 0.08
_RISE_S = 0.0005


def knock(sound: str, sample_rate: int) -> NDArray[np.float64]:
    """The samples of one click, from its first moved sample to silence."""
    pitch_hz, peak = SOUNDS[sound]
    at_s = np.arange(1, round(_LENGTH_S * sample_rate) + 1) / sample_rate
    wave = np.zeros_like(at_s)
    for ratio, share, decay_s in _MODES:
        if ratio * pitch_hz < 0.45 * sample_rate:
            wave += share * np.sin(2 * np.pi * ratio * pitch_hz * at_s) * np.exp(-at_s / decay_s)
    wave *= np.minimum(1.0, at_s / _RISE_S)
    wave *= np.minimum(1.0, (at_s[-1] - at_s) / 0.01)
    return np.asarray(wave * peak / np.abs(wave).max(), dtype=np.float64)

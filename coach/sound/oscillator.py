"""One period of the built-in clarinet-like tone, as tables of samples.

A closed cylinder sounds its odd partials; even ones are weak low down and grow with pitch. Louder and brighter tones
fall off more gently, and all fall off faster above the cutoff of the tone-hole lattice. The figures are defaults chosen
by ear for a plain practice tone, not measured on an instrument. Partials above the band limit are left out one by one,
so nothing is mirrored down at any pitch; every table has the same RMS, so a level in dB is the level of the sound.
"""

import numpy as np
from numpy.typing import NDArray

SIZE = 2048
RMS = 0.35
BANDS = 32
_MOST_PARTIALS = 160
_CUTOFF_HZ = 1500.0
_LOWEST_HZ = 147.0


def frequency(midi: float, a_hz: float) -> float:
    """Hertz of a MIDI pitch in equal temperament, A (69) at `a_hz`."""
    return float(a_hz * 2.0 ** ((midi - 69.0) / 12.0))


def partials(pitch_hz: float, brightness: float, limit_hz: float) -> NDArray[np.float64]:
    """Amplitudes of the partials 1, 2, 3, ... below `limit_hz` (at least one), relative to the first."""
    count = int(max(1, min(_MOST_PARTIALS, limit_hz // pitch_hz)))
    number = np.arange(1, count + 1)
    amplitude = number ** -(2.6 - 1.8 * brightness)
    over = number * pitch_hz / (_CUTOFF_HZ * (1.0 + 1.5 * brightness))
    amplitude = amplitude / (1.0 + over * over)
    even = min(0.6, 0.03 * (pitch_hz / _LOWEST_HZ) ** 1.2)
    amplitude[1::2] *= even
    return np.asarray(amplitude / amplitude[0], dtype=np.float64)


class Tables:
    """Tables by pitch and brightness, made when first asked for and kept."""

    def __init__(self, sample_rate: int, a_hz: float) -> None:
        self._sample_rate = sample_rate
        self._a_hz = a_hz
        self._kept: dict[tuple[float, int], NDArray[np.float64]] = {}

    def increment(self, midi: float) -> float:
        """Periods per sample of a pitch."""
        return frequency(midi, self._a_hz) / self._sample_rate

    def table(self, midi: float, brightness: float) -> NDArray[np.float64]:
        """One period of `SIZE` samples, the first repeated at the end."""
        band = round(min(max(brightness, 0.0), 1.0) * BANDS)
        key = (midi, band)
        if key not in self._kept:
            self._kept[key] = self._made(frequency(midi, self._a_hz), band / BANDS)
        return self._kept[key]

    def _made(self, pitch_hz: float, brightness: float) -> NDArray[np.float64]:
        amplitude = partials(pitch_hz, brightness, min(0.45 * self._sample_rate, 18_000.0))
        spectrum = np.zeros(SIZE // 2 + 1, dtype=np.complex128)
        spectrum[1 : amplitude.size + 1] = -1j * amplitude
        wave = np.fft.irfft(spectrum, SIZE)
        wave *= RMS / np.sqrt(np.mean(wave * wave))
        return np.append(wave, wave[0])

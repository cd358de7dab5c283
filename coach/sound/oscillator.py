"""One period of the built-in clarinet-like tone, as tables of samples.

Amplitude of partial n of a tone of brightness b, against the first:

    n ** -(dark + (bright - dark) * b) / (1 + (n f / c) ** cut),  c = cutoff * (1 + 1.5 b)

Louder and brighter tones fall off more gently, and all fall off faster above the cutoff of the tone-hole lattice. An
even partial is weaker by e + (1 - e) * x**2 / (1 + x**2) with x = n f / 2500 Hz: weak low down, as strong as an odd one
high up. `dark`, `bright`, `cut` and e come from the register (register.py). The figures are defaults chosen for a plain
practice tone, not measured on an instrument. Partials above the band limit are left out one by one, so nothing is
mirrored down at any pitch; every table has the same RMS, so a level in dB is the level of the sound.
"""

import numpy as np
from numpy.typing import NDArray

from coach.sound.register import midi_of, register_colour

SIZE = 2048
RMS = 0.35
BANDS = 16
# Tables leave this much room below half the sample rate, so that a glide of two semitones mirrors nothing down.
_LIMIT_HZ, _LIMIT_SHARE = 18_000.0, 0.42
_MOST_PARTIALS = 160
_CUTOFF_HZ = 1500.0
_ALIKE_HZ = 2500.0


def frequency(midi: float, a_hz: float) -> float:
    """Hertz of a MIDI pitch in equal temperament, A (69) at `a_hz`."""
    return float(a_hz * 2.0 ** ((midi - 69.0) / 12.0))


def partials(pitch_hz: float, brightness: float, limit_hz: float) -> NDArray[np.float64]:
    """Amplitudes of the partials 1, 2, 3, ... below `limit_hz` (at least one), relative to the first."""
    count = int(max(1, min(_MOST_PARTIALS, limit_hz // pitch_hz)))
    number = np.arange(1, count + 1)
    colour = register_colour(midi_of(pitch_hz))
    dark, bright = colour.steepness
    amplitude = number ** -(dark + (bright - dark) * brightness)
    over = number * pitch_hz / (_CUTOFF_HZ * (1.0 + 1.5 * brightness))
    amplitude = amplitude / (1.0 + over**colour.cut)
    alike = (number[1::2] * pitch_hz / _ALIKE_HZ) ** 2
    amplitude[1::2] *= colour.even + (1.0 - colour.even) * alike / (1.0 + alike)
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

    def table(self, midi: float, band: int) -> NDArray[np.float64]:
        """One period of `SIZE` samples of brightness `band` / `BANDS`, the first repeated at the end."""
        key = (midi, min(max(band, 0), BANDS))
        if key not in self._kept:
            self._kept[key] = self._made(frequency(midi, self._a_hz), key[1] / BANDS)
        return self._kept[key]

    def _made(self, pitch_hz: float, brightness: float) -> NDArray[np.float64]:
        amplitude = partials(pitch_hz, brightness, min(_LIMIT_SHARE * self._sample_rate, _LIMIT_HZ))
        spectrum = np.zeros(SIZE // 2 + 1, dtype=np.complex128)
        spectrum[1 : amplitude.size + 1] = -1j * amplitude
        wave = np.fft.irfft(spectrum, SIZE)
        wave *= RMS / np.sqrt(np.mean(wave * wave))
        return np.append(wave, wave[0])

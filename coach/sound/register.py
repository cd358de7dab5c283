"""How the colour of the built-in voice changes over the compass of a clarinet in B flat.

A closed cylinder sounds its odd partials; the low even ones are weak at the bottom and grow with pitch, and above the
cutoff of the tone-hole lattice odd and even are alike. The chalumeau (written E3 to F#4) is dark and full of odd
partials, the throat tones (G4 to B flat 4) are a little hollow and breathy, the clarion (B4 to C6) is fuller, the
altissimo has few partials and strong low ones. Curves run smoothly through the knots below, by sounding MIDI pitch (a
whole step under the written one). What they follow is common knowledge of the instrument; the figures are defaults
chosen for a plain practice tone, not measured.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from math import cos, log2, pi

# Sounding E3, C4, F#4 of the chalumeau, the middle of the throat tones, C5, G5 and C6 of the clarion, E6, G6, C7.
_MIDI = (50, 58, 63, 67, 71, 77, 82, 86, 89, 94)
# How steeply partials fall (power of their number) in the darkest and in the brightest tone.
_DARK = (1.35, 1.4, 1.55, 1.9, 1.65, 1.55, 1.45, 1.3, 1.2, 1.15)
_BRIGHT = (0.7, 0.7, 0.75, 1.05, 0.75, 0.55, 0.4, 0.3, 0.2, 0.2)
# The second partial against its odd neighbours.
_EVEN = (0.02, 0.03, 0.05, 0.05, 0.16, 0.35, 0.55, 0.7, 0.8, 0.85)
# How steeply the lattice cuts above its cutoff (power of the frequency).
_CUT = (2.8, 2.8, 2.7, 2.6, 2.6, 2.7, 2.8, 2.9, 3.0, 3.0)
# Level in dB: about a third of what A-weighting (IEC 61672-1) takes from a tone of middling brightness at this
# pitch, so that an equal level is about equally loud, whether loudness is weighted or not.
_TRIM_DB = (0.0, -0.45, -0.9, -1.15, -1.6, -2.3, -2.75, -2.9, -3.0, -3.1)
# Breath heard beside the tone, dB against that of the middle clarion.
_BREATH_DB = (3.0, 2.0, 2.0, 3.5, 1.0, 0.0, -1.0, 0.0, 1.0, 2.0)


@dataclass(frozen=True, slots=True)
class Colour:
    """What one pitch is made of: `steepness` (darkest, brightest), `even` share, `cut`, `trim_db`, `breath_db`."""

    steepness: tuple[float, float]
    even: float
    cut: float
    trim_db: float
    breath_db: float


def midi_of(pitch_hz: float) -> float:
    """The MIDI pitch of a frequency with A (69) at 440 Hz."""
    return 69.0 + 12.0 * log2(pitch_hz / 440.0)


@lru_cache(maxsize=256)
def register_colour(midi: float) -> Colour:
    """The colour at a sounding pitch; below and above the compass that of its ends."""
    return Colour(
        steepness=(_through(_DARK, midi), _through(_BRIGHT, midi)),
        even=_through(_EVEN, midi),
        cut=_through(_CUT, midi),
        trim_db=_through(_TRIM_DB, midi),
        breath_db=_through(_BREATH_DB, midi),
    )


def _through(values: Sequence[float], midi: float) -> float:
    for left, right, before, after in zip(_MIDI, _MIDI[1:], values, values[1:], strict=False):
        if midi < right:
            share = max(0.0, (midi - left) / (right - left))
            return before + (after - before) * (0.5 - 0.5 * cos(pi * share))
    return values[-1]

"""The colour of a note: how bright it sounds, from 0 (dark) to 1 (bright), apart from how loud it is.

With L the level in dB against mezzoforte and h the height of the written note, (midi - 69) / 19 kept between -1 (the
notes around low E) and 1 (written high E and above):

    b = 1/2 + L / 40                            louder is brighter
    colour = b + 0.08 h                         and so is higher
             + 0.3 h (1/2 - b)  where h > 0, b < 1/2: high notes, held up by the breath, lose less when soft

kept between 0 and 1. That winds sound brighter when louder is common knowledge; the figures are a default of this
program, not measured.
"""

_RANGE_DB = 40.0
_MIDDLE_MIDI, _SPAN_MIDI = 69, 19
_HEIGHT, _HELD = 0.08, 0.3


def colour(level_db: float, midi: int = _MIDDLE_MIDI) -> float:
    """Colour of a level in dB against mezzoforte at a written pitch."""
    bright = 0.5 + level_db / _RANGE_DB
    height = min(max((midi - _MIDDLE_MIDI) / _SPAN_MIDI, -1.0), 1.0)
    held = _HELD * height * (0.5 - bright) if height > 0 and bright < 0.5 else 0.0
    return min(max(bright + _HEIGHT * height + held, 0.0), 1.0)

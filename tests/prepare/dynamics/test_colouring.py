"""Colour. That wind tones are brighter when louder, and that a supported high note keeps its brightness when soft, is
common practice of the trade; the figures are defaults of this program."""

from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from coach.prepare.dynamics.colouring import colour
from coach.prepare.dynamics.steps import LEVEL_DB

LEVELS = st.floats(-36, 24)
PITCHES = st.integers(52, 96)  # E3 to C7, the written range of the clarinet


@given(LEVELS, LEVELS, PITCHES)
def test_louder_is_never_darker_at_one_pitch(one: float, other: float, midi: int) -> None:
    soft, loud = sorted((one, other))
    assert 0 <= colour(soft, midi) <= colour(loud, midi) <= 1


@given(LEVELS, PITCHES, PITCHES)
def test_higher_is_never_darker_at_one_level(level: float, one: int, other: int) -> None:
    low, high = sorted((one, other))
    assert colour(level, low) <= colour(level, high) + 1e-12


def test_a_high_note_loses_less_of_its_brightness_when_soft_than_a_low_one() -> None:
    low, high = 55, 86
    lost = [colour(LEVEL_DB["f"], midi) - colour(LEVEL_DB["pp"], midi) for midi in (low, high)]
    assert lost[1] < lost[0]


def test_every_usual_dynamic_has_a_colour_of_its_own() -> None:
    for midi in (52, 69, 84):
        steps = [colour(LEVEL_DB[sign], midi) for sign in ("pp", "p", "mp", "mf", "f", "ff")]
        assert all(brighter - darker > 0.05 for darker, brighter in pairwise(steps))

"""Playing into an array: the same music as the transport says, on the very sample."""

import numpy as np
import pytest

from coach.sound.bounce import bounce
from coach.sound.timeline import Event, Timeline
from tests.servers import onsets

CLICKS = Timeline(
    tuple(Event(k * 0.25, 0.02, "click", click="beat", bar=k // 4) for k in range(-4, 8)), 2.0, 1.0, bars=2
)


@pytest.mark.parametrize(("rate", "sample_rate"), [(1.0, 48_000), (0.5, 48_000), (1.25, 48_000), (1.0, 44_100)])
def test_clicks_are_exact_to_the_sample(rate: float, sample_rate: int) -> None:
    samples = bounce(CLICKS, rate=rate, sample_rate=sample_rate)
    assert samples.dtype == np.float32 and samples.ndim == 1
    assert np.diff(onsets(samples)).tolist() == [round(0.25 / rate * sample_rate)] * 11


def test_the_click_falls_silent_and_comes_back() -> None:
    heard = onsets(bounce(CLICKS, silence=(1, 1)))
    assert np.diff(heard).tolist() == [12_000] * 7, "the count-in and the first measure, not the second"


def test_the_level_is_against_full_scale_and_nothing_goes_beyond_it() -> None:
    moderate, loud = bounce(CLICKS, level_db=-20.0), bounce(CLICKS, level_db=0.0)
    assert float(np.abs(moderate).max()) == pytest.approx(0.06, abs=0.001), "a beat peaks at 0.6 of the level"
    assert float(np.abs(loud).max()) <= 1.0


def test_gains_are_in_force_from_the_first_sample() -> None:
    usual, soft = bounce(CLICKS), bounce(CLICKS, gains={"click": -20.0})
    np.testing.assert_allclose(soft, usual * 0.1, atol=1e-6)


def test_a_last_note_rings_out_and_then_it_is_over() -> None:
    samples = bounce(Timeline((Event(0.0, 1.0, "note", midi=69),), 1.0))
    assert 48_000 < samples.size < 3 * 48_000
    assert abs(float(samples[-1])) < 1e-4


def test_an_empty_timeline_is_no_sound() -> None:
    assert not np.any(bounce(Timeline((), 0.0)))

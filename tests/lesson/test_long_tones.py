"""The measurement by long tones: a stopwatch on a clock that is given. The figures are the arithmetic written beside
them; the limits are Bouhuys's (0.05 to 1.6 L/s, handbook facts 1.1)."""

import pytest

from coach.config import AirSettings
from coach.errors import RequestError
from coach.lesson.long_tones import REST_S, LongTones, litres_known, measured, table_words

HELD = (20.0, 12.5, 10.0)


def held(seconds: tuple[float, ...] = HELD, rest: bool = True) -> LongTones:
    """Three tones held so long, every rest waited for or skipped."""
    tones, now_s = LongTones(), 100.0
    for k, length_s in enumerate(seconds):
        tones = tones.pressed(now_s)
        assert tones.running_s(now_s + 1.5) == 1.5
        now_s += length_s
        tones = tones.pressed(now_s)
        if k + 1 < len(seconds):
            assert tones.rest_s(now_s) == REST_S
            if rest:
                now_s += REST_S
            else:
                tones = tones.pressed(now_s)
            assert tones.rest_s(now_s) == 0
    return tones


@pytest.mark.parametrize("rest", [True, False])
def test_three_tones_are_held_in_turn(rest: bool) -> None:
    tones = held(rest=rest)
    assert tones.dynamic == ""
    assert tones.by_dynamic == pytest.approx({"p": 20.0, "mf": 12.5, "f": 10.0})
    assert tones.pressed(1e9) is tones


def test_the_last_tone_can_be_held_again() -> None:
    tones = held().again()
    assert (tones.dynamic, len(tones.held_s)) == ("f", 2)
    running = tones.pressed(5.0)
    assert running.again() == tones  # what runs is given up, what is held stays


def test_flows_are_litres_over_seconds() -> None:
    """With 2.5 litres: 2.5 / 20, 2.5 / 12.5, 2.5 / 10."""
    air = measured(AirSettings(litres=2.5), held())
    pp, p, mp, mf, f, ff = air.flows
    assert (p, mf, f) == pytest.approx((0.125, 0.2, 0.25))
    assert pp / p == pytest.approx(0.10 / 0.13, abs=1e-3)  # beyond what is measured, as the default table goes
    assert p < mp < mf and f < ff
    assert air.measured_litres == 2.5


def test_unknown_litres_are_said_to_be_unknown() -> None:
    assert not litres_known(AirSettings(sex="female", age=30))
    assert "only the proportions" in table_words(AirSettings(), held())
    assert "only the proportions" not in table_words(AirSettings(litres=3.0), held())


def test_seconds_of_nobody() -> None:
    """2.5 litres in a second are 2.5 L/s, above 1.6."""
    with pytest.raises(RequestError, match="no wind player was seen to need"):
        measured(AirSettings(litres=2.5), held((1.0, 12.5, 10.0)))

"""Flow and breath figures: the reed valve's maximum is calculus, worked values are the handbook's facts, section 1.1;
the bounds are Bouhuys 1964 and Fuks and Sundberg 1999 (abstracts, as the facts quote them)."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coach.instruments.air import (
    DYNAMICS,
    FLOWS,
    LEAST_FLOW,
    MOST_FLOW,
    MOST_SHARE,
    USUAL_SHARE,
    Air,
    flow_from_long_tones,
    reed_flow,
)


@pytest.mark.parametrize(
    ("shut_kpa", "opening_mm", "litres"), [(6, 0.6, 0.277), (6, 0.4, 0.185), (5, 0.6, 0.253), (8, 0.6, 0.320)]
)
def test_a_reed_passes_most_at_a_third_of_the_closing_pressure(
    shut_kpa: float, opening_mm: float, litres: float
) -> None:
    at_third = reed_flow(shut_kpa / 3, shut_kpa, 12, opening_mm)
    assert at_third == pytest.approx(litres, abs=0.0005)
    around = [reed_flow(shut_kpa * k / 3000, shut_kpa, 12, opening_mm) for k in range(3001)]
    assert max(around) == pytest.approx(at_third, rel=1e-9)
    assert around.index(max(around)) == 1000
    assert reed_flow(shut_kpa * 1.01, shut_kpa, 12, opening_mm) == 0


def test_the_default_flows_lie_within_what_winds_and_reeds_need() -> None:
    assert all(LEAST_FLOW <= flow <= MOST_FLOW for flow in FLOWS.values())
    assert max(FLOWS.values()) <= 0.320
    assert USUAL_SHARE <= MOST_SHARE == pytest.approx(0.87 - 0.14)


@pytest.mark.parametrize(("name", "level_db"), [("pp", -12), ("p", -8), ("mp", -4), ("mf", 0), ("f", 4), ("ff", 8)])
def test_a_dynamic_has_its_flow(name: str, level_db: float) -> None:
    assert Air().flow(level_db, 72, 4.0) == pytest.approx(FLOWS[name])


@given(st.floats(-60, 40), st.floats(-60, 40))
def test_louder_never_needs_less(one: float, other: float) -> None:
    low, high = sorted((one, other))
    assert Air().flow(low, 60, 4.0) <= Air().flow(high, 60, 4.0) + 1e-12
    assert FLOWS["pp"] <= Air().flow(low, 60, 4.0) <= FLOWS["ff"]


def test_long_tones_tell_litres_a_second() -> None:
    # 3 litres in 20, 15 and 10 seconds: division.
    flows = dict(zip(DYNAMICS, flow_from_long_tones(3.0, {"p": 20, "mf": 15, "f": 10}), strict=True))
    assert (flows["p"], flows["mf"], flows["f"]) == pytest.approx((0.15, 0.2, 0.3))
    assert flows["p"] < flows["mp"] < flows["mf"]
    assert flows["ff"] == pytest.approx(0.30 * 0.3 / 0.25)


@pytest.mark.parametrize("held_s", [{}, {"mf": 0.0}, {"loud": 3.0}, {"mf": 0.5}, {"mf": 900.0}])
def test_a_long_tone_that_cannot_be_is_refused(held_s: dict[str, float]) -> None:
    with pytest.raises(ValueError, match="hold a note|measure again"):
        flow_from_long_tones(3.0, held_s)

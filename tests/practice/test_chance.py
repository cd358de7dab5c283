"""Jeffreys intervals against an independent implementation of the beta distribution (SciPy)."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import beta  # type: ignore[import-untyped]  # comes with partitura, without types

from coach.practice.chance import jeffreys


@pytest.mark.parametrize("interval", [0.8, 0.9, 0.95])
@pytest.mark.parametrize(
    ("clean", "slipped"), [(0, 0), (0, 1), (1, 0), (1, 1), (0, 10), (7, 3), (40, 2), (300, 700), (0.3, 2.7)]
)
def test_quantiles_agree_with_scipy(clean: float, slipped: float, interval: float) -> None:
    found = jeffreys(clean, slipped, interval)
    tail = (1 - interval) / 2
    assert found.p == pytest.approx((clean + 0.5) / (clean + slipped + 1))
    assert found.low == pytest.approx(beta.ppf(tail, clean + 0.5, slipped + 0.5), abs=1e-5)
    assert found.high == pytest.approx(beta.ppf(1 - tail, clean + 0.5, slipped + 0.5), abs=1e-5)


def test_the_arcsine_law() -> None:
    # With nothing played the density is Beta(1/2, 1/2), the arcsine law: its quantile is sin(pi q / 2) squared.
    assert jeffreys(0, 0).low == pytest.approx(0.0244717, abs=1e-6)
    assert jeffreys(0, 0).high == pytest.approx(0.9755283, abs=1e-6)


@given(st.floats(0, 1000), st.floats(0, 1000))
def test_slips_and_cleans_mirror_each_other(a: float, b: float) -> None:
    one, other = jeffreys(a, b), jeffreys(b, a)
    assert one.low == pytest.approx(1 - other.high, abs=1e-9)
    assert 0 <= one.low <= one.p <= one.high <= 1

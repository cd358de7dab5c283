"""A chance from counts, with its interval (Jeffreys).

With c clean and s slipped runs the chance of a clean run has the density Beta(c + 1/2, s + 1/2); counts may be weights.
Source: Brown L.D., Cai T.T., DasGupta A. 2001, Statistical Science 16(2):101-133, who recommend this interval for small
counts. With p = sin(a)^2 the density is smooth in the angle a, so that it can be summed on a plain grid.
"""

import math
from bisect import bisect_left
from dataclasses import dataclass
from itertools import accumulate

_CELLS = 2000
_CELL = math.pi / 2 / _CELLS
_ANGLES = tuple((k + 0.5) * _CELL for k in range(_CELLS))
_LOG_SIN = tuple(math.log(math.sin(angle)) for angle in _ANGLES)
_LOG_COS = tuple(math.log(math.cos(angle)) for angle in _ANGLES)


@dataclass(frozen=True, slots=True)
class Chance:
    """A probability (posterior mean) and the ends of its interval."""

    p: float
    low: float
    high: float


def jeffreys(clean: float, slipped: float, interval: float = 0.8) -> Chance:
    """The chance of a clean run after so many clean and slipped ones (weights of at least 0)."""
    a, b = clean + 0.5, slipped + 0.5
    logs = [2 * clean * sin + 2 * slipped * cos for sin, cos in zip(_LOG_SIN, _LOG_COS, strict=True)]
    peak = max(logs)
    sums = list(accumulate(math.exp(value - peak) for value in logs))
    tail = (1 - interval) / 2
    return Chance(a / (a + b), _quantile(sums, tail), _quantile(sums, 1 - tail))


def _quantile(sums: list[float], q: float) -> float:
    wanted = q * sums[-1]
    k = bisect_left(sums, wanted)
    before = sums[k - 1] if k else 0.0
    angle = (k + (wanted - before) / (sums[k] - before)) * _CELL
    return math.sin(angle) ** 2

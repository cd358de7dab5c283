"""The hold tempo: the tempo at which a player is estimated to play something clean four times in five.

Model. With x the natural logarithm of tempo over target tempo, h that of the hold tempo, and s a slope,

    P(clean | x) = (1 - LAPSE) / (1 + exp(s (x - m))),    m chosen so that P(clean | h) = 0.8

Prior: h is normal around 75 per cent of the target with a spread of a factor e^0.4; s is one of six values around 12
(at 12 the chance falls from 0.8 to 0.2 while the tempo rises by a quarter). The posterior is summed exactly on a grid
over h and s. An attempt counts with its weight times 2^(-age / HALF_LIFE_DAYS), so the interval widens while nothing
is played, and in the end the estimate goes back to the prior, upwards too.

Units: tempi per minute of whatever beat the target counts, ages in days. All numbers above are defaults of this
program: none is measured on wind players, and how fast skill fades for one player is not known. (Driskell J.E. et al.
1992, J Appl Psychol 77:615, put the half-life of overlearning near 19 days; from memory, and for other tasks.) The
logistic in the logarithm of tempo is the usual form of a psychometric function, not a finding about practice. Above the
fastest tempo that was played, the estimate rests on the prior alone.
"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import accumulate

CLEAN_AT_HOLD = 0.8
LAPSE = 0.02  # even the surest passage slips now and then
PRIOR_CENTRE = math.log(0.75)
PRIOR_SPREAD = 0.4
SLOPES = (4.0, 6.0, 9.0, 13.0, 19.0, 28.0)
SLOPE_WEIGHTS = (0.08, 0.17, 0.25, 0.25, 0.17, 0.08)
HALF_LIFE_DAYS = 14.0
INTERVAL = 0.8  # low and high leave a tenth out at either end
LEAST_ATTEMPTS = 3
LEAST_WEIGHT = 1.0  # attempts so old that together they weigh less than one fresh one say nothing

_CELLS = 73
_LOWEST, _HIGHEST = -1.8, 0.9
_CELL = (_HIGHEST - _LOWEST) / _CELLS
_CENTRES = tuple(_LOWEST + (k + 0.5) * _CELL for k in range(_CELLS))
_OFFSET = math.log(CLEAN_AT_HOLD / (1 - LAPSE - CLEAN_AT_HOLD))  # of m above h, times the slope
_PRIOR = tuple(
    math.log(weight) - 0.5 * ((h - PRIOR_CENTRE) / PRIOR_SPREAD) ** 2 for weight in SLOPE_WEIGHTS for h in _CENTRES
)


@dataclass(frozen=True, slots=True)
class Evidence:
    """One attempt at something: the tempo, whether it was clean, how long ago in days, and how much it counts (1: as a
    whole attempt)."""

    per_minute: float
    clean: bool
    age_days: float = 0.0
    weight: float = 1.0


@dataclass(frozen=True, slots=True)
class Hold:
    """An estimate: the hold tempo (median), the ends of its 80 per cent interval, all per minute; `chance` of a clean
    attempt at the target; `sure` is the probability that the hold tempo reaches the target."""

    per_minute: float
    low: float
    high: float
    chance: float
    sure: float


def chance_clean(x: float, h: float, slope: float) -> float:
    """P(clean) at x for a hold tempo h, both as logarithms of the share of the target."""
    return (1 - LAPSE) / (1 + math.exp(slope * (x - h) - _OFFSET))


def estimate(evidence: Iterable[Evidence], target: float, half_life_days: float = HALF_LIFE_DAYS) -> Hold | None:
    """The hold tempo from attempts, or None where there are too few (fewer than three, or all but forgotten)."""
    attempts = tuple(evidence)
    weights = [one.weight * 2.0 ** (-max(one.age_days, 0.0) / half_life_days) for one in attempts]
    if sum(one.weight for one in attempts) < LEAST_ATTEMPTS or sum(weights) < LEAST_WEIGHT:
        return None
    tallies: dict[float, list[float]] = {}
    for one, weight in zip(attempts, weights, strict=True):
        tally = tallies.setdefault(round(math.log(one.per_minute / target), 2), [0.0, 0.0])
        tally[0 if one.clean else 1] += weight
    return _hold(tuple((x, round(c, 6), round(s, 6)) for x, (c, s) in sorted(tallies.items())), target)


def prior_chance() -> float:
    """P(clean) at the target for something never tried."""
    return _chance(_normal(list(_PRIOR)))


def _hold(tallies: tuple[tuple[float, float, float], ...], target: float) -> Hold:
    posterior = _posterior(tallies)
    cells = [sum(posterior[k::_CELLS]) for k in range(_CELLS)]
    edges = [0.0, *accumulate(cells)]
    tail = (1 - INTERVAL) / 2
    low, middle, high = (target * math.exp(_quantile(edges, q)) for q in (tail, 0.5, 1 - tail))
    return Hold(middle, low, high, _chance(posterior), 1 - _below(edges, 0.0))


@lru_cache(maxsize=256)  # measures of one spot share their attempts
def _posterior(tallies: tuple[tuple[float, float, float], ...]) -> tuple[float, ...]:
    logs: list[float] = list(_PRIOR)
    for x, cleans, slips in tallies:
        clean, slip = _log_chances(x)
        logs = [p + cleans * c + slips * s for p, c, s in zip(logs, clean, slip, strict=True)]
    return tuple(_normal(logs))


@lru_cache(maxsize=512)
def _log_chances(x: float) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """log P(clean) and log P(slip) at x over the grid."""
    chances = [chance_clean(x, h, slope) for slope in SLOPES for h in _CENTRES]
    return tuple(map(math.log, chances)), tuple(math.log(1 - p) for p in chances)


def _normal(logs: list[float]) -> list[float]:
    peak = max(logs)
    weights = [math.exp(p - peak) for p in logs]
    total = sum(weights)
    return [weight / total for weight in weights]


def _chance(posterior: Sequence[float]) -> float:
    clean, _ = _log_chances(0.0)
    return sum(p * math.exp(c) for p, c in zip(posterior, clean, strict=True))


def _quantile(edges: list[float], q: float) -> float:
    k = next((k for k in range(_CELLS) if edges[k + 1] >= q), _CELLS - 1)
    inside = (q - edges[k]) / (edges[k + 1] - edges[k]) if edges[k + 1] > edges[k] else 0.5
    return _LOWEST + (k + inside) * _CELL


def _below(edges: list[float], h: float) -> float:
    """The probability of a hold tempo below h."""
    place = (h - _LOWEST) / _CELL
    k = int(place)
    return edges[k] + (place - k) * (edges[k + 1] - edges[k])

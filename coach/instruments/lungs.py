"""How much air a player's lungs are predicted to hold: published equations for the forced vital capacity.

GLI 2022 (race-neutral) and GLI 2012: M = exp(a0 + a1 ln(height in cm) + a2 ln(age) + m(age)), S = exp(p0 + p1 ln(age) +
s(age)), the lower limit of normal M (1 - 1.645 L S)^(1/L), with splines m and s by quarter-years of age, evenly
interpolated between them (Bowerman 2023, Am J Respir Crit Care Med 207(6):768-774; Quanjer 2012, Eur Respir J
40(6):1324-1343). NHANES III: quadratic in age and height (Hankinson 1999, Am J Respir Crit Care Med 159:179-187).
ECSC/ERS 1993: linear, ages below 25 entered as 25 for women (Quanjer 1993, Eur Respir J 6 Suppl 16:5-40). GLI 2012 and
NHANES III are given for the group that their papers call Caucasian; the others ask nothing of the kind.

They describe groups of healthy people who do not play; one person lies well above or below. They are no medical test.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from math import exp, log

SEXES = ("female", "male")
EQUATIONS = ("GLI 2022", "GLI 2012", "NHANES III", "ECSC 1993")
OLDEST, YOUNGEST = 95.0, 8.0
SHORTEST_CM, TALLEST_CM = 100.0, 230.0


@dataclass(frozen=True, slots=True)
class Body:
    """What the equations ask: `sex` of SEXES, as they were made for the two; age in years; height in centimetres."""

    sex: str
    age_years: float
    height_cm: float


@dataclass(frozen=True, slots=True)
class Splines:
    """What is added by age: `m` and `s` at `first_age`, and every `step` years on."""

    m: tuple[float, ...]
    s: tuple[float, ...]
    first_age: float = YOUNGEST
    step: float = 0.25


@dataclass(frozen=True, slots=True)
class Capacity:
    """A predicted vital capacity in litres, and its lower limit of normal (None where the paper has none)."""

    litres: float
    low_litres: float | None


# (equation, sex) -> its splines; ECSC and NHANES need none.
Tables = Mapping[tuple[str, str], Splines]

# a0, a1, a2, p0, p1, L
_GLI: dict[tuple[str, str], tuple[float, float, float, float, float, float]] = {
    ("GLI 2022", "male"): (-12.629131, 2.727421, 0.009174, -2.195595, 0.068466, 0.9346),
    ("GLI 2022", "female"): (-12.055901, 2.621579, -0.035975, -2.310148, 0.120428, 0.899),
    ("GLI 2012", "male"): (-11.2281, 2.4135, 0.0865, -2.2963, 0.0718, 0.9481),
    ("GLI 2012", "female"): (-10.4030, 2.2633, 0.0234, -2.3549, 0.1017, 0.8236),
}
# Intercept, age, age squared, height squared, and the last for the lower limit: children, then adults.
_NHANES: dict[tuple[str, bool], tuple[float, float, float, float, float]] = {
    ("male", False): (-0.2584, -0.20415, 0.010133, 0.00018642, 0.00015695),
    ("male", True): (-0.1933, 0.00064, -0.000269, 0.00018642, 0.00015695),
    ("female", False): (-1.2082, 0.05916, 0.0, 0.00014815, 0.00012198),
    ("female", True): (-0.3560, 0.01870, -0.000382, 0.00014815, 0.00012198),
}
_ADULT_FROM = {"male": 20.0, "female": 18.0}
_ECSC = {"male": (5.76, -0.026, -4.34), "female": (4.43, -0.026, -2.89)}
_ECSC_INSPIRED = {"male": (6.10, -0.028, -4.65), "female": (4.66, -0.026, -3.28)}
# Ages for which an equation was made.
AGES: dict[str, tuple[float, float]] = {
    "GLI 2022": (8.0, 95.0),
    "GLI 2012": (8.0, 95.0),
    "NHANES III": (8.0, 80.0),
    "ECSC 1993": (18.0, 70.0),
}


def vital_capacity(equation: str, body: Body, tables: Tables) -> Capacity:
    """The forced vital capacity that an equation of EQUATIONS predicts. Raises ValueError, a clause with the remedy,
    for a body outside the ages that the equation was made for, or outside what is a person's."""
    _check(equation, body)
    return _MAKERS[equation](equation, body, tables)


def inspired_capacity_ecsc(body: Body) -> float:
    """The inspired vital capacity of ECSC 1993 in litres. Raises ValueError as `vital_capacity` does."""
    _check("ECSC 1993", body)
    height, age, rest = _ECSC_INSPIRED[body.sex]
    return height * body.height_cm / 100 + age * max(body.age_years, 25.0) + rest


def _check(equation: str, body: Body) -> None:
    if equation not in EQUATIONS:
        raise ValueError(f"there is no equation {equation[:40]!r}; choose {', '.join(EQUATIONS)}")
    if body.sex not in SEXES:
        raise ValueError(f"the equations were made for {' and '.join(SEXES)}, not for {body.sex[:40]!r}; choose one")
    if not SHORTEST_CM <= body.height_cm <= TALLEST_CM:
        raise ValueError(f"a height of {body.height_cm:g} cm is none; write 100 to 230")
    low, high = AGES[equation]
    if not low <= body.age_years <= high:
        raise ValueError(
            f"{equation} was made for ages {low:g} to {high:g}, not {body.age_years:g}; choose another equation, "
            "or measure with a long tone"
        )


def _gli(equation: str, body: Body, tables: Tables) -> Capacity:
    a0, a1, a2, p0, p1, skew = _GLI[equation, body.sex]
    splines = tables[equation, body.sex]
    m, s = _between(splines.m, splines, body.age_years), _between(splines.s, splines, body.age_years)
    median = exp(a0 + a1 * log(body.height_cm) + a2 * log(body.age_years) + m)
    spread = exp(p0 + p1 * log(body.age_years) + s)
    return Capacity(median, median * (1 - 1.645 * skew * spread) ** (1 / skew))


def _between(values: tuple[float, ...], splines: Splines, age: float) -> float:
    place = (age - splines.first_age) / splines.step
    k = min(int(place), len(values) - 2)
    return values[k] + (place - k) * (values[k + 1] - values[k])


def _nhanes(equation: str, body: Body, tables: Tables) -> Capacity:
    a0, a1, a2, tall, low = _NHANES[body.sex, body.age_years >= _ADULT_FROM[body.sex]]
    by_age = a0 + a1 * body.age_years + a2 * body.age_years**2
    return Capacity(by_age + tall * body.height_cm**2, by_age + low * body.height_cm**2)


def _ecsc(equation: str, body: Body, tables: Tables) -> Capacity:
    height, by_age, rest = _ECSC[body.sex]
    age = max(body.age_years, 25.0) if body.sex == "female" else body.age_years
    return Capacity(height * body.height_cm / 100 + by_age * age + rest, None)


_MAKERS: dict[str, Callable[[str, Body, Tables], Capacity]] = {
    "GLI 2022": _gli,
    "GLI 2012": _gli,
    "NHANES III": _nhanes,
    "ECSC 1993": _ecsc,
}

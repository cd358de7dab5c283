"""The splines of the lung equations, read from content/air."""

import tomllib
from functools import cache

from coach.instruments.lungs import SEXES, Splines, Tables
from coach.paths import content


@cache
def lung_tables() -> Tables:
    """The tables that `coach.instruments.lungs.vital_capacity` needs."""
    text = content("air").joinpath("lungs.toml").read_text("utf-8")
    data = tomllib.loads(text)
    names = {"GLI 2022": "gli_2022", "GLI 2012": "gli_2012"}
    return {
        (equation, sex): Splines(
            tuple(data[name][sex]["m"]), tuple(data[name][sex]["s"]), data["first_age"], data["step"]
        )
        for equation, name in names.items()
        for sex in SEXES
    }

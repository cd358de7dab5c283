"""Reading the body of a log entry: every field checked, every mistake named in words.

A body comes from a file or from another version of the program, so nothing in it is taken on trust. All functions raise
ValueError with a clause such as "tempo is missing" or "outcome is 'good'; it may be clean or slip".
"""

import math
from collections.abc import Mapping
from typing import Any

from coach.music.rhythm import beat_unit

# Per minute; a number outside is a slip of the hand, not a tempo.
SLOWEST = 1.0
FASTEST = 1000.0


def text(body: Mapping[str, Any], key: str, default: str | None = None) -> str:
    """A text; `default` if the field is absent, or ValueError if there is no default."""
    value = body.get(key, default)
    if value is None:
        raise ValueError(f"{key} is missing")
    if not isinstance(value, str):
        raise ValueError(f"{key} is {value!r}; it must be a text")
    return value


def filled(body: Mapping[str, Any], key: str) -> str:
    """A text that is not empty."""
    value = text(body, key)
    if not value.strip():
        raise ValueError(f"{key} is empty")
    return value


def choice(body: Mapping[str, Any], key: str, allowed: tuple[str, ...], default: str | None = None) -> str:
    """One of the allowed words."""
    value = text(body, key, default)
    if value not in allowed:
        *others, last = (word for word in allowed if word)
        raise ValueError(f"{key} is {value!r}; it may be {', '.join(others)} or {last}")
    return value


def flag(body: Mapping[str, Any], key: str, default: bool) -> bool:
    """True or false."""
    value = body.get(key, default)
    if not isinstance(value, bool):
        raise ValueError(f"{key} is {value!r}; it must be true or false")
    return value


def per_minute(body: Mapping[str, Any], key: str) -> float:
    """A tempo number, from 1 to 1000 a minute."""
    value = body.get(key)
    if value is None:
        raise ValueError(f"{key} is missing")
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        raise ValueError(f"{key} is {value!r}; it must be a number")
    if not (math.isfinite(value) and SLOWEST <= value <= FASTEST):
        raise ValueError(f"{key} is {value:g}; a tempo lies between {SLOWEST:g} and {FASTEST:g} a minute")
    return float(value)


def beat(body: Mapping[str, Any], key: str = "beat") -> str:
    """A beat unit in words, such as "eighth" or "dotted quarter"."""
    return beat_unit(text(body, key)).name


def table(body: Mapping[str, Any], key: str) -> Mapping[str, Any]:
    """A table of named values."""
    value = body.get(key)
    if not isinstance(value, dict):
        raise ValueError(f"{key} is missing" if value is None else f"{key} is {value!r}; it must be a table")
    return value


def pair(body: Mapping[str, Any], key: str) -> tuple[str, str]:
    """Two texts, such as the first and the last measure."""
    value = body.get(key)
    if value is None:
        raise ValueError(f"{key} is missing")
    if not isinstance(value, list) or len(value) != 2 or not all(isinstance(end, str) and end for end in value):
        raise ValueError(f"{key} is {value!r}; it must be two measures, the first and the last")
    return value[0], value[1]


def count(body: Mapping[str, Any], key: str) -> int:
    """A whole number from 1 up."""
    value = body.get(key)
    if isinstance(value, bool) or not isinstance(value, int) or not 1 <= value <= 100:
        raise ValueError(f"{key} is {value!r}; it must be a whole number from 1 to 100")
    return value

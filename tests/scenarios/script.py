"""A scenario as it is read from its file: every key known, every value of its kind (see scenarios/README.md)."""

import tomllib
from dataclasses import MISSING, dataclass, fields
from datetime import datetime
from pathlib import Path
from typing import Any, TypeVar

T = TypeVar("T")
Range = tuple[float, float]


@dataclass(frozen=True)
class SpotSkill:
    """What the player can do at one spot; shares of the performance tempo. With `drill` and `notes` the spot is a drill
    that is made before the first day."""

    name: str
    holds_at: float
    grows: float
    fades: float
    ceiling: float
    drill: str = ""
    notes: str = ""


@dataclass(frozen=True)
class PlayerScript:
    """The player of a scenario."""

    seed: int
    slope: float
    lapse: float
    rep_s: int
    spot: tuple[SpotSkill, ...]


@dataclass(frozen=True)
class Act:
    """Something done after the practice of a day."""

    day: int
    do: str
    spot: str = ""
    name: str = ""
    measures: str = ""
    per_minute: float = 0.0
    times: int = 1


@dataclass(frozen=True)
class Expect:
    """What must be so on the evening of a day."""

    day: int
    because: str
    spot: str = ""
    measures: str = ""
    state: tuple[str, ...] = ()
    share: Range | None = None
    rung: Range | None = None
    arrived: bool | None = None
    reps: int = 0
    near: float | None = None
    first_tomorrow: str = ""
    still_fails: tuple[str, ...] | None = None
    kinds: tuple[str, ...] = ()
    chance: Range | None = None
    all_reps: int | None = None


@dataclass(frozen=True)
class Script:
    """A whole scenario."""

    format: int
    title: str
    why: str
    start: datetime
    days: int
    minutes: int
    ladder: str
    player: PlayerScript
    expect: tuple[Expect, ...]
    act: tuple[Act, ...] = ()
    rest_days: tuple[int, ...] = ()


def read_script(path: Path) -> Script:
    """Read a scenario. Raises ValueError naming what is wrong."""
    table: dict[str, Any] = tomllib.loads(path.read_text("utf-8"))
    player = dict(table.pop("player"))
    player["spot"] = tuple(_made(SpotSkill, spot) for spot in player["spot"])
    table["player"] = _made(PlayerScript, player)
    expect = tuple(_made(Expect, row) for row in table.get("expect", ()))
    act = tuple(_made(Act, row) for row in table.get("act", ()))
    script = _made(Script, {**table, "expect": expect, "act": act})
    if script.format != 1:
        raise ValueError(f"{path.name} has format {script.format}; this runner knows 1")
    named = [*(row.day for row in script.expect), *(row.day for row in script.act)]
    if not script.expect or not all(1 <= day <= script.days for day in named):
        raise ValueError(f"{path.name} expects nothing, or names a day that does not come")
    return script


def _made(kind: type[T], row: dict[str, Any]) -> T:
    known = {f.name: f for f in fields(kind)}  # type: ignore[arg-type]  # all kinds here are dataclasses
    unknown = set(row) - set(known)
    missing = {name for name, f in known.items() if f.default is MISSING} - set(row)
    if unknown or missing:
        raise ValueError(f"{kind.__name__}: unknown {sorted(unknown)}, missing {sorted(missing)}")
    return kind(**{name: tuple(value) if isinstance(value, list) else value for name, value in row.items()})

"""Passages written as text, for the tests of the planner."""

from fractions import Fraction
from functools import cache

from coach.files.charts import chart_for
from coach.instruments.chart import Player
from coach.instruments.passage import Step
from coach.instruments.planning import Plan, Planner
from coach.music.pitch import parse_pitch


@cache
def clarinet(lever: bool = False) -> Planner:
    """A planner for the clarinet, with the left lever or without."""
    fitted = frozenset({"left-eflat-lever"} if lever else ())
    return Planner(chart_for("clarinet in B-flat").for_player(Player(fitted)))


def steps(text: str, tempo: float = 60, joined: bool = True) -> list[Step]:
    """Notes such as "C5", "C5:2" (quarters), "C5'" (tongued after it), "C5," (half a second of silence after it),
    "C5=L" (the player's mark), "E5~F5" (a trill), slurred unless said otherwise, at `tempo` quarters a minute."""
    found = []
    for n, word in enumerate(text.split()):
        name, _, length = word.partition(":")
        name, _, upper = name.partition("~")
        name, _, fixed = name.partition("=")
        tongued, rests = name.endswith("'"), name.endswith(",")
        name = name.rstrip("',")
        quarters = Fraction(length or "1")
        found.append(
            Step(
                str(n),
                parse_pitch(name).midi,
                float(quarters) * 60 / tempo,
                joined and not tongued and not rests,
                0.5 if rests else 0.0,
                fixed or None,
                parse_pitch(upper).midi if upper else None,
                name,
                quarters,
            )
        )
    return found


def plan(text: str, tempo: float = 60, joined: bool = True, lever: bool = False) -> Plan:
    """The plan of such a passage."""
    return clarinet(lever).plan(steps(text, tempo, joined))


def choices(text: str, tempo: float = 60, joined: bool = True, lever: bool = False) -> list[str]:
    """The choices of the plan of such a passage."""
    return [one.choice for one in plan(text, tempo, joined, lever).chosen]

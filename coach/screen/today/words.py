"""The day in words: each spot's line, the plan with its reasons."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from rich.text import Text

from coach.lesson.desk import Desk
from coach.lesson.stand import pieces
from coach.lesson.today import spots_by_need, today
from coach.practice.share import ago
from coach.practice.today import Item, Need, Plan
from coach.screen.stand.state import WELCOME
from coach.screen.view.glyphs import Glyphs
from coach.screen.view.strip import state_sign
from coach.screen.view.words import number


@dataclass(frozen=True, slots=True)
class Day:
    """What Today shows: the spots by need, the plan, the titles of the pieces by id, the time it was read."""

    needs: tuple[Need, ...]
    plan: Plan
    titles: dict[str, str]
    now: datetime


def read_day(desk: Desk, minutes: int) -> Day:
    """Read the day from the log. Raises CoachError."""
    titles = {piece.id: piece.title for piece in pieces(desk)}
    return Day(spots_by_need(desk), today(desk, minutes), titles, desk.local())


def need_text(need: Need, day: Day, glyphs: Glyphs, colours: Mapping[str, str]) -> Text:
    """A spot in two lines: its state, name and measures; its share of clean reps, last work and tempo."""
    sign, style = state_sign(need.state, glyphs)
    where = _measures(need)
    text = Text()
    text.append(f"{sign} {need.state:<12} ", style=colours[style])
    text.append(need.spot.name, style="bold")
    text.append(f"{where}   {day.titles.get(need.spot.piece, '')}\n")
    worked = f"last worked {ago(need.last, day.now)}" if need.last else "not worked yet"
    tempo = f"start at {number(round(need.tempo, 1))}, goal {number(round(need.target, 1))}"
    text.append(f"  {need.share.words}   {worked}   {tempo}", style="not bold")
    return text


def _measures(need: Need) -> str:
    spot = need.spot
    if spot.drill:  # its name says where
        return ""
    place = f"measure {spot.first}" if spot.first == spot.last else f"measures {spot.first}-{spot.last}"
    return "" if place == spot.name else f", {place}"


def plan_text(day: Day) -> Text:
    """The plan: minutes, what, why."""
    text = Text(f"A plan for {day.plan.minutes} minutes\n", style="bold")
    for item in day.plan.items:
        text.append(f"{item.minutes:>3} min  ", style="not bold")
        text.append(_item_name(item))
        text.append(f": {item.because}\n", style="not bold")
    return text


def _item_name(item: Item) -> str:
    tempo = f" at {number(round(item.tempo, 1))}" if item.tempo else ""
    return f"{item.name or item.kind}{tempo}"


def empty_text(day: Day) -> str:
    """What is said where there is no spot yet."""
    if not day.titles:
        return WELCOME
    listed = "\n".join(f"  {title}" for title in day.titles.values())
    return (
        f"On the stand:\n{listed}\n\nThere is no spot yet. Press o to open a piece; on the Stand, space plays it.\n"
        "Make a spot of each place that does not hold: step there, press s, give it a name."
    )

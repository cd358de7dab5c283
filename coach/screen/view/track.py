"""The ladder as a track: rungs from the goal down, the latest attempts from left to right on their rungs."""

from collections.abc import Sequence

from coach.practice.ladder import Climb, Rule, Tread
from coach.screen.view.canvas import Canvas
from coach.screen.view.glyphs import Glyphs
from coach.screen.view.words import number

LABEL = 7  # columns of "▸ 54 ◆"


def draw_track(rungs: Sequence[float], climb: Climb, size: tuple[int, int], glyphs: Glyphs) -> Canvas:
    """The track in `size` (columns, rows). Where there are more rungs than rows, those around the present one and the
    goal are shown."""
    width, height = size
    canvas = Canvas(width, height)
    levels = shown_levels(len(rungs), climb.level, height)
    columns = width - LABEL
    recent = climb.history[-columns:] if columns > 0 else ()
    for row, level in enumerate(levels):
        here = level == climb.level
        style = "here" if here else "rung"
        canvas.put(row, 0, f"{glyphs.here if here else ' '}{number(round(rungs[level], 1)):>4}", style)
        if level == len(rungs) - 1:
            canvas.put(row, 5, glyphs.goal, "goal")
        for column, tread in enumerate(recent):
            if tread.level == level:
                canvas.put(row, LABEL + column, *tread_mark(tread, glyphs))
    return canvas


def tread_mark(tread: Tread, glyphs: Glyphs) -> tuple[str, str]:
    """The sign of an attempt and its style."""
    return (glyphs.clean, "clean") if tread.clean else (glyphs.slip, "slip")


def shown_levels(count: int, here: int, rows: int) -> tuple[int, ...]:
    """Which levels get a row, the highest first: the upper ones if the present one is among them, else the goal and a
    window around the present one."""
    if count <= rows:
        return tuple(range(count - 1, -1, -1))
    if here - 2 >= count - rows:
        return tuple(range(count - 1, count - 1 - rows, -1))
    window = max(rows - 1, 1)
    low = min(max(here - window // 2, 0), max(count - 1 - window, 0))
    return (count - 1, *range(low + window - 1, low - 1, -1))


def outcome_words(before: Climb, after: Climb, clean: bool, per_minute: float, rule: Rule, glyphs: Glyphs) -> str:
    """What a rep did, in one line: "✓ clean at 54: 2 of 3 in a row", "✗ slip at 54: down to 52"."""
    mark = f"{glyphs.clean} clean" if clean else f"{glyphs.slip} slip"
    tempo = number(round(per_minute, 1))
    return f"{mark} at {tempo}: {_consequence(before, after, clean, rule)}"


def _consequence(before: Climb, after: Climb, clean: bool, rule: Rule) -> str:
    now = number(round(after.per_minute, 1))
    if after.arrived and not before.arrived:
        return f"{now} is the goal, and it is reached"
    if after.level > before.level:
        return f"up to {now}"
    if after.level < before.level:
        return f"down to {now}"
    if len(after.history) == len(before.history):
        return f"the ladder stays at {now}"
    return f"{after.streak} of {rule.in_a_row} in a row" if clean else f"stay at {now}"


def standing_words(climb: Climb, rule: Rule, goal: float) -> str:
    """Where the ladder stands: "54, goal 60: 1 of 3 in a row"."""
    now = number(round(climb.per_minute, 1))
    if climb.arrived:
        return f"{now}: the goal is reached. Come back to it another day."
    return f"{now}, goal {number(round(goal, 1))}: {climb.streak} of {rule.in_a_row} clean in a row"

"""A spot's history as a curve: tempo upwards, reps from left to right, clean and slipped by their signs."""

from collections.abc import Sequence

from coach.practice.rep import Rep
from coach.screen.view.canvas import Canvas
from coach.screen.view.glyphs import Glyphs
from coach.screen.view.words import number

LABEL = 7


def draw_curve(reps: Sequence[Rep], goal: float, beat: str, size: tuple[int, int], glyphs: Glyphs) -> Canvas:
    """The latest reps in `size` (columns, rows), tempi in the beat unit `beat`; the goal is a line across."""
    width, height = size
    canvas = Canvas(width, height)
    recent = list(reps)[-(width - LABEL) :] if width > LABEL else []
    tempi = [rep.per_minute_in(beat) for rep in recent]
    if not tempi or height < 2:
        return canvas
    low, high = min([*tempi, goal]), max([*tempi, goal])
    goal_row = _row(goal, low, high, height)
    canvas.fill(goal_row, LABEL, width, glyphs.line, "line")
    for row, tempo in {_row(low, low, high, height): low, _row(high, low, high, height): high, goal_row: goal}.items():
        canvas.put(row, 0, f"{number(round(tempo, 1)):>5}", "rung")
    canvas.put(goal_row, 5, glyphs.goal, "goal")
    for k, (rep, tempo) in enumerate(zip(recent, tempi, strict=True)):
        sign, style = (glyphs.clean, "clean") if rep.clean else (glyphs.slip, "slip")
        canvas.put(_row(tempo, low, high, height), LABEL + k, sign, style)
    return canvas


def _row(tempo: float, low: float, high: float, height: int) -> int:
    if high == low:
        return height - 1
    return round((high - tempo) / (high - low) * (height - 1))

"""The ladder as a track: rungs from the goal down, the latest attempts from left to right on their rungs."""

from collections.abc import Sequence

from coach.practice.ladder import Climb, Ladder, Rule, Tread
from coach.screen.view.canvas import Canvas
from coach.screen.view.glyphs import Glyphs
from coach.screen.view.words import number

LABEL = 7  # columns of "▸ 54 ◆"


def rung_names(ladder: Ladder) -> tuple[str, ...]:
    """What the rungs of a ladder that falls are called, in a sentence: "length 1 of 3", "all at 50"; else none."""
    if not ladder.falls:
        return ()
    tempi = [number(round(rung, 1)) for rung in ladder.rungs]
    count = ladder.lengths
    lengths = [f"length {k} of {count}" for k in range(1, count)]
    return (*lengths, *(f"all at {tempo}" if count > 1 else tempo for tempo in tempi[count - 1 :]))


def rung_labels(ladder: Ladder) -> tuple[str, ...]:
    """What stands at the rungs of a ladder that falls: "1/3", "50"; none for others."""
    if not ladder.falls:
        return ()
    lengths = (f"{k}/{ladder.lengths}" for k in range(1, ladder.lengths))
    return (*lengths, *(number(round(rung, 1)) for rung in ladder.rungs[ladder.lengths - 1 :]))


def draw_track(
    rungs: Sequence[float], climb: Climb, size: tuple[int, int], glyphs: Glyphs, labels: Sequence[str] = ()
) -> Canvas:
    """The track in `size` (columns, rows). Where there are more rungs than rows, those around the present one and the
    goal are shown. `labels` stand for the tempi."""
    width, height = size
    canvas = Canvas(width, height)
    levels = shown_levels(len(rungs), climb.level, height)
    columns = width - LABEL
    recent = climb.history[-columns:] if columns > 0 else ()
    for row, level in enumerate(levels):
        here = level == climb.level
        style = "here" if here else "rung"
        label = labels[level] if labels else number(round(rungs[level], 1))
        canvas.put(row, 0, f"{glyphs.here if here else ' '}{label:>4}", style)
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


def outcome_words(
    before: Climb,
    after: Climb,
    clean: bool,
    per_minute: float,
    rule: Rule,
    glyphs: Glyphs,
    names: Sequence[str] = (),
) -> str:
    """What a rep did, in one line: "✓ clean at 54: 2 of 3 in a row", "✗ slip at 54: down to 52". `names` are those of
    the rungs where they are not tempi that go up: "on to all at 50"."""
    mark = f"{glyphs.clean} clean" if clean else f"{glyphs.slip} slip"
    tempo = number(round(per_minute, 1))
    return f"{mark} at {tempo}: {_consequence(before, after, clean, rule, names)}"


def _consequence(before: Climb, after: Climb, clean: bool, rule: Rule, names: Sequence[str]) -> str:
    now = names[after.level] if names else number(round(after.per_minute, 1))
    if after.arrived and not before.arrived:
        return f"{now} is the goal, and it is reached"
    if after.level > before.level:
        return f"{'on' if names else 'up'} to {now}"
    if after.level < before.level:
        return f"{'back' if names else 'down'} to {now}"
    if len(after.history) == len(before.history):
        return f"the ladder stays at {now}"
    return f"{after.streak} of {rule.in_a_row} in a row" if clean else f"stay at {now}"


def standing_words(climb: Climb, rule: Rule, goal: float, names: Sequence[str] = ()) -> str:
    """Where the ladder stands: "54, goal 60: 1 of 3 in a row"; `names` as in `outcome_words`."""
    now = names[climb.level] if names else number(round(climb.per_minute, 1))
    if climb.arrived:
        return f"{now}: the goal is reached. Come back to it another day."
    to = names[-1] if names else number(round(goal, 1))
    return f"{now}, goal {to}: {climb.streak} of {rule.in_a_row} clean in a row"

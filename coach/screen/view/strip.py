"""Measures as a strip of states: the number above, the sign below, and a legend in words."""

from collections.abc import Sequence

from coach.practice.standing import STATES, MeasureStanding
from coach.screen.view.canvas import Canvas
from coach.screen.view.glyphs import Glyphs

_STYLES = ("holds", "nearly", "needs-work", "unknown")


def state_sign(state: str, glyphs: Glyphs) -> tuple[str, str]:
    """The sign of a state and its style."""
    k = STATES.index(state)
    return glyphs.states[k], _STYLES[k]


def draw_strip(
    measures: Sequence[MeasureStanding], names: Sequence[str], chosen: int, width: int, glyphs: Glyphs
) -> Canvas:
    """The strip in as many pairs of rows as it needs; `chosen` is the index of the marked measure."""
    cell = max((len(name) for name in names), default=1) + 2
    each = max(width // cell, 1)
    canvas = Canvas(width, 2 * -(-len(measures) // each))
    for k, (measure, name) in enumerate(zip(measures, names, strict=True)):
        row, column = 2 * (k // each), (k % each) * cell
        sign, style = state_sign(measure.state, glyphs)
        mark = f"[{name}]" if k == chosen else f" {name} "
        canvas.put(row, column, mark.center(cell), "chosen-number" if k == chosen else "number")
        canvas.put(row + 1, column, sign.center(cell), style)
    return canvas


def legend(measures: Sequence[MeasureStanding], glyphs: Glyphs) -> tuple[tuple[str, str], ...]:
    """(text, style) for every state: its sign, its word, how many measures."""
    counts = [sum(measure.state == state for measure in measures) for state in STATES]
    return tuple(
        (f"{state_sign(state, glyphs)[0]} {state}: {count}", state_sign(state, glyphs)[1])
        for state, count in zip(STATES, counts, strict=True)
    )


def measure_words(measure: MeasureStanding, name: str) -> str:
    """A measure's state in words, with its hold tempo where one is known."""
    text = f"measure {name}: {measure.state}"
    if measure.hold_tempo is None:
        return text
    text += "; not clean yet" if measure.shown is None else f"; clean up to {measure.shown:.0f}"
    text += f"; four times in five at about {measure.hold_tempo:.0f}, it is estimated"
    if measure.low is not None and measure.high is not None:
        text += f" (between {measure.low:.0f} and {measure.high:.0f})"
    return text

"""The air along a drill in one line: a strip of its litres with the present place marked, and the share in words."""

from coach.lesson.breathing import Breaths
from coach.lesson.drill_air import air_share
from coach.music.part import Part
from coach.prepare.breath.planner import THIN
from coach.screen.view.glyphs import Glyphs

CELLS, CELLS_AT_REST = 24, 20
LOW = "!"
_BLOCKS = "\u2581\u2582\u2583\u2584\u2585\u2586\u2587\u2588"  # the lower eighths of a cell
_DIGITS = "0123456789"  # tenths, where there are no blocks


def air_line(plan: Breaths, part: Part, here: float | None, glyphs: Glyphs) -> str:
    """The strip and the words; `here` is the share of the drill that has passed, None at rest."""
    cells = CELLS if here is not None else CELLS_AT_REST
    end_q = float(part.end_q)
    strip = [_cell(air_share(plan, part, end_q * (k + 0.5) / cells), glyphs) for k in range(cells)]
    if here is None:
        short = plan.here.short_litres
        left = air_share(plan, part, end_q)
        says = f"{LOW} {short:.1f} litres short" if short >= 0.05 else f"air to {_per_cent(left)}"
        return f"{''.join(strip)} {says}"
    strip[min(int(here * cells), cells - 1)] = glyphs.here
    left = air_share(plan, part, end_q * here)
    return f"{''.join(strip)} air {_per_cent(left)}" + (f" {LOW} low" if left < THIN else "")


def _cell(share: float, glyphs: Glyphs) -> str:
    steps = _DIGITS if glyphs.block.isascii() else _BLOCKS
    return steps[min(int(share * len(steps)), len(steps) - 1)]


def _per_cent(share: float) -> str:
    return f"{share:.0%}".replace("%", " %")

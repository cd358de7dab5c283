"""What cannot work in a plan, and what would help, a sentence each."""

from collections.abc import Mapping

from coach.prepare.breath.line import Line
from coach.prepare.breath.planner import UNITS, Plan
from coach.prepare.over import measure_of


def troubles(line: Line, plan: Plan, decided: Mapping[str, str]) -> tuple[str, ...]:
    """Where the air does not last, one sentence for each stretch between two breaths."""
    told = []
    out = False
    last_breath = -1
    for k, missing in enumerate(plan.missing_ul):
        if missing and not out:
            told.append(_out(line, plan, last_breath, k, decided))
            out = True
        if plan.options[k].size:
            out, last_breath = False, k
    return tuple(told)


def _out(line: Line, plan: Plan, last_breath: int, k: int, decided: Mapping[str, str]) -> str:
    until = next((n for n in range(k, len(line.tones)) if plan.options[n].size), len(line.tones) - 1)
    lacking = sum(plan.missing_ul[last_breath + 1 : until + 1])
    needed = lacking + line.lungs.full_ul
    where = f"You will be out of air in measure {measure_of(line.chains[k].first.id)}"
    if until == last_breath + 1:
        return f"{where}: the note alone asks for more than one breath; play it softer, or faster, or share it."
    faster = max(1, round(100 * needed / line.lungs.full_ul - 100))
    return (
        f"{where}, {lacking / UNITS:.1f} litres short; what would help: about {faster} per cent faster, or softer, "
        "a breath where a note is left out, or one hidden while others play."
    )

"""What would help where a plan cannot do without a slide: each remedy found by planning again with that freedom."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from coach.instruments.passage import Step
from coach.instruments.planning import Plan, Planner, slower
from coach.instruments.reasons import named

# Notes on either side that are planned again.
_AROUND = 40
# Nobody slows down further than this for one fingering.
_SLOWEST = 4.0


@dataclass(frozen=True, slots=True)
class Remedy:
    """Something that takes away the slide after the note `at`. `kind` is "slower" (a swap finds its time with all
    lengths `times` as long; it falls on the note `swap`), "tongue" (the note `at` not slurred to the next) or "key"
    (equipment, by its `name`). `says` is a sentence."""

    at: int
    kind: str
    says: str
    times: float = 1.0
    swap: int | None = None
    name: str = ""


def remedies(
    planner: Planner, steps: Sequence[Step], plan: Plan, fitted: Mapping[str, Planner] | None = None
) -> tuple[Remedy, ...]:
    """What would help at each slide of the plan. `fitted` are planners for the same instrument with more keys, by the
    name of what is added ("left A-flat/E-flat lever")."""
    found: list[Remedy] = []
    for at in dict.fromkeys(plan.slides):
        start = max(0, at - _AROUND)
        place = _Place(planner, steps[start : at + _AROUND], start, at)
        found += [one for one in (place.slower(), place.tongued()) if one]
        found += [one for name, other in (fitted or {}).items() if (one := place.fitted(name, other))]
    return tuple(found)


class _Place:
    """The notes around one slide."""

    def __init__(self, planner: Planner, steps: Sequence[Step], start: int, at: int) -> None:
        self.planner, self.steps, self.start, self.at = planner, tuple(steps), start, at
        self.slides = len(planner.plan(self.steps).slides)

    def tongued(self) -> Remedy | None:
        here = self.at - self.start
        steps = [replace(one, joined=False) if n == here else one for n, one in enumerate(self.steps)]
        if len(self.planner.plan(steps).slides) >= self.slides:
            return None
        return Remedy(self.at, "tongue", f"tongue the {self._name(here + 1)}, so that nothing sounds between")

    def fitted(self, name: str, planner: Planner) -> Remedy | None:
        if len(planner.plan(self.steps).slides) >= self.slides:
            return None
        return Remedy(self.at, "key", f"with a {name} it needs no slide", name=name)

    def slower(self) -> Remedy | None:
        """The least slowing that gives a held note the time for a swap."""
        least_s = max(self.planner.costs.swap_least_s, 2 * self.planner.costs.swap_margin_s)
        times = sorted({least_s / one.length_s * 1.001 for one in self.steps if 0 < one.length_s < least_s})
        times = [one for one in times if one <= _SLOWEST]
        low, high = 0, len(times)
        while low < high:
            middle = (low + high) // 2
            low, high = (low, middle) if self._helps(times[middle]) else (middle + 1, high)
        if low == len(times):
            return None
        plan = self.planner.plan(slower(self.steps, times[low]))
        before = {n for n, one in enumerate(self.planner.plan(self.steps).chosen) if one.way and one.way.swaps}
        swaps = [n for n, one in enumerate(plan.chosen) if one.way and one.way.swaps and n not in before]
        if not swaps:
            return None
        swap = min(swaps, key=lambda n: abs(n + self.start - self.at))
        share = round(100 / times[low])
        says = f"at {share} per cent of this tempo the hands can change on the {self._name(swap)}"
        return Remedy(self.at, "slower", says, times[low], swap + self.start)

    def _helps(self, times: float) -> bool:
        return len(self.planner.plan(slower(self.steps, times)).slides) < self.slides

    def _name(self, n: int) -> str:
        return named(self.steps[n].name, self.steps[n].midi)

"""The fingering of a passage: an exact shortest path over all ways to play each note.

A plan costs (slides, cost, unorthodoxy), compared in this order: slurred slides from key to key; the sum over changes
and notes of `effort.weight` and `Way.cost`; the chart's ranks, summed. Dynamic programming from the last note back;
time is linear in the notes. All three are kept in one whole number, so that sums are exact and ties are true ties.
Among plans equal in slides and cost, a figure that came before is fingered as before; the ordinary hand decides the
rest.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import pairwise

from coach.instruments.between import moves
from coach.instruments.chart import Chart
from coach.instruments.costs import DEFAULT, Costs
from coach.instruments.effort import Efforts, Room, hurry, load
from coach.instruments.hands import Hands, from_key_to_key
from coach.instruments.passage import Step, swap_at_q
from coach.instruments.ways import Way, Ways, nearby

# One whole number: slides, then thousandths of cost, then ranks. Room for millions of notes.
_RANKS = 10**8
_MILLE = 1000
_SLIDE = 10**24 * _RANKS
# So many tables of changes are kept; a score with that many different lengths gains nothing from more.
_KEPT = 20_000
# Notes on either side that make two places the same figure.
_FIGURE = 2

Edge = tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Problem:
    """A note that could not be planned, or not as asked: which (`at` is its index), and what to do about it."""

    at: int
    says: str


@dataclass(frozen=True, slots=True)
class Chosen:
    """What was chosen for a step; `way` is None where the chart has nothing. `when_q` is where a swap stands, in
    quarters from the onset."""

    step: Step
    way: Way | None
    when_q: Fraction | None = None

    @property
    def choice(self) -> str:
        """The chart's tag ("L", "L>R"), "" where there is none."""
        return self.way.choice if self.way else ""


@dataclass(frozen=True, slots=True)
class Detour:
    """The best plan that takes a given way somewhere, around that note: `ways` from note `start` on, the notes after
    which it slides, and how many slides more than the best plan it has in all."""

    start: int
    ways: tuple[Way | None, ...]
    slides: tuple[int, ...]
    more_slides: int

    def way(self, n: int) -> Way | None:
        """The way of a note, None where nothing is known of it."""
        return self.ways[n - self.start] if 0 <= n - self.start < len(self.ways) else None


@dataclass(frozen=True)
class Plan:
    """A plan: what was chosen for each step; `slides` are the indices of the notes after which one finger must go from
    key to key within a slur; `cost` in the unit of the cost table."""

    chosen: tuple[Chosen, ...]
    cost: float
    unorthodoxy: int
    slides: tuple[int, ...]
    problems: tuple[Problem, ...]


class Planner:
    """Plans passages on one chart. Keeps what it has reckoned, so that planning again is fast; `hands` of another
    planner for the same chart may be shared. Without `swaps` none is planned unless the player marked it."""

    def __init__(self, chart: Chart, costs: Costs = DEFAULT, hands: Hands | None = None, swaps: bool = True) -> None:
        self.chart, self.costs = chart, costs
        self.hands = hands or Hands(chart)
        self.ways = Ways(self.hands, costs, swaps)
        self.efforts = Efforts(self.hands, costs)
        self._tables: dict[tuple[int, int, float, Room], tuple[Edge, ...]] = {}
        self._loads: dict[tuple[int, int, Room], list[list[tuple[int, float]]]] = {}
        self._held: list[tuple[Way, ...]] = []

    def plan(self, steps: Sequence[Step]) -> Plan:
        """The best plan. Notes that the chart lacks are named among the problems and the rest is planned."""
        return self.search(steps).best()

    def search(self, steps: Sequence[Step]) -> "Search":
        """The plans of a passage, to be asked for the best one, or for the best that takes a given way somewhere."""
        return Search(self, tuple(steps))

    def edges(self, ways: tuple[Way, ...], after: tuple[Way, ...], room: Room) -> tuple[Edge, ...]:
        """What each way costs to leave for each way of the next note, as whole numbers."""
        kind, hurried = self._kind(room), hurry(room, self.costs)
        key = (id(ways), id(after), hurried, kind)
        found = self._tables.get(key)
        if found is None:
            scale = hurried * _MILLE
            rows = self._loaded(ways, after, kind)
            found = tuple(tuple(slides + round(scale * load) * _RANKS for slides, load in row) for row in rows)
            if len(self._tables) < _KEPT:
                self._tables[key] = found
        return found

    def _kind(self, room: Room) -> Room:
        """The room without its time, for all that does not depend on it."""
        gap_s = next((s for s in (self.costs.apart_s, self.costs.silence_s) if room.gap_s >= s), 0.0)
        return Room(0.0, gap_s, room.joined)

    def _loaded(self, ways: tuple[Way, ...], after: tuple[Way, ...], kind: Room) -> list[list[tuple[int, float]]]:
        """For each way and each next one, what slides cost and what the rest weighs in the unit of time."""
        key = (id(ways), id(after), kind)
        found = self._loads.get(key)
        if found is None:
            self._held += [ways, after]
            found = self._loads[key] = [[self._load(a, b, kind) for b in after] for a in ways]
        return found

    def _load(self, a: Way, b: Way, kind: Room) -> tuple[int, float]:
        effort = self.efforts.of(a.end, b.start)
        slides = effort.asked.slid if kind.heard(self.costs) else 0
        return slides * _SLIDE, load(effort, kind, self.costs)

    def problems(self, steps: Sequence[Step]) -> tuple[Problem, ...]:
        """What cannot be planned, or not as asked."""
        return tuple(Problem(n, says) for n, step in enumerate(steps) for says in [self._says(step)] if says)

    def _says(self, step: Step) -> str:
        name = step.name or str(step.midi)
        if step.midi != int(step.midi):
            return f"{name} is a quarter-tone, which the chart of the {self.chart.name} lacks; finger it by ear"
        if not self.chart.fingerings(int(step.midi)):
            if self.chart.lowest <= step.midi <= self.chart.highest:
                return f"no fingering is left for {name}; allow one that was forbidden"
            side = "above" if step.midi > self.chart.highest else "below"
            return f"{name} lies {side} the range of the {self.chart.name}; check the octave or the instrument"
        if not self.ways.of(step):
            return f"the chart has no way to trill on {name}; finger it by hand"
        if not self.ways.named(step):
            known = ", ".join(one.choice for one in self.chart.fingerings(int(step.midi)))
            return f"{name} has no fingering {step.fixed!r}; choose one of {known}"
        return ""


class Search:
    """The plans of one passage: for each note and each way, the cheapest rest after it."""

    def __init__(self, planner: Planner, steps: tuple[Step, ...]) -> None:
        self.planner, self.steps = planner, steps
        near = nearby(planner.hands.model, steps, planner.costs)
        self.ways = [planner.ways.of(step, one) for step, one in zip(steps, near, strict=True)]
        self.nodes = [[self._node(way, step) for way in ways] for ways, step in zip(self.ways, steps, strict=True)]
        self.tables = [self._table(n) for n in range(len(steps) - 1)]
        self._after: list[list[int]] | None = None
        self._before: list[list[int]] | None = None

    def _node(self, way: Way, step: Step) -> int:
        return round(way.cost(step.length_s, self.planner.costs) * _MILLE) * _RANKS + max(way.rank - 1, 0)

    def room(self, n: int) -> Room:
        """The time and silence that there is between note `n` and the next."""
        a, b = self.steps[n], self.steps[n + 1]
        return Room(min(a.length_s, b.length_s), a.gap_s, a.joined)

    def _table(self, n: int) -> tuple[Edge, ...]:
        return self.planner.edges(self.ways[n], self.ways[n + 1], self.room(n))

    @property
    def after(self) -> list[list[int]]:
        """For each note and way, the cost of the way and the cheapest rest of the passage."""
        if self._after is None:
            self._after = rest = [list(nodes) for nodes in self.nodes]
            beyond = 0
            for n in range(len(self.steps) - 2, -1, -1):
                if following := rest[n + 1]:
                    beyond = min(following)
                    costs = zip(rest[n], self.tables[n], strict=True)
                    rest[n] = [own + min(map(int.__add__, row, following)) for own, row in costs]
                else:  # over notes that cannot be played the hands start afresh
                    rest[n] = [own + beyond for own in rest[n]]
        return self._after

    @property
    def before(self) -> list[list[int]]:
        """For each note and way, the cheapest beginning of the passage up to and with it."""
        if self._before is None:
            self._before = so_far = [list(nodes) for nodes in self.nodes]
            last = 0
            for n in range(1, len(self.steps)):
                if so_far[n - 1]:
                    last = min(so_far[n - 1])
                    columns = zip(*self.tables[n - 1], strict=True)
                    reached = [min(map(int.__add__, so_far[n - 1], column)) for column in columns]
                    so_far[n] = list(map(int.__add__, so_far[n], reached))
                else:
                    so_far[n] = [own + last for own in so_far[n]]
        return self._before

    def best(self) -> Plan:
        """The best plan."""
        return self.told(self.path())

    def total(self, n: int, way: int) -> int:
        """What the best plan costs that plays note `n` in its way number `way`."""
        return self.before[n][way] + self.after[n][way] - self.nodes[n][way]

    def through(self, n: int, way: int, reach: int = 10**9) -> Detour:
        """The best plan that plays note `n` in its way number `way`, told for `reach` notes on either side."""
        led = self._led(n, way, max(0, n - reach))
        path = [*led, *self.path(n + 1, way, min(len(self.steps), n + reach + 1))]
        start = n + 1 - len(led)
        ways = tuple(self.ways[start + k][w] if w is not None else None for k, w in enumerate(path))
        edges = [(start + k, a, b) for k, (a, b) in enumerate(pairwise(path)) if a is not None and b is not None]
        slides = tuple(k for k, a, b in edges for _ in range(self.tables[k][a][b] // _SLIDE))
        more = self.total(n, way) - min(self.total(n, each) for each in range(len(self.ways[n])))
        return Detour(start, ways, slides, (more + _SLIDE // 2) // _SLIDE)

    def path(self, start: int = 0, come_from: int | None = None, end: int | None = None) -> list[int | None]:
        """The way taken at each note from `start` to before `end`, having played the one before in the way
        `come_from`."""
        seen: dict[tuple[object, ...], str] = {}
        path: list[int | None] = []
        last = come_from
        for n in range(start, len(self.steps) if end is None else end):
            rest = self.after[n]
            if not rest:
                path.append(None)
                last = None
                continue
            totals = rest if last is None else [a + b for a, b in zip(self.tables[n - 1][last], rest, strict=True)]
            last = self._taken(n, totals, seen, path[-2:])
            path.append(last)
        return path

    def _taken(self, n: int, totals: list[int], seen: dict[tuple[object, ...], str], last: list[int | None]) -> int:
        """The cheapest; of those equal but for their ranks, the one that this figure had before, else one
        that does not bring a finger back to another key after one note, else the most ordinary."""
        best = min(totals)
        figure = self._figure(n)
        equal = [w for w, total in enumerate(totals) if total // _RANKS == best // _RANKS]
        returns = {w: self._returns(n, w, last) if len(equal) > 1 else 0 for w in equal}
        taken = min(equal, key=lambda w: (returns[w], totals[w]))
        taken = next((w for w in equal if self.ways[n][w].choice == seen.get(figure)), taken)
        seen[figure] = self.ways[n][taken].choice
        return taken

    def _returns(self, n: int, way: int, last: list[int | None]) -> int:
        """How many fingers come to another key than two notes before, having been idle in between, or cannot but do so
        two notes later."""
        here, found = self.ways[n][way], 0
        if len(last) == 2 and last[0] is not None and last[1] is not None and self._soon(n - 1):
            found += self._gone_over(self.ways[n - 2][last[0]], self.ways[n - 1][last[1]], here)
        if n + 2 < len(self.steps) and self.ways[n + 1] and self.ways[n + 2] and self._soon(n + 1):
            found += min(self._gone_over(here, a, b) for a in self.ways[n + 1] for b in self.ways[n + 2])
        return found

    def _soon(self, n: int) -> bool:
        """Whether a note is so short that a finger idle in it has not rested."""
        return self.steps[n].length_s <= self.planner.costs.idle_s

    def _gone_over(self, before: Way, between: Way, now: Way) -> int:
        """How many fingers that are idle in the middle one of three ways go from key to key around it."""
        chart = self.planner.chart
        busy = {chart.finger_of(one) for one in between.end.controls}
        old, new = before.end.controls, now.start.controls
        slides = (move for move in moves(chart, old - new, new - old) if move.kind == "slide")
        return sum(move.finger not in busy and from_key_to_key(chart, move) for move in slides)

    def _figure(self, n: int) -> tuple[object, ...]:
        near = self.steps[max(0, n - _FIGURE) : n + _FIGURE + 1]
        return (min(n, _FIGURE), *((one.midi, one.joined, one.trill, one.gap_s > 0) for one in near))

    def _led(self, n: int, way: int, start: int) -> list[int | None]:
        path: list[int | None] = [way]
        for k in range(n, start, -1):
            here, rows = path[0], self.before[k - 1]
            if not rows:
                path.insert(0, None)
            elif here is None:
                path.insert(0, rows.index(min(rows)))
            else:
                sums = [cost + row[here] for cost, row in zip(rows, self.tables[k - 1], strict=True)]
                path.insert(0, sums.index(min(sums)))
        return path

    def told(self, path: list[int | None]) -> Plan:
        """The plan of a path, with what it costs."""
        pairs = list(zip(self.steps, self.ways, path, strict=True))
        chosen = tuple(self._chosen(step, ways[w] if w is not None else None) for step, ways, w in pairs)
        cost = sum(self.nodes[n][w] for n, w in enumerate(path) if w is not None)
        slides = []
        for n, (a, b) in enumerate(pairwise(path)):
            if a is not None and b is not None:
                edge = self.tables[n][a][b]
                cost += edge
                slides += [n] * (edge // _SLIDE)
        millis, ranks = divmod(cost - len(slides) * _SLIDE, _RANKS)
        return Plan(chosen, millis / _MILLE, ranks, tuple(slides), self.planner.problems(self.steps))

    def _chosen(self, step: Step, way: Way | None) -> Chosen:
        margin_s = self.planner.costs.swap_margin_s
        return Chosen(step, way, swap_at_q(step, margin_s) if way and way.swaps else None)


def slower(steps: Iterable[Step], times: float) -> tuple[Step, ...]:
    """The passage with every sound and silence `times` as long."""
    return tuple(replace(one, length_s=one.length_s * times, gap_s=one.gap_s * times) for one in steps)


def slides_of(total: int) -> int:
    """How many slides a whole number of `Search` holds; of the difference of two, how many more."""
    return (total + _SLIDE // 2) // _SLIDE


def cost_of(total: int) -> float:
    """The cost that a whole number of `Search` holds beside its slides, in the unit of the cost table."""
    return (total - slides_of(total) * _SLIDE) // _RANKS / _MILLE

"""The ways in which one note of a passage can be played: fingerings, silent swaps on held notes, trills."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from coach.instruments.chart import Chart
from coach.instruments.costs import TRILLS_ONLY, Costs
from coach.instruments.fingering import Fingering, Trill
from coach.instruments.hands import Hands
from coach.instruments.passage import Step
from coach.instruments.sounding import HoleModel

# A held note may change keys if the state with both sounds this near to it (a third of a semitone).
_HELD = 0.3
# The chart's word for a fingering on which the right hand rests while the line goes over the break.
REST = "right-hand-down"
# From this many notes on, two pitches to and fro are like a trill.
_TO_AND_FRO = 6
# A rank from which a fingering is only passed through.
_PASSING = 9


@dataclass(frozen=True, slots=True)
class Way:
    """A way to play a step: reached as `start`, left as `end` (the same fingering but for a swap). `rank` is the
    chart's order; `chromatic`: beside a semitone; `shaken`: in a quick to and fro, as the chart has it for a trill. A
    `trill` is entered and left on its lower note `tag`, maybe before a companion key is added, or after it is let go,
    and costs `extra`. `returns` is how many fingers come from, or have to go to, another key two notes off."""

    start: Fingering
    end: Fingering
    rank: int
    chromatic: bool = False
    shaken: bool = False
    trill: Trill | None = None
    extra: float = 0.0
    tag: str = ""
    returns: int = 0

    @property
    def swaps(self) -> bool:
        """Whether the hands change while the note is held."""
        return self.start is not self.end and self.trill is None

    @property
    def choice(self) -> str:
        """The chart's tag, of the form "L>R" for a swap."""
        return f"{self.start.choice}>{self.end.choice}" if self.swaps else self.tag or self.start.choice

    def cost(self, length_s: float, costs: Costs) -> float:
        """What the step itself costs in this way, held for `length_s` seconds."""
        return self.returning(length_s, costs) + self.held(length_s, costs)

    def returning(self, length_s: float, costs: Costs) -> float:
        """What it costs that fingers come from, or have to go to, another key two notes off."""
        return costs.returning * self.returns * costs.hurry(length_s) if self.returns else 0.0

    def held(self, length_s: float, costs: Costs) -> float:
        """What the fingering itself costs: its tone, or its swap, or its trill."""
        if self.trill is not None:
            return self.extra
        if not self.swaps:
            return tone(self.start, length_s, costs, self.chromatic, self.shaken)
        haste = costs.swap_haste * costs.swap_least_s / max(length_s, costs.swap_least_s / 4)
        ends = [tone(one, length_s, costs, self.chromatic) for one in (self.start, self.end)]
        return costs.swap + haste + sum(ends) / 2


def family(choice: str) -> str:
    """The hand or form that a choice names, without the companion keys: "L" of "L+rc"."""
    return choice.partition("+")[0]


@dataclass(frozen=True, slots=True)
class Near:
    """What a note's neighbours tell of it: `chromatic` beside a semitone; `bridges`: on a way over the break on which
    the right hand may rest; `with_pitch`: the pitch with which it goes to and fro quickly, None where it does not.
    `left` and `due`: keys that the notes two before and two after cannot do without, while their fingers are idle in
    between and this note has a choice."""

    chromatic: bool = False
    bridges: bool = False
    with_pitch: int | None = None
    left: frozenset[str] = frozenset()
    due: frozenset[str] = frozenset()


class Ways:
    """The ways of a chart's notes, reckoned once for each kind of step."""

    def __init__(self, hands: Hands, costs: Costs, swaps: bool = True) -> None:
        self.hands, self.chart, self.costs, self.may_swap = hands, hands.chart, costs, swaps
        self._known: dict[tuple[float, str | None, int | None, bool, Near], tuple[Way, ...]] = {}
        self._swaps: dict[int, tuple[tuple[Fingering, Fingering], ...]] = {}

    def of(self, step: Step, near: Near = Near()) -> tuple[Way, ...]:  # noqa: B008  a frozen value
        """All ways that the step allows; empty for a pitch or a trill that the chart lacks. A `fixed` choice that the
        chart lacks leaves the step free."""
        swaps = self.may_swap and self.swappable(step)
        key = (step.midi, step.fixed, step.trill, swaps, near)
        found = self._known.get(key)
        if found is None:
            found = self._known[key] = self._kept(step, self._all(step, swaps, near))
            if near.left or near.due:
                found = self._known[key] = tuple(replace(way, returns=self._returns(way, near)) for way in found)
        return found

    def _returns(self, way: Way, near: Near) -> int:
        sides = ((near.left, way.start), (near.due, way.end))
        return sum(_elsewhere(self.chart, one, key) for keys, one in sides for key in keys)

    def swappable(self, step: Step) -> bool:
        """Whether there is time to change hands on a note."""
        return step.length_s >= max(self.costs.swap_least_s, 2 * self.costs.swap_margin_s)

    def named(self, step: Step) -> bool:
        """Whether the player's own choice, if there is one, is among the step's ways."""
        return step.fixed is None or any(self._fits(way, step.fixed) for way in self.of(step))

    def _kept(self, step: Step, found: tuple[Way, ...]) -> tuple[Way, ...]:
        kept = tuple(way for way in found if step.fixed is not None and self._fits(way, step.fixed))
        return kept or tuple(way for way in found if _ordinary(way))

    def _fits(self, way: Way, fixed: str) -> bool:
        return fixed in (way.choice, family(way.choice))

    def _all(self, step: Step, swaps: bool, near: Near) -> tuple[Way, ...]:
        midi = int(step.midi)
        if midi != step.midi or not self.chart.fingerings(midi):
            return ()
        if step.trill is not None:
            return self._trills(midi, step.trill)
        shaken = self._shaken(midi, near.with_pitch)
        plain = tuple(_plain(one, near, one.controls in shaken) for one in self.chart.fingerings(midi))
        if not swaps and not (step.fixed and ">" in step.fixed):
            return plain
        return plain + tuple(Way(a, b, max(a.rank, b.rank), near.chromatic) for a, b in self._swappable(midi))

    def _shaken(self, midi: int, other: int | None) -> set[frozenset[str]]:
        """What is pressed for a note in the trills that the chart has for it and another one."""
        if other is None:
            return set()
        trills = self.chart.trill(min(midi, other), max(midi, other))
        return {one.lower if midi < other else one.upper for one in trills if not one.alternative}

    def _swappable(self, midi: int) -> tuple[tuple[Fingering, Fingering], ...]:
        if midi not in self._swaps:
            ones = [one for one in self.chart.fingerings(midi) if one.rank < _PASSING]
            self._swaps[midi] = tuple((a, b) for a in ones for b in ones if silent_swap(self.hands.model, a, b))
        return self._swaps[midi]

    def _trills(self, low: int, high: int) -> tuple[Way, ...]:
        if low > high:
            low, high = high, low
        listed = [self._listed(one) for one in self.chart.trill(low, high)]
        shapes = {(way.start.controls, way.trill.move) for way in listed if way.trill}
        paired = [
            way
            for a in self.chart.fingerings(low)
            for b in self.chart.fingerings(high)
            if max(a.rank, b.rank) < _PASSING and (a.controls, a.controls ^ b.controls) not in shapes
            for way in [self._paired(a, b, bool(listed))]
            if way
        ]
        return tuple(way for one in [*listed, *paired] for way in self._ends(one))

    def _ends(self, way: Way) -> list[Way]:
        """A trill as it may be entered and left: with its companion keys or without them."""
        full = way.start
        bare = [one for one in self.chart.fingerings(full.midi) if one.controls < full.controls and one.rank < _PASSING]
        ends = [full, *bare]
        return [replace(way, start=a, end=b) for a in ends for b in ends]

    def _listed(self, trill: Trill) -> Way:
        kin = self.chart.fingerings(trill.low)
        same = next((one for one in kin if one.controls == trill.lower), None)
        lower = same or replace(kin[0], choice="trill", controls=trill.lower)
        second = self.costs.trill_second if trill.alternative else 0.0
        return Way(lower, lower, 1, trill=trill, extra=second, tag=lower.choice)

    def _paired(self, a: Fingering, b: Fingering, listed: bool) -> Way | None:
        """A trill between two fingerings: with one finger, or, where the chart lists none, with any."""
        asked = self.hands.change(a, b).asked
        moved = self.chart.by_finger(a.controls ^ b.controls)
        lifts, adds = a.controls > b.controls, b.controls > a.controls
        if listed and not (len(moved) == 1 and (lifts or adds)):
            return None
        trill = Trill(a.midi, b.midi, a.controls & b.controls, a.controls ^ b.controls, lifts)
        rank = max(a.rank, b.rank)
        hard = self.costs.trill_finger * (asked.together - 1 + 4 * asked.slid) + 0.1 * (rank - 1)
        return Way(a, a, rank, trill=trill, extra=self.costs.trill_unlisted + hard, tag=a.choice)


def _plain(one: Fingering, near: Near, shaken: bool) -> Way:
    rank = one.rank
    if shaken and not frozenset(one.uses) <= TRILLS_ONLY:
        return Way(one, one, 1, near.chromatic, shaken=True)
    if near.with_pitch is not None:
        rank += 1
    elif near.bridges:
        rank = rank - 1 if REST in one.uses else rank + 1
    return Way(one, one, rank, near.chromatic)


def _ordinary(way: Way) -> bool:
    """Whether a way is taken unasked."""
    uses = frozenset(way.start.uses)
    return way.rank < _PASSING and (way.trill is not None or not uses or not uses <= TRILLS_ONLY)


def tone(one: Fingering, length_s: float, costs: Costs, chromatic: bool, shaken: bool = False) -> float:
    """What a fingering costs by itself: for what its chart says it is good, how far it is out of tune, how sure the
    chart is, and whether the player prefers it."""
    held_s = min(length_s, costs.tone_most_s)
    if one.rank <= 0:
        return costs.preferred
    used = 0.0 if shaken else min((_used(use, held_s, costs, chromatic) for use in one.uses), default=0.0)
    tuned = (costs.out_of_tune * held_s + costs.out_of_tune_once) * abs(one.cents or 0) / 10
    return used + tuned + {"medium": costs.half_sure, "low": costs.unsure}.get(one.confidence, 0.0)


def _used(use: str, held_s: float, costs: Costs, chromatic: bool) -> float:
    astray = use == "chromatic" and not chromatic
    once, each = costs.not_chromatic if astray else costs.by_use.get(use, costs.unknown_use)
    return once + each * held_s


def silent_swap(model: HoleModel, start: Fingering, end: Fingering) -> bool:
    """Whether a held note can pass from one fingering to the other unheard: one hand adds its key, the same finger of
    the other lets go, and with both down the note still sounds."""
    added, left = end.controls - start.controls, start.controls - end.controls
    if len(added) != 1 or len(left) != 1:
        return False
    chart: Chart = model.chart
    both = start.controls | end.controls
    fingers = [chart.finger(chart.finger_of(min(one))) for one in (added, left)]
    if fingers[0].name != fingers[1].name or fingers[0].hand == fingers[1].hand or not chart.held_together(both):
        return False
    sounds = [model.sound(state) for state in (start.controls, both, end.controls)]
    return all(sound.partial == sounds[0].partial and abs(sound.midi - sounds[0].midi) < _HELD for sound in sounds)


def nearby(model: HoleModel, steps: Sequence[Step], costs: Costs) -> list[Near]:
    """What each step's neighbours tell of it, as far as no silence parts them."""
    apart_s = costs.apart_s
    semitone = [abs(a.midi - b.midi) == 1 and a.gap_s < apart_s for a, b in pairwise(steps)]
    bridged: set[int] = set()
    for run in _rests(model.chart, steps, apart_s):
        ends = [n for n in (run.start - 1, run.stop) if 0 <= n < len(steps)]
        if any(_over(model, steps[run.start], steps[n]) for n in ends if steps[min(n, run.stop - 1)].gap_s < apart_s):
            bridged.update(run)
    others = _alternating(steps, costs.alternating_s)
    forced = _forced(model.chart, steps, costs)
    none = frozenset[str]()
    return [
        Near(
            any(semitone[max(0, n - 1) : n + 1]),
            n in bridged,
            others.get(n),
            forced.get((n, n - 2), none),
            forced.get((n, n + 2), none),
        )
        for n in range(len(steps))
    ]


def _forced(chart: Chart, steps: Sequence[Step], costs: Costs) -> dict[tuple[int, int], frozenset[str]]:
    """For pairs of notes two apart, the keys of the second that the first should leave to another finger."""
    found: dict[tuple[int, int], frozenset[str]] = {}
    known: dict[tuple[float, float, float], frozenset[str]] = {}
    for n in range(len(steps) - 2):
        gaps_s = (steps[n].gap_s, steps[n + 1].gap_s)
        if max(gaps_s) >= costs.apart_s or steps[n + 1].length_s > costs.idle_s:
            continue
        for here, there in ((n, n + 2), (n + 2, n)):
            key = (steps[here].midi, steps[n + 1].midi, steps[there].midi)
            if key not in known:
                known[key] = _owed(chart, *key)
            if known[key]:
                found[here, there] = known[key]
    return found


def _owed(chart: Chart, midi: float, between: float, far: float) -> frozenset[str]:
    """The keys that every fingering of the pitch `far` presses, with fingers that are idle in the ordinary one of the
    pitch `between`, if `midi` can be played with another key of such a finger and without."""
    here, middle, there = (chart.fingerings(int(one)) if one == int(one) else () for one in (midi, between, far))
    if not (here and middle and there):
        return frozenset()
    busy = {chart.finger_of(one) for one in middle[0].controls}
    every = frozenset.intersection(*(one.controls for one in there))
    keys = {key for key in every if chart.control(key).kind == "key" and chart.finger_of(key) not in busy}
    return frozenset(key for key in keys if len({_elsewhere(chart, one, key) for one in here}) > 1)


def _elsewhere(chart: Chart, one: Fingering, key: str) -> bool:
    """Whether a fingering has the finger of a key on another key."""
    finger = chart.finger_of(key)
    keys = (each for each in one.controls if chart.control(each).kind == "key")
    return any(each != key and chart.finger_of(each) == finger for each in keys)


def _alternating(steps: Sequence[Step], most_s: float) -> dict[int, int]:
    """The notes of quick slurred figures of two pitches to and fro, each with the other pitch."""
    found: dict[int, int] = {}
    for n in range(len(steps) - _TO_AND_FRO + 1):
        row = steps[n : n + _TO_AND_FRO]
        ends = [int(one.midi) for one in row[:2]]
        if ends[0] != ends[1] and all(one.midi == ends[k % 2] for k, one in enumerate(row)):
            if all(one.length_s <= most_s and one.joined for one in row[:-1]):
                found |= {n + k: ends[1 - k % 2] for k in range(_TO_AND_FRO)}
    return found


def _rests(chart: Chart, steps: Sequence[Step], apart_s: float) -> list[range]:
    """The runs of notes over which the right hand may rest."""
    runs: list[range] = []
    for n, step in enumerate(steps):
        if any(REST in one.uses for one in chart.fingerings(int(step.midi))):
            goes_on = runs and runs[-1].stop == n and steps[n - 1].gap_s < apart_s
            runs[-1:] = [range(runs[-1].start, n + 1)] if goes_on else [*runs[-1:], range(n, n + 1)]
    return runs


def _over(model: HoleModel, step: Step, other: Step) -> bool:
    """Whether the break lies between two notes."""
    pair = [model.chart.fingerings(int(one.midi)) for one in (step, other)]
    return all(pair) and len({model.sound(ones[0].controls).partial for ones in pair}) > 1

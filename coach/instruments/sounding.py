"""From what is pressed to what is heard.

Equation: sound = base + raise - flatter * drop / 100 (semitones). The base is the low-register pitch of the uppermost
open tone hole: below the cutoff of the hole lattice the wave turns back there. The drop is what shut holes below it
take away: `flatter_next` if one open-standing hole is shut before the next open hole, `flatter_all` if all N are, and
in proportion between: next + (all - next) * (n - 1) / (N - 1). Raise and flatter come from the first rule of the
chart that the state meets: a vent that is open lets a higher resonance take over (a tube shut at one end: 3, 5, 7
times, 19, 28, 34 semitones).

Source: the hole table of each chart; for the clarinet a fitted bore model, not measurements on an instrument, with
which the low register agrees within 60 cents and nine clarion states in ten within 50. Not known: how an embouchure
pulls a state to another resonance (`others` lists those that are likely), and anything of loudness or tone beyond a
word.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from graphlib import TopologicalSorter

from coach.instruments.chart import Chart
from coach.instruments.mechanism import Hole, Rule
from coach.music.pitch import from_midi

# With more than this taken away by shut holes a state is called no clean note, and dull. A default; no source.
DULL_CENTS = 60


@dataclass(frozen=True, slots=True)
class Sound:
    """What is heard: written pitch `midi` (cents behind the point), the `partial` of the tube, the chart's rule that
    told so. `clean` is whether it counts as a note; `words` say how it sounds; `others` may come instead."""

    midi: float
    partial: int
    rule: str
    clean: bool = True
    words: str = ""
    others: tuple["Sound", ...] = ()

    @property
    def nearest(self) -> int:
        """The nearest written pitch."""
        return round(self.midi)

    @property
    def cents(self) -> int:
        """Cents above the nearest written pitch, negative below."""
        return round(100 * (self.midi - self.nearest))

    @property
    def told(self) -> str:
        """In words, such as "D5", "D#5, 42 cents low" or "about F4 (a veiled noise)"."""
        name = from_midi(self.nearest).name
        off = f", {abs(self.cents)} cents {'high' if self.cents > 0 else 'low'}" if abs(self.cents) > 5 else ""
        return (name + off if self.clean else f"about {name}") + (f" ({self.words})" if self.words else "")


class HoleModel:
    """What any state of a chart's controls sounds like. Results are kept, so that asking again is cheap.

    Raises graphlib.CycleError if the holes move each other in a circle.
    """

    def __init__(self, chart: Chart) -> None:
        self.chart = chart
        names = [*(one.id for one in chart.controls), *(one.id for one in chart.holes)]
        self._bit = {name: 1 << n for n, name in enumerate(names)}
        self._moves = [(self._bit[h.id], self._mask(h.moved_by), self._mask(h.held_by)) for h in in_order(chart.holes)]
        self._standing_open = self._mask(hole.id for hole in chart.holes if hole.open)
        self._tone = [(hole, hole.low, self._bit[hole.id]) for hole in chart.holes if hole.low is not None]
        self._raising = [(hole, self._bit[hole.id]) for hole in chart.holes if hole.raises]
        self._rules = [
            (rule, self._mask(rule.down), self._mask(rule.up), self._mask(rule.any_of)) for rule in chart.rules
        ]
        self._known: dict[frozenset[str], Sound] = {}
        self._resonances = tuple(
            {
                partial: raise_by
                for rule in chart.rules
                if rule.clean and rule.partial > 1
                for partial, raise_by in _partials(rule)
            }.items()
        )

    def open_holes(self, pressed: frozenset[str]) -> tuple[str, ...]:
        """The holes that are open, from the reed down. Raises ValueError for a control that the chart lacks."""
        is_open = self._open(self._pressed(pressed))
        return tuple(hole.id for hole in self.chart.holes if is_open & self._bit[hole.id])

    def sound(self, pressed: frozenset[str]) -> Sound:
        """What is heard with these controls pressed, whether or not a hand can hold them. Raises ValueError for a
        control that the chart lacks."""
        known = self._known.get(pressed)
        if known is None:
            known = self._known[pressed] = self._sound(self._pressed(pressed))
        return known

    def resonances(self, pressed: frozenset[str]) -> tuple[tuple[int, float], ...]:
        """The higher resonances (partial, pitch) that a state with an open vent may sound on; empty with none open."""
        sound = self.sound(pressed)
        if sound.partial == 1:
            return ()
        covered = next(rule.covered for rule in self.chart.rules if rule.id == sound.rule)
        base, _ = self._base(self._pressed(pressed | covered))
        return tuple((partial, base + raise_by) for partial, raise_by in self._resonances)

    def lingering(self, pressed: frozenset[str]) -> Sound | None:
        """The higher resonance that may hold on when this state is slurred into from it, None where there is none."""
        sound = self.sound(pressed)
        rule = next(rule for rule in self.chart.rules if rule.id == sound.rule)
        if rule.lingers is None:
            return None
        partial, raise_by = rule.lingers
        return Sound(sound.midi + raise_by, partial, rule.id, False, "the old register holding on")

    def _pressed(self, pressed: Iterable[str]) -> int:
        try:
            return self._mask(pressed)
        except KeyError as error:
            raise ValueError(f"{self.chart.name} has no key or hole {error.args[0]}") from error

    def _mask(self, names: Iterable[str]) -> int:
        mask = 0
        for name in names:
            mask |= self._bit[name]
        return mask

    def _open(self, active: int) -> int:
        moved = active
        for bit, movers, holders in self._moves:
            if moved & movers and not moved & holders:
                moved |= bit
        return self._standing_open ^ (moved & ~active)

    def _base(self, pressed: int) -> tuple[float, float]:
        """The base note and the cents that shut holes take away from it, before any rule."""
        is_open = self._open(pressed)
        at, top, low = next((n, hole, low) for n, (hole, low, bit) in enumerate(self._tone) if is_open & bit)
        raised = max((_raise(hole, top) for hole, bit in self._raising if is_open & bit), default=0.0)
        return low + raised, self._drop(top, at, is_open)

    def _drop(self, top: Hole, at: int, is_open: int) -> float:
        below = self._tone[at + 1 :]
        shut = 0
        for hole, _, bit in below:
            if is_open & bit:
                break
            shut += hole.open
        if not shut:
            return 0.0
        standing = sum(hole.open and bool(hole.moved_by) for hole, _, _ in below)
        share = (shut - 1) / (standing - 1) if standing > 1 else 0.0
        return top.flatter_next + (top.flatter_all - top.flatter_next) * share

    def _sound(self, pressed: int) -> Sound:
        for rule, down, up, any_of in self._rules:
            if down & ~pressed or up & pressed or (any_of and not any_of & pressed):
                continue
            base, drop = self._base(pressed | self._mask(rule.covered))
            if rule.lowest is None or base >= rule.lowest:
                return self._ruled(rule, base, drop, pressed)
        raise ValueError(f"no rule of {self.chart.name} tells what sounds")

    def _ruled(self, rule: Rule, base: float, drop: float, pressed: int) -> Sound:
        taken = rule.flatter * drop
        others = []
        for one in rule.others:
            over = self._base(pressed | self._mask(one.covered))[0] if one.covered else base
            at = over + one.raise_by if one.at is None else float(one.at)
            others.append(Sound(at, one.partial, rule.id, False, one.words))
        dull = "dull" if taken > DULL_CENTS and not rule.words else rule.words
        midi = base + rule.raise_by - taken / 100
        return Sound(midi, rule.partial, rule.id, rule.clean and taken <= DULL_CENTS, dull, tuple(others))


def in_order(holes: tuple[Hole, ...]) -> tuple[Hole, ...]:
    """The holes so that each comes after those that move or hold it. Raises graphlib.CycleError."""
    by_id = {hole.id: hole for hole in holes}
    graph = {hole.id: [one for one in sorted(hole.moved_by | hole.held_by) if one in by_id] for hole in holes}
    return tuple(by_id[name] for name in TopologicalSorter(graph).static_order())


def _raise(hole: Hole, over: Hole) -> float:
    return dict(hole.raises_over).get(over.id, hole.raises)


def _partials(rule: Rule) -> list[tuple[int, float]]:
    return [(rule.partial, rule.raise_by), *((one.partial, one.raise_by) for one in rule.others if one.at is None)]

"""What a change of fingering asks of the hands."""

from dataclasses import dataclass, replace
from math import inf

from coach.instruments.between import Change, Move, change
from coach.instruments.chart import Chart
from coach.instruments.costs import Costs
from coach.instruments.fingering import Fingering
from coach.instruments.sounding import HoleModel

# A finger that need not keep time: one that changes the note by less than this while it is on its way, in semitones.
# A key down below a sounding note only flattens it a little; an open hole that is covered early dulls it as well.
_QUIET_KEY = 0.5
_QUIET_HOLE = 0.26
# The ease of the hardest slides in a chart.
HARDEST = 3


@dataclass(frozen=True, slots=True)
class Asked:
    """Counts of fingers: `pressed` and `lifted` at the change itself; `quiet` ones that nobody hears and that may go
    early or late, shading the note by `shade` semitones in all; `rolled`; `slid` from key to key with the sum of their
    ease, `hole_slid` between a hole and a key with that of theirs. `crosses`: another resonance of the tube takes over
    (the break)."""

    pressed: int = 0
    lifted: int = 0
    quiet: int = 0
    shade: float = 0.0
    rolled: int = 0
    slid: int = 0
    slide_ease: int = 0
    hole_slid: int = 0
    hole_ease: int = 0
    crosses: bool = False

    @property
    def together(self) -> int:
        """The fingers that must move at once."""
        return self.pressed + self.lifted + self.rolled + self.slid + self.hole_slid

    @property
    def contrary(self) -> int:
        """The pairs of fingers of which one goes down while the other goes up."""
        return min(self.pressed, self.lifted)

    def effort(self, costs: Costs, hole_slide: float) -> float:
        """What the hands have to do, slides from key to key left out, in the unit of the table; `hole_slide` is what
        the hardest between a hole and a key costs."""
        fingers = costs.press * self.pressed + costs.lift * self.lifted
        fingers = fingers**costs.flatten if fingers > 0 else 0.0
        return (
            fingers
            + costs.quiet * self.quiet
            + costs.quiet_shade * self.shade
            + costs.roll * self.rolled
            + costs.contrary * self.contrary
            + hole_slide * self.hole_ease / HARDEST
            + (costs.crossing * (self.together + self.quiet) if self.crosses else 0.0)
        )

    def sliding(self, costs: Costs) -> float:
        """What its slides from key to key cost among plans with equally many of them."""
        return costs.slide * self.slide_ease


@dataclass(frozen=True, slots=True)
class Handled:
    """A change as good hands do it: `asked` of them, and `heard`, the change that is left once the quiet fingers have
    gone ahead or stay behind."""

    asked: Asked
    heard: Change


class Hands:
    """The changes between a chart's fingerings as good hands do them, looked into once each."""

    def __init__(self, chart: Chart) -> None:
        self.chart, self.model = chart, HoleModel(chart)
        self._known: dict[tuple[frozenset[str], frozenset[str], int, int], Handled] = {}

    def change(self, old: Fingering, new: Fingering) -> Handled:
        """One change."""
        key = (old.controls, new.controls, old.midi, new.midi)
        found = self._known.get(key)
        if found is None:
            found = self._known[key] = handled(self.model, old, new)
        return found


def handled(model: HoleModel, old: Fingering, new: Fingering) -> Handled:
    """The change from `old` to `new` with every finger that cannot be heard taken out of it."""
    whole = change(model, old, new)
    before, after = old.controls, new.controls
    quiet, shade = 0, 0.0
    for move in whole.moves:
        early, late = _shade(model, before, move.off, move.on), _shade(model, after, move.on, move.off)
        if move.kind not in ("lift", "press") or min(early, late) >= _limit(model.chart, move):
            continue
        quiet, shade = quiet + 1, shade + min(early, late)
        if early <= late:
            before = before - move.off | move.on
        else:
            after = after - move.on | move.off
    if quiet:
        whole = change(model, replace(old, controls=before), replace(new, controls=after))
    crosses = model.sound(old.controls).partial != model.sound(new.controls).partial
    return Handled(_counted(model.chart, whole, quiet, shade, crosses), whole)


def _limit(chart: Chart, move: Move) -> float:
    keys = all(chart.control(one).kind == "key" for one in move.off | move.on)
    return _QUIET_KEY if keys else _QUIET_HOLE


def _shade(model: HoleModel, state: frozenset[str], off: frozenset[str], on: frozenset[str]) -> float:
    """By how many semitones a note changes if one finger leaves some controls for others; infinite if the hand cannot
    or another register sounds."""
    moved = state - off | on
    was, now = model.sound(state), model.sound(moved)
    if now.partial != was.partial or not model.chart.held_together(moved):
        return inf
    return abs(was.midi - now.midi)


def _counted(chart: Chart, heard: Change, quiet: int, shade: float, crosses: bool) -> Asked:
    kinds = [move.kind for move in heard.moves]
    slides = [move for move in heard.moves if move.kind == "slide"]
    by_key = [move for move in slides if from_key_to_key(chart, move)]
    by_hole = [move for move in slides if move not in by_key]
    return Asked(
        kinds.count("press"),
        kinds.count("lift"),
        quiet,
        shade,
        kinds.count("roll"),
        len(by_key),
        sum(max(_eases(chart, move)) for move in by_key),
        len(by_hole),
        sum(max(_eases(chart, move)) for move in by_hole),
        crosses,
    )


def _eases(chart: Chart, move: Move) -> list[int]:
    ways = [chart.slide(start, end) for start in move.off for end in move.on]
    return [way.ease for way in ways if way]


def from_key_to_key(chart: Chart, move: Move) -> bool:
    """Whether a finger's slide is one between two keys, not between its hole and a key."""
    return all(chart.control(one).kind == "key" for one in move.off | move.on)

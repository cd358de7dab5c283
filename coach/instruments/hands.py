"""What a change of fingering asks of the hands."""

from dataclasses import dataclass, replace

from coach.instruments.between import Change, Move, change
from coach.instruments.chart import Chart
from coach.instruments.costs import Costs
from coach.instruments.fingering import Fingering
from coach.instruments.sounding import HoleModel

# A finger nobody hears: one that changes the note by less than this, in semitones. A quarter of a semitone is heard if
# it lasts, but not while a finger is on its way.
_QUIET = 0.26


@dataclass(frozen=True, slots=True)
class Asked:
    """Counts of fingers: `pressed` and `lifted` at the change itself, `quiet` ones that nobody hears and that may go
    early or late, `rolled`; `slid` from key to key with the sum of their ease, `hole_slid` between a hole and a key.
    `crosses`: another resonance of the tube takes over (the break)."""

    pressed: int = 0
    lifted: int = 0
    quiet: int = 0
    rolled: int = 0
    slid: int = 0
    slide_ease: int = 0
    hole_slid: int = 0
    crosses: bool = False

    @property
    def together(self) -> int:
        """The fingers that must move at once."""
        return self.pressed + self.lifted + self.rolled + self.slid + self.hole_slid

    @property
    def contrary(self) -> int:
        """The pairs of fingers of which one goes down while the other goes up."""
        return min(self.pressed, self.lifted)

    def effort(self, costs: Costs) -> float:
        """What the hands have to do, slides from key to key left out, in the unit of the table."""
        fingers = costs.press * self.pressed + costs.lift * self.lifted
        fingers = fingers**costs.flatten if fingers > 0 else 0.0
        return (
            fingers
            + costs.quiet * self.quiet
            + costs.roll * self.rolled
            + costs.contrary * self.contrary
            + costs.hole_slide * self.hole_slid
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


def handled(model: HoleModel, old: Fingering, new: Fingering) -> Handled:
    """The change from `old` to `new` with every finger that cannot be heard taken out of it."""
    chart = model.chart
    whole = change(model, old, new)
    before, after = old.controls, new.controls
    quiet = 0
    for move in whole.moves:
        if move.kind not in ("lift", "press"):
            continue
        if _silent(model, before, move):
            before, quiet = before - move.off | move.on, quiet + 1
        elif _silent(model, after, Move(move.finger, move.kind, move.on, move.off)):
            after, quiet = after - move.on | move.off, quiet + 1
    if quiet:
        whole = change(model, replace(old, controls=before), replace(new, controls=after))
    crosses = model.sound(old.controls).partial != model.sound(new.controls).partial
    return Handled(_counted(chart, whole, quiet, crosses), whole)


def _silent(model: HoleModel, state: frozenset[str], move: Move) -> bool:
    moved = state - move.off | move.on
    if not model.chart.held_together(moved):
        return False
    was, now = model.sound(state), model.sound(moved)
    return was.partial == now.partial and abs(was.midi - now.midi) < _QUIET


def _counted(chart: Chart, heard: Change, quiet: int, crosses: bool) -> Asked:
    kinds = [move.kind for move in heard.moves]
    slides = [move for move in heard.moves if move.kind == "slide"]
    by_key = [move for move in slides if from_key_to_key(chart, move)]
    ease = sum(max(_eases(chart, move)) for move in by_key)
    return Asked(
        kinds.count("press"),
        kinds.count("lift"),
        quiet,
        kinds.count("roll"),
        len(by_key),
        ease,
        len(slides) - len(by_key),
        crosses,
    )


def _eases(chart: Chart, move: Move) -> list[int]:
    ways = [chart.slide(start, end) for start in move.off for end in move.on]
    return [way.ease for way in ways if way]


def from_key_to_key(chart: Chart, move: Move) -> bool:
    """Whether a finger's slide is one between two keys, not between its hole and a key."""
    return all(chart.control(one).kind == "key" for one in move.off | move.on)

"""What sounds between two fingerings.

The reed goes on while the fingers move, so each set of holes that is open for a moment is heard. A finger moves in
one step (lift, press) or, from key to key, in two with neither key between. Every order of the fingers gives its own
row of states. Working figures (players' experience, not measured): fingers of one hand land within 10 to 20 ms of
each other in good playing and 30 to 60 ms in poor; a foreign pitch is a click below 15 ms and a wrong note above 30.
"""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import permutations, product

from coach.instruments.chart import Chart
from coach.instruments.fingering import Fingering
from coach.instruments.sounding import HoleModel, Sound

# A state this near to the old or the new note is heard as that note (half a semitone).
SAME = 0.5
# Beyond this many moving fingers only the extreme orders are looked at: 7! is 5040.
MOST_ORDERED = 6
# Where a state's other resonance is further off than this from the one named, both are worth telling (a tone).
WORTH_TELLING = 2.0

Held = frozenset[str]
NOTHING: Held = frozenset()


@dataclass(frozen=True, slots=True)
class Move:
    """One finger's part in a change: off these controls, on to those. `kind` is "lift", "press", "slide" (key to key,
    leaving the instrument) or "roll". `via` is what it may hold half way: nothing between two keys, one of two controls
    that it takes or leaves together."""

    finger: str
    kind: str
    off: frozenset[str]
    on: frozenset[str]
    via: tuple[frozenset[str], ...] = ()


@dataclass(frozen=True, slots=True)
class Between:
    """A state on the way, and how foreign it sounds: `semitones` to the nearer of the old and the new note, 0 if it
    is heard as one of them; `register_jump` if it lies on a partial that neither note uses. `early` are the fingers
    that have moved, `late` those that have not; a finger half way of a slide is in neither."""

    controls: frozenset[str]
    sound: Sound
    semitones: float
    register_jump: bool
    early: frozenset[str]
    late: frozenset[str]

    @property
    def foreign(self) -> bool:
        """Whether a third note is heard."""
        return self.semitones > 0


@dataclass(frozen=True)
class Change:
    """The change from one fingering to another, and all that may sound on the way."""

    old: Fingering
    new: Fingering
    moves: tuple[Move, ...]
    model: HoleModel

    @property
    def slides(self) -> tuple[Move, ...]:
        """The fingers that must go from key to key."""
        return tuple(move for move in self.moves if move.kind == "slide")

    @property
    def contrary(self) -> bool:
        """Whether some finger is lifted while another is put down."""
        kinds = {move.kind for move in self.moves}
        return {"lift", "press"} <= kinds

    @cached_property
    def gap(self) -> Between | None:
        """All lifted before anything is put down: what both fingerings share; None if that is one of them."""
        return self._passing({move.finger: NOTHING for move in self.moves})

    @cached_property
    def overlap(self) -> Between | None:
        """All put down before anything is lifted; a sliding finger is on neither key. None if that is one of them."""
        return self._passing({move.finger: _both(move) for move in self.moves})

    @cached_property
    def states(self) -> tuple[Between, ...]:
        """Every state that some order passes (for more than MOST_ORDERED fingers: the extreme orders), once each."""
        if len(self.moves) > MOST_ORDERED:
            found = [state for order in self.orders() for state in self.along(order)]
        else:
            fingers = [move.finger for move in self.moves]
            rows = product(*((move.off, *move.via, move.on) for move in self.moves))
            passed = (self._passing(dict(zip(fingers, row, strict=True))) for row in rows)
            found = [state for state in passed if state is not None]
        return tuple({state.controls: state for state in found}.values())

    @property
    def worst(self) -> Between | None:
        """The most foreign state, None if no third note can sound."""
        foreign = [state for state in self.states if state.foreign]
        return max(foreign, key=lambda one: (one.semitones, one.register_jump), default=None)

    def late(self, finger: str) -> tuple[Between, ...]:
        """What sounds while all fingers but this one have moved: with it still where it was, and half way. Empty if it
        does not move or nothing lies between."""
        return self._but(finger, lambda move: (move.off, *move.via), _new)

    def early(self, finger: str) -> tuple[Between, ...]:
        """What sounds while this finger alone is moving or has moved. Empty if it does not or nothing lies between."""
        return self._but(finger, lambda move: (*move.via, move.on), _old)

    def _but(
        self, finger: str, held: Callable[[Move], Iterable[Held]], others: Callable[[Move], Held]
    ) -> tuple[Between, ...]:
        one = next((move for move in self.moves if move.finger == finger), None)
        if one is None:
            return ()
        at = {move.finger: others(move) for move in self.moves}
        passed = (self._passing({**at, finger: its}) for its in held(one))
        return tuple(state for state in passed if state is not None)

    def orders(self) -> Iterator[tuple[str, ...]]:
        """The orders in which the fingers may move: all for up to MOST_ORDERED, else the extreme ones (lifts first,
        presses first, each finger first, each finger last)."""
        fingers = [move.finger for move in self.moves]
        if len(fingers) <= MOST_ORDERED:
            yield from permutations(fingers)
            return
        down_first = [move.finger for move in sorted(self.moves, key=lambda move: move.kind == "lift")]
        up_first = [move.finger for move in sorted(self.moves, key=lambda move: move.kind != "lift")]
        for line in (up_first, down_first):
            yield from (tuple([*(one for one in line if one != last), last]) for last in fingers)
            yield from (tuple([first, *(one for one in line if one != first)]) for first in fingers)

    def along(self, order: Iterable[str]) -> tuple[Between, ...]:
        """The states that one order of the fingers passes, with each thing that a finger may hold half way."""
        by_finger = {move.finger: move for move in self.moves}
        at = {finger: move.off for finger, move in by_finger.items()}
        passed = []
        for finger in order:
            for held in (*by_finger[finger].via, by_finger[finger].on):
                at[finger] = held
                passed.append(self._passing(at))
        return tuple(state for state in passed if state is not None)

    def _passing(self, at: dict[str, frozenset[str]]) -> Between | None:
        controls = (self.old.controls & self.new.controls).union(*at.values())
        if controls in (self.old.controls, self.new.controls):
            return None
        early = frozenset(move.finger for move in self.moves if at[move.finger] == move.on)
        late = frozenset(move.finger for move in self.moves if at[move.finger] == move.off)
        return self._heard(controls, early, late)

    def _heard(self, controls: Held, early: frozenset[str], late: frozenset[str]) -> Between:
        sound = self._slurred(controls)
        away = min(abs(sound.midi - self.old.midi), abs(sound.midi - self.new.midi))
        jumps = sound.partial not in {self._ends[0].partial, self._ends[1].partial}
        return Between(controls, sound, 0.0 if away <= SAME else away, jumps, early, late)

    @cached_property
    def _ends(self) -> tuple[Sound, Sound]:
        """What the two fingerings sound on: where the chart's pitch is not what the holes give first, what comes
        nearest to it."""
        return self._voiced(self.old), self._voiced(self.new)

    @cached_property
    def _voices(self) -> frozenset[int]:
        """The partials that the mouth holds against what the holes give first."""
        ends = (self.old, self._ends[0]), (self.new, self._ends[1])
        return frozenset(sound.partial for one, sound in ends if sound is not self.model.sound(one.controls))

    def _voiced(self, one: Fingering) -> Sound:
        first = self.model.sound(one.controls)
        return min((first, *first.others), key=lambda sound: max(abs(sound.midi - one.midi), SAME))

    def _slurred(self, controls: Held) -> Sound:
        """What the state sounds like between the two notes: its own sound, on the partial that the mouth holds if that
        is another; with what else may come, the old resonance carried over among it."""
        first = self.model.sound(controls)
        sound = self._held_by_the_mouth(first)
        before = self._ends[0].partial
        lingering = self.model.lingering(controls) if before > sound.partial else None
        carried = self._carried_over(controls, sound) if before > 1 else None
        more = [one for one in (lingering, carried) if one]
        if not more:
            return sound
        others = [*sound.others, *more]
        once = {one.nearest: one for one in reversed(others)}
        kept = tuple(one for one in others if once[one.nearest] is one)
        return Sound(sound.midi, sound.partial, sound.rule, sound.clean, sound.words, kept)

    def _carried_over(self, controls: Held, sound: Sound) -> Sound | None:
        """The resonance nearest to the old note, if that is another one and far enough off to tell."""
        near = min(self.model.resonances(controls), key=lambda one: abs(one[1] - self.old.midi), default=None)
        if near is None or near[0] == sound.partial or abs(near[1] - sound.midi) <= WORTH_TELLING:
            return None
        return Sound(near[1], near[0], sound.rule, False, "the resonance nearest to the old note")

    def _held_by_the_mouth(self, first: Sound) -> Sound:
        """A state among notes that are voiced on another partial than their holes give first is voiced so too."""
        for one in first.others:
            if one.partial in self._voices:
                rest = (other for other in (replace(first, others=()), *first.others) if other is not one)
                return replace(one, clean=first.clean, others=tuple(rest))
        return first


def change(model: HoleModel, old: Fingering, new: Fingering) -> Change:
    """The change between two fingerings of the model's chart. Raises KeyError for a control that the chart lacks."""
    return Change(old, new, moves(model.chart, old.controls, new.controls), model)


def moves(chart: Chart, old: frozenset[str], new: frozenset[str]) -> tuple[Move, ...]:
    """What each finger does between two states, in the chart's order of fingers. Raises KeyError."""
    before, after = chart.by_finger(old - new), chart.by_finger(new - old)
    found = []
    for finger in chart.fingers:
        off, on = before.get(finger.id, frozenset()), after.get(finger.id, frozenset())
        if off or on:
            kept = chart.by_finger(old & new).get(finger.id, frozenset())
            found.append(Move(finger.id, _kind(chart, off, on), off, on, _half_way(chart, off, on, kept)))
    return tuple(found)


def _kind(chart: Chart, off: frozenset[str], on: frozenset[str]) -> str:
    if not on:
        return "lift"
    if not off:
        return "press"
    ways = [chart.slide(a, b) for a in off for b in on]
    return "roll" if chart.held_together(off | on) or any(way and way.rolls for way in ways) else "slide"


def _half_way(
    chart: Chart, off: frozenset[str], on: frozenset[str], kept: frozenset[str]
) -> tuple[frozenset[str], ...]:
    if off and on:
        return (off | on,) if chart.held_together(off | on | kept) else (NOTHING,)
    both = off | on
    return tuple(frozenset((one,)) for one in sorted(both)) if len(both) > 1 else ()


def _both(move: Move) -> frozenset[str]:
    """What a finger holds while everything is put down before anything is lifted."""
    return move.via[0] if move.off and move.on else move.off | move.on


def _old(move: Move) -> Held:
    return move.off


def _new(move: Move) -> Held:
    return move.on

"""What a change of fingering costs: the hands and what may sound between, both divided by the time there is."""

from collections.abc import Iterable
from dataclasses import dataclass

from coach.instruments.between import Between, Change
from coach.instruments.costs import Costs
from coach.instruments.fingering import Fingering
from coach.instruments.hands import Asked, Hands


@dataclass(frozen=True, slots=True)
class Effort:
    """A change without its time: what is asked of the hands, what they have to do slurred or tongued, what slides cost
    over it, and how foreign the sounds between are to be expected."""

    asked: Asked
    hands: float
    tongued: float
    sliding: float
    between: float


@dataclass(frozen=True, slots=True)
class Room:
    """The time around a change: the shorter neighbour's seconds, the silence between, whether it is slurred."""

    time_s: float
    gap_s: float
    joined: bool

    def heard(self, costs: Costs) -> bool:
        """Whether a slide would sound: slurred, with no silence to hide it."""
        return self.joined and self.gap_s < costs.silence_s


class Efforts:
    """The changes between a chart's fingerings, reckoned once each."""

    def __init__(self, hands: Hands, costs: Costs) -> None:
        self.hands, self.costs = hands, costs
        self._known: dict[tuple[frozenset[str], frozenset[str], int, int], Effort] = {}

    def of(self, old: Fingering, new: Fingering) -> Effort:
        """The effort of one change."""
        key = (old.controls, new.controls, old.midi, new.midi)
        found = self._known.get(key)
        if found is None:
            found = self._known[key] = self._reckoned(old, new)
        return found

    def _reckoned(self, old: Fingering, new: Fingering) -> Effort:
        done = self.hands.change(old, new)
        costs = self.costs
        between = costs.between * expected(done.heard, costs)
        slurred = done.asked.effort(costs, costs.hole_slide)
        tongued = done.asked.effort(costs, costs.hole_slide_tongued)
        return Effort(done.asked, slurred, tongued, done.asked.sliding(costs), between)


def expected(change: Change, costs: Costs) -> float:
    """How foreign the sounds of a change are, over the orders in which the fingers may come: each order's share times
    its most telling state."""
    if not change.moves:
        return 0.0
    fingers = [move.finger for move in change.moves]
    return (
        costs.gap_share * foreign((change.gap,), costs)
        + costs.overlap_share * foreign((change.overlap,), costs)
        + costs.late_share * sum(foreign(change.late(finger), costs) for finger in fingers)
        + costs.early_share * sum(foreign(change.early(finger), costs) for finger in fingers)
    )


def foreign(states: Iterable[Between | None], costs: Costs) -> float:
    """How foreign the most foreign of some states on the way is: 0 if each is heard as the old or the new note."""
    return max((_foreign(state, costs) for state in states if state and state.foreign), default=0.0)


def _foreign(state: Between, costs: Costs) -> float:
    far = min(costs.foreign_any + costs.foreign_semitone * state.semitones, costs.foreign_most)
    return far + (costs.foreign_register if state.register_jump else 0.0)


def load(effort: Effort, room: Room, costs: Costs) -> float:
    """What a change costs in the unit of time, by the silence there is; slurred slides are counted apart from it."""
    if room.gap_s >= costs.apart_s:
        return 0.0
    if room.gap_s >= costs.silence_s:
        return costs.rested_hands * effort.tongued
    if room.joined:
        return effort.hands + effort.sliding + effort.between
    return costs.tongued_hands * (effort.tongued + effort.sliding) + costs.tongued_between * effort.between


def hurry(room: Room, costs: Costs) -> float:
    """By how much a change weighs more in the time there is than in the unit of time; silence is time too."""
    return costs.hurry(room.time_s + room.gap_s if room.gap_s >= costs.silence_s else room.time_s)


def weight(effort: Effort, room: Room, costs: Costs) -> float:
    """What a change costs in the time and silence there is; slurred slides are counted apart from it."""
    return hurry(room, costs) * load(effort, room, costs)

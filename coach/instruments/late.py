"""What is heard in a change of fingering if one finger comes late, finger by finger."""

from dataclasses import dataclass

from coach.instruments.between import Between, Move, change
from coach.instruments.fingering import Fingering
from coach.instruments.mechanism import Finger
from coach.instruments.sounding import HoleModel

_DOES = {"lift": "up", "press": "down", "slide": "slides", "roll": "rolls"}


@dataclass(frozen=True, slots=True)
class Late:
    """A finger that moves: what it does ("up", "down", "slides", "rolls"), and the written pitches of the third notes
    that are heard while the others have moved and it has not, the most foreign first; none if nothing foreign is."""

    finger: Finger
    does: str
    heard: tuple[int, ...] = ()


def lateness(model: HoleModel, old: Fingering, new: Fingering) -> tuple[Late, ...]:
    """The fingers that move, those whose being late is worst heard first, else in the chart's order. Raises KeyError
    for a control that the chart lacks."""
    whole = change(model, old, new)
    told = [(move, sorted(_foreign(whole.late(move.finger)), key=_worst)) for move in whole.moves]
    told.sort(key=lambda pair: _worst(pair[1][0]) if pair[1] else (1.0, False))
    return tuple(_late(model, move, states) for move, states in told)


def _late(model: HoleModel, move: Move, states: list[Between]) -> Late:
    heard = tuple(dict.fromkeys(state.sound.nearest for state in states))
    return Late(model.chart.finger(move.finger), _DOES[move.kind], heard)


def _foreign(states: tuple[Between, ...]) -> list[Between]:
    return [state for state in states if state.foreign]


def _worst(state: Between) -> tuple[float, bool]:
    return -state.semitones, not state.register_jump

"""The shaping that a good player adds to printed dynamics, each as a mark to keep or to strike."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from fractions import Fraction

from coach.music.part import Part
from coach.prepare.mark import Dynamic, Mark

# The seconds of a quarter at an onset in quarters, at the performance tempo.
Pace = Callable[[Fraction], float]


@dataclass(frozen=True, slots=True)
class Shaping:
    """A dynamic to suggest at a note, with its reason in one sentence."""

    at: str
    content: Dynamic
    because: str


def shapings(part: Part, pace: Pace, marks: Sequence[Mark] = ()) -> tuple[Shaping, ...]:
    """What a good player would add to the printed dynamics of a part and to those that are marked and decided (`marks`,
    dynamics that are not struck and not merely suggested), in order."""
    del part, pace, marks
    return ()

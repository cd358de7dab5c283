"""What an ornament can become: a way to play it, with its reason."""

from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction

from coach.prepare.mark import Ornament

STYLES = ("lyrical", "treatise")
# The seconds of a quarter at an onset in quarters, at the performance tempo.
Pace = Callable[[Fraction], float]
# The fastest even trill between two written pitches (MIDI numbers) that the fingers can do, in notes a second.
Fastest = Callable[[int, int], float]


@dataclass(frozen=True, slots=True)
class Realisation:
    """One way to play an ornament: `name` is short, for a list ("before the beat", "from the upper note, even"),
    `because` the reason in one sentence."""

    content: Ornament
    name: str
    because: str

"""What was decided about the notes that a drill is made of: how their ornaments are played, how loud they are, where a
breath follows."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from coach.prepare.interpretation import USUAL_TIMES, BreathTimes
from coach.prepare.mark import Ornament

SIGNS = ("pppp", "ppp", "pp", "p", "mp", "mf", "f", "ff", "fff", "ffff")  # soft to loud
UNKNOWN_DB = (0.0, 0.0)


@dataclass(frozen=True, slots=True)
class Decided:
    """Ornaments by the id of their main note, the first of a tied chain; levels by the id of each note, in dB against
    mezzoforte at its start and at its end; sizes of breaths by the note that they follow, the last of a tied
    chain, which take their `times`."""

    ornaments: Mapping[str, Ornament] = field(default_factory=dict)
    levels: Mapping[str, tuple[float, float]] = field(default_factory=dict)
    breaths: Mapping[str, str] = field(default_factory=dict)
    times: BreathTimes = USUAL_TIMES

    def level_of(self, note_id: str) -> tuple[float, float]:
        """The level of a note at its start and at its end; mezzoforte where nothing is known."""
        return self.levels.get(note_id, UNKNOWN_DB)


NOTHING = Decided()


def beyond(sign: str, by: int) -> str:
    """The dynamic so many steps louder than another one, softer for a negative number; the last one at either end."""
    return SIGNS[min(max(SIGNS.index(sign) + by, 0), len(SIGNS) - 1)]

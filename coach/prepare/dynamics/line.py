"""The dynamic line: the level and the colour of every note."""

from collections.abc import Sequence
from dataclasses import dataclass

from coach.music.part import Part
from coach.prepare.mark import Mark


@dataclass(frozen=True, slots=True)
class NoteLevel:
    """A note's level in dB against the part's loudest (0 or below) at its start and at its end, its colour from 0
    (dark) to 1 (bright), and why, in one sentence."""

    at: str
    level_db: float
    end_level_db: float
    colour: float
    because: str


def dynamic_line(part: Part, marks: Sequence[Mark] = ()) -> tuple[NoteLevel, ...]:
    """The levels of all pitched notes of a part, in order; `marks` are its dynamics that stand, suggested ones too."""
    del part, marks
    return ()

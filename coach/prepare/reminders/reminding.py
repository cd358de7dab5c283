"""Which accidentals a careful player would pencil."""

from collections.abc import Mapping
from dataclasses import dataclass

from coach.music.part import Part
from coach.prepare.mark import Ornament, Reminder

DENSITIES = ("sparing", "usual", "full")


@dataclass(frozen=True, slots=True)
class Reminded:
    """A reminder to suggest at a note or a grace, with its reason in one sentence."""

    at: str
    content: Reminder
    because: str


def reminders(part: Part, ornaments: Mapping[str, Ornament], density: str = "usual") -> tuple[Reminded, ...]:
    """The reminders for a part whose ornaments are played so (by the id of their main note), in order."""
    del part, ornaments, density
    return ()

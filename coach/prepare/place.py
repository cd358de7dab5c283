"""Where a mark stands, in words a player would use."""

from dataclasses import dataclass
from fractions import Fraction

from coach.music.measure import Measure
from coach.music.note import Note
from coach.music.part import Part
from coach.music.pitch import Pitch
from coach.prepare.over import measure_of


@dataclass(frozen=True, slots=True)
class Place:
    """A note, rest or grace of a part: its measure, the note it is or belongs to, its own pitch (None for a rest), and
    whether it is a grace ("" if not, "before" or "after")."""

    measure: Measure
    note: Note
    pitch: Pitch | None
    grace: str = ""

    @property
    def onset_q(self) -> Fraction:
        """Onset in quarters from the start of the measure; a grace has its note's, or that note's end."""
        at_q = self.note.end_q if self.grace == "after" else self.note.onset_q
        return at_q - self.measure.onset_q

    @property
    def name(self) -> str:
        """The pitch as spelled, or "rest"."""
        return self.pitch.name if self.pitch else "rest"

    @property
    def words(self) -> str:
        """Such as "measure 12, beat 3, Db5"."""
        grace = " (grace note)" if self.grace else ""
        return f"measure {self.measure.id}, beat {beat_words(self.note.beat)}, {self.name}{grace}"


def find_place(part: Part, note_id: str) -> Place | None:
    """The note, rest or grace with this id, or None if the part has none."""
    wanted = measure_of(note_id)
    for measure in part.measures:
        if measure.id == wanted:
            return next(filter(None, (_in_note(measure, note, note_id) for note in measure.notes)), None)
    return None


def place_words(part: Part, note_id: str) -> str:
    """Where a note stands, such as "measure 12, beat 3, Db5"; "note 12.3" for one that the part does not have."""
    place = find_place(part, note_id)
    return place.words if place else f"note {note_id}"


def beat_words(beat: Fraction) -> str:
    """A place in the measure, counted in beats from 1: "3", or "3 and 1/2" between beats."""
    whole, rest = divmod(beat, 1)
    return f"{whole} and {rest}" if rest else str(whole)


def _in_note(measure: Measure, note: Note, note_id: str) -> Place | None:
    if note.id == note_id:
        return Place(measure, note, note.pitch)
    if not note_id.startswith(note.id):
        return None
    for name, graces in (("before", note.graces), ("after", note.after_graces)):
        for grace in graces:
            if grace.id == note_id:
                return Place(measure, note, grace.pitch, name)
    return None

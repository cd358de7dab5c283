"""The neighbour of a note, spelled: by the ornament's accidental, else as the measure has it, else as the key has it.

An accidental holds for its staff position up to the end of the measure, in written notes and graces alike; one that a
tie carries over the barline holds for that note alone, and a key that changes inside a measure begins anew (common
practice of notation). Other voices of the staff are not asked.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from coach.music.measure import Measure
from coach.music.metre import Key
from coach.music.note import Note, Ornament
from coach.music.pitch import STEPS, Pitch

# MusicXML's words for the accidentals of an ornament, in semitones; quarter tones are not followed.
ALTERS = {
    "sharp": 1,
    "flat": -1,
    "natural": 0,
    "double-sharp": 2,
    "sharp-sharp": 2,
    "flat-flat": -2,
    "double-flat": -2,
    "natural-sharp": 1,
    "natural-flat": -1,
}
TRILLS = frozenset({"trill-mark", "wavy-line", "shake"})
# Ornaments with one neighbour: whether it is the upper one.
_ONLY = {**dict.fromkeys(TRILLS, True), "inverted-mordent": True, "mordent": False}


def marked(ornaments: Iterable[Ornament], *, upper: bool) -> int | None:
    """What the accidentals printed at ornaments do to the upper or the lower neighbour; None if they say nothing. Above
    means the upper and below the lower; of two in one place the first is the upper's. At a trill or a mordent, which
    have one neighbour, every accidental is that one's."""
    for ornament in ornaments:
        places = [where for where, _ in ornament.accidentals]
        for k, (where, kind) in enumerate(ornament.accidentals):
            above = where != "below" if len(set(places)) == len(places) else k == 0
            for_upper = _ONLY.get(ornament.kind, above)
            if for_upper == upper and kind in ALTERS:
                return ALTERS[kind]
    return None


def neighbour(measure: Measure, note: Note, *, upper: bool, ornaments: Iterable[Ornament] = ()) -> Pitch | None:
    """The neighbour above or below a note of a measure, None for a rest. `ornaments` are those whose accidentals count
    (the note's own, unless others are given)."""
    if note.pitch is None:
        return None
    inside = next((found for one, found in signatures(measure) if one.id == note.id), Signature(measure.key, {}))
    return inside.beside(note.pitch, upper=upper, ornaments=tuple(ornaments) or note.ornaments)


@dataclass(frozen=True, slots=True)
class Signature:
    """What the key and the accidentals of a measure make of every staff position at a note."""

    key: Key
    altered: Mapping[int, int]

    def beside(self, pitch: Pitch, *, upper: bool, ornaments: Iterable[Ornament] = ()) -> Pitch:
        """The neighbour of a pitch, by the accidentals of ornaments first."""
        place = pitch.diatonic + (1 if upper else -1)
        octave, step = divmod(place, len(STEPS))
        alter = marked(ornaments, upper=upper)
        if alter is None:
            alter = self.altered.get(place)
        return Pitch(STEPS[step], self.key.alter_of(STEPS[step]) if alter is None else alter, octave)


def signatures(measure: Measure) -> Iterator[tuple[Note, Signature]]:
    """Each note of a measure with what holds at it, in one walk. What is given holds for that note alone: it changes as
    the walk goes on, and is to be copied by whoever keeps it."""
    changes = [(change.onset_q, change.to) for change in measure.changes if isinstance(change.to, Key)][::-1]
    key, altered = measure.key, dict[int, int]()
    carried = True
    for note in measure.notes:
        while changes and changes[-1][0] <= note.onset_q:
            key = changes.pop()[1]
            altered.clear()
        for grace in note.graces:
            altered[grace.pitch.diatonic] = grace.pitch.alter
        yield note, Signature(key, altered)
        carried = carried and note.tie in ("stop", "continue")  # over the barline
        if note.pitch is not None and not carried:
            for pitch in (note.pitch, *note.chord):
                altered[pitch.diatonic] = pitch.alter
        for grace in note.after_graces:
            altered[grace.pitch.diatonic] = grace.pitch.alter

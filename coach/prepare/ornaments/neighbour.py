"""The neighbour of a note, spelled: by the ornament's accidental, else as the measure has it, else as the key has it.

An accidental holds for its staff position up to the end of the measure, in written notes and graces alike; one that a
tie carries over the barline holds for that note alone, and a key that changes inside a measure begins anew (common
practice of notation). Other voices of the staff are not asked.
"""

from collections.abc import Iterable

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
    return beside(measure, note, note.pitch, upper=upper, ornaments=tuple(ornaments) or note.ornaments)


def beside(measure: Measure, note: Note, pitch: Pitch, *, upper: bool, ornaments: Iterable[Ornament] = ()) -> Pitch:
    """The neighbour of any pitch that is played at a note's place, as the measure and the key have it there."""
    place = pitch.diatonic + (1 if upper else -1)
    octave, step = divmod(place, len(STEPS))
    alter = marked(ornaments, upper=upper)
    if alter is None:
        alter = _earlier(measure, note, place)
    return Pitch(STEPS[step], _key(measure, note).alter_of(STEPS[step]) if alter is None else alter, octave)


def _key(measure: Measure, note: Note) -> Key:
    key = measure.key
    for change in measure.changes:
        if isinstance(change.to, Key) and change.onset_q <= note.onset_q:
            key = change.to
    return key


def _earlier(measure: Measure, note: Note, place: int) -> int | None:
    """How a staff position was last altered in the measure, before a note and after the last change of key."""
    changes = [c.onset_q for c in measure.changes if isinstance(c.to, Key) and c.onset_q <= note.onset_q]
    since_q = changes[-1] if changes else measure.onset_q
    found: int | None = None
    for one in measure.notes:
        if one.onset_q > note.onset_q:
            break
        if one.onset_q < since_q:
            continue
        itself = one.id == note.id
        carried = one.onset_q == measure.onset_q and one.tie in ("stop", "continue")
        written = [grace.pitch for grace in one.graces]
        if not itself:
            written += [*((one.pitch, *one.chord) if one.pitch is not None and not carried else ())]
            written += [grace.pitch for grace in one.after_graces]
        for pitch in written:
            if pitch is not None and pitch.diatonic == place:
                found = pitch.alter
        if itself:
            break
    return found

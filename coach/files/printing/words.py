"""The part in words: for those who hear a page read out, and for the list of comments."""

from coach.music.measure import Measure
from coach.music.note import Note
from coach.music.part import Part
from coach.music.pitch import Pitch
from coach.music.text import one_line
from coach.prepare.mark import (
    Alteration,
    Breath,
    Comment,
    Dynamic,
    Fingering,
    Mark,
    Ornament,
    Pace,
    Phrase,
    Reminder,
    Swap,
)
from coach.prepare.ornaments.counted import counted
from coach.prepare.place import beat_words


def pitch_words(pitch: Pitch) -> str:
    """A pitch, such as "D flat 5"."""
    return f"{pitch.spoken} {pitch.octave}"


def measure_words(measure: Measure, marks: dict[str, list[Mark]]) -> str:
    """A measure with its marks, in one sentence."""
    notes = "; ".join(_note_words(note, marks) for note in measure.notes)
    return f"Measure {measure.number or measure.id}: {notes}."


def marks_by_note(marks: tuple[Mark, ...]) -> dict[str, list[Mark]]:
    """The marks at each note."""
    found: dict[str, list[Mark]] = {}
    for mark in marks:
        found.setdefault(mark.at, []).append(mark)
    return found


def mark_words(mark: Mark) -> str:
    """A mark, such as "catch breath after it (suggested)"."""
    words = _content_words(mark)
    return f"{words} (suggested)" if mark.state == "suggested" else words


def place_words(part: Part, note_id: str) -> str:
    """Where a note is, such as "12, beat 2"."""
    for measure in part.measures:
        for note in measure.notes:
            if note_id == note.id or any(grace.id == note_id for grace in (*note.graces, *note.after_graces)):
                return f"{measure.number or measure.id}, beat {beat_words(note.beat)}"
    return note_id


def _note_words(note: Note, marks: dict[str, list[Mark]]) -> str:
    length = note.value.name if note.value else f"{note.length_q} quarters"
    what = f"{pitch_words(note.pitch)} {length}" if note.pitch is not None else f"rest {length}"
    graces = "".join(f"grace {pitch_words(grace.pitch)}, " for grace in note.graces)
    names = (note.id, *(grace.id for grace in (*note.graces, *note.after_graces)))
    said = [mark_words(mark) for name in names for mark in marks.get(name, ())]
    return f"{graces}{what}{''.join(f', {words}' for words in said)}"


def _content_words(mark: Mark) -> str:
    match mark.content:
        case Breath(size):
            return "catch breath after it" if size == "catch" else "breath after it"
        case Fingering(choice):
            return f"fingering {one_line(choice)}"
        case Swap(start, end, _):
            return f"change the finger from {one_line(start)} to {one_line(end)}"
        case Reminder(text, of):
            return f"reminder{f' for the {of} neighbour' if of else ''}: {one_line(text)}"
        case Ornament(shake=shake) if shake is not None:
            return one_line(counted(mark.content))
        case Ornament(what=what):
            return f"{one_line(what)} written out: {one_line(counted(mark.content))}"
        case Alteration(to):
            return f"play {_all(to)}"
        case Dynamic(sign, _, level_db, _):
            return sign or (f"{level_db:.0f} decibels" if level_db is not None else "its own colour")
        case Phrase():
            return "a phrase begins"
        case Pace(shape):
            return shape
        case Comment(text):
            return one_line(text)


def _all(pitches: tuple[Pitch | None, ...]) -> str:
    return ", ".join(pitch_words(pitch) if pitch is not None else "rest" for pitch in pitches)

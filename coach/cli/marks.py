"""Marks as documents give them."""

import sys
from collections.abc import Collection, Iterable, Sequence
from typing import Any

from coach.cli.document import fraction
from coach.music.part import Part
from coach.music.pitch import Pitch
from coach.prepare.dynamics.line import NoteLevel
from coach.prepare.fields import to_fields
from coach.prepare.mark import Alteration, Dynamic, Fingering, Mark, Ornament, OssiaNote, Pace, Phrase, Reminder
from coach.prepare.ornaments.counted import counted
from coach.prepare.ornaments.realisation import Realisation
from coach.prepare.ornaments.shake import shake_text, sounds
from coach.prepare.ossia import ossia_text
from coach.prepare.over import measure_of
from coach.prepare.place import find_place


def mark_document(mark: Mark, part: Part | None = None, ways: Sequence[Realisation] = ()) -> dict[str, Any]:
    """A mark with the fields of its kind, those left open as "" or null. `ways` are all ways to play an ornament; the
    others than the mark's own are its alternatives."""
    common = {"kind": mark.kind, "at": mark.at, "because": mark.because, "origin": mark.origin, "state": mark.state}
    return {"id": mark.id, **common, **_own(mark, part, ways)}


def level_documents(line: Iterable[NoteLevel], here: Collection[str]) -> list[dict[str, Any]]:
    """The level of every note of some measures, as dynamics without a sign: computed, and nothing that could be struck,
    so that they have no id."""
    found = [one for one in line if measure_of(one.at) in here]
    return [
        {
            "id": "",
            "kind": "dynamic",
            "at": one.at,
            "because": one.because,
            "origin": "computed",
            "state": "suggested",
            "sign": "",
            "to": "",
            "level_db": round(one.level_db, 2),
            "colour": round(one.colour, 3),
        }
        for one in found
    ]


def tell_faults(faults: Iterable[str]) -> None:
    """Tell what is wrong with the file of the marks, on standard error; the rest of it is used."""
    for fault in faults:
        print(f"coach: {fault}", file=sys.stderr)


def _own(mark: Mark, part: Part | None, ways: Sequence[Realisation]) -> dict[str, Any]:
    match mark.content:
        case Ornament() as ornament:
            place = find_place(part, mark.at) if part is not None else None
            main = place.pitch if place else None
            others = [_alternative(one, main) for one in ways if one.content != ornament]
            return {**_ornament(ornament, main), "alternatives": others}
        case Fingering(choice, alternatives, forced):
            return {"choice": choice, "alternatives": list(alternatives), "forced": forced}
        case Dynamic(sign, to, level_db, colour):
            return {"sign": sign, "to": to, "level_db": level_db, "colour": colour}
        case Reminder(text, of):
            return {"text": text, "of": of}
        case Alteration(pitches):
            return {"to": [pitch.name for pitch in pitches]}
        case Phrase(to, goal):
            return {"to": to, "goal": goal}
        case Pace(shape, to, length_q):
            return {"shape": shape, "to": to, "length": None if length_q is None else fraction(length_q)}
    return to_fields(mark.content)


def _ornament(ornament: Ornament, main: Pitch | None) -> dict[str, Any]:
    """An ornament: what sounds of it, and how it is counted, as notes and in words."""
    return {
        "what": ornament.what,
        "style": ornament.style,
        "notes": _notes(sounds(ornament, main) if main is not None else ornament.notes),
        "ossia": ossia_text(ornament.notes),
        "counted": counted(ornament),
        "shake": shake_text(ornament.shake) if ornament.shake is not None else "",
    }


def _alternative(way: Realisation, main: Pitch | None) -> dict[str, Any]:
    return {"name": way.name, "because": way.because, **_ornament(way.content, main)}


def _notes(notes: Iterable[OssiaNote]) -> list[dict[str, Any]]:
    return [
        {
            "written": note.pitch.name if note.pitch else None,
            "midi": note.pitch.midi if note.pitch else None,
            "onset": fraction(note.onset_q),
            "duration": fraction(note.length_q),
        }
        for note in notes
    ]

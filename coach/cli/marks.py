"""Marks as documents give them."""

import sys
from collections.abc import Iterable
from typing import Any

from coach.cli.document import fraction
from coach.prepare.fields import to_fields
from coach.prepare.mark import Dynamic, Fingering, Mark, Ornament, Pace, Phrase
from coach.prepare.ossia import ossia_text


def mark_document(mark: Mark) -> dict[str, Any]:
    """A mark with the fields of its kind, those left open as "" or null."""
    common = {"kind": mark.kind, "at": mark.at, "because": mark.because, "origin": mark.origin, "state": mark.state}
    return {"id": mark.id, **common, **_own(mark)}


def tell_faults(faults: Iterable[str]) -> None:
    """Tell what is wrong with the file of the marks, on standard error; the rest of it is used."""
    for fault in faults:
        print(f"coach: {fault}", file=sys.stderr)


def _own(mark: Mark) -> dict[str, Any]:
    match mark.content:
        case Ornament(notes, what, style):
            rows = [
                {
                    "written": note.pitch.name if note.pitch else None,
                    "midi": note.pitch.midi if note.pitch else None,
                    "onset": fraction(note.onset_q),
                    "duration": fraction(note.length_q),
                }
                for note in notes
            ]
            return {"what": what, "style": style, "notes": rows, "ossia": ossia_text(notes)}
        case Fingering(choice, alternatives, forced):
            return {"choice": choice, "alternatives": list(alternatives), "forced": forced}
        case Dynamic(sign, to, level_db, colour):
            return {"sign": sign, "to": to, "level_db": level_db, "colour": colour}
        case Phrase(to, goal):
            return {"to": to, "goal": goal}
        case Pace(shape, to, length_q):
            return {"shape": shape, "to": to, "length": None if length_q is None else fraction(length_q)}
    return to_fields(mark.content)

"""What music21 finds in a document: the notes of every part, and where in a part it finds what we pencilled."""

import warnings
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

Notes = list[tuple[float, float, int, bool]]  # onset, length, MIDI number, grace


@dataclass
class Found:
    """Notes by part in order of the document, and signs by kind and onset of one part."""

    parts: list[tuple[str, Notes]] = field(default_factory=list)
    signs: dict[str, list[tuple[float, str]]] = field(default_factory=dict)

    def has(self, kind: str, onset: float, text: str = "") -> bool:
        """Whether the sign stands within 1/64 of a quarter of the onset."""
        return any(abs(at - onset) < 1 / 64 and text in said for at, said in self.signs.get(kind, []))


def by_music21(path: Path, watched: int = -1) -> Found:
    """Read a MusicXML document; `watched` is the place of the part whose signs are gathered. An ossia is no part."""
    from music21 import converter, harmony, note, stream

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        reader: Any = converter.Converter()
        reader.parseFileNoPickle(path, forceSource=True)
    found = Found()
    for part in reader.stream.parts:
        staff = isinstance(part, stream.PartStaff)
        name = str(part.id).split("-Staff")[0] if staff else str(part.id)
        if part.partName == "Ossia":
            continue
        if not found.parts or not staff or found.parts[-1][0] != name:
            found.parts.append((name, []))
        notes = found.parts[-1][1]
        for one in part.recurse().notesAndRests:
            if isinstance(one, note.Unpitched | harmony.Harmony):
                continue
            onset = float(one.getOffsetInHierarchy(part))
            length, grace = float(one.duration.quarterLength), bool(one.duration.isGrace)
            if not one.isRest:
                notes.extend((onset, length, int(pitch.ps), grace) for pitch in one.pitches)
            if len(found.parts) - 1 == watched:
                _gather(one, onset, found)
        if len(found.parts) - 1 == watched:
            for words in part.recurse().getElementsByClass(("TextExpression", "TempoText", "Dynamic")):
                text = getattr(words, "content", None) or getattr(words, "text", None) or getattr(words, "value", "")
                _put(found, "words", float(words.getOffsetInHierarchy(part)), str(text))
    found.parts = [(name, sorted(notes)) for name, notes in found.parts]
    return found


def _gather(one: Any, onset: float, found: Found) -> None:
    for sign in one.articulations:
        kind = type(sign).__name__
        text = str(sign.fingerNumber) if kind == "Fingering" else str(getattr(sign, "symbol", ""))
        _put(found, kind, onset, text)
    for sign in one.expressions:
        _put(found, type(sign).__name__, onset, "")
    for pitch in getattr(one, "pitches", ()):
        if pitch.accidental is not None and pitch.accidental.displayStyle == "parentheses":
            _put(found, "courtesy", onset, pitch.accidental.name)


def _put(found: Found, kind: str, onset: float, text: str) -> None:
    found.signs.setdefault(kind, []).append((onset, text))

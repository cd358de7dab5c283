"""Marks as a player types them, in a few signs: "catch", "L", "L>R 2", "b", "mf", "fermata 4", "Db5:1/2 Eb5:1/4"."""

import re
from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

from coach.errors import RequestError
from coach.music.part import Part
from coach.prepare.fields import HIGHEST_DB, LOWEST_DB, MOST_NOTES
from coach.prepare.like import shifted
from coach.prepare.mark import (
    KINDS,
    NEIGHBOURS,
    SHAPES,
    SIGNS,
    SIZES,
    Alteration,
    Breath,
    Comment,
    Content,
    Dynamic,
    Fingering,
    Ornament,
    Pace,
    Phrase,
    Reminder,
    Swap,
)
from coach.prepare.ornaments.shake import parse_shake, shake_text
from coach.prepare.ossia import ossia_text, parse_length, parse_ossia, parse_quarters, parse_written
from coach.prepare.place import Place, find_place
from coach.prepare.typed_trill import is_typed_trill, typed_trill
from coach.prepare.wording import MOST_WORDS, checked

_ACCIDENTALS = {
    "bb": "double-flat",
    "b": "flat",
    "n": "natural",
    "#": "sharp",
    "##": "double-sharp",
    "x": "double-sharp",
    "double-flat": "double-flat",
    "flat": "flat",
    "natural": "natural",
    "sharp": "sharp",
    "double-sharp": "double-sharp",
}
_HAIRPINS = {
    "<": "crescendo",
    "cresc": "crescendo",
    "cresc.": "crescendo",
    ">": "diminuendo",
    "dim": "diminuendo",
    "dim.": "diminuendo",
    "decresc": "diminuendo",
    "decresc.": "diminuendo",
}
_SHAPES = {shape.rstrip("."): shape for shape in SHAPES} | {shape: shape for shape in SHAPES}
_ORNAMENTS = ("trill", "grace", "turn", "mordent", "ossia")
_STYLES = ("treatise", "lyrical")
_SHAKEN = "shaken"  # begins how a trill is shaken, after its notes
_PLAIN_NAME = re.compile(r"[A-G](#|b)?")
_SWAP = re.compile(r"\s*([^>\s]+)\s*>\s*([^>\s]+)\s+(\S+)\s*")
_LEVEL = re.compile(r"([+-]?\d+(?:\.\d+)?)\s*dB", re.IGNORECASE)
_COLOUR = re.compile(r"colour\s+(\d*\.?\d+)")

# What to write for each kind, for a prompt and for the remedy of a mistake.
HINTS: dict[str, str] = {
    "phrase": "the last note, then the note it leads to, such as 4.2 3.1",
    "pace": "rit., accel., a tempo, tenuto 3/2 or fermata 4 (lengths in quarters)",
    "breath": "full or catch",
    "fingering": "L, R, or the name of a fingering",
    "swap": "the two fingerings and when, in quarters, such as L>R 2",
    "reminder": "b, #, n, bb, x, or a plain name such as C; upper or lower before it for a neighbour of an ornament",
    "ornament": "notes and their lengths, such as Db5:dotted-eighth Eb5:16th or Db5:3/4 r:1/4, or trill 2 to 9 steady",
    "dynamic": "mf, sfz, <, > or a level such as -3dB",
    "alteration": "the notes to play, such as Db4 F4",
    "comment": "your own words",
}


def typed(kind: str, text: str, part: Part, at: str, to: str = "") -> Content:
    """What a player typed for a mark of a kind at the note `at`; `to` is the last note of a stretch that was chosen on
    the page (a note id in the text counts before it). Raises RequestError, one sentence with the remedy."""
    if kind not in KINDS:
        raise RequestError(f"There are no marks called {kind[:40]!r}; the kinds are {', '.join(KINDS)}.")
    place = find_place(part, at)
    if place is None:
        raise RequestError(f"There is no note {at[:40]!r} in this part; choose one on the page.")
    try:
        return _READERS[kind](text.strip(), _Spot(part, place, at, to))
    except ValueError as error:
        fault = str(error)
        raise RequestError(f"{fault[:1].upper()}{fault[1:]}; write {HINTS[kind]}.") from None


def typed_text(content: Content, part: Part, at: str) -> str:
    """What to type for a content at a note; `typed` reads it back to the same."""
    match content:
        case Breath(size):
            return size
        case Fingering(choice):
            return choice
        case Swap(start, end, when_q):
            return f"{start}>{end} {when_q}"
        case Reminder(text, of):
            return f"{of} {text}".strip()
        case Comment(text):
            return text
        case Ornament():
            place = find_place(part, at)
            return _ornament_text(shifted(content, -place.onset_q if place else Fraction(0)))
        case Dynamic(sign, to, level_db, colour):
            level = "" if level_db is None else f"{_number(level_db)}dB"
            shade = "" if colour is None else f"colour {_number(colour)}"
            return " ".join(filter(None, (sign, level, shade, to)))
        case Alteration(pitches):
            return " ".join(pitch.name for pitch in pitches)
        case Phrase(to, goal):
            return f"{to} {goal}".strip()
        case Pace(shape, to, length_q):
            return " ".join(filter(None, (shape, "" if length_q is None else str(length_q), to)))


class _Spot:
    """Where the mark stands, and the stretch that was chosen."""

    def __init__(self, part: Part, place: Place, at: str, to: str) -> None:
        self.part, self.place, self.at, self.to = part, place, at, to

    def has(self, word: str) -> bool:
        """Whether a word is a note of this part."""
        return find_place(self.part, word) is not None

    def note(self, name: str) -> str:
        """A note not before the mark's own. Raises ValueError."""
        there = find_place(self.part, name)
        if there is None:
            raise ValueError(f"there is no note {name[:40]!r} in this part")
        if there.note.onset_q < self.place.note.onset_q:
            raise ValueError(f"{name} comes before {self.at}, where the mark begins")
        return name


def _breath(text: str, spot: _Spot) -> Content:
    size = text.casefold() or "full"
    if size not in SIZES:
        raise ValueError(f"{text[:40]!r} is no breath")
    return Breath(size)


def _fingering(text: str, spot: _Spot) -> Content:
    if spot.place.pitch is None:
        raise ValueError("a rest is not fingered, choose a note")
    choice = checked("the fingering", text)
    return Fingering(choice.upper() if choice in ("l", "r") else choice)


def _swap(text: str, spot: _Spot) -> Content:
    found = _SWAP.fullmatch(text)
    if found is None:
        raise ValueError(f"{text[:40]!r} is no change of fingering on a held note")
    when_q = parse_quarters(found[3])
    held_q = _held_q(spot)
    if not 0 < when_q < held_q:
        raise ValueError(f"{when_q} quarters is not inside the note, which lasts {held_q}")
    start, end = (checked("a fingering", hand.upper() if hand in ("l", "r") else hand) for hand in found.groups()[:2])
    return Swap(start, end, when_q)


def _reminder(text: str, spot: _Spot) -> Content:
    first, _, rest = text.partition(" ")
    of = first.casefold() if first.casefold() in NEIGHBOURS else ""
    text = rest.strip() if of else text
    text = _ACCIDENTALS.get(text, _ACCIDENTALS.get(text.casefold() if len(text) > 2 else "", text))
    if text not in _ACCIDENTALS.values() and not _PLAIN_NAME.fullmatch(text):
        raise ValueError(f"{text[:40]!r} is no accidental and no name of a note")
    return Reminder(text, of)


def _ornament(text: str, spot: _Spot) -> Content:
    words, what, style = text.split(), "ossia", ""
    if words and words[0].casefold() in _ORNAMENTS:
        what = words.pop(0).casefold()
    if words and words[0].casefold() in _STYLES:
        style = words.pop(0).casefold()
    if what == "trill" and is_typed_trill(" ".join(words)):
        return typed_trill(" ".join(words), style, spot.part, spot.place)
    here = spot.place.onset_q
    cut = words.index(_SHAKEN) if _SHAKEN in words else len(words)
    shake = parse_shake(" ".join(words[cut + 1 :])) if cut < len(words) else None
    notes = parse_ossia(" ".join(words[:cut]), here, here)
    return Ornament(notes, what, style, None if shake is None else replace(shake, onset_q=shake.onset_q + here))


def _ornament_text(content: Ornament) -> str:
    """An ornament whose onsets count from its note."""
    what = "" if content.what == "ossia" else content.what
    shaken = "" if content.shake is None else f"{_SHAKEN} {shake_text(content.shake)}"
    return " ".join(filter(None, (what, content.style, ossia_text(content.notes), shaken)))


def _dynamic(text: str, spot: _Spot) -> Content:
    level_db, text = _taken(_LEVEL, text, LOWEST_DB, HIGHEST_DB)
    colour, text = _taken(_COLOUR, text, 0.0, 1.0)
    words = text.split()
    to = spot.note(words.pop()) if words and spot.has(words[-1]) else ""
    sign = _HAIRPINS.get(words[0].casefold(), words[0].casefold()) if words else ""
    if len(words) > 1 or (sign and sign not in SIGNS) or not (sign or level_db is not None or colour is not None):
        raise ValueError(f"{text.strip()[:40]!r} is no dynamic")
    lasts = sign in _HAIRPINS.values()
    if lasts and not to:
        to = spot.note(spot.to) if spot.to else ""
    return Dynamic(sign, to, level_db, colour)


def _alteration(text: str, spot: _Spot) -> Content:
    names = text.split()
    if not 1 <= len(names) <= MOST_NOTES:
        raise ValueError(f"it has {len(names)} notes, and may have 1 to {MOST_NOTES}")
    return Alteration(tuple(map(parse_written, names)))


def _phrase(text: str, spot: _Spot) -> Content:
    words = text.split()
    if len(words) > 2 or not (words or spot.to):
        raise ValueError("a phrase has a last note, and at most one that it leads to")
    to = spot.note(words[0] if words else spot.to)
    return Phrase(to, spot.note(words[1]) if len(words) == 2 else "")


def _pace(text: str, spot: _Spot) -> Content:
    shape = next(
        (full for word, full in _by_length() if text.casefold() == word or text.casefold().startswith(word + " ")), ""
    )
    if not shape:
        raise ValueError(f"{text[:40]!r} is no change of pace")
    words = text[len(shape) if text.casefold().startswith(shape) else len(shape.rstrip(".")) :].split()
    held = shape in ("tenuto", "fermata")
    to = spot.note(words.pop()) if words and spot.has(words[-1]) else ("" if held else spot.to)
    length_q = parse_length(words.pop(0)) if words else None
    if words or (length_q is not None and not held):
        raise ValueError(f"{text[:40]!r} says more than a change of pace has")
    return Pace(shape, spot.note(to) if to else "", length_q)


def _by_length() -> list[tuple[str, str]]:
    return sorted(_SHAPES.items(), key=lambda item: -len(item[0]))


def _comment(text: str, spot: _Spot) -> Content:
    return Comment(checked("the comment", text, MOST_WORDS, lines=True))


_READERS: dict[str, Callable[[str, _Spot], Content]] = {
    "phrase": _phrase,
    "pace": _pace,
    "breath": _breath,
    "fingering": _fingering,
    "swap": _swap,
    "reminder": _reminder,
    "ornament": _ornament,
    "dynamic": _dynamic,
    "alteration": _alteration,
    "comment": _comment,
}


def _taken(pattern: "re.Pattern[str]", text: str, low: float, high: float) -> tuple[float | None, str]:
    """A number that stands in a text, and the text without it."""
    found = pattern.search(text)
    if found is None:
        return None, text
    value = float(found[1])
    if not low <= value <= high:
        raise ValueError(f"{found[0]} is outside {low:g} to {high:g}")
    return value, text[: found.start()] + text[found.end() :]


def _number(value: float) -> str:
    """A number in full, without an exponent."""
    return f"{Decimal(repr(value)):f}"


def _held_q(spot: _Spot) -> Fraction:
    """How long the marked note sounds, with the notes tied to it, in quarters."""
    end_q = spot.place.note.end_q
    for note in spot.part.pitched():
        if note.onset_q == end_q and note.tie in ("continue", "stop"):
            end_q = note.end_q
    return end_q - spot.place.note.onset_q

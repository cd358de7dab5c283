"""The fields of each kind of mark, as files hold them: texts and numbers, with fractions and pitches as texts."""

import math
from collections.abc import Callable, Mapping
from typing import Any

from coach.prepare.mark import (
    KINDS,
    NEIGHBOURS,
    ORIGINS,
    SHAPES,
    SIGNS,
    SIZES,
    STATES,
    Alteration,
    Breath,
    Comment,
    Content,
    Dynamic,
    Fingering,
    Mark,
    Ornament,
    Pace,
    Phrase,
    Reminder,
    Swap,
)
from coach.prepare.ornaments.shake import parse_shake, shake_text
from coach.prepare.ossia import ossia_text, parse_length, parse_ossia, parse_quarters, parse_written
from coach.prepare.wording import MOST_WORDS, checked

Fields = Mapping[str, Any]

# The fields that a kind has beside those of every mark.
NAMES: dict[str, tuple[str, ...]] = {
    "phrase": ("to", "goal"),
    "pace": ("shape", "to", "length"),
    "breath": ("size",),
    "fingering": ("choice", "alternatives", "forced"),
    "swap": ("from", "to", "when"),
    "reminder": ("text", "of"),
    "ornament": ("notes", "what", "style", "shake"),
    "dynamic": ("sign", "to", "level_db", "colour"),
    "alteration": ("to",),
    "comment": ("text",),
}
COMMON = ("id", "kind", "at", "origin", "state", "because")
MOST_NOTES = 64  # of an alteration, and other fingerings of a note
LOWEST_DB, HIGHEST_DB = -120.0, 24.0


def to_fields(content: Content) -> dict[str, Any]:
    """The fields of a content, those left open not among them, in the order of NAMES."""
    match content:
        case Breath(size):
            return {"size": size}
        case Fingering(choice, alternatives, forced):
            return {"choice": choice, **_filled({"alternatives": list(alternatives) or "", "forced": forced or ""})}
        case Swap(start, end, when_q):
            return {"from": start, "to": end, "when": str(when_q)}
        case Reminder(text, of):
            return _filled({"text": text, "of": of})
        case Comment(text):
            return {"text": text}
        case Ornament(notes, what, style, shake):
            shaken = "" if shake is None else shake_text(shake)
            return _filled({"notes": ossia_text(notes), "what": what, "style": style, "shake": shaken})
        case Dynamic(sign, to, level_db, colour):
            return _filled({"sign": sign, "to": to, "level_db": level_db, "colour": colour})
        case Alteration(to_pitches):
            return {"to": [pitch.name for pitch in to_pitches]}
        case Phrase(to, goal):
            return _filled({"to": to, "goal": goal})
        case Pace(shape, to, length_q):
            return _filled({"shape": shape, "to": to, "length": None if length_q is None else str(length_q)})


def from_fields(kind: str, fields: Fields) -> Content:
    """The content with these fields. Raises ValueError with a clause that names the field and what it may be."""
    if kind not in KINDS:
        raise ValueError(f"kind is {str(kind)[:40]!r}; it may be {_listed(tuple(KINDS))}")
    return _READERS[kind](fields)


def mark_fields(mark: Mark) -> dict[str, Any]:
    """All fields of a mark in their order: id, kind, at, the kind's own, origin, state, because."""
    own = to_fields(mark.content)
    tail = _filled({"origin": mark.origin, "state": mark.state, "because": mark.because})
    return {"id": mark.id, "kind": mark.kind, "at": mark.at, **own, **tail}


def mark_from(fields: Fields) -> Mark:
    """The mark with these fields; origin is player, state kept and because empty where they are left out. Raises
    ValueError with a clause that names the field and what it may be."""
    kind = checked("kind", _there(fields, "kind"))
    return Mark(
        id=checked("id", _there(fields, "id")),
        at=checked("at", _there(fields, "at")),
        content=from_fields(kind, fields),
        origin=_one_of(fields, "origin", ORIGINS, "player"),
        state=_one_of(fields, "state", STATES, "kept"),
        because=checked("because", fields.get("because", ""), MOST_WORDS, empty=True),
    )


def _ornament(fields: Fields) -> Content:
    notes = checked("notes", _there(fields, "notes"), 20_000)
    shaken = checked("shake", fields.get("shake", ""), MOST_WORDS, empty=True)
    return Ornament(
        _said("notes", parse_ossia, notes),
        _text(fields, "what", "ossia"),
        _text(fields, "style", ""),
        _said("shake", parse_shake, shaken) if shaken else None,
    )


def _fingering(fields: Fields) -> Content:
    others, forced = fields.get("alternatives", []), fields.get("forced", False)
    if not isinstance(others, list) or len(others) > MOST_NOTES:
        raise ValueError('alternatives must be a list of other fingerings, such as ["R"]')
    if not isinstance(forced, bool):
        raise ValueError("forced must be true or false")
    return Fingering(_text(fields, "choice"), tuple(checked("alternatives", one) for one in others), forced)


def _swap(fields: Fields) -> Content:
    start, end = _text(fields, "from"), _text(fields, "to")
    return Swap(start, end, _said("when", parse_quarters, _text(fields, "when")))


def _dynamic(fields: Fields) -> Content:
    sign = _one_of(fields, "sign", ("", *SIGNS), "")
    level_db = _number(fields, "level_db", LOWEST_DB, HIGHEST_DB)
    colour = _number(fields, "colour", 0.0, 1.0)
    if not sign and level_db is None and colour is None:
        raise ValueError(f"a dynamic needs a sign ({_listed(SIGNS)}), a level_db or a colour")
    return Dynamic(sign, _text(fields, "to", ""), level_db, colour)


def _alteration(fields: Fields) -> Content:
    to = _there(fields, "to")
    names = to.split() if isinstance(to, str) else to
    if not isinstance(names, list) or not all(isinstance(name, str) for name in names):
        raise ValueError('to must be a list of pitches, such as ["Db4", "F4"]')
    if not 1 <= len(names) <= MOST_NOTES:
        raise ValueError(f"to has {len(names)} pitches; it may have 1 to {MOST_NOTES}")
    return Alteration(tuple(_said("to", parse_written, name) for name in names))


def _pace(fields: Fields) -> Content:
    length = fields.get("length")
    length_q = None if length is None else _said("length", parse_length, _text(fields, "length"))
    return Pace(_one_of(fields, "shape", SHAPES), _text(fields, "to", ""), length_q)


_READERS: dict[str, Callable[[Fields], Content]] = {
    "phrase": lambda fields: Phrase(_text(fields, "to"), _text(fields, "goal", "")),
    "pace": _pace,
    "breath": lambda fields: Breath(_one_of(fields, "size", SIZES, "full")),
    "fingering": _fingering,
    "swap": _swap,
    "reminder": lambda fields: Reminder(_text(fields, "text"), _one_of(fields, "of", NEIGHBOURS, "")),
    "ornament": _ornament,
    "dynamic": _dynamic,
    "alteration": _alteration,
    "comment": lambda fields: Comment(checked("text", _there(fields, "text"), MOST_WORDS, lines=True)),
}


def _filled(fields: dict[str, Any]) -> dict[str, Any]:
    return {name: value for name, value in fields.items() if value is not None and value != ""}


def _there(fields: Fields, name: str) -> Any:
    if name not in fields:
        raise ValueError(f"{name} is missing")
    return fields[name]


def _text(fields: Fields, name: str, default: str | None = None) -> str:
    if default is not None and name not in fields:
        return default
    value = _there(fields, name)
    # A whole number written without quotes, such as when = 2, is as good as a text.
    return checked(name, str(value) if type(value) is int else value, empty=default == "")


def _one_of(fields: Fields, name: str, allowed: tuple[str, ...], default: str | None = None) -> str:
    value = fields.get(name, default)
    if value is None:
        raise ValueError(f"{name} is missing; it may be {_listed(allowed)}")
    if value not in allowed:
        raise ValueError(f"{name} is {str(value)[:40]!r}; it may be {_listed(allowed)}")
    return str(value)


def _number(fields: Fields, name: str, low: float, high: float) -> float | None:
    value = fields.get(name)
    if value is None:
        return None
    if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
        raise ValueError(f"{name} is {str(value)[:40]!r}, which is no number")
    if not low <= value <= high:
        raise ValueError(f"{name} is {value:g}; it may be {low:g} to {high:g}")
    return float(value)


def _said(name: str, read: Callable[[str], Any], text: str) -> Any:
    try:
        return read(text)
    except ValueError as error:
        raise ValueError(f"{name}: {error}") from None


def _listed(words: tuple[str, ...]) -> str:
    *others, last = (word for word in words if word)
    return f"{', '.join(others)} or {last}"


assert set(NAMES) == set(_READERS) == set(KINDS)  # noqa: S101  a kind without fields could not be kept

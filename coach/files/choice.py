"""Which part of a score is practised: the one asked for, else the clarinet, else the first with notes."""

import re
from collections.abc import Sequence
from typing import Protocol

from coach.errors import RequestError

_CLARINET = re.compile(r"\bcl(arinett?[eio]?s?\b|arinet|arin\b|ar\b|\.|\b)|klarinett|clarinett|clarinet|^cl\b", re.I)
_CLARINET_PROGRAM = 71  # General MIDI, counted from 0
_CLARINET_SOUND = "wind.reed.clarinet"


class Announced(Protocol):
    """What a score says of a part before its music."""

    @property
    def name(self) -> str: ...
    @property
    def instrument(self) -> str: ...
    @property
    def sounds(self) -> tuple[str, ...]: ...
    @property
    def midi_program(self) -> int | None: ...


def choose(parts: Sequence[Announced], playable: Sequence[bool], wanted: str | None) -> int:
    """The index of the part to practise. Raises RequestError, naming the parts there are."""
    if wanted is None or not wanted.strip():
        return _found_by_itself(parts, playable)
    index = _asked_for(parts, wanted.strip())
    if index is None:
        raise RequestError(f"has no part {wanted.strip()!r}; its parts are {listed(parts)}")
    if not playable[index]:
        raise RequestError(f"has no notes in part {wanted.strip()!r}; its parts are {listed(parts)}")
    return index


def listed(parts: Sequence[Announced]) -> str:
    """The parts in words: "1 Bb Clarinet, 2 Piano"."""
    return ", ".join(f"{k} {part.name}" for k, part in enumerate(parts, 1))


def _asked_for(parts: Sequence[Announced], wanted: str) -> int | None:
    names = [part.name.casefold() for part in parts]
    key = wanted.casefold()
    if key in names:
        return names.index(key)
    if wanted.isascii() and wanted.isdigit():
        return int(wanted) - 1 if 1 <= int(wanted) <= len(parts) else None
    inside = [k for k, name in enumerate(names) if key in name]
    inside += [k for k, part in enumerate(parts) if key in part.instrument.casefold()]
    return inside[0] if inside else None


def is_clarinet(part: Announced) -> bool:
    """Whether a part is a clarinet's, by its sound, its name or its program."""
    return _sounds_so(part) or _named_so(part) or _numbered_so(part)


def names_clarinet(name: str) -> bool:
    """Whether a name, of whatever language, is a clarinet's."""
    return bool(_CLARINET.search(name))


def _found_by_itself(parts: Sequence[Announced], playable: Sequence[bool]) -> int:
    able = [k for k in range(len(parts)) if playable[k]]
    for is_one in (_sounds_so, _named_so, _numbered_so):
        found = next((k for k in able if is_one(parts[k])), None)
        if found is not None:
            return found
    return able[0]


def _sounds_so(part: Announced) -> bool:
    return any(sound.startswith(_CLARINET_SOUND) for sound in part.sounds)


def _named_so(part: Announced) -> bool:
    return names_clarinet(part.name) or names_clarinet(part.instrument)


def _numbered_so(part: Announced) -> bool:
    return part.midi_program == _CLARINET_PROGRAM

"""The tables of a chart file, field by field: what is written is checked where it is read, and its place is known."""

import math
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from coach.music.pitch import parse_pitch
from coach.music.text import one_line

_HEADER = re.compile(r"\s*\[\[\s*([A-Za-z0-9_.-]+)\s*\]\]\s*(#.*)?$")
_FENCES = ('"""', "'''")
LONGEST_TEXT = 400
_MISSING = object()


class Fault(Exception):
    """A mistake in one table; `str(fault)` is what is wrong and the remedy, without the place."""


@dataclass(slots=True)
class Faults:
    """The mistakes found so far in one file, each a sentence with its place."""

    name: str
    found: list[str] = field(default_factory=list)

    def add(self, place: str, what: str) -> None:
        """Note a mistake; `place` is "" for the file as a whole."""
        self.found.append(f"{self.name}, {place}: {what}" if place else f"{self.name}: {what}")


class Table:
    """One table. Each reading method raises Fault for a value that is missing or of the wrong kind."""

    def __init__(self, values: Mapping[str, Any], place: str) -> None:
        self.values, self.place = values, place
        self._asked: set[str] = set()

    def has(self, name: str) -> bool:
        """Whether the field is written."""
        return name in self.values

    def text(self, name: str, default: str | None = None) -> str:
        """A text, made fit to be shown, not empty unless it may be left out."""
        value = self._value(name, default)
        if not isinstance(value, str) or (not value.strip() and default is None):
            raise Fault(f'{name} must be a text in quotes, such as {name} = "..."')
        if len(value) > LONGEST_TEXT:
            raise Fault(f"{name} is longer than {LONGEST_TEXT} characters; shorten it")
        return one_line(value)

    def word(self, name: str, known: Iterable[str]) -> str:
        """One of the known words."""
        value, words = self.text(name), tuple(known)
        if value not in words:
            raise Fault(f'there is no {name} "{value}"; write {" or ".join(words)}')
        return value

    def names(self, name: str, default: str | None = None) -> tuple[str, ...]:
        """Names in one text, parted by blanks."""
        value = self._value(name, default)
        if not isinstance(value, str):
            raise Fault(f'{name} must be names in one text, such as {name} = "L1 L2"')
        words = tuple(one_line(value).split(" ")) if value.strip() else ()
        if len(set(words)) != len(words):
            raise Fault(f"{name} names something twice; write it once")
        return words

    def texts(self, name: str, default: tuple[str, ...] | None = None) -> tuple[str, ...]:
        """A list of texts."""
        if default is not None and not self.has(name):
            self._asked.add(name)
            return default
        value = self._value(name, None)
        if not isinstance(value, list) or not all(isinstance(one, str) and one.strip() for one in value):
            raise Fault(f'{name} must be a list of texts, such as {name} = ["..."]')
        return tuple(one_line(one, LONGEST_TEXT) for one in value)

    def number(self, name: str, low: float, high: float, default: float | None = None) -> float:
        """A number from low to high."""
        value = self._value(name, default)
        return _number(name, value, low, high)

    def whole(self, name: str, low: int, high: int, default: int | None = None) -> int:
        """A whole number from low to high."""
        value = self._value(name, default)
        if type(value) is not int or not low <= value <= high:
            raise Fault(f"{name} must be a whole number from {low} to {high}")
        return value

    def flag(self, name: str, default: bool) -> bool:
        """true or false."""
        value = self._value(name, default)
        if not isinstance(value, bool):
            raise Fault(f"{name} must be true or false")
        return value

    def pitch(self, name: str) -> int:
        """A written pitch by its name, as a MIDI number."""
        try:
            midi = parse_pitch(self.text(name)).midi
        except ValueError as error:
            raise Fault(f'{name} must be a pitch such as "C#5" or "Bb4"') from error
        if not 0 <= midi <= 127:
            raise Fault(f"{name} lies outside what any instrument plays; write a pitch from C-1 to G9")
        return midi

    def numbers(self, name: str, low: float, high: float) -> tuple[tuple[str, float], ...]:
        """A small table of names and numbers."""
        value = self._value(name, {})
        if not isinstance(value, dict):
            raise Fault(f"{name} must pair names with numbers, such as {name} = {{ G = 2 }}")
        return tuple((one_line(key), _number(f"{name}.{key}", one, low, high)) for key, one in value.items())

    def inner(self, name: str) -> "Table":
        """A table within the table."""
        value = self._value(name, {})
        if not isinstance(value, dict):
            raise Fault(f"{name} must be a table, such as {name} = {{ partial = 3 }}")
        return Table(value, self.place)

    def tables(self, name: str) -> tuple["Table", ...]:
        """Tables within the table; empty if there are none."""
        value = self._value(name, [])
        if not isinstance(value, list) or not all(isinstance(one, dict) for one in value):
            raise Fault(f"{name} must be tables; write each under a line of its own, [[...{name}]]")
        return tuple(Table(one, self.place) for one in value)

    def done(self) -> None:
        """Raises Fault if the table has a field that nobody asked for."""
        for name in self.values:
            if name not in self._asked:
                raise Fault(
                    f'there is no field "{one_line(name, 40)}" here; the fields are {", ".join(sorted(self._asked))}'
                )

    def _value(self, name: str, default: object) -> Any:
        self._asked.add(name)
        value = self.values.get(name, _MISSING)
        if value is not _MISSING:
            return value
        if default is None:
            raise Fault(f"{name} is missing; write {name} = ...")
        return default


def _number(name: str, value: object, low: float, high: float) -> float:
    if isinstance(value, bool) or not isinstance(value, (int, float)) or not math.isfinite(value):
        raise Fault(f"{one_line(name, 60)} must be a number")
    if not low <= value <= high:
        raise Fault(f"{one_line(name, 60)} must lie between {low:g} and {high:g}")
    return float(value)


def lines_of(text: str) -> dict[str, list[int]]:
    """The lines, from 1, of the headers of each kind of table (`[[hole]]`), texts over several lines left out."""
    found: dict[str, list[int]] = {}
    inside = ""
    for number, line in enumerate(text.splitlines(), 1):
        for fence in _FENCES:
            if inside in ("", fence) and line.count(fence) % 2:
                inside = "" if inside else fence
        header = _HEADER.match(line)
        if header and not inside:
            found.setdefault(header[1], []).append(number)
    return found


def tables_of(document: Mapping[str, Any], kind: str, lines: Mapping[str, list[int]], faults: Faults) -> list[Table]:
    """The tables of a kind, each with its place: line, kind and what it is about."""
    entries = document.get(kind, [])
    if not isinstance(entries, list) or not all(isinstance(one, dict) for one in entries):
        faults.add("", f"{kind} must be tables; write each under a line [[{kind}]]")
        return []
    known = lines.get(kind, [])
    exact = len(known) == len(entries)
    return [
        Table(one, f"line {known[n]}, [[{kind}]]{_about(one)}" if exact else f"[[{kind}]] number {n + 1}{_about(one)}")
        for n, one in enumerate(entries)
    ]


def _about(values: Mapping[str, Any]) -> str:
    told = [values.get(name) for name in ("id", "pitch", "lower", "upper", "from", "to", "choice")]
    words = " ".join(one_line(one, 24) for one in told if isinstance(one, str))
    return f" {words}" if words else ""

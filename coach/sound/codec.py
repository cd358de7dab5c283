"""What the player and the sound process say to each other: one JSON object a line.

A timeline travels in short lines, because reading one long line would hold up the sound that is being made.
"""

import json
from collections.abc import Iterator
from dataclasses import dataclass, fields, replace
from operator import attrgetter
from typing import Any

from coach.sound.timeline import Event, Timeline

EVENTS_PER_LINE = 100
_row = attrgetter(*(field.name for field in fields(Event)))


def line(do: str, /, **values: object) -> bytes:
    """One message as a line."""
    return json.dumps({"do": do, **values}, separators=(",", ":")).encode() + b"\n"


def timeline_lines(
    timeline: Timeline, *, loop: bool, rate: float, silence: tuple[int, int] | None, turn: int
) -> Iterator[bytes]:
    """The lines that load a timeline; `turn` counts the commands that move the position."""
    for start in range(0, len(timeline.events), EVENTS_PER_LINE):
        rows = [_row(event) for event in timeline.events[start : start + EVENTS_PER_LINE]]
        yield line("events", rows=rows)
    shape = [timeline.length_s, timeline.count_in_s, timeline.rest_s, timeline.bars]
    yield line("load", shape=shape, loop=loop, rate=rate, silence=silence, turn=turn)


def order(text: bytes) -> dict[str, Any]:
    """Read a message: what to do under "do", and its values."""
    values: dict[str, Any] = json.loads(text)
    return values


def events(rows: list[list[Any]]) -> list[Event]:
    """The events of one "events" message."""
    return [Event(*row) for row in rows]


@dataclass(frozen=True, slots=True)
class Report:
    """What the sound process tells: the position now, its speed (nominal seconds per second), the last turn obeyed, the
    output in use ("audio", "none" or "midi:<name>"), and new troubles, a sentence each."""

    at_s: float = 0.0
    lap: int = 0
    playing: bool = False
    rate: float = 1.0
    turn: int = 0
    output: str = ""
    troubles: tuple[str, ...] = ()

    def line(self) -> bytes:
        """The report as a line."""
        return json.dumps([getattr(self, field.name) for field in fields(self)], separators=(",", ":")).encode() + b"\n"


def report(text: bytes) -> Report:
    """Read a report's line. Raises ValueError if it is not one."""
    row = json.loads(text)
    if not isinstance(row, list) or len(row) != len(fields(Report)):
        raise ValueError(f"not a report: {text[:80]!r}")
    *state, troubles = row
    return replace(Report(*state), troubles=tuple(troubles))

"""Events poured over measures, and stages of notes in turn, faster from each to the next."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from fractions import Fraction

from coach.music.pitch import Pitch
from coach.music.rhythm import Value
from coach.practice.drills.event import Bar, Event, Frame, printed, sustained

_PLURAL = {"half": "halves", "32nd": "32nds"}


def poured(events: Sequence[Event], frame: Frame) -> Iterator[Bar]:
    """Events over measures. Raises ValueError for one that crosses a barline; no recipe makes such."""
    bar: list[Event] = []
    room = frame.length_q
    for event in events:
        bar.append(event)
        room -= event.length_q
        if room <= 0:
            yield Bar(frame, tuple(bar))
            bar, room = [], room + frame.length_q
    if bar or room != frame.length_q:
        raise ValueError(f"the notes of a drill do not fill whole measures: {room} quarters are left")


def slurred(events: Sequence[Event]) -> list[Event]:
    """All events under one slur."""
    return [replace(event, slurred=True) if k + 1 < len(events) else event for k, event in enumerate(events)]


def one_note(pitch: Pitch, length_q: Fraction, frame: Frame) -> list[Event]:
    """A note of a stage, in as many values as it needs."""
    if printed(length_q) is not None:
        return [Event(pitch, length_q, printed(length_q))]
    return sustained(pitch, length_q, frame.beat_q)


def stage(notes: Sequence[Sequence[Event]], length_q: Fraction, says: str) -> list[Event]:
    """The notes of a stage one after another, its value printed over the first, and said."""
    first, *others = [event for note in notes for event in note]
    name = _plural(printed(length_q))
    return [replace(first, label=name, says=f"{name}: {says}"), *others]


def stage_length(rate: Fraction, frame: Frame) -> Fraction | None:
    """How long the notes of a stage are, in quarters, for so many notes to the beat: a whole measure where they would
    not fill one; None where they have no printed value."""
    length_q = frame.beat_q / rate
    if (frame.length_q / length_q).denominator != 1 or length_q > frame.length_q:
        length_q = frame.length_q
    return None if rate >= 1 and printed(length_q) is None else length_q


def _plural(value: Value | None) -> str:
    """What the notes of a stage are called."""
    if value is None:
        return "one a measure"
    triplet = "triplet " if value.actual != value.normal else ""
    return f"{triplet}{'dotted ' * value.dots}{_PLURAL.get(value.kind, f'{value.kind}s')}"

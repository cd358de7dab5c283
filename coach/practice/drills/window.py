"""Notes of a piece where they stand in their measures, all else silent."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

from coach.music.measure import Measure
from coach.music.note import Note
from coach.practice.drills.event import ZERO, Bar, Event, Frame, frame_of, rests
from coach.practice.drills.played import with_dynamics, with_ornaments
from coach.practice.drills.stretch import Chain, Stretch


def window(stretch: Stretch, taken: Sequence[Chain], slurred: bool) -> Iterator[Bar]:
    """The measures of a stretch with these of its notes; silent ones at either end are left out. `slurred` joins all
    that no rest parts, bare; else all is as printed."""
    ids = {note.id for chain in taken for note in chain.notes}
    sounding = [measure for measure in stretch.measures if any(note.id in ids for note in measure.notes)]
    measures = stretch.measures[stretch.measures.index(sounding[0]) : stretch.measures.index(sounding[-1]) + 1]
    bars = [_bar(measure, ids) for measure in measures]
    events = _joined([event for bar in bars for event in bar.events], slurred)
    yield from rebarred(bars, events if slurred else with_dynamics(with_ornaments(events, stretch)))


def joined(bars: Sequence[Bar], slurred: bool) -> Iterator[Bar]:
    """Bars under slurs over all that no rest parts, or without any."""
    events = [event for bar in bars for event in bar.events]
    after = [event.pitch for event in events[1:]] + [None]
    made = [replace(one, slurred=slurred and bool(one.pitch and to)) for one, to in zip(events, after, strict=True)]
    yield from rebarred(bars, ended(made))


def rebarred(bars: Sequence[Bar], events: Sequence[Event]) -> Iterator[Bar]:
    """The bars with other events in the places of theirs."""
    at = 0
    for bar in bars:
        own = events[at : at + len(bar.events)]
        at += len(bar.events)
        yield Bar(bar.frame, tuple(own))


def _bar(measure: Measure, ids: set[str]) -> Bar:
    """A measure with the notes of these ids; rests fill a measure that is shorter than its metre."""
    frame = frame_of(measure)
    missing_q = frame.length_q - measure.length_q
    events = [_event(note, note.id in ids) for note in measure.notes]
    if late_q(measure):
        events = [*rests(frame, ZERO, missing_q), *events]
    elif missing_q:
        events += rests(frame, measure.length_q, frame.length_q)
    return Bar(frame, tuple(_rested(events, frame)))


def late_q(measure: Measure) -> Fraction:
    """How late in a full measure the notes of one that is shorter than its metre begin: an upbeat stands at the end."""
    upbeat = measure.pickup or measure.implicit or not measure.onset_q
    return frame_of(measure).length_q - measure.length_q if upbeat else ZERO


def _event(note: Note, sounds: bool) -> Event:
    if not sounds or note.pitch is None:
        return Event(None, note.length_q, note.value)
    return Event(note.pitch, note.length_q, note.value, page=note)


def _rested(events: Sequence[Event], frame: Frame) -> Iterator[Event]:
    """The events with a beat of rests as one rest, and a silent measure as one."""
    if all(event.pitch is None for event in events):
        yield Event(None, frame.length_q, None)
        return
    placed, at = [], ZERO
    for event in events:
        placed.append((at, event))
        at += event.length_q
    for start, end in pairwise(frame.beats):
        inside = [(onset, event) for onset, event in placed if start <= onset < end]
        silent = all(event.pitch is None for _, event in inside)
        if inside and silent and inside[0][0] == start and inside[-1][0] + inside[-1][1].length_q == end:
            yield from rests(frame, start, end)
        else:
            yield from (event for _, event in inside)


def _joined(events: Sequence[Event], slurred: bool) -> list[Event]:
    """The events tied as on the page, and under slurs: all that no rest parts, or those of the page."""
    made: list[Event] = []
    for k, event in enumerate(events):
        after = events[k + 1] if k + 1 < len(events) else None
        note, following = event.page, after.page if after else None
        if note is None:
            made.append(event)
            continue
        tied = following is not None and _tied(note, following)
        leads = following is not None and (slurred or note.slurred)
        kinds = {end.kind for end in note.slurs}
        anew = not slurred and kinds >= {"start", "stop"}
        made.append(replace(event, tied=tied, slurred=leads, anew=anew, page=None if slurred else note))
    return ended(made) if slurred else made


def ended(events: list[Event]) -> list[Event]:
    """Without slurs over one tied note alone."""
    for k, event in enumerate(events):
        alone = event.tied and event.slurred and (k == 0 or not events[k - 1].slurred)
        if alone and not _goes_on(events, k):
            last = k
            while events[last].tied:
                events[last] = replace(events[last], slurred=False)
                last += 1
    return events


def _goes_on(events: Sequence[Event], k: int) -> bool:
    while events[k].tied:
        k += 1
    return events[k].slurred


def _tied(note: Note, following: Note) -> bool:
    joined = note.tie in ("start", "continue") and following.tie in ("continue", "stop")
    return joined and note.pitch == following.pitch and note.end_q == following.onset_q

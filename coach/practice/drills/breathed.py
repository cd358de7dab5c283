"""What the parts of a recipe make of the breath: bars of events.

- "phrase": the stretch on one breath, from its beginning to the end of each of its growing lengths, as printed;
- "breathe": a note and the one after the breath, with so many beats of silence between that the breath is counted: out,
  in; with 0 beats both stand where they stand in their measures, and the breath takes the time that it has there;
- "inside": the measures of the two as printed, with the breath;
- "tone": one note held for some beats at each of some dynamics, with as many beats of rest between.
"""

from collections.abc import Iterator, Sequence
from dataclasses import replace

from coach.music.pitch import Pitch
from coach.music.rhythm import simplest_value
from coach.practice.drills.event import Bar, Event, Frame, sustained
from coach.practice.drills.pouring import poured
from coach.practice.drills.recipe import Brick
from coach.practice.drills.stretch import Chain, Stretch, chains_of
from coach.practice.drills.window import rebarred, window
from coach.prepare.dynamics.naming import level_sign

LEAST_HELD = 2  # beats of the note before a counted breath, at least; a default
OUT, IN, BOTH, PLAY = "out", "in", "out, in", "play"


# The phrase


def phrase(brick: Brick, stretch: Stretch) -> Iterator[Bar]:
    """The growing lengths of a stretch, or the one of them that is played, each with a measure of rest after it where
    another follows."""
    count = len(stretch.ends)
    wanted = min(stretch.length, count) if stretch.length else None
    for number in range(1, count + 1):
        if wanted in (None, number):
            yield from _length(brick, stretch, number)
            if stretch.length is None and number < count:
                yield Bar(stretch.frame, (Event(None, stretch.frame.length_q, None),))


def _length(brick: Brick, stretch: Stretch, number: int) -> Iterator[Bar]:
    """One length, under its words."""
    count = len(stretch.ends)
    size = 1 + next(k for k, chain in enumerate(stretch.chains) if chain.notes[-1].id == stretch.ends[number - 1])
    taken = stretch.chains[:size]
    bars = list(window(stretch, taken, slurred=False))
    events = [_without_breath(event) for bar in bars for event in bar.events]
    first, *rest = events
    label = "all" if number == count else f"{number} of {count}"
    how_far = "all of it" if number == count else f"as far as {_place(stretch, taken[-1])}"
    yield from rebarred(bars, [replace(first, label=label, says=f"{brick.says}: {how_far}"), *rest])


def _place(stretch: Stretch, chain: Chain) -> str:
    measure = next(one for one in stretch.measures if one.id == chain.notes[-1].measure)
    return f"{chain.pitch.name} in measure {measure.number}"


def _without_breath(event: Event) -> Event:
    """An event without the breath that is printed after it: the stretch is one breath."""
    if event.page is None or event.page.breath is None:
        return event
    return replace(event, page=replace(event.page, breath=None))


# The breath in time


def breathe(brick: Brick, stretch: Stretch) -> Iterator[Bar]:
    """The note before the breath, the breath, and the note after it."""
    if not brick.beats:
        yield from _breathing(stretch, [stretch.first, stretch.last])
        return
    frame = stretch.frame
    beats = int(frame.length_q / frame.beat_q)
    held = LEAST_HELD + -(LEAST_HELD + brick.beats) % beats
    silence = [Event(None, frame.beat_q, simplest_value(frame.beat_q), label=cue) for cue in _cues(brick.beats)]
    before = _held(stretch.first.pitch, held, frame)
    after = _held(stretch.last.pitch, beats, frame)
    before[0] = replace(before[0], label=brick.label, says=brick.says, sign=_sign(stretch.first, stretch))
    after[0] = replace(after[0], label=PLAY, sign=_sign(stretch.last, stretch))
    yield from poured([*before, *silence, *after], frame)


def _cues(beats: int) -> list[str]:
    return [BOTH] if beats == 1 else [OUT, IN]


def _held(pitch: Pitch, beats: int, frame: Frame) -> list[Event]:
    """A note from the beginning of a measure for so many beats, tied over the barlines."""
    whole = int(frame.length_q / frame.beat_q)
    found: list[Event] = []
    while beats:
        here = min(beats, whole)
        found += sustained(pitch, here * frame.beat_q, frame.beat_q)
        beats -= here
    return [replace(event, tied=k + 1 < len(found)) for k, event in enumerate(found)]


def _sign(chain: Chain, stretch: Stretch) -> str:
    """The dynamic that is decided at a note, "" where nothing is known."""
    name = chain.notes[0].id
    return level_sign(stretch.decided.level_of(name)[0]) if name in stretch.decided.levels else ""


def inside(brick: Brick, stretch: Stretch) -> Iterator[Bar]:
    """The measures that the breath stands in, as printed."""
    yield from _breathing(stretch, chains_of([note for measure in stretch.measures for note in measure.notes]))


def _breathing(stretch: Stretch, taken: Sequence[Chain]) -> Iterator[Bar]:
    """Notes where they stand, with the breath and its cues."""
    bars = list(window(stretch, taken, slurred=False))
    before, after = stretch.first.notes[-1].id, stretch.last.notes[0].id
    yield from rebarred(bars, [_cued(event, before, after, stretch) for bar in bars for event in bar.events])


def _cued(event: Event, before: str, after: str, stretch: Stretch) -> Event:
    name = event.page.id if event.page is not None else ""
    if name == before:
        return replace(event, label=BOTH, breath=stretch.breath)
    return replace(event, label=PLAY) if name == after else event


# Long tones


def tone(brick: Brick, stretch: Stretch) -> Iterator[Bar]:
    """The note at each dynamic in turn, in whole measures, with as long a rest between."""
    frame = stretch.frame
    whole = int(frame.length_q / frame.beat_q)
    measures = -(-brick.beats // whole)
    silent = Bar(frame, (Event(None, frame.length_q, None),))
    for k, sign in enumerate(brick.signs):
        yield from [silent] * (measures if k else 0)
        first, *rest = _held(stretch.first.pitch, measures * whole, frame)
        yield from poured([replace(first, sign=sign, says=f"{sign}: {brick.says}"), *rest], frame)

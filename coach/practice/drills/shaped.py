"""What the parts of a recipe make of dynamics: bars of events with signs and hairpins.

- "lead": a leap alone, then with one more of the notes that lead to it each time; the lead-in grows by a small hairpin
  where the leap goes up, and the arrival has the dynamic that is decided there. With slurred = false once, all of it;
- "long": the long notes of a stretch, each held for some beats with the dynamic that it begins with, a hairpin to the
  one that it ends with, and a measure of rest or more after it.

A hairpin is printed where the level of a note moves by MOVES_DB or more: less is the way to the next note, not a shape
of its own. The number is a default of this program.
"""

from collections.abc import Iterator, Sequence
from dataclasses import replace

from coach.music.pitch import Pitch
from coach.practice.drills.decided import SIGNS, beyond
from coach.practice.drills.event import ZERO, Bar, Event, printed, sustained
from coach.practice.drills.recipe import Brick
from coach.practice.drills.stretch import Chain, Stretch
from coach.practice.drills.window import rebarred, window
from coach.prepare.dynamics.naming import level_sign

MOVES_DB = 1.5
BREATH_BEATS = 2  # beats of rest after a long tone, at least; a default


# The leap


def lead(brick: Brick, stretch: Stretch) -> Iterator[Bar]:
    """A leap and what leads to it, growing towards it."""
    leading = stretch.lead[-brick.most :] if brick.most else ()
    for size in range(len(leading) + 1) if brick.slurred else (len(leading),):
        taken = [*leading[len(leading) - size :], *stretch.chains]
        bars = list(window(stretch, taken, brick.slurred))
        events = _towards(stretch, [event for bar in bars for event in bar.events], taken)
        if brick.slurred:
            events = _headed(events, brick, size)
        yield from rebarred(bars, events)


def _headed(events: Sequence[Event], brick: Brick, size: int) -> list[Event]:
    """The events with the words of their round at the first."""
    first, *rest = events
    label = f"{size} before" if size else "the leap"
    told = f"with {size} note{'s' if size > 1 else ''} before it" if size else "the leap alone"
    return [replace(first, label=label, says=f"{brick.says}: {told}"), *rest]


def _towards(stretch: Stretch, events: Sequence[Event], taken: Sequence[Chain]) -> list[Event]:
    """The events with the dynamic at the beginning, the hairpin up to the arrival, and the dynamic of the arrival."""
    sounding = [k for k, event in enumerate(events) if event.pitch is not None]
    arrival = sounding[-len(stretch.last.notes)]
    begins_db, _ = stretch.decided.level_of(taken[0].notes[0].id)
    arrives_db, _ = stretch.decided.level_of(stretch.last.notes[0].id)
    swell = "crescendo" if stretch.last.pitch.midi > stretch.first.pitch.midi else ""
    made = list(events)
    for k in sounding:
        sign = level_sign(begins_db) if k == sounding[0] else level_sign(arrives_db) if k == arrival else ""
        made[k] = replace(events[k], sign=sign, swell=swell if k < arrival else "")
    return made


# Long tones


def long_tones(brick: Brick, stretch: Stretch) -> Iterator[Bar]:
    """The long notes of a stretch, each with its dynamics and a rest after it."""
    frame = stretch.frame
    beats = int(frame.length_q / frame.beat_q)
    silent = Bar(frame, (Event(None, frame.length_q, None),))
    for chain in _chosen(stretch, brick.most):
        yield from _tone(chain, stretch, -(-brick.beats // beats))
        yield from [silent] * -(-BREATH_BEATS // beats)


def _chosen(stretch: Stretch, most: int) -> list[Chain]:
    """The notes that last a beat or more, the longest ones if there are too many; all that last longest if none do."""
    longest_q = max(chain.length_q for chain in stretch.chains)
    least_q = min(stretch.frame.beat_q, longest_q)
    held = [chain for chain in stretch.chains if chain.length_q >= least_q]
    kept = sorted(held, key=lambda chain: -chain.length_q)[:most]
    return [chain for chain in held if chain in kept]


def _tone(chain: Chain, stretch: Stretch, measures: int) -> Iterator[Bar]:
    """A long tone over so many measures; the dynamic that it ends with stands at its last beat."""
    frame, pitch = stretch.frame, chain.pitch
    begins, ends = _signs(chain, stretch)
    moves = begins != ends
    swell = "" if not moves else "crescendo" if SIGNS.index(ends) > SIGNS.index(begins) else "diminuendo"
    for k in range(measures):
        arrives = moves and k + 1 == measures
        body_q = frame.length_q - (frame.beat_q if arrives else ZERO)
        events = [replace(one, swell=swell) for one in sustained(pitch, body_q, frame.beat_q)] if body_q else []
        events += [Event(pitch, frame.beat_q, printed(frame.beat_q), sign=ends)] if arrives else []
        on = len(events) if k + 1 < measures else len(events) - 1
        events = [replace(event, tied=number < on) for number, event in enumerate(events)]
        if not k:
            events[0] = replace(events[0], sign=begins, says=_told(pitch, begins, ends))
        yield Bar(frame, tuple(events))


def _signs(chain: Chain, stretch: Stretch) -> tuple[str, str]:
    """The dynamics that a note begins and ends with; at least a step apart where its level moves."""
    begins_db, ends_db = stretch.decided.level_of(chain.notes[0].id)
    if len(chain.notes) > 1:
        _, ends_db = stretch.decided.level_of(chain.notes[-1].id)
    begins, ends = level_sign(begins_db), level_sign(ends_db)
    if abs(ends_db - begins_db) < MOVES_DB:
        return begins, begins
    if begins == ends:
        ends = beyond(begins, 1 if ends_db > begins_db else -1)
    return begins, ends


def _told(pitch: Pitch, begins: str, ends: str) -> str:
    """What to do with a long tone."""
    way = f"{begins} throughout" if begins == ends else f"from {begins} to {ends}"
    return f"{pitch.name}, {way}; then breathe through the rest"

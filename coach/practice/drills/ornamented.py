"""What the parts of a recipe make of a trill or of graces: bars of events.

- "stages": the two notes of the trill in turn, in stages of one measure, each with more notes to the beat; each begins
  as the trill does;
- "shake": the trill where it stands, with what it lands on, as it was decided; with `gather` one that does not grow
  faster, and lasts two beats or more, begins at two notes a beat;
- "counted": the graces where they stand as ordinary notes, with the note before and what follows, under one slur;
- "graced": the same as printed, sounding as decided.

The notes before and after are played without ornaments of their own.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from coach.music.measure import Measure
from coach.music.pitch import Pitch
from coach.music.rhythm import VALUE_Q, Value, simplest_value
from coach.practice.drills.event import ZERO, Bar, Event, Frame, frame_of, rests
from coach.practice.drills.pouring import one_note, poured, slurred, stage, stage_length
from coach.practice.drills.recipe import Brick
from coach.practice.drills.stretch import Stretch
from coach.practice.drills.window import joined, late_q, window
from coach.prepare.mark import Ornament, Shake

COUNTABLE = Fraction(2)  # notes a beat that a trill gathers speed from: as slow as can be counted; a default
LONG_BEATS = 2  # beats that a trill must last to gather speed; a default
_TUPLETS = ((1, 1), (3, 2), (5, 4), (7, 4), (9, 4), (15, 8))  # the last two: threes and fives inside threes


# The trill


def stages(brick: Brick, stretch: Stretch) -> Iterator[Bar]:
    """The trill in stages. Raises ValueError for a note without one."""
    frame, shake = stretch.frame, _shake_of(stretch)
    main = stretch.first.pitch
    turn = (shake.other, main) if shake.start == "upper" else (main, shake.other)
    lengths = [stage_length(rate, frame) for rate in (brick.compound if frame.metre.is_compound else brick.simple)]
    for length_q in dict.fromkeys(length for length in lengths if length is not None):
        count = max(int(frame.length_q / length_q), 2)
        notes = [one_note(turn[k % 2], length_q, frame) for k in range(count)]
        made = stage(notes, length_q, brick.says)
        yield from poured(slurred(made) if brick.slurred else made, frame)


def shake(brick: Brick, stretch: Stretch) -> Iterator[Bar]:
    """The trill as it is shaken. Raises ValueError for a note without one."""
    decided, beat_q = _shake_of(stretch), stretch.frame.beat_q
    played = gathering(decided, beat_q) if brick.gather else decided
    taken = [stretch.first, *([stretch.landing] if stretch.landing is not None else [])]
    said = f"{brick.says}: {_rates(played, beat_q)}"
    for bar in window(stretch, taken, slurred=False):
        events = (_neighbour_bare(event, stretch) for event in bar.events)
        yield Bar(bar.frame, tuple(_shaken(event, stretch, decided, played, said) for event in events))


def gathering(shake: Shake, beat_q: Fraction) -> Shake:
    """A shake that begins slowly: itself where it grows faster or is too short for that."""
    first, top = COUNTABLE / beat_q, max(shake.first, shake.last)
    if shake.last > shake.first or shake.length_q < LONG_BEATS * beat_q or top <= first:
        return shake
    return replace(shake, first=first, last=top, curve="steady")


def _shaken(event: Event, stretch: Stretch, decided: Shake, played: Shake, said: str) -> Event:
    if event.plays is None or event.page is None or event.page.id != stretch.first.notes[0].id:
        return event
    plays = replace(event.plays, shake=played) if event.plays.shake == decided else event.plays
    return replace(event, plays=plays, says=said)


def _neighbour_bare(event: Event, stretch: Stretch) -> Event:
    """An event without an ornament of its own where it is not the note that is worked on."""
    page = event.page
    if event.plays is None or page is None or page.id == stretch.first.notes[0].id:
        return event
    return replace(event, page=replace(page, graces=(), after_graces=(), ornaments=()), plays=None)


def _shake_of(stretch: Stretch) -> Shake:
    ornament = stretch.ornament
    if ornament is None or ornament.shake is None:
        raise ValueError(f"{stretch.first.notes[0].id} has no trill")
    return ornament.shake


def _rates(shake: Shake, beat_q: Fraction) -> str:
    first, last = (f"{round(float(rate * beat_q), 1):g}" for rate in (shake.first, shake.last))
    return f"{first} notes a beat" if first == last else f"from {first} to {last} notes a beat"


# Graces


@dataclass(frozen=True, slots=True)
class _Sound:
    """A pitch from one place of the piece to another, in quarters."""

    pitch: Pitch
    start_q: Fraction
    end_q: Fraction


def graced(brick: Brick, stretch: Stretch) -> Iterator[Bar]:
    """The graces as printed."""
    taken = [*stretch.lead, stretch.first, *([stretch.landing] if stretch.landing is not None else [])]
    for bar in window(stretch, taken, brick.slurred):
        yield Bar(bar.frame, tuple(_neighbour_bare(event, stretch) for event in bar.events))


def counted(brick: Brick, stretch: Stretch) -> Iterator[Bar]:
    """The graces as ordinary notes. Raises ValueError for a note whose graces are not decided."""
    ornament = stretch.ornament
    if ornament is None:
        raise ValueError(f"{stretch.first.notes[0].id} has no graces")
    spans = list(_spans(ornament, stretch))
    bars = [Bar(frame_of(measure), tuple(_written(spans, measure))) for measure in stretch.measures]
    yield from joined(bars, brick.slurred)


def _spans(ornament: Ornament, stretch: Stretch) -> Iterator[_Sound]:
    """All that sounds, in order: what leads to the ornament, its notes, what follows."""
    at_q, since_q = stretch.first.onset_q, stretch.measures[0].onset_q
    played = [
        _Sound(note.pitch, max(at_q + note.onset_q, since_q), at_q + note.onset_q + note.length_q)
        for note in ornament.notes
        if note.pitch is not None and at_q + note.onset_q + note.length_q > since_q
    ]
    begun_q = min((one.start_q for one in played), default=at_q)
    for chain in stretch.lead:
        if chain.onset_q < begun_q:
            yield _Sound(chain.pitch, chain.onset_q, min(chain.end_q, begun_q))
    yield from played
    if stretch.landing is not None:
        yield _Sound(stretch.landing.pitch, stretch.landing.onset_q, stretch.landing.end_q)


def _written(spans: Sequence[_Sound], measure: Measure) -> Iterator[Event]:
    """What of the sounds falls into a measure, as values within the beats, rests between."""
    frame, shift_q = frame_of(measure), late_q(measure) - measure.onset_q
    at_q = ZERO
    for one in spans:
        start_q, end_q = max(one.start_q + shift_q, ZERO), min(one.end_q + shift_q, frame.length_q)
        if end_q <= start_q:
            continue
        yield from _silence(at_q, start_q, frame)
        values = list(values_from(start_q, end_q, frame))
        goes_on = end_q < one.end_q + shift_q
        for k, (length_q, value) in enumerate(values):
            yield Event(one.pitch, length_q, value, tied=goes_on or k + 1 < len(values))
        at_q = end_q
    yield from _silence(at_q, frame.length_q, frame)


def _silence(start_q: Fraction, end_q: Fraction, frame: Frame) -> Iterator[Event]:
    """Rests from one place of a measure to another, in values; none for no time."""
    for rest in rests(frame, start_q, end_q) if start_q < end_q else ():
        whole = rest.value is not None or rest.length_q == frame.length_q
        for length_q, value in ((rest.length_q, rest.value),) if whole else _pieces(rest.length_q):
            yield Event(None, length_q, value)


def values_from(start_q: Fraction, end_q: Fraction, frame: Frame) -> Iterator[tuple[Fraction, Value | None]]:
    """The values of a note from one place of a measure to another: one where it begins with a beat or stays inside one
    and has a value, else cut at the beats."""
    while start_q < end_q:
        beats = [beat for beat in frame.beats if start_q < beat < end_q]
        value = _value(end_q - start_q)
        if value is not None and (not beats or start_q in frame.beats):
            yield end_q - start_q, value
            return
        cut_q = beats[0] if beats and start_q not in frame.beats else beats[-1] if beats else None
        if cut_q is None:
            yield from _pieces(end_q - start_q)
            return
        yield from values_from(start_q, cut_q, frame)
        start_q = cut_q


def _pieces(length_q: Fraction) -> Iterator[tuple[Fraction, Value | None]]:
    """A length inside a beat as several values of one tuplet, long ones first; whole, without a value, if none fits."""
    for actual, normal in _TUPLETS:
        written_q = length_q * actual / normal
        values: list[Value] = []
        for kind, size in VALUE_Q.items():
            number, written_q = divmod(written_q, size)
            values += [Value(kind, 0, actual, normal)] * int(number)
        if not written_q:
            yield from ((value.length_q, value) for value in values)
            return
    yield length_q, None


def _value(length_q: Fraction) -> Value | None:
    """The one value of a length, in a tuplet if need be; None where there is none."""
    for actual, normal in _TUPLETS:
        value = simplest_value(length_q * actual / normal)
        if value is not None and value.dots < 2:
            return Value(value.kind, value.dots, actual, normal)
    return None

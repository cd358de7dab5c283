"""The click: beats, their parts, the count-in, and the beats that go on in the rest between laps.

Trade practice, stated once. The first beat of a measure is accented. A pickup's clicks fall on the beats it covers. A
count-in is one or two full measures in the metre and tempo of the first measure, all beats sounding whatever beats are
chosen later; before a pickup the beats of its own measure that precede it follow (3/4 with one beat of pickup:
1 2 3 | 1 2, and the pickup is 3). A rest between laps is counted in the same way. Beats that divide in three (compound
metres) are halved into three and quartered into six; in metres of unequal beats the parts are the printed units. Below
40 beats a minute (of unequal beats the longest), the end of the metronome's scale, parts of the beat sound by
themselves: halves, or thirds in compound metres, or the units of unequal beats. The level of the click in the settings
is a gain of the output, so that it can change while playing, and is not in the events.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from coach.config import ClickSettings
from coach.music.metre import Metre
from coach.music.tempo import SLOWEST_BEAT
from coach.sound.passage import Bar, Passage
from coach.sound.timeline import Event

CLICK_S = 0.05
_NO_TIME = Fraction(0)


@dataclass(frozen=True, slots=True)
class Pulse:
    """A click on the page: `at_q` from the start of its full measure, `beat` from 1, `beat_q` the metre's longest beat;
    `slow` ones sound only below the end of the metronome's scale."""

    at_q: Fraction
    beat: int
    beat_q: Fraction
    click: str
    slow: bool = False


def pulses(metre: Metre, length_q: Fraction, subdivision: int = 1) -> Iterator[Pulse]:
    """The pulses of `length_q` quarters in order; a measure longer than the metre's goes on in its beats."""
    onsets = _beats(metre, length_q)
    longest_q = max(metre.groups) * metre.unit_q if metre.groups else metre.beat_q
    for beat, (at_q, next_q) in enumerate(zip(onsets, (*onsets[1:], None), strict=True), start=1):
        full_q = _beat_length(metre, beat)
        yield Pulse(at_q, beat, longest_q, "accent" if beat == 1 else "beat")
        end_q = min(length_q, at_q + full_q) if next_q is None else next_q
        count = _parts(metre, full_q, subdivision)
        slow = count == 1
        if slow:
            count = _slow_parts(metre, full_q)
        for k in range(1, count):
            part_q = at_q + full_q * k / count
            if part_q < end_q:
                yield Pulse(part_q, beat, longest_q, "part", slow)


def _beats(metre: Metre, length_q: Fraction) -> tuple[Fraction, ...]:
    if not metre.groups:
        return metre.beat_onsets_q(length_q)
    onsets: list[Fraction] = []
    while metre.length_q * (turn := len(onsets) // len(metre.groups)) < length_q:
        start_q = turn * metre.length_q
        onsets += [start_q + at_q for at_q in metre.beat_onsets_q()]
    return tuple(at_q for at_q in onsets if at_q < length_q)


def _beat_length(metre: Metre, beat: int) -> Fraction:
    if not metre.groups:
        return metre.beat_q
    return metre.groups[(beat - 1) % len(metre.groups)] * metre.unit_q


def _parts(metre: Metre, beat_q: Fraction, subdivision: int) -> int:
    if metre.groups and subdivision > 1:
        return int(beat_q / metre.unit_q) * (2 if subdivision >= 4 else 1)
    if metre.is_compound and subdivision in (2, 4):
        return subdivision * 3 // 2
    return subdivision


def _slow_parts(metre: Metre, beat_q: Fraction) -> int:
    if metre.groups:
        return int(beat_q / metre.unit_q)
    return 3 if metre.is_compound else 2


def beat_clicks(passage: Passage, settings: ClickSettings) -> Iterator[Event]:
    """The clicks of the stretch itself, on the chosen beats and inside them."""
    for bar in passage.bars:
        lead_q = bar.lead_q
        for pulse in pulses(bar.metre, lead_q + bar.measure.length_q, settings.subdivision):
            chosen = not settings.beats or pulse.beat in settings.beats
            if chosen and pulse.at_q >= lead_q:
                yield _event(passage, bar.at_q + pulse.at_q - lead_q, pulse, bar.number, bar.measure.id)


@dataclass(frozen=True, slots=True)
class CountIn:
    """The clicks before the stretch, and how long before it they begin, in quarters and nominal seconds."""

    clicks: tuple[Event, ...]
    length_q: Fraction
    length_s: float


def count_in(passage: Passage, measures: int, settings: ClickSettings) -> CountIn:
    """The count-in of so many measures before the stretch; nothing for 0."""
    first = passage.bars[0]
    length_q = measures * first.metre.length_q + first.lead_q if measures else Fraction(0)
    segments = _segments(first, Fraction(0), length_q)
    clicks = [
        _event(passage, at_q + pulse.at_q - from_q - length_q, pulse, k - len(segments), first.measure.id)
        for k, (at_q, from_q, to_q) in enumerate(segments)
        for pulse in pulses(first.metre, to_q, settings.subdivision)
        if pulse.at_q >= from_q
    ]
    return CountIn(tuple(clicks), length_q, -passage.at_s(-length_q))


@dataclass(frozen=True, slots=True)
class Rest:
    """The clicks between two laps, how long they last in nominal seconds, and how many measures that makes."""

    clicks: tuple[Event, ...]
    length_s: float
    bars: int


def rest(passage: Passage, measures: int, settings: ClickSettings, counted: int = 0) -> Rest:
    """The beats between two laps, in the metre and tempo of the first measure, which they lead back to.

    With the click off, the last `counted` measures sound as a count-in. A lap that ends within a measure has it
    completed before the full measures are counted.
    """
    if measures <= 0:
        return Rest((), 0.0, 0)
    first, last = passage.bars[0], passage.bars[-1]
    full_q = first.metre.length_q
    from_q = (last.lead_q + last.measure.length_q) % full_q if last.metre == first.metre else Fraction(0)
    length_q = measures * full_q + (first.lead_q - from_q) % full_q
    segments = _segments(first, from_q, length_q)
    # Exact until the last step: a click rounded to before the end of the lap would sound when there is no rest.
    length_s = -passage.clock.at_s(-length_q)
    later_s = passage.clock.at_s(passage.end_q) + length_s
    heard_from_q = Fraction(0) if settings.on else length_q - counted * full_q - first.lead_q
    if not settings.on and not counted:
        heard_from_q = length_q
    clicks = []
    for k, (at_q, begin_q, end_q) in enumerate(segments):
        for pulse in pulses(first.metre, end_q, settings.subdivision):
            here_q = at_q + pulse.at_q - begin_q
            if pulse.at_q >= begin_q and here_q >= heard_from_q:
                bar = last.number + 1 + k
                clicks.append(_event(passage, here_q - length_q, pulse, bar, first.measure.id, later_s))
    return Rest(tuple(clicks), float(length_s), len(segments))


def _segments(first: Bar, from_q: Fraction, length_q: Fraction) -> list[tuple[Fraction, Fraction, Fraction]]:
    """Cut `length_q` of beats that begin `from_q` into a measure: (start, from, to), the last two in the measure."""
    full_q = first.metre.length_q
    segments: list[tuple[Fraction, Fraction, Fraction]] = []
    at_q = Fraction(0)
    while at_q < length_q:
        to_q = min(full_q, from_q + length_q - at_q)
        segments.append((at_q, from_q, to_q))
        at_q += to_q - from_q
        from_q = Fraction(0)
    return segments


def _event(passage: Passage, at_q: Fraction, pulse: Pulse, bar: int, where: str, later_s: Fraction = _NO_TIME) -> Event:
    beats_a_minute = passage.clock.speed(at_q) / pulse.beat_q
    return Event(
        at_s=float(passage.clock.at_s(at_q) + later_s),
        length_s=CLICK_S,
        kind="click",
        click=pulse.click,
        below_rate=float(SLOWEST_BEAT / beats_a_minute) if pulse.slow else None,
        bar=bar,
        where=where,
    )

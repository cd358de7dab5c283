"""Which of several voices is practised: the top line.

In a part of several staves the topmost one with notes; of its voices, in each measure, the one that lies highest in the
measures where they sound together. Heads that do not fit into the line (other voices, lower notes of chords tied
differently, overlaps) are kept beside it. Gaps become rests, so that every line adds up to its measure.
"""

from collections import defaultdict
from dataclasses import dataclass, field
from fractions import Fraction

from coach.files.musicxml.raw import ZERO, Head, RawMeasure
from coach.music.rhythm import simplest_value

_Key = tuple[int, str]  # staff and voice


@dataclass(slots=True)
class Line:
    """The practised heads of one measure in order and without gaps, and the heads that stay beside them."""

    heads: list[Head] = field(default_factory=list)
    beside: list[Head] = field(default_factory=list)
    chords: int = 0


def practised_staff(measures: list[RawMeasure]) -> int:
    """The topmost staff with something to play; 1 if there is none."""
    staves = {head.staff for measure in measures for head in measure.heads if head.sounds}
    return min(staves, default=1)


def draw_lines(measures: list[RawMeasure], lengths: list[Fraction], staff: int) -> list[Line]:
    """The line of every measure."""
    ranks = _ranks(measures, staff)
    return [_draw_line(raw, length, staff, ranks) for raw, length in zip(measures, lengths, strict=True)]


def _ranks(measures: list[RawMeasure], staff: int) -> dict[str, Fraction]:
    """How high each voice lies where others sound beside it: the mean MIDI number over time."""
    totals: dict[str, Fraction] = defaultdict(Fraction)
    times: dict[str, Fraction] = defaultdict(Fraction)
    for measure in measures:
        sounding = [head for head in measure.heads if head.sounds and head.staff == staff]
        if len({head.voice for head in sounding}) < 2:
            continue
        for head in sounding:
            top = _top(head)
            totals[head.voice] += top * head.length
            times[head.voice] += head.length
    return {voice: totals[voice] / time for voice, time in times.items() if time}


def _top(head: Head) -> int:
    return max(other.pitch.midi for other in (head, *head.chord) if other.pitch is not None)


def cut_to(raw: RawMeasure, length: Fraction) -> int:
    """Cut what reaches beyond the end of the measure; how many heads that touched."""
    if raw.content <= length:
        return 0
    touched = 0
    for head in raw.heads:
        if head.end > length:
            touched += not head.is_rest
            for one in (head, *head.chord):
                one.put(one.at, max(length - one.at, ZERO), length)
                one.value = None
    raw.heads = [head for head in raw.heads if head.at < length]
    return touched


def _draw_line(raw: RawMeasure, length: Fraction, staff: int, ranks: dict[str, Fraction]) -> Line:
    voice = _practised_voice(raw, staff, ranks)
    own = [head for head in raw.heads if head.voice == voice and head.staff == staff]
    wandering = [head for head in raw.heads if head.voice == voice and head.staff != staff]
    line = Line(beside=[head for head in raw.heads if head.voice != voice and not head.is_rest])
    for head in sorted(own, key=_order):
        _lay(line, head)
    for head in sorted(wandering, key=_order):
        _fit(line, head)
    line.heads = _filled(sorted(line.heads, key=_onset) if wandering else line.heads, length)
    line.beside.sort(key=lambda head: (head.at, head.staff, head.voice))
    return line


def _practised_voice(raw: RawMeasure, staff: int, ranks: dict[str, Fraction]) -> str:
    sounding = list(dict.fromkeys(head.voice for head in raw.heads if head.sounds and head.staff == staff))
    if sounding:
        return max(sounding, key=lambda voice: ranks.get(voice, ZERO))
    resting = [head.voice for head in raw.heads if head.staff == staff and not head.cue]
    cues = [head.voice for head in raw.heads if head.staff == staff]
    return next(iter(resting + cues), "1")


def _order(head: Head) -> tuple[Fraction, int]:
    return (head.at, 0 if head.pitch is None else -_top(head))


def _onset(head: Head) -> Fraction:
    return head.at


def _lay(line: Line, head: Head) -> None:
    """Put the next head at the end of the line; where it overlaps, notes go before rests and earlier before later."""
    if head.length <= 0:
        return
    while line.heads and line.heads[-1].is_rest and not head.is_rest and head.at < line.heads[-1].end:
        line.heads.pop()
    if not line.heads or line.heads[-1].end <= head.at:
        _top_of_chord(head, line)
        line.heads.append(head)
    elif not head.is_rest:
        line.beside.append(head)


def _fit(line: Line, head: Head) -> None:
    """Put a head of the same voice on another staff into a gap or a rest of the line."""
    if head.is_rest or head.length <= 0:
        return
    clashes = [other for other in line.heads if other.at < head.end and head.at < other.end]
    if all(other.is_rest for other in clashes):
        line.heads = [other for other in line.heads if other not in clashes]
        _top_of_chord(head, line)
        line.heads.append(head)
    else:
        line.beside.append(head)


def _top_of_chord(head: Head, line: Line) -> None:
    """Make the highest note of a chord the practised one; members that are tied differently stand beside the line."""
    if not head.chord:
        return
    line.chords += 1
    members = sorted((head, *head.chord), key=lambda one: one.pitch.midi if one.pitch is not None else 0, reverse=True)
    top = members[0]
    if top is not head:
        _exchange(head, top)
    for member in head.chord:
        if member.tie != head.tie:
            line.beside.append(member)
    head.chord = sorted(
        (member for member in head.chord if member.tie == head.tie),
        key=lambda one: one.pitch.midi if one.pitch is not None else 0,
        reverse=True,
    )


def _exchange(head: Head, top: Head) -> None:
    """What belongs to one notehead alone changes places; what is printed at the stem stays."""
    for name in ("pitch", "unpitched", "tie", "accidental", "courtesy", "element"):
        mine, other = getattr(head, name), getattr(top, name)
        setattr(head, name, other)
        setattr(top, name, mine)


def _filled(heads: list[Head], length: Fraction) -> list[Head]:
    filled: list[Head] = []
    at = ZERO
    for head in heads:
        if head.at is not at and head.at > at:
            filled.append(_silence(at, head.at - at, head))
        filled.append(head)
        at = head.end
    if at < length:
        filled.append(_silence(at, length - at, heads[-1] if heads else Head()))
    return filled


def _silence(at: Fraction, length: Fraction, beside: Head) -> Head:
    head = Head(is_rest=True, value=simplest_value(length), voice=beside.voice, staff=beside.staff)
    head.put(at, length, at + length)
    return head

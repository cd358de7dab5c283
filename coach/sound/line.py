"""One line of music as it is sounded: ties made one note, graces given their time, slurs told apart from tongued notes.

What an interpretation decides is laid in first (`coach.prepare.played`). What it leaves as printed, and all without
one, is played plainly: graces before the beat, each no longer than a tenth of a second, all of them together taking at
most half of the note or rest before; where nothing comes before, from the note itself. After-graces end the note they
belong to under the same rule. Trills, turns and mordents sound as their printed note.
"""

from bisect import bisect_left
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from coach.music.note import Grace, Note
from coach.music.part import Part
from coach.music.pitch import Pitch
from coach.prepare.interpretation import Interpretation
from coach.prepare.played import played
from coach.sound.passage import Bar, Passage

GRACE_S = Fraction(1, 10)
_LONGEST_GRACE_Q = Fraction(1, 4)
# Notes so marked are tongued even under a slur (portato).
SEPARATED = frozenset({"staccato", "tenuto", "detached-legato", "staccatissimo", "spiccato"})


@dataclass(frozen=True, slots=True)
class Placed:
    """A sounded note of a line. `heads` are its written pitches, the practised one first; `note` is the printed note it
    belongs to (for a grace: its main note). `at_q` counts as played, `page_q` from the start of the piece. `joined`
    tells that the next one is slurred to without a gap, `tongued` that this one begins with the tongue; `ends_page_q`
    is where it ends on the page; `followed` is False before a rest, and `rest_q` is how long that is."""

    at: str
    heads: tuple[Pitch, ...]
    note: Note
    bar: int
    at_q: Fraction
    length_q: Fraction
    page_q: Fraction
    ends_page_q: Fraction
    grace: bool = False
    tongued: bool = True
    joined: bool = False
    followed: bool = True
    rest_q: Fraction = Fraction(0)


@dataclass(frozen=True, slots=True)
class _Item:
    """A note with what is tied to it, or a rest; `last` is the last note of the chain."""

    note: Note
    last: Note
    bar: Bar
    at_q: Fraction
    length_q: Fraction

    @property
    def end_q(self) -> Fraction:
        return self.at_q + self.length_q


def placed(passed: Iterable[tuple[Bar, Note]], passage: Passage, *, chords: bool) -> tuple[Placed, ...]:
    """The sounded notes of a line from its notes and rests in the order in which they are passed.

    With `chords` the notes under the practised one sound too. Grace chords sound their top note alone.
    """
    items = _tied(passed, passage.end_q, chords)
    rests = _rests(items)
    result: list[Placed] = []
    for k, item in enumerate(items):
        before = items[k - 1] if k and items[k - 1].end_q == item.at_q else None
        after = items[k + 1] if k + 1 < len(items) and items[k + 1].at_q == item.end_q else None
        sounding = _sounded(item, before, after, passage, chords)
        result += (place if place.followed else replace(place, rest_q=rests[k]) for place in sounding)
    return tuple(result)


def _rests(items: Sequence[_Item]) -> list[Fraction]:
    """How long the rests after each item are, taken together."""
    found = [Fraction(0)] * len(items)
    for k in range(len(items) - 2, -1, -1):
        if items[k + 1].note.is_rest and items[k + 1].at_q == items[k].end_q:
            found[k] = items[k + 1].length_q + found[k + 1]
    return found


def _tied(passed: Iterable[tuple[Bar, Note]], end_q: Fraction, chords: bool) -> list[_Item]:
    items: list[_Item] = []
    for bar, note in passed:
        at_q = bar.at_q + note.onset_q - bar.measure.onset_q
        length_q = min(note.length_q, end_q - at_q)
        if length_q <= 0:
            continue
        before = items[-1] if items else None
        if before is not None and before.end_q == at_q and _continues(before.last, note, chords):
            items[-1] = replace(before, last=note, length_q=before.length_q + length_q)
        else:
            items.append(_Item(note, note, bar, at_q, length_q))
    return items


def _continues(before: Note, note: Note, chords: bool) -> bool:
    if before.tie not in ("start", "continue") or note.tie not in ("continue", "stop"):
        return False
    return before.pitch == note.pitch and (not chords or before.chord == note.chord)


def _sounded(
    item: _Item, before: _Item | None, after: _Item | None, passage: Passage, chords: bool
) -> Iterator[Placed]:
    lead = () if before else item.note.graces
    closing = item.last.after_graces
    tail = closing + (after.note.graces if after and not after.note.is_rest else ())
    speed = passage.clock.speed(item.at_q)
    lead_q = _grace_q(len(lead), item.length_q, speed)
    tail_q = _grace_q(len(tail), item.length_q - len(lead) * lead_q, speed)
    end_q = item.end_q - len(tail) * tail_q
    slurred = _joins(item, after)
    for k, grace in enumerate(lead):
        yield _grace(grace, item, item.at_q + k * lead_q, lead_q, tongued=k == 0)
    if not item.note.is_rest:
        yield replace(
            _main(item, item.at_q + len(lead) * lead_q, end_q, chords),
            tongued=not (item.note.graces or _joins(before, item)),
            joined=bool(closing) or slurred,
            followed=after is None or not after.note.is_rest,
        )
    for k, grace in enumerate(tail):
        owner = after if after and k >= len(closing) else item
        one = _grace(grace, owner, end_q + k * tail_q, tail_q, tongued=k == len(closing) and not slurred)
        yield replace(one, joined=slurred) if k == len(closing) - 1 else one


def _main(item: _Item, at_q: Fraction, end_q: Fraction, chords: bool) -> Placed:
    note, last = item.note, item.last
    heads = (note.pitch, *(note.chord if chords else ()))
    return Placed(
        at=note.id,
        heads=tuple(pitch for pitch in heads if pitch is not None),
        note=note if last is note else replace(note, breath=last.breath, caesura=last.caesura),
        bar=item.bar.number,
        at_q=at_q,
        length_q=end_q - at_q,
        page_q=note.onset_q + at_q - item.at_q,
        ends_page_q=last.end_q - (item.end_q - end_q),
    )


def _joins(item: _Item | None, after: _Item | None) -> bool:
    """Whether a slur carries the sound from one item to the next without the tongue."""
    if item is None or after is None or not item.last.slurred or after.note.is_rest or item.note.is_rest:
        return False
    if after.bar.jump and after.at_q == after.bar.at_q:
        return False
    apart = SEPARATED.intersection(item.note.articulations) or item.last.breath or item.last.caesura
    return not apart and (item.note.pitch != after.note.pitch or bool(after.note.graces or item.last.after_graces))


def _grace_q(count: int, room_q: Fraction, speed: Fraction) -> Fraction:
    """Length of each of `count` graces: a simple value, short in seconds, that leaves at least half of the room."""
    value = _LONGEST_GRACE_Q
    while value * 60 / speed > GRACE_S or value * count > room_q / 2:
        value /= 2
    return value


def _grace(grace: Grace, owner: _Item, at_q: Fraction, length_q: Fraction, *, tongued: bool) -> Placed:
    page_q = owner.note.onset_q + at_q - owner.at_q
    return Placed(
        at=grace.id,
        heads=(grace.pitch,),
        note=owner.note,
        bar=owner.bar.number,
        at_q=at_q,
        length_q=length_q,
        page_q=page_q,
        ends_page_q=page_q + length_q,
        grace=True,
        tongued=tongued,
        joined=True,
    )


def solo_line(
    passage: Passage, interpretation: Interpretation | None = None, part: Part | None = None
) -> tuple[tuple[Bar, Note], ...]:
    """The practised line of a part as passed, with what an interpretation decides laid in."""
    lines: Iterable[tuple[Note, ...]] = (bar.measure.notes for bar in passage.bars)
    if interpretation is not None:
        lines = played([bar.measure for bar in passage.bars], interpretation, part)
    return tuple((bar, note) for bar, notes in zip(passage.bars, lines, strict=True) for note in notes)


def other_lines(passage: Passage, notes: Sequence[Note]) -> tuple[tuple[tuple[Bar, Note], ...], ...]:
    """Lines of one voice each from notes in order of the page, wherever the passage passes them. Percussion is left
    out, since its staff positions are no pitches."""
    voices: dict[tuple[int, str], list[tuple[Bar, Note]]] = {}
    for bar in passage.bars:
        for note in _within(bar, notes):
            if not note.unpitched:
                voices.setdefault((note.staff, note.voice), []).append((bar, note))
    return tuple(tuple(voice) for voice in voices.values())


def _within(bar: Bar, notes: Sequence[Note]) -> Sequence[Note]:
    low = bisect_left(notes, bar.measure.onset_q, key=lambda note: note.onset_q)
    high = bisect_left(notes, bar.measure.end_q, key=lambda note: note.onset_q)
    return notes[low:high]

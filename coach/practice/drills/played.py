"""What stands at the notes of a drill that is printed as on the page: its dynamics, and its ornaments, each sounding as
it was decided, as far as it has room."""

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

from coach.practice.drills.event import ZERO, Event, moved
from coach.practice.drills.stretch import Stretch
from coach.prepare.mark import Ornament, OssiaNote


def with_dynamics(events: Sequence[Event]) -> list[Event]:
    """The events with the dynamic in force at the first note and wherever it changes, and the hairpins of the page,
    each over whole notes."""
    made: list[Event] = []
    level: str | None = None
    for event in events:
        page = event.page
        if page is None:
            made.append(event)
            continue
        sign = page.dynamic if page.dynamic != level else None
        made.append(replace(event, sign=sign or "", swell=page.hairpin or ""))
        level = page.dynamic
    return made


def with_ornaments(events: Sequence[Event], stretch: Stretch) -> list[Event]:
    """The events with what was decided about the ornaments of their notes. Graces that would sound before the drill
    begins are left out; a note before them that is silent here is not sounded by them."""
    onsets = {measure.id: measure.onset_q for measure in stretch.measures}
    made = list(events)
    for k, event in enumerate(events):
        found = stretch.decided.ornaments.get(event.page.id) if event.page is not None else None
        if event.page is None or found is None:
            continue
        plays = moved(found, onsets[event.page.measure] - event.page.onset_q)
        if max(note.onset_q + note.length_q for note in plays.notes) <= _held_q(events, k):
            made[k] = _roomy(events, k, plays)
    return made


def _held_q(events: Sequence[Event], k: int) -> Fraction:
    """How long a note lasts with all that is tied to it."""
    length_q = events[k].length_q
    while events[k].tied and k + 1 < len(events):
        k += 1
        length_q += events[k].length_q
    return length_q


def _roomy(events: Sequence[Event], k: int, plays: Ornament) -> Event:
    """The event with its ornament, cut to what can sound before the note."""
    event = events[k]
    early = [note for note in plays.notes if note.onset_q < 0]
    if not early or event.page is None:
        return replace(event, plays=plays)
    silent = k > 0 and events[k - 1].pitch is None
    if silent and len(early) > len(event.page.graces):  # the first of them is the note before, which is silent here
        early = early[1:]
    room_q = _room_q(events, k, silent)
    kept = [cut for note in early if (cut := _since(note, -room_q)) is not None]
    notes = (*kept, *(note for note in plays.notes if note.onset_q >= 0))
    page = event.page if kept else replace(event.page, graces=())
    return replace(event, page=page, plays=replace(plays, notes=notes))


def _room_q(events: Sequence[Event], k: int, silent: bool) -> Fraction:
    """How many quarters before an event its ornament may take: the rests, or the one note with what is tied to it."""
    room_q = ZERO
    for j in range(k - 1, -1, -1):
        before = events[j]
        if (before.pitch is None) != silent or (not silent and j < k - 1 and not before.tied):
            break
        room_q += before.length_q
    return room_q


def _since(note: OssiaNote, at_q: Fraction) -> OssiaNote | None:
    """What of a note sounds from a place on."""
    start_q, end_q = max(note.onset_q, at_q), note.onset_q + note.length_q
    return replace(note, onset_q=start_q, length_q=end_q - start_q) if end_q > start_q else None

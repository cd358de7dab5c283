"""Heads into notes: ids, beats, and what holds at each note."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from coach.files.musicxml.grid import beat_of
from coach.files.musicxml.joins import all_slurs
from coach.files.musicxml.lines import Line
from coach.files.musicxml.marks import Marks
from coach.files.musicxml.raw import Head, RawMeasure
from coach.files.musicxml.written import Written
from coach.music.measure import Change, Measure
from coach.music.metre import Clef, Key
from coach.music.note import Grace, Note
from coach.music.pitch import Pitch

_USUAL_KEY, _USUAL_CLEF = Key(), Clef()


@dataclass(frozen=True, slots=True)
class Place:
    """Where a measure lies: its id, onset and length in quarters, and how far into its metre it begins."""

    id: str
    onset: Fraction
    length: Fraction
    lead: Fraction
    pickup: bool = False


def build_measure(
    raw: RawMeasure,
    line: Line,
    place: Place,
    staff: int,
    marks: Mapping[int, Marks],
    joined: frozenset[int],
    written: Written,
) -> Measure:
    """The measure with its practised line and what stands beside it; `written` learns where its notes stand."""
    jumps = tuple(dict.fromkeys(sign.text for sign in raw.signs if sign.kind == "jump"))
    return Measure(
        id=place.id,
        number=raw.number or place.id,
        onset_q=place.onset,
        length_q=place.length,
        metre=raw.metre,
        key=raw.keys.get(staff, raw.keys.get(1, _USUAL_KEY)),
        clef=raw.clefs.get(staff, _USUAL_CLEF),
        notes=tuple(_practised(raw, line, place, marks[staff], joined, written)),
        others=tuple(_beside(raw, line, place, marks)),
        pickup=place.pickup,
        implicit=raw.implicit,
        repeat_start=raw.repeat_start or "repeatstart" in jumps,
        repeat_end=raw.repeat_end,
        endings=raw.endings,
        jumps=tuple(jump for jump in jumps if jump != "repeatstart"),
        barline=raw.barline,
        changes=tuple(
            Change(place.onset + at, to)
            for at, for_staff, to in raw.changes
            if for_staff in (staff, 1) and (for_staff == staff or isinstance(to, Key))
        ),
    )


def _practised(
    raw: RawMeasure, line: Line, place: Place, marks: Marks, joined: frozenset[int], written: Written
) -> Iterator[Note]:
    count = rests = 0
    for head in line.heads:
        if head.pitch is None:
            rests += 1
            name = f"{place.id}.r{rests}"
        else:
            count += 1
            name = f"{place.id}.{count}"
        _remember(head, name, written)
        yield _note(head, name, raw, place, marks, id(head) in joined)


def _remember(head: Head, name: str, written: Written) -> None:
    named = [(name, head)]
    for kind, graces in (("g", head.before), ("a", head.after)):
        pitched = [grace for grace in graces if grace.pitch is not None]
        named += [(f"{name}{kind}{k}", max((grace, *grace.chord), key=_height)) for k, grace in enumerate(pitched, 1)]
    written.notes.update((key, one.element) for key, one in named if one.element is not None)


def _beside(raw: RawMeasure, line: Line, place: Place, marks: Mapping[int, Marks]) -> Iterator[Note]:
    counts: dict[str, int] = {}
    for head in line.beside:
        if head.length <= 0:
            continue
        voice = f"{place.id}.s{head.staff}v{head.voice}"
        counts[voice] = counts.get(voice, 0) + 1
        yield _note(head, f"{voice}.{counts[voice]}", raw, place, marks[head.staff], False)


def _note(head: Head, name: str, raw: RawMeasure, place: Place, marks: Marks, slurred: bool) -> Note:
    onset = place.onset + head.at
    return Note(
        id=name,
        pitch=head.pitch,
        onset_q=onset,
        length_q=head.length,
        measure=place.id,
        beat=beat_of(raw.metre, place.lead + head.at if place.lead else head.at),
        value=head.value,
        tie=head.tie,
        slurs=all_slurs(head) if head.chord else tuple(head.slurs),
        slurred=slurred,
        articulations=_at_stem(head, "articulations"),
        ornaments=_at_stem(head, "ornaments"),
        graces=tuple(_graces(head.before, f"{name}g")) if head.before else (),
        after_graces=tuple(_graces(head.after, f"{name}a")) if head.after else (),
        dynamic=marks.level(onset),
        hairpin=marks.hairpin(onset, onset + head.length) if marks.hairpins else None,
        fermata=head.fermata or any(member.fermata for member in head.chord),
        breath=head.breath,
        caesura=head.caesura,
        fingerings=_at_stem(head, "fingerings"),
        accidental=head.accidental,
        chord=_pitches(head.chord) if head.chord else (),
        lyric=" / ".join(_at_stem(head, "lyrics")),
        voice=head.voice,
        staff=head.staff,
        unpitched=head.unpitched,
        cue=head.cue,
        courtesy=head.courtesy,
    )


def _at_stem(head: Head, name: str) -> tuple[Any, ...]:
    """What stands at the noteheads of one stem, each once."""
    if not head.chord:
        return tuple(getattr(head, name))
    return tuple(dict.fromkeys(mark for one in (head, *head.chord) for mark in getattr(one, name)))


def _pitches(heads: list[Head]) -> tuple[Pitch, ...]:
    return tuple(head.pitch for head in heads if head.pitch is not None)


def _graces(heads: list[Head], prefix: str) -> Iterator[Grace]:
    for k, head in enumerate((head for head in heads if head.pitch is not None), 1):
        top = max((head, *head.chord), key=_height)
        pitches = sorted(_pitches([head, *head.chord]), key=lambda pitch: pitch.midi, reverse=True)
        yield Grace(
            id=f"{prefix}{k}",
            pitch=pitches[0],
            value=head.value,
            slash=head.grace.get("slash") == "yes",
            steal_previous=_percent(head, "steal-time-previous"),
            steal_following=_percent(head, "steal-time-following"),
            make_time_q=head.make_time,
            slurs=all_slurs(head),
            tie=top.tie,
            chord=tuple(pitches[1:]),
            articulations=tuple(head.articulations),
            accidental=top.accidental,
        )


def _height(head: Head) -> int:
    return head.pitch.midi if head.pitch is not None else -1


def _percent(head: Head, name: str) -> float | None:
    return float(head.grace[name]) if name in head.grace else None

"""A stretch of music as it sounds: every note with its time, length, level and join, and every click.

How long a note sounds within its place is trade practice, in seconds of the performance tempo: slurred notes last until
the next one; tongued ones end a little earlier; a staccato halves a note, a staccatissimo leaves a third, a portato
three quarters, a tenuto nearly all; a breath mark leaves time for a breath. A breath takes its time from the rest that
follows, what is missing from the note before, and none from the beat.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from coach.music.note import Note
from coach.music.part import Part
from coach.music.pitch import Pitch
from coach.prepare.dynamics.level import Course, Levels
from coach.prepare.interpretation import USUAL_TIMES, BreathTimes
from coach.prepare.played import ACCENTS, PHRASE_END
from coach.sound.line import Placed
from coach.sound.passage import Passage
from coach.sound.timeline import Event

SCHEMA = "coach.performance/1"
TONGUE_GAP_S = 0.03
TENUTO_GAP_S = 0.01
BREATH_GAP_S = 0.25
# The end of a phrase gives up a little too.
PHRASE_GAP_S = 0.1
CAESURA_GAP_S = 0.5
# The gap before a tongued note never takes more than this share of a short note; a breath may take more.
TONGUE_SHARE = 0.25
BREATH_SHARE = 0.4
_SHARES = {"staccatissimo": 1 / 3, "staccato": 0.5, "spiccato": 0.5, "detached-legato": 0.75}


@dataclass(frozen=True, slots=True)
class SoundedNote:
    """A note as it sounds. `pitch` is written, `midi` sounding. `onset_q` counts from the start of the piece, `at_q`
    and `at_s` (nominal seconds) from the start of the stretch as played; `length_s` is how long it sounds. Levels are
    in dB against the loudest of the practised part, `end_level_db` where a hairpin takes the note, by way of
    `turn` (share of the length, dB) if it swells and fades."""

    at: str
    line: int
    pitch: Pitch
    midi: int
    bar: int
    onset_q: Fraction
    length_q: Fraction
    at_q: Fraction
    at_s: float
    length_s: float
    level_db: float
    end_level_db: float | None
    colour: float
    tongued: bool
    slurred: bool
    turn: tuple[float, float] | None = None
    accented: bool = False
    ends_open: bool = False

    @property
    def event(self) -> Event:
        """The note as an event of a timeline."""
        return Event(
            at_s=self.at_s,
            length_s=self.length_s,
            kind="note",
            line=self.line,
            midi=self.midi,
            level_db=self.level_db,
            end_level_db=self.end_level_db,
            middle_level_db=self.turn[1] if self.turn else None,
            middle_share=self.turn[0] if self.turn else 0.5,
            colour=self.colour,
            tongued=self.tongued,
            slurred=self.slurred,
            accented=self.accented,
            ends_open=self.ends_open,
            bar=self.bar,
            where=self.at,
        )


@dataclass(frozen=True, slots=True)
class Performance:
    """All that sounds in a stretch: the notes of all lines (0 is the practised one) and the clicks, which begin before
    0 in the count-in and go on after `length_s` in the rest between laps."""

    passage: Passage
    notes: tuple[SoundedNote, ...]
    clicks: tuple[Event, ...]
    length_s: float
    count_in_s: float = 0.0
    count_in_q: Fraction = Fraction(0)
    rest_s: float = 0.0
    bars: int = 0

    def document(self, rate: float = 1.0) -> dict[str, Any]:
        """The document of `coach render --json` for playing once at a rate; times count from the beginning of what is
        heard, the count-in included, as in the sound file written with the same options."""
        clicks = (
            click
            for click in self.clicks
            if click.at_s < self.length_s and (click.below_rate is None or rate < click.below_rate)
        )
        return {
            "schema": SCHEMA,
            "notes": [self._described(note, rate) for note in self.notes if note.line == 0],
            "clicks": [
                {"at_s": self._heard_s(click.at_s, rate), "accent": click.click == "accent"} for click in clicks
            ],
        }

    def _described(self, note: SoundedNote, rate: float) -> dict[str, Any]:
        return {
            "at": note.at,
            "written": note.pitch.name,
            "midi": note.pitch.midi,
            "onset": str(note.onset_q),
            "duration": str(note.length_q),
            "at_s": self._heard_s(note.at_s, rate),
            "length_s": round(note.length_s / rate, 6),
            "level_db": round(note.level_db, 2),
        }

    def _heard_s(self, at_s: float, rate: float) -> float:
        return round((at_s + self.count_in_s) / rate, 6)


def sounded(
    places: Iterable[Placed],
    passage: Passage,
    *,
    line: int,
    part: Part,
    levels: Levels,
    loudest_db: float,
    times: BreathTimes = USUAL_TIMES,
) -> Iterator[SoundedNote]:
    """The notes of a line with seconds and levels; `levels` are its `part`'s, `loudest_db` the practised one's. Breaths
    that are marked take their `times`."""
    for place in places:
        at_s = passage.at_s(place.at_q)
        end_s = passage.at_s(place.at_q + place.length_q)
        stretch = Stretch(
            end_s - at_s,
            passage.waits.get(place.ends_page_q, 0.0),
            passage.at_s(place.at_q + place.length_q + place.rest_q) - end_s if place.rest_q else 0.0,
        )
        course = _course(place, levels)
        steady = course.end_db == course.start_db and course.turn is None
        for pitch in place.heads:
            yield SoundedNote(
                at=place.at,
                line=line,
                pitch=pitch,
                midi=pitch.midi + part.transposition_at(place.note.onset_q).semitones,
                bar=place.bar,
                onset_q=place.page_q,
                length_q=place.length_q,
                at_q=place.at_q,
                at_s=at_s,
                length_s=length_s(place, stretch, times),
                level_db=min(course.start_db - loudest_db, 0.0),
                end_level_db=None if steady else min(course.end_db - loudest_db, 0.0),
                turn=(course.turn[0], min(course.turn[1] - loudest_db, 0.0)) if course.turn else None,
                colour=course.colour,
                tongued=place.tongued,
                slurred=place.joined,
                accented=place.tongued and not ACCENTS.isdisjoint(place.note.articulations),
                ends_open=_ends_open(place),
            )


def _course(place: Placed, levels: Levels) -> Course:
    if place.grace:
        return levels.passing(place.heads[0], place.page_q, place.ends_page_q)
    return levels.of(place.note, place.page_q, place.ends_page_q)


def _ends_open(place: Placed) -> bool:
    """Whether the breath lets a note end: before a rest or a breath, unless the tongue stops it as in a staccato."""
    short = not place.grace and not _SHARES.keys().isdisjoint(place.note.articulations)
    return not (place.joined or short) and (not place.followed or _breathes(place.note))


def _breathes(note: Note) -> bool:
    return note.breath is not None or note.caesura


@dataclass(frozen=True, slots=True)
class Stretch:
    """The seconds that a note has, those of them that the music waits at its end, and those of the rest after it."""

    whole_s: float
    wait_s: float = 0.0
    rest_s: float = 0.0


def length_s(place: Placed, stretch: Stretch, times: BreathTimes = USUAL_TIMES) -> float:
    """How long a note sounds of the time it has, by its articulation, the breath that is marked and what follows."""
    whole_s = stretch.whole_s - min(stretch.wait_s, stretch.whole_s / 2)
    if place.joined:
        return whole_s
    need_s = 0.0 if place.grace else _marked_s(place.note, times)
    if not need_s:
        return _articulated_s(place, whole_s)
    missing_s = need_s - stretch.rest_s
    given_s = min(whole_s * (1 - times.keep_share), whole_s - times.keep_s)
    gap_s = min(missing_s, max(given_s, min(TONGUE_GAP_S, TONGUE_SHARE * whole_s))) if missing_s > 0 else 0.0
    return min(whole_s - gap_s, _short_s(place.note, whole_s))


def _marked_s(note: Note, times: BreathTimes) -> float:
    """The seconds for the breath, or the end of the phrase, that is marked at a note."""
    sizes = {"full": times.full_s, "catch": times.catch_s, PHRASE_END: PHRASE_GAP_S}
    return sizes.get(note.breath or "", 0.0)


def _articulated_s(place: Placed, whole_s: float) -> float:
    note = place.note
    if not place.grace:
        if _breathes(note):
            gap_s = CAESURA_GAP_S if note.caesura else BREATH_GAP_S
            return whole_s - min(gap_s, BREATH_SHARE * whole_s)
        short_s = _short_s(note, whole_s)
        if short_s < whole_s:
            return short_s
    if not place.followed:
        return whole_s
    gap_s = TENUTO_GAP_S if "tenuto" in note.articulations and not place.grace else TONGUE_GAP_S
    return whole_s - min(gap_s, TONGUE_SHARE * whole_s)


def _short_s(note: Note, whole_s: float) -> float:
    """How long a note sounds that is played shorter than it is written; the whole where it is not."""
    marks = set(note.articulations)
    if "detached-legato" in marks or {"staccato", "tenuto"} <= marks or ("staccato" in marks and note.slurred):
        return whole_s * _SHARES["detached-legato"]
    return next((whole_s * share for mark, share in _SHARES.items() if mark in marks), whole_s)

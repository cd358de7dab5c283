"""Bars of events into measures and notes: ids, beats, ties, slurs, accidentals."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction

from coach.music.measure import Measure
from coach.music.metre import Key, Metre
from coach.music.note import Grace, Note, SlurEnd
from coach.music.part import DynamicMark, Hairpin, Words
from coach.music.pitch import Pitch
from coach.practice.drills.event import ZERO, Bar, Event, moved
from coach.prepare.mark import Ornament

COMMA = "comma"
_SIGNS = {-2: "flat-flat", -1: "flat", 0: "natural", 1: "sharp", 2: "double-sharp"}


@dataclass(frozen=True, slots=True)
class Step:
    """What to do from a place of the drill on, one line."""

    onset_q: Fraction
    says: str


@dataclass(slots=True)
class Laid:
    """Measures with the words, the dynamics and the hairpins printed at them, the steps, and what sounds of ornaments
    and breaths by the ids of their notes."""

    measures: list[Measure] = field(default_factory=list)
    words: list[Words] = field(default_factory=list)
    dynamics: list[DynamicMark] = field(default_factory=list)
    hairpins: list[Hairpin] = field(default_factory=list)
    steps: list[Step] = field(default_factory=list)
    ornaments: dict[str, Ornament] = field(default_factory=dict)
    breaths: dict[str, str] = field(default_factory=dict)

    def take(self, note: Note, event: Event, offset_q: Fraction) -> None:
        """Keep what stands at a note, `offset_q` quarters from the start of its measure."""
        if event.label:
            self.words.append(Words(note.onset_q, event.label))
        if event.says:
            self.steps.append(Step(note.onset_q, event.says))
        if event.plays is not None:
            self.ornaments[note.id] = moved(event.plays, offset_q)
        if event.breath:
            self.breaths[note.id] = event.breath
        if event.sign:
            self.dynamics.append(DynamicMark(note.onset_q, event.sign))
        if event.swell:
            self._swell(event.swell, note)

    def _swell(self, kind: str, note: Note) -> None:
        """A hairpin over the note: the one that ends where it begins goes on, unless a dynamic stands there."""
        last = self.hairpins[-1] if self.hairpins else None
        signed = self.dynamics and self.dynamics[-1].onset_q == note.onset_q
        if last is not None and (last.kind, last.end_q) == (kind, note.onset_q) and not signed:
            self.hairpins[-1] = replace(last, end_q=note.end_q)
        else:
            self.hairpins.append(Hairpin(kind, note.onset_q, note.end_q))


def lay(bars: Sequence[Bar]) -> Laid:
    """The measures, numbered from 1."""
    laid, joins, level = Laid(), _Joins(), None
    onset = ZERO
    for number, bar in enumerate(bars, 1):
        name = str(number)
        notes: list[Note] = []
        for note, event in zip(_notes(bar, name, onset, joins), bar.events, strict=True):
            level = event.sign or level
            notes.append(replace(note, dynamic=level, hairpin=event.swell or None))
            laid.take(note, event, note.onset_q - onset)
        frame = bar.frame
        made = tuple(notes)
        laid.measures.append(Measure(name, name, onset, frame.length_q, frame.metre, frame.key, frame.clef, made))
        onset += frame.length_q
    return laid


def _notes(bar: Bar, name: str, start_q: Fraction, joins: "_Joins") -> Iterator[Note]:
    at, heads, pauses = ZERO, 0, 0
    signs = _Accidentals(bar.frame.key)
    whole = len(bar.events) == 1
    for event in bar.events:
        beat = beat_at(bar.frame.metre, at)
        if event.pitch is None:
            pauses += 1
            value = None if whole else event.value
            joins.rest()
            yield Note(f"{name}.r{pauses}", None, start_q + at, event.length_q, name, beat, value)
        else:
            heads += 1
            tie, slurs = joins.note(event)
            note = Note(
                id=f"{name}.{heads}",
                pitch=event.pitch,
                onset_q=start_q + at,
                length_q=event.length_q,
                measure=name,
                beat=beat,
                value=event.value,
                tie=tie,
                slurs=slurs,
                slurred=event.slurred or (event.tied and joins.open),
                breath=COMMA if event.breath else None,
            )
            yield _dressed(note, event, signs)
        at += event.length_q


def _dressed(note: Note, event: Event, signs: "_Accidentals") -> Note:
    """The note with what is printed at it, and the accidentals that it needs."""
    page = event.page
    if page is None:
        return replace(note, accidental=signs.sign(event.pitch, note.tie))
    graces = tuple(_grace(one, f"{note.id}g{k}", signs) for k, one in enumerate(page.graces, 1))
    own = signs.sign(event.pitch, note.tie)
    after = tuple(_grace(one, f"{note.id}a{k}", signs) for k, one in enumerate(page.after_graces, 1))
    return replace(
        note,
        articulations=page.articulations,
        ornaments=page.ornaments,
        fermata=page.fermata,
        breath=note.breath or page.breath,
        graces=graces,
        after_graces=after,
        accidental=own,
    )


def _grace(grace: Grace, name: str, signs: "_Accidentals") -> Grace:
    return Grace(
        id=name,
        pitch=grace.pitch,
        value=grace.value,
        slash=grace.slash,
        steal_previous=grace.steal_previous,
        accidental=signs.sign(grace.pitch, None),
    )


def beat_at(metre: Metre, offset_q: Fraction) -> Fraction:
    """The felt beat, from 1, at an offset into a measure."""
    beats = (*metre.beat_onsets_q(), metre.length_q)
    for k, (start, end) in enumerate(zip(beats, beats[1:], strict=False)):
        if offset_q < end:
            return k + 1 + (offset_q - start) / (end - start)
    return Fraction(len(beats))


class _Joins:
    """Ties and slurs from one note to the next, over barlines too."""

    def __init__(self) -> None:
        self.open = False
        self._tied: Pitch | None = None
        self._number = 1

    def rest(self) -> None:
        """Nothing leads over a rest."""
        self.open, self._tied = False, None

    def note(self, event: Event) -> tuple[str | None, tuple[SlurEnd, ...]]:
        """The tie and the slur ends of a note."""
        before = self._tied is not None and self._tied == event.pitch
        tie = {(False, True): "start", (True, True): "continue", (True, False): "stop"}.get((before, event.tied))
        self._tied = event.pitch if event.tied else None
        ends: list[SlurEnd] = []
        goes_on = event.slurred or (self.open and event.tied)
        if self.open and (event.anew or not goes_on):
            ends.append(SlurEnd("stop", self._number))
        if event.slurred and (event.anew or not self.open):
            self._number = 3 - self._number if self.open else 1
            ends.append(SlurEnd("start", self._number))
        self.open = goes_on
        return tie, tuple(ends)


class _Accidentals:
    """Which accidentals a measure needs: those that neither the key nor an earlier one of the same line gives. A note
    tied over the barline needs none."""

    def __init__(self, key: Key) -> None:
        self._key = key
        self._now: dict[tuple[str, int], int] = {}

    def sign(self, pitch: Pitch | None, tie: str | None) -> str | None:
        """The accidental before a note, None where it needs none."""
        if pitch is None or tie in ("continue", "stop"):
            return None
        line = pitch.step, pitch.octave
        if self._now.get(line, self._key.alter_of(pitch.step)) == pitch.alter:
            return None
        self._now[line] = pitch.alter
        return _SIGNS.get(pitch.alter)

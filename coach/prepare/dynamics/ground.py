"""The ground on which a part is shaped: its tones, with ties as one, and what is printed or decided over them."""

from bisect import bisect_left, bisect_right
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from fractions import Fraction

from coach.music.metre import Metre
from coach.music.note import Note
from coach.music.part import Part
from coach.music.pitch import Pitch
from coach.prepare.dynamics.level import levels
from coach.prepare.dynamics.signs import Covered, places, reach, signs
from coach.prepare.mark import Dynamic, Mark

# The seconds of a quarter at an onset in quarters.
Pace = Callable[[Fraction], float]
# A beat longer than this is counted in its parts.
SLOW_BEAT_S = 1.5


@dataclass(frozen=True, slots=True)
class Tone:
    """A note with what is tied to it. `parted` tells that a rest, a breath or the end comes after it."""

    id: str
    pitch: Pitch
    start_q: Fraction
    end_q: Fraction
    parted: bool
    plain: bool

    @property
    def length_q(self) -> Fraction:
        """Its length in quarters."""
        return self.end_q - self.start_q


class Ground:
    """A part with the questions that shaping asks of it; `marks` are the dynamics that are decided."""

    def __init__(self, part: Part, pace: Pace, marks: Iterable[Mark]) -> None:
        decided = tuple(mark for mark in marks if isinstance(mark.content, Dynamic) and not mark.struck)
        where = places(part)
        self.part = part
        self.levels = levels(part, decided)
        self.signs = signs(part, decided)
        self.tones = _tones(part)
        self.starts_q = [tone.start_q for tone in self.tones]
        self.steps_q = [step.at_q for step in self.signs.steps]
        self.decided = Covered(reach(mark, where) for mark in decided if mark.at in where)
        self._attacks_q = sorted(self.signs.attacks)
        swells = [(swell.start_q, swell.end_q) for swell in self.signs.swells]
        stretches = [(stretch.start_q, stretch.end_q) for stretch in self.signs.stretches]
        self._moving = Covered((*swells, *stretches))
        self._swells_q = [start_q for start_q, _ in swells]
        self._pace = pace
        self._measures_q = [measure.onset_q for measure in part.measures]
        self._metres = _metres(part)

    @property
    def loudest_db(self) -> float:
        """What levels in dB are relative to."""
        return self.levels.loudest_db

    def relative(self, level_db: float) -> float:
        """A level as a mark has it: against the part's loudest, and never above it."""
        return round(min(level_db - self.loudest_db, 0.0), 1)

    def seconds(self, start_q: Fraction, end_q: Fraction) -> float:
        """How long a stretch lasts, at the pace at its start."""
        return float(end_q - start_q) * self._pace(start_q)

    def beat_q(self, at_q: Fraction) -> Fraction:
        """The length of a beat at a place; where it is slow it is counted in parts, two or three."""
        k = bisect_right(self._measures_q, at_q) - 1
        metre = self._metres[max(k, 0)] if self._metres else None
        beat_q = metre.beat_q if metre is not None else Fraction(1)
        if float(beat_q) * self._pace(at_q) <= SLOW_BEAT_S:
            return beat_q
        return beat_q / (3 if metre is not None and metre.is_compound else 2)

    def ends_measure(self, at_q: Fraction) -> bool:
        """Whether a measure begins at a place."""
        k = bisect_left(self._measures_q, at_q)
        return k < len(self._measures_q) and self._measures_q[k] == at_q

    def measure(self, at_q: Fraction) -> str:
        """The printed number of the measure at a place."""
        measure = self.part.measures[max(bisect_right(self._measures_q, at_q) - 1, 0)]
        return measure.number or measure.id

    def moving(self, start_q: Fraction, end_q: Fraction) -> bool:
        """Whether a hairpin or a stretch that is decided lies over a part of a stretch."""
        return self._moving.overlaps(start_q, end_q)

    def still(self, start_q: Fraction, end_q: Fraction) -> bool:
        """Whether one level holds over a stretch and nobody decided on it: no dynamic within, no hairpin over it."""
        within = bisect_right(self.steps_q, start_q) < bisect_left(self.steps_q, end_q)
        struck = bisect_left(self._attacks_q, start_q) < bisect_left(self._attacks_q, end_q)
        return not (within or struck or self.moving(start_q, end_q) or self.decided.overlaps(start_q, end_q))

    def next_sign_q(self, after_q: Fraction) -> Fraction | None:
        """Where the next dynamic stands or the next hairpin begins."""
        found = []
        for row in (self.steps_q, self._swells_q, self._attacks_q):
            k = bisect_right(row, after_q)
            found += row[k : k + 1]
        return min(found, default=None)

    def tone_from(self, at_q: Fraction) -> int:
        """The number of the first tone that begins at a place or after it; the count of tones if none does."""
        return bisect_left(self.starts_q, at_q)


def _tones(part: Part) -> tuple[Tone, ...]:
    found: list[Tone] = []
    chain: list[Note] = []
    notes = [note for note in part.notes() if not note.unpitched and not note.cue]
    for k, note in enumerate(notes):
        if note.pitch is None:
            chain = []
            continue
        chain.append(note)
        after = notes[k + 1] if k + 1 < len(notes) else None
        if note.tie in ("start", "continue") and after is not None and after.pitch == note.pitch:
            continue
        parted = after is None or after.is_rest or after.onset_q > note.end_q or note.breath is not None or note.caesura
        first = chain[0]
        plain = not any(each.ornaments for each in chain) and not note.after_graces
        found.append(Tone(first.id, note.pitch, first.onset_q, note.end_q, parted, plain))
        chain = []
    return tuple(found)


def _metres(part: Part) -> list[Metre | None]:
    found: list[Metre | None] = []
    for measure in part.measures:
        found.append(measure.metre or (found[-1] if found else None))
    return found

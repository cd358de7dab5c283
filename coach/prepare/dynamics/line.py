"""The dynamic line: the level and the colour of every note."""

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from coach.music.note import Note
from coach.music.part import DynamicMark, Hairpin, Part
from coach.prepare.dynamics.level import Levels, levels
from coach.prepare.dynamics.naming import dynamic_name, level_sign, sentence
from coach.prepare.dynamics.signs import HAIRPINS
from coach.prepare.dynamics.steps import ACCENT_DB
from coach.prepare.dynamics.way import Run
from coach.prepare.mark import Dynamic, Mark


@dataclass(frozen=True, slots=True)
class NoteLevel:
    """A note's level in dB against the part's loudest (0 or below) at its start and at its end, its colour from 0
    (dark) to 1 (bright), and why, in one sentence."""

    at: str
    level_db: float
    end_level_db: float
    colour: float
    because: str


def dynamic_line(part: Part, marks: Sequence[Mark] = (), phrases: Sequence[Mark] = ()) -> tuple[NoteLevel, ...]:
    """The levels of all pitched notes of a part, in order, those tied to the one before too; `marks` are its dynamics
    that stand and `phrases` its phrases, suggested ones too. With no marks it is the line as printed."""
    found = levels(part, marks, phrases)
    reason = _Reasons(part, found)
    line: list[NoteLevel] = []
    for note in part.pitched():
        course = found.of(note, note.onset_q, note.end_q)
        start, end = (min(db - found.loudest_db, 0.0) for db in (course.start_db, course.end_db))
        line.append(NoteLevel(note.id, start, end, course.colour, _because(reason(note.onset_q), note)))
    return tuple(line)


def _because(reason: str, note: Note) -> str:
    """The reason of a level, with what an accent adds to it."""
    louder = any(ACCENT_DB.get(name, 0.0) > 0 for name in note.articulations)
    return f"{reason.removesuffix('.')}, with an accent." if louder else reason


class _Reasons:
    """Why the level at a place is what it is, in one sentence."""

    def __init__(self, part: Part, found: Levels) -> None:
        self._levels = found
        self._starts = [measure.onset_q for measure in part.measures]
        self._numbers = [measure.number or measure.id for measure in part.measures]

    def __call__(self, at_q: Fraction) -> str:
        attack = self._levels.attack(at_q)
        if attack:
            return sentence(f"{dynamic_name(attack)}, for this note")
        run = self._levels.run(at_q)
        match run.source:
            case Mark(because=because) if because:
                return because
            case Mark(content=Dynamic(sign=sign)) if sign in HAIRPINS:
                return self._hairpin(run, at_q, "the hairpin that is marked")
            case Mark(content=Dynamic(sign=sign), origin=origin):
                whose = {"teacher": "the teacher marked it", "computed": "suggested"}.get(origin, "you marked it")
                return sentence(f"{dynamic_name(sign) if sign else 'the level'}, as {whose}")
            case Hairpin(kind=kind, start_q=start_q):
                return self._hairpin(run, at_q, f"the {kind} of {self._measure(start_q)}")
            case DynamicMark(onset_q=onset_q, mark=mark):
                return sentence(f"{dynamic_name(mark)}, as printed in {self._measure(onset_q)}")
        return "Mezzo forte, since nothing is printed."

    def _hairpin(self, run: Run, at_q: Fraction, where: str) -> str:
        low, high = (dynamic_name(level_sign(db)) for db in (run.from_db, run.to_db))
        if run.end_q is None or at_q >= run.end_q:
            return sentence(f"{high}, where {where} has led")
        moves = "growing" if run.to_db >= run.from_db else "fading"
        way = f"{moves} from {low} to {high}" if low != high else f"{moves} a little"
        return sentence(f"{way} in {where}")

    def _measure(self, at_q: Fraction) -> str:
        k = max(bisect_right(self._starts, at_q) - 1, 0)
        return f"measure {self._numbers[k]}" if self._numbers else "the first measure"

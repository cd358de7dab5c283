"""How loud and how bright each place of a part is, from its printed dynamics, hairpins and accents.

The steps in decibels are a default of this program, evenly spaced and not measured: players, rooms and registers
differ. A hairpin moves evenly in dB to the dynamic that stands at its end, or by one step if none stands there.
"""

from bisect import bisect_left, bisect_right
from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction

from coach.music.note import Note
from coach.music.part import DynamicMark, Hairpin, Part

STEP_DB = 4.0
NIENTE_DB = -36.0
DEFAULT_MARK = "mf"
# A dynamic that stands at most this far behind a hairpin is the hairpin's goal.
REACH_Q = Fraction(2)

# dB against mezzoforte of dynamics that hold until the next one.
LEVEL_DB: dict[str, float] = {
    "mf": 0.0,
    "mp": -STEP_DB,
    **{"f" * k: STEP_DB * k for k in range(1, 7)},
    **{"p" * k: -STEP_DB * (k + 1) for k in range(1, 7)},
    "n": NIENTE_DB,
}
# Dynamics of one note: dB added to it, and the dynamic that holds afterwards ("" leaves the one in force).
ATTACKS: dict[str, tuple[float, str]] = {
    "sf": (4.0, ""),
    "sfz": (5.0, ""),
    "fz": (4.0, ""),
    "rf": (3.0, ""),
    "rfz": (3.0, ""),
    "sffz": (7.0, ""),
    "fp": (0.0, "p"),
    "sfp": (2.0, "p"),
    "sfzp": (3.0, "p"),
    "sfpp": (2.0, "pp"),
    "pf": (0.0, "f"),
}
# The level at which a note with such a mark begins before it falls (or rises) to what follows.
_BEGINS: dict[str, str] = {"fp": "f", "sfp": "f", "sfzp": "f", "sfpp": "f", "pf": "p"}
# How soon such a note has reached what follows, and the smallest turn of a level that is kept.
_FALL_SHARE = 0.25
_HEARD_DB = 1.0
ACCENT_DB: dict[str, float] = {"accent": 4.0, "strong-accent": 6.0, "soft-accent": 2.0, "stress": 2.0, "unstress": -2.0}


@dataclass(frozen=True, slots=True)
class _Run:
    """From `start_q` the level moves from `from_db` to `to_db` until `end_q` (None: it stays at `to_db`)."""

    start_q: Fraction
    end_q: Fraction | None
    from_db: float
    to_db: float

    def at(self, at_q: Fraction) -> float:
        if self.end_q is None or self.end_q <= self.start_q:
            return self.to_db
        share = float((at_q - self.start_q) / (self.end_q - self.start_q))
        return self.from_db + (self.to_db - self.from_db) * min(max(share, 0.0), 1.0)


@dataclass(frozen=True, slots=True)
class Levels:
    """The level of a part over its length, in dB against mezzoforte."""

    runs: tuple[_Run, ...]
    attacks: dict[Fraction, str]

    def at(self, at_q: Fraction) -> float:
        """Level of what begins at a place."""
        k = bisect_right(self.runs, at_q, key=lambda run: run.start_q) - 1
        return self.runs[max(k, 0)].at(at_q)

    def until(self, at_q: Fraction) -> float:
        """Level just before a place, where the next dynamic does not count yet."""
        k = bisect_left(self.runs, at_q, key=lambda run: run.start_q) - 1
        return self.runs[max(k, 0)].at(at_q)

    def of(self, note: Note, start_q: Fraction, end_q: Fraction) -> "Course":
        """The level of a note from its start to its end, its accents included."""
        accent = sum(ACCENT_DB.get(name, 0.0) for name in note.articulations)
        start, end = self.at(start_q), self.until(end_q)
        mark = self.attacks.get(start_q)
        if mark is None:
            return Course(start + accent, end + accent, self._turn(start_q, end_q, accent))
        added, after = ATTACKS[mark]
        if mark not in _BEGINS:
            return Course(start + accent + added, end + accent + added)
        falls = (_FALL_SHARE, start + accent)
        return Course(LEVEL_DB[_BEGINS[mark]] + accent + added, end + accent, falls)

    def _turn(self, start_q: Fraction, end_q: Fraction, accent: float) -> tuple[float, float] | None:
        """Where the level strays most from a straight way, if it strays enough to be heard."""
        start, end = self.at(start_q), self.until(end_q)
        turns = []
        for run in self.runs:
            if start_q < run.start_q < end_q:
                share = float((run.start_q - start_q) / (end_q - start_q))
                level = self.until(run.start_q)
                turns.append((abs(level - start - share * (end - start)), share, level + accent))
        strays, share, level = max(turns, default=(0.0, 0.0, 0.0))
        return (share, level) if strays >= _HEARD_DB else None


@dataclass(frozen=True, slots=True)
class Course:
    """The level of one note in dB: at its start, at its end, and by way of `turn` (share of its length, dB)."""

    start_db: float
    end_db: float
    turn: tuple[float, float] | None = None

    @property
    def loudest_db(self) -> float:
        """Its loudest moment."""
        return max(self.start_db, self.end_db, self.turn[1] if self.turn else self.start_db)


def levels(part: Part) -> Levels:
    """The levels of a part; where it prints no dynamics at all, those noted at its notes; else mezzoforte."""
    marks = sorted(part.dynamics or _noted(part.notes()), key=lambda mark: mark.onset_q)
    lasting = [
        DynamicMark(mark.onset_q, ATTACKS[mark.mark][1] if mark.mark in ATTACKS else mark.mark) for mark in marks
    ]
    lasting = [mark for mark in lasting if mark.mark in LEVEL_DB]
    attacks = {mark.onset_q: mark.mark for mark in marks if mark.mark in ATTACKS}
    return Levels(_runs(lasting, sorted(part.hairpins, key=lambda hairpin: hairpin.start_q)), attacks)


def loudest_db(part: Part, of: Levels) -> float:
    """The loudest level that any note of the practised line reaches."""
    return max((of.of(note, note.onset_q, note.end_q).loudest_db for note in part.pitched()), default=0.0)


def colour(level_db: float) -> float:
    """Brightness 0 to 1 of a level in dB against mezzoforte: brighter when louder (a default, not measured)."""
    return min(max(0.5 + level_db / 40.0, 0.0), 1.0)


def _noted(notes: Iterable[Note]) -> list[DynamicMark]:
    marks: list[DynamicMark] = []
    for note in notes:
        if note.dynamic is not None and (not marks or marks[-1].mark != note.dynamic):
            marks.append(DynamicMark(note.onset_q, note.dynamic))
    return marks


def _runs(marks: list[DynamicMark], hairpins: list[Hairpin]) -> tuple[_Run, ...]:
    runs = [_Run(Fraction(-1), None, LEVEL_DB[DEFAULT_MARK], LEVEL_DB[DEFAULT_MARK])]
    events: list[tuple[Fraction, int, DynamicMark | Hairpin]] = [(mark.onset_q, 0, mark) for mark in marks]
    events += [(hairpin.start_q, 1, hairpin) for hairpin in hairpins if hairpin.end_q > hairpin.start_q]
    for at_q, _, event in sorted(events, key=lambda item: item[:2]):
        # The flat run laid down behind a hairpin gives way to whatever comes before it begins.
        now = Levels(tuple(runs), {}).at(at_q)
        runs = [run for run in runs if run.start_q < at_q]
        if isinstance(event, DynamicMark):
            level = LEVEL_DB[event.mark]
            runs.append(_Run(at_q, None, level, level))
        else:
            runs += _swell(event, now, marks, hairpins)
    return tuple(runs)


def _swell(hairpin: Hairpin, now: float, marks: list[DynamicMark], hairpins: list[Hairpin]) -> list[_Run]:
    following = min((h.start_q for h in hairpins if h.start_q > hairpin.start_q), default=None)
    end_q = hairpin.end_q if following is None else min(hairpin.end_q, following)
    reach_q = hairpin.end_q + REACH_Q if following is None else min(hairpin.end_q + REACH_Q, following)
    goal = next((mark for mark in marks if hairpin.start_q < mark.onset_q <= reach_q), None)
    rising = hairpin.kind == "crescendo"
    start = NIENTE_DB if hairpin.niente and rising else now
    end = now + (STEP_DB if rising else -STEP_DB)
    if goal is not None:
        end_q = min(end_q, goal.onset_q)
        level = LEVEL_DB[goal.mark]
        # A dynamic against the hairpin's direction is a sudden one: the swell goes its step first.
        end = level if (level > start) == rising and level != start else end
    if hairpin.niente and not rising:
        end = NIENTE_DB
    return [_Run(hairpin.start_q, end_q, start, end), _Run(end_q, None, end, end)]

"""How loud and how bright each place of a part is, from its printed dynamics, hairpins and accents and from the marks.

A hairpin moves evenly in dB to the dynamic that stands at its end, or by one step if none stands there, and what it
reaches stays. The marks say more: a sign at a note overrides the dynamic printed there, a hairpin of one's own without
a level those that are printed under it. A level in dB is relative to the loudest that the part reaches as printed, or
as somebody decided where that is louder. Whatever has both an end and a level of its own is shading: behind it holds
again what would hold without it. Where such a hairpin has no room it begins softer, or louder. Where the line goes on
at once and nothing is said, shading in dB that ends above what holds there comes back to it evenly, so that nothing
drops that nobody asked for: a level within its last third (or half, where it has far to go), a crescendo over what
comes after it, a dB a quarter, since it arrives on the note that it leads to. A crescendo of two steps or more is a
contrast. A phrase swells to its goal and tapers at its end; where that would lead above the part's loudest, the whole
phrase lies lower. The figures are defaults of this program, not measured (`steps`, `colouring`).
"""

from bisect import bisect_right
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from coach.music.note import Note
from coach.music.part import Part
from coach.music.pitch import Pitch
from coach.prepare.dynamics.colouring import colour
from coach.prepare.dynamics.laying import laid, shaded
from coach.prepare.dynamics.phrasing import phrase_way
from coach.prepare.dynamics.signs import UNDECIDED, Signs, Tint, rank, signs
from coach.prepare.dynamics.steps import ACCENT_DB, ATTACKS, BEGINS, LEVEL_DB
from coach.prepare.dynamics.way import Place, Run, Source, Way
from coach.prepare.mark import Dynamic, Mark

# How soon a note that begins with an attack has reached what follows, and the smallest turn of a level that is kept.
_FALL_SHARE = 0.25
_HEARD_DB = 1.0


@dataclass(frozen=True, slots=True)
class Course:
    """The level of one note in dB against mezzoforte: at its start, at its end, and by way of `turn` (share of its
    length, dB); and its colour from 0 (dark) to 1 (bright)."""

    start_db: float
    end_db: float
    turn: tuple[float, float] | None = None
    colour: float = 0.5

    @property
    def loudest_db(self) -> float:
        """Its loudest moment."""
        return max(self.start_db, self.end_db, self.turn[1] if self.turn else self.start_db)


class Levels:
    """The level of a part over its length, in dB against mezzoforte, and the colour of its notes. `loudest_db` is the
    loudest that its notes reach as printed or decided, which levels in dB relate to."""

    def __init__(
        self, way: Way, attacks: Mapping[Fraction, str], tints: Sequence[Tint] = (), loudest_db: float = 0.0
    ) -> None:
        self.loudest_db = loudest_db
        self._way, self._attacks = way, attacks
        self._tints, self._tinted = tints, [float(tint.start_q) for tint in tints]
        self._phrased: Way | None = None

    def at(self, at_q: Place) -> float:
        """Level of what begins at a place."""
        return self._lifted(self._way.at(at_q), self._phrased.at(at_q) if self._phrased else 0.0)

    def until(self, at_q: Place) -> float:
        """Level just before a place, where the next dynamic does not count yet."""
        return self._lifted(self._way.until(at_q), self._phrased.until(at_q) if self._phrased else 0.0)

    def _lifted(self, level_db: float, by_db: float) -> float:
        """A level with the shape of its phrase, which never leads above the part's loudest."""
        return min(level_db + by_db, max(level_db, self.loudest_db)) if by_db > 0 else level_db + by_db

    def run(self, at_q: Place) -> Run:
        """What holds at a place, and the printed sign or the mark that it comes from; without the shape of phrases."""
        return self._way.run(at_q)

    def attack(self, at_q: Fraction) -> str:
        """The dynamic of one note that begins at a place ("sfz"), or ""."""
        return self._attacks.get(at_q, "")

    def of(self, note: Note, start_q: Fraction, end_q: Fraction) -> Course:
        """The level of a note from its start to its end, its accents included."""
        plain = self.passing(note.pitch, start_q, end_q)
        accent = sum(ACCENT_DB.get(name, 0.0) for name in note.articulations)
        mark = self._attacks.get(start_q) if self._attacks else None
        if not accent and mark is None:
            return plain
        start, end = plain.start_db + accent, plain.end_db + accent
        turn = (plain.turn[0], plain.turn[1] + accent) if plain.turn else None
        if mark in BEGINS:
            turn = (_FALL_SHARE, start)
            start = LEVEL_DB[BEGINS[mark]] + accent + ATTACKS[mark][0]
        elif mark is not None:
            start, end, turn = start + ATTACKS[mark][0], end + ATTACKS[mark][0], None
        return Course(start, end, turn, plain.colour)

    def passing(self, pitch: Pitch | None, start_q: Place, end_q: Place) -> Course:
        """The level of a grace or of a note of an ornament, without the accents of its main note."""
        begins, ends = float(start_q), float(end_q)
        start, end = self.at(begins), self.until(ends)
        return Course(start, end, self._turn(begins, ends, start, end), self._colour(pitch, begins, (start + end) / 2))

    def phrased(self, phrases: Iterable[Mark], part: Part) -> "Levels":
        """The same with the shape of phrases."""
        shaped = Levels(self._way, self._attacks, self._tints, self.loudest_db)
        shaped._phrased = phrase_way(phrases, part, self._way, self.loudest_db)
        return shaped

    def _turn(self, begins: float, ends: float, start_db: float, end_db: float) -> tuple[float, float] | None:
        """Where the level strays most from a straight way, if it strays enough to be heard."""
        bends = {float(bend_q) for way in (self._way, self._phrased) if way for bend_q in way.bends(begins, ends)}
        strays, turn = 0.0, None
        for bend in sorted(bends):
            share = (bend - begins) / (ends - begins)
            level_db = self.until(bend)
            by_db = abs(level_db - start_db - share * (end_db - start_db))
            if by_db > strays:
                strays, turn = by_db, (share, level_db)
        return turn if strays >= _HEARD_DB else None

    def _colour(self, pitch: Pitch | None, begins: float, level_db: float) -> float:
        k = bisect_right(self._tinted, begins) - 1
        if k >= 0:
            tint_ends_q = self._tints[k].end_q
            if tint_ends_q is None or begins < tint_ends_q:
                return min(max(self._tints[k].colour, 0.0), 1.0)
        return colour(level_db, pitch.midi) if pitch is not None else colour(level_db)


def levels(part: Part, marks: Iterable[Mark] = (), phrases: Iterable[Mark] = ()) -> Levels:
    """The levels of a part; where it prints no dynamics at all, those noted at its notes; else mezzoforte. `marks` are
    its dynamics and `phrases` its phrases, suggested ones among them; what is struck does not count."""
    marks = tuple(marks)
    found = signs(part, marks)
    loudest = _loudest_db(part, [mark for mark in marks if rank(mark) < UNDECIDED])
    way = shaded(found, loudest)
    own = Levels(way, found.attacks, _ended(found, way), loudest)
    standing = [mark for mark in phrases if not mark.struck]
    return own.phrased(standing, part) if standing else own


def _loudest_db(part: Part, decided: Sequence[Mark]) -> float:
    """What levels in dB relate to: suggestions do not move it, and what is decided only upwards."""
    readings = [signs(part), *([signs(part, decided)] if decided else [])]
    found = [Levels(laid(reading), reading.attacks) for reading in readings]
    courses = (each.of(note, note.onset_q, note.end_q) for each in found for note in part.pitched())
    return max((course.loudest_db for course in courses), default=0.0)


def _ended(found: Signs, way: Way) -> tuple[Tint, ...]:
    """The tints, those that last as long as their level with the place where the next one begins, or where a level
    that comes back sets off to do so."""
    steps = [step.at_q for step in found.steps]
    tails = {run.end_q: run.start_q for run in way.runs if run.to_db < run.from_db and _unsigned(run.source)}

    def end_q(tint: Tint) -> Fraction | None:
        if tint.end_q is not None:
            return tails.get(tint.end_q, tint.end_q)
        k = bisect_right(steps, tint.start_q)
        return None if k == len(steps) else steps[k]

    return tuple(Tint(tint.start_q, end_q(tint), tint.colour) for tint in found.tints)


def _unsigned(source: Source) -> bool:
    return isinstance(source, Mark) and isinstance(source.content, Dynamic) and not source.content.sign

"""From a part to the row of tones that the planner takes: seconds, air, and the options after each note.

A rest gives its time to the breath free; what is missing is cut from the end of the note before, as far as that note
keeps its share. Air flows by the dynamic: a hairpin goes evenly from the flow at its beginning to that at its end.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import ceil

from coach.instruments.air import Air
from coach.prepare.breath.chains import Chain
from coach.prepare.breath.places import (
    BARRED_POINTS,
    CLEAR_END,
    CUT_POINTS,
    ENDS,
    HALF_POINTS,
    TIME_POINTS,
    UNUSED_END_POINTS,
    UNUSED_REST_POINTS,
    Place,
)
from coach.prepare.breath.planner import CATCH, FULL, NONE, POINT, UNITS, Lungs, Option, Tone
from coach.prepare.dynamics.level import Levels
from coach.prepare.dynamics.steps import STEP_DB

# Seconds of playing at a place in quarters from the start of the piece.
Clock = Callable[[Fraction], float]
# A note from here on (dB against mezzoforte) is loud: forte, or nearly.
LOUD_DB = 3.0
SOFT_DB = -7.0
HIGH_MIDI = 79  # written G5
_LEAP = 7
_SLICES = 8


@dataclass(frozen=True, slots=True)
class Line:
    """A row of notes ready to be planned: the notes, their seconds and options, and the lungs."""

    chains: tuple[Chain, ...]
    tones: tuple[Tone, ...]
    lungs: Lungs


def line_of(
    notes: Sequence[Chain],
    gaps: Sequence[Place],
    air: Air,
    clock: Clock,
    levels: Levels,
    decided: Mapping[str, str],
    struck: frozenset[str] = frozenset(),
) -> Line:
    """The line of a part's notes. `decided` are the breaths that stay, by the note they follow, "" for the size that
    fits; `struck` are the places where none is wanted."""
    lungs = Lungs(round(air.litres * UNITS), round(air.litres * air.catch_share * UNITS))
    tones = []
    for k, chain in enumerate(notes):
        start_s, end_s = clock(chain.onset_q), clock(chain.end_q)
        rest_s = round(clock(chain.end_q + chain.rest_q) - end_s, 9)  # a rest of 0.6 s gives 0.6 s
        spends = _Spending(chain, air, levels, start_s, end_s)
        size = decided.get(chain.at)
        place = gaps[k] if k < len(gaps) else None
        options = _options(place, spends, rest_s, air, size, chain.at in struck)
        course = levels.passing(chain.pitch, chain.onset_q, chain.end_q)
        loud = (course.start_db + course.end_db) / 2 >= LOUD_DB
        tones.append(
            Tone(
                start_s,
                end_s,
                options,
                loud=loud,
                entry=course.start_db <= SOFT_DB and chain.pitch.midi >= HIGH_MIDI and _enters(notes, k),
                floor_ul=round(air.reserve * lungs.full_ul) if loud else 0,
            )
        )
    return Line(tuple(notes), tuple(tones), lungs)


def _enters(notes: Sequence[Chain], k: int) -> bool:
    """Whether a note begins something: at the start, after a rest or the end of a slur, or by a leap up."""
    if k == 0:
        return True
    before = notes[k - 1]
    return not before.joined or notes[k].pitch.midi - before.pitch.midi >= _LEAP


class _Spending:
    """How much air a note spends up to a moment before its end."""

    def __init__(self, chain: Chain, air: Air, levels: Levels, start_s: float, end_s: float) -> None:
        self.length_s = end_s - start_s
        midi = chain.pitch.midi
        steady = levels.run(chain.onset_q)
        if steady is levels.run(chain.end_q) and steady.end_q is None:
            self._flows = [air.flow(steady.to_db, midi, STEP_DB)] * _SLICES
        else:
            half_q = chain.length_q / (2 * _SLICES)
            self._flows = [_flow(air, levels, chain.onset_q + half_q * n, midi) for n in range(1, 2 * _SLICES, 2)]

    def used_ul(self, cut_s: float) -> int:
        """Microlitres for the note without its last seconds, rounded up."""
        left = max(self.length_s - cut_s, 0.0)
        whole = self.length_s / _SLICES
        used = 0.0
        for flow in self._flows:
            used += flow * min(whole, left)
            left -= min(whole, left)
        return ceil(used * UNITS - 1e-6)


def _flow(air: Air, levels: Levels, at_q: Fraction, midi: int) -> float:
    run = levels.run(at_q)
    if run.end_q is None or run.end_q <= run.start_q:
        return air.flow(run.to_db, midi, STEP_DB)
    share = min(max(float((at_q - run.start_q) / (run.end_q - run.start_q)), 0.0), 1.0)
    start, end = (air.flow(db, midi, STEP_DB) for db in (run.from_db, run.to_db))
    return start + share * (end - start)


def _options(
    place: Place | None, spends: _Spending, rest_s: float, air: Air, size: str | None, struck: bool
) -> tuple[Option, ...]:
    """What can be done after a note; where a breath is decided, only that."""
    going_on = Option(NONE, spends.used_ul(0.0), 0.0, 0)
    if place is None or (struck and size is None):
        return (going_on,)
    if size is not None:
        return (_decided(place, spends, rest_s, air, size),)
    found = [going_on]
    barred = bool(place.barred)
    for kind, need_s in ((CATCH, air.catch_s), (FULL, air.full_s)):
        cut_s = max(0.0, need_s - rest_s)
        if cut_s <= _most_cut_s(spends.length_s, air):
            found.append(_breath(kind, place, spends, cut_s, barred=barred, whole=rest_s >= air.full_s))
    if not barred and len(found) > 1:
        free = any(option.size == FULL and not option.cut_s for option in found)
        unused = UNUSED_REST_POINTS if free else UNUSED_END_POINTS if _clear_end(place) else 0.0
        found[0] = Option(NONE, going_on.used_ul, 0.0, round(unused * POINT))
    return tuple(found)


def _clear_end(place: Place) -> bool:
    return place.points <= CLEAR_END and not ENDS.isdisjoint(place.traits)


def _most_cut_s(length_s: float, air: Air) -> float:
    """How much of its end a note can give up."""
    return max(0.0, min(length_s * (1 - air.keep_share), length_s - air.keep_s)) + 1e-9


def _breath(kind: str, place: Place, spends: _Spending, cut_s: float, *, barred: bool, whole: bool) -> Option:
    free = cut_s <= 0
    half = HALF_POINTS if whole and kind == CATCH else 0.0
    points = half if free else place.points + TIME_POINTS * cut_s
    points += CUT_POINTS * cut_s / spends.length_s if cut_s > 0 else 0.0
    points += BARRED_POINTS if barred else 0.0
    return Option(kind, spends.used_ul(cut_s), cut_s, round(points * POINT), rest="rest" in place.traits)


def _decided(place: Place, spends: _Spending, rest_s: float, air: Air, size: str) -> Option:
    """A breath that stays, even where there is little time: it takes what the note can give."""
    most_s = _most_cut_s(spends.length_s, air)
    if not size:
        size = FULL if air.full_s - rest_s <= most_s else CATCH
    need_s = air.full_s if size == FULL else air.catch_s
    cut_s = min(max(0.0, need_s - rest_s), most_s)
    return Option(size, spends.used_ul(cut_s), cut_s, 0, rest=True)

"""The breaths of a part: the performance plan, the practice breaths of slower tempi, the air left, and the reasons."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from functools import cache

from coach.instruments.air import Air
from coach.music.part import Part
from coach.prepare.breath.chains import chains
from coach.prepare.breath.line import Clock, Line, line_of
from coach.prepare.breath.places import Place, places
from coach.prepare.breath.planner import CATCH, FULL, UNITS, Plan, plan_breaths
from coach.prepare.breath.reasons import reason
from coach.prepare.breath.troubles import Making, troubles
from coach.prepare.dynamics.level import Levels


@dataclass(frozen=True, slots=True)
class Planned:
    """A breath of a plan after the note `at` (the last of a tied chain): how much of that note's end it takes in
    seconds, the litres before and after it, whether slow practice alone asks for it, whether somebody had decided it,
    and why."""

    at: str
    size: str
    steals_s: float
    air_before: float
    air_after: float
    practice: bool = False
    decided: bool = False
    because: str = ""


@dataclass(frozen=True, slots=True)
class AirAt:
    """The litres left when a note (the first of a tied chain) begins, and when its sound ends."""

    at: str
    start: float
    end: float


@dataclass(frozen=True, slots=True)
class Breathing:
    """The breaths of a part at one tempo, the air at every note, and what cannot work, a sentence each."""

    breaths: tuple[Planned, ...]
    air: tuple[AirAt, ...]
    troubles: tuple[str, ...] = ()
    short_litres: float = 0.0


@dataclass(frozen=True, slots=True)
class Asked:
    """What a plan is made for. `decided` are the breaths that stay, by the note they follow, with their size (""
    where the size is left open); `struck` the notes after which none is wanted; `phrase_ends` the last notes of marked
    phrases; `tempo` tells what the tempo is called at a place in quarters, at a factor of its speed ("54")."""

    decided: Mapping[str, str] = field(default_factory=dict)
    struck: frozenset[str] = frozenset()
    phrase_ends: frozenset[str] = frozenset()
    tempo: Callable[[Fraction, float], str] | None = None


def breathing(
    part: Part, air: Air, clock: Clock, levels: Levels, asked: Asked | None = None, also: Iterable[str] | None = None
) -> Breathing:
    """The breaths of a part at the tempo of `clock`. `also` are the places of a performance plan, which stay in slow
    practice; what is added to them are practice breaths. Raises nothing: what cannot work is told."""
    notes = chains(part)
    if not notes:
        return Breathing((), ())
    asked, kept = asked or Asked(), tuple(also or ())
    clock = cache(clock)  # plans made anew ask for the same moments
    printed = {one.at: "" for one in notes if one.last.breath is not None}
    decided = {**printed, **dict.fromkeys(kept, ""), **asked.decided}
    rests = [clock(one.end_q + one.rest_q) - clock(one.end_q) >= air.catch_s for one in notes]
    gaps = places(part, notes, rests, asked.phrase_ends)
    line = line_of(notes, gaps, air, clock, levels, decided, asked.struck)
    plan = plan_breaths(line.tones, line.lungs)
    found = _planned(line, plan, gaps, decided, practice=also is not None)
    made = Making(gaps, air, clock, levels, decided, asked.struck, asked.tempo)
    return Breathing(found, _air(line, plan), troubles(line, plan, made), plan.short_ul / UNITS)


def _planned(
    line: Line, plan: Plan, gaps: Sequence[Place], decided: Mapping[str, str], *, practice: bool
) -> tuple[Planned, ...]:
    full = line.lungs.full_ul
    found = []
    for k, (chain, option) in enumerate(zip(line.chains, plan.options, strict=True)):
        if option.size:
            left = plan.left_ul[k]
            after = full if option.size == FULL else min(full, left + line.lungs.catch_ul)
            known = chain.at in decided
            found.append(
                Planned(
                    chain.at,
                    option.size,
                    round(option.cut_s, 4),
                    left / UNITS,
                    after / UNITS,
                    practice=practice and not known,
                    decided=known,
                    because=reason(line, plan, gaps, k),
                )
            )
    return tuple(found)


def _air(line: Line, plan: Plan) -> tuple[AirAt, ...]:
    full = line.lungs.full_ul
    air = full
    found = []
    for chain, option, left in zip(line.chains, plan.options, plan.left_ul, strict=True):
        found.append(AirAt(chain.first.id, air / UNITS, left / UNITS))
        air = full if option.size == FULL else min(full, left + line.lungs.catch_ul) if option.size == CATCH else left
    return tuple(found)

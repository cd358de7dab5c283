"""What holds and what needs work, measure by measure, from the reps.

What a rep says about a measure:
- clean and complete: every measure that it covers was clean;
- a slip with its place: that measure slipped; the measures not named were clean if the attempt was finished, and
  nothing is known of them if it was broken off;
- a slip without a place: it counts for all measures of a short stretch (up to four), and in one of n measures as 4/n of
  an attempt for each; were it left out there, the clean reps alone would be believed. Beside a slip with its place it
  says nothing more in a longer stretch, where nothing is known of the measures not named either;
- clean but broken off: nothing;
- a rep of a drill, clean or not: nothing. A drill repeats a few of the measure's notes, slurred and out of their place:
  easier in one way and, back and forth in sixteenths, harder in another. It speaks for itself alone.
A stretch that begins or ends inside a measure speaks for the whole measure.

States, against the target tempo T:
- "unknown": fewer than three attempts say anything about the measure, or all are nearly forgotten;
- "holds": the hold tempo reaches T with a probability of at least 0.8, and it was played clean at T;
- "nearly holds": the hold tempo is at least 0.9 T, and it was played clean at 0.9 T or faster;
- "needs work": all else.
A tempo within 3 per cent counts as the same (the smallest difference in tempo that listeners hear in a run of beats:
Drake C., Botte M.-C. 1993, Percept Psychophys 54:277-286). The numbers three, 0.8, 0.9 and four are defaults of this
program.

The chance of a clean run comes from runs of the whole cut at the target tempo alone, never from a product of measures.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from coach.music.tempo import Tempo
from coach.practice.chance import jeffreys
from coach.practice.hold import HALF_LIFE_DAYS, Evidence, Hold, estimate
from coach.practice.rep import Rep

HOLDS, NEARLY, NEEDS_WORK, UNKNOWN = "holds", "nearly holds", "needs work", "unknown"
STATES = (HOLDS, NEARLY, NEEDS_WORK, UNKNOWN)
SURE = 0.8
NEAR = 0.9
SAME_TEMPO = 0.97
SHORT_MEASURES = 4
SCHEMA = "coach.progress/1"
DAY_S = 86400.0


@dataclass(frozen=True, slots=True)
class MeasureStanding:
    """The state of one measure; hold tempo and its 80 per cent interval in the target's beats per minute. `shown` is
    the fastest tempo at which it was clean: a hold tempo above it is what the prior makes of the reps.
    """

    measure: str
    state: str
    hold_tempo: float | None = None
    low: float | None = None
    high: float | None = None
    shown: float | None = None


@dataclass(frozen=True, slots=True)
class PieceStanding:
    """The chance of a clean run of the whole cut now, with its 80 per cent interval; None without runs at tempo."""

    now: float | None = None
    low: float | None = None
    high: float | None = None
    on_date: float | None = None


@dataclass(frozen=True, slots=True)
class Standing:
    """The standing of a piece: its measures in order, and the cut as a whole."""

    measures: tuple[MeasureStanding, ...]
    whole_piece: PieceStanding

    def document(self) -> dict[str, Any]:
        """The standing as a document that other programs read."""
        keys = ("measure", "state", "hold_tempo", "low", "high")
        whole = self.whole_piece
        return {
            "schema": SCHEMA,
            "measures": [{key: _rounded(getattr(one, key)) for key in keys} for one in self.measures],
            "whole_piece": {key: _rounded(getattr(whole, key), 3) for key in ("now", "on_date", "low", "high")},
        }


def standing(
    reps: Iterable[Rep],
    measures: Sequence[str],
    target: Tempo,
    now: datetime,
    cut: tuple[str, str] | None = None,
    local: Mapping[str, Tempo] | None = None,
) -> Standing:
    """The standing of a piece, given the ids of its measures in order, the performance tempo and the time.

    `cut` is the first and the last measure asked for (None: all); only its measures are told of. `local` gives the
    performance tempo of measures where it is not `target` (after a tempo change); the tempo of a rep is that of its
    first measure. Raises ValueError if the cut names no measures of the piece.
    """
    listed, local, places = tuple(reps), local or {}, _places(measures)
    asked = tuple(measures) if cut is None else tuple(measures[measures.index(cut[0]) : measures.index(cut[1]) + 1])
    gathered: dict[str, list[Evidence]] = {measure: [] for measure in measures}
    for rep in listed:
        share, age_days = _share(rep, local.get(rep.first, target)), _age_days(rep, now)
        said = told(rep, measures, places)
        weight = weight_of(rep, said)
        for measure, clean in said.items():
            gathered[measure].append(Evidence(share, clean, age_days, weight))
    return Standing(
        tuple(_measure(measure, gathered[measure], float(local.get(measure, target).per_minute)) for measure in asked),
        whole(listed, asked, local.get(asked[0], target) if asked else target, now),
    )


def told(rep: Rep, measures: Sequence[str], places: Mapping[str, int] | None = None) -> dict[str, bool]:
    """What a rep says about the measures of a piece: clean (True) or slipped (False); silent on all others.

    `places` are the measures' indices, if they are at hand.
    """
    if rep.drill:
        return {}
    covered = _covered(rep, measures, places or _places(measures))
    if rep.outcome == "clean":
        return dict.fromkeys(covered, True) if rep.complete else {}
    named = {_measure_of(slip.at, covered) for slip in rep.slips if slip.at} - {""}
    placed = bool(rep.slips) and all(_measure_of(slip.at, covered) for slip in rep.slips)
    if not placed and (not named or len(covered) <= SHORT_MEASURES):
        return dict.fromkeys(covered, False)
    rest = covered if placed and rep.complete else ()
    return {measure: measure not in named for measure in covered if measure in named or measure in rest}


def weight_of(rep: Rep, said: Mapping[str, bool]) -> float:
    """How much of an attempt a rep is for each measure that it speaks of (`said`, see `told`), by the rule above."""
    covered = tuple(said)
    placed = any(_measure_of(slip.at, covered) for slip in rep.slips)
    return 1.0 if rep.outcome == "clean" or placed else min(1.0, SHORT_MEASURES / max(len(covered), 1))


def stretch_evidence(reps: Iterable[Rep], beat: str, now: datetime) -> tuple[Evidence, ...]:
    """What reps of one stretch say about it as a whole, tempi in `beat`; a clean one broken off says nothing."""
    telling = (rep for rep in reps if rep.complete or rep.outcome != "clean")
    return tuple(Evidence(rep.per_minute_in(beat), rep.outcome == "clean", _age_days(rep, now)) for rep in telling)


def state_of(evidence: Sequence[Evidence], hold: Hold | None, target: float) -> str:
    """The state by the rule above; `target` per minute."""
    if hold is None:
        return UNKNOWN
    shown = max((one.per_minute for one in evidence if one.clean), default=0.0) / target
    if hold.sure >= SURE and shown >= SAME_TEMPO:
        return HOLDS
    if hold.per_minute >= NEAR * target and shown >= NEAR * SAME_TEMPO:
        return NEARLY
    return NEEDS_WORK


def whole(reps: Iterable[Rep], measures: Sequence[str], target: Tempo, now: datetime) -> PieceStanding:
    """The chance of a clean run now, from runs of all of these measures at the target tempo or faster."""
    clean = slipped = 0.0
    for rep in reps:
        if rep.kind == "rep" or not measures or (rep.first, rep.last) != (measures[0], measures[-1]):
            continue
        if _share(rep, target) < SAME_TEMPO or (rep.outcome == "clean" and not rep.complete):
            continue
        weight = 2.0 ** (-_age_days(rep, now) / HALF_LIFE_DAYS)
        clean, slipped = (clean + weight, slipped) if rep.clean else (clean, slipped + weight)
    if clean + slipped == 0:
        return PieceStanding()
    chance = jeffreys(clean, slipped)
    return PieceStanding(chance.p, chance.low, chance.high)


def _measure(measure: str, evidence: list[Evidence], goal: float) -> MeasureStanding:
    """The standing of a measure from evidence whose tempi are shares of the goal (per minute)."""
    hold = estimate(evidence, 1.0)
    state = state_of(evidence, hold, 1.0)
    if hold is None:
        return MeasureStanding(measure, state)
    shown = max((one.per_minute * goal for one in evidence if one.clean), default=None)
    return MeasureStanding(measure, state, hold.per_minute * goal, hold.low * goal, hold.high * goal, shown)


def _share(rep: Rep, target: Tempo) -> float:
    return rep.per_minute_in(target.beat.name) / float(target.per_minute)


def _age_days(rep: Rep, now: datetime) -> float:
    return max((now - rep.at).total_seconds() / DAY_S, 0.0)


def _places(measures: Sequence[str]) -> dict[str, int]:
    return {measure: k for k, measure in enumerate(measures)}


def _covered(rep: Rep, measures: Sequence[str], places: Mapping[str, int]) -> tuple[str, ...]:
    """The measures that a rep covers; none if the score was corrected and they are no longer there."""
    first, last = places.get(rep.first), places.get(rep.last)
    if first is None or last is None:
        return ()
    return tuple(measures[first : last + 1])


def _measure_of(at: str, covered: Sequence[str]) -> str:
    """The measure of a slip's place (a measure id or a note id such as "12.3"), "" if it is not among those covered."""
    if at in covered:
        return at
    measure = at.rpartition(".")[0]
    return measure if measure in covered else ""


def _rounded(value: Any, digits: int = 1) -> Any:
    return round(value, digits) if isinstance(value, float) else value

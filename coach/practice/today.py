"""Today's plan in its first form: the spots that need work most, with the minutes shared out.

Need is one minus the estimated chance of a clean rep at the target (see hold.py); a spot with too few reps needs as
much as one never tried. Turns are short and the spots alternate: interleaving helped clarinettists in some studies
(Carter C.E., Grahn J.A. 2016, Front Psychol 7:1251; Stambaugh L.A. 2011, JRME 58:368-383) and made no difference in
another (19 pupils, one session). A rest of five minutes for each half hour, and no more than 25 minutes without one,
follows the usual guidance of performing-arts medicine. How long a warm-up or a turn should be is not known: the lengths
here are defaults. A later issue plans for the day of the performance.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import accumulate, pairwise
from typing import Any

from coach.errors import RequestError
from coach.practice.hold import CLEAN_AT_HOLD, estimate, prior_chance
from coach.practice.ladder import PRESETS, Climb, Ladder, Rule, attempts, climb
from coach.practice.record import Record
from coach.practice.rep import Rep
from coach.practice.share import Share, ago, last_worked, share_of
from coach.practice.spot import Spot
from coach.practice.standing import HOLDS, NEEDS_WORK, UNKNOWN, state_of, stretch_evidence

SCHEMA = "coach.today/1"
SHORTEST, LONGEST = 5, 480  # minutes that can be planned
REST = 5
HALF_HOUR = 30
WITHOUT_REST = 25
SHORT_TURN, LONG_TURN = 3, 8
RUN = 5
CAUTION = "Pain means stop: put the instrument down, and take it to a teacher or a clinician if it comes back."
WARM_UP = f"Long tones and slow scales in the key of the piece wake the air and the fingers. {CAUTION}"
REST_WORDS = "Five minutes in each half hour: put the instrument down; hands, lip and ears need the rest."
LOOK = "No spots yet: hear it once with the reference, play it slowly, and make spots of the places that do not hold."
RUN_WORDS = "Every spot holds at the performance tempo: a run of the whole shows what does not."


@dataclass(frozen=True, slots=True)
class Item:
    """One item: `kind` is "warm-up", "spot", "run", "look" or "rest"; ids of piece and spot ("" where none); whole
    minutes; the tempo to start at per minute of `beat` (None where none)."""

    kind: str
    minutes: int
    because: str
    piece: str = ""
    spot: str = ""
    name: str = ""
    tempo: float | None = None
    beat: str = ""


@dataclass(frozen=True, slots=True)
class Plan:
    """The plan for some minutes; the items add up to them."""

    minutes: int
    items: tuple[Item, ...]

    def document(self) -> dict[str, Any]:
        """The plan as a document that other programs read."""
        keys = ("kind", "piece", "spot", "name", "minutes", "tempo", "beat", "because")
        items = [{key: getattr(item, key) for key in keys} for item in self.items]
        return {"schema": SCHEMA, "minutes": self.minutes, "items": items}


@dataclass(frozen=True, slots=True)
class Need:
    """A spot with what is known of it: `need` 0 to 1, its state, share of clean reps, last work, tempo to start at;
    `shown` is the fastest tempo that was clean. On one that `falls` slower is harder: it has no hold tempo."""

    spot: Spot
    need: float
    state: str
    share: Share
    last: datetime | None
    hold: float | None
    shown: float | None
    target: float
    tempo: float
    beat: str
    falls: bool = False


def needs(record: Record, now: datetime, rule: Rule = PRESETS[0]) -> tuple[Need, ...]:
    """The spots of all pieces on the stand, the neediest first; of equal ones the longest unworked first."""
    spots = (spot for piece in record.stand() for spot in record.spots_of(piece.id))
    ladders = ((spot, record.ladder_of(spot.uuid, rule)) for spot in spots)
    return tuple(sorted((_need(record, spot, ladder, now) for spot, ladder in ladders if ladder), key=_order))


def plan(record: Record, minutes: int, now: datetime, rule: Rule = PRESETS[0]) -> Plan:
    """Today's plan for so many minutes; `now` is in the player's zone, `rule` that of ladders not set up yet.

    Raises RequestError for too few or too many minutes.
    """
    if not SHORTEST <= minutes <= LONGEST:
        raise RequestError(f"{minutes} minutes cannot be planned; ask for {SHORTEST} to {LONGEST}.")
    if not record.stand():
        return Plan(minutes, ())
    rests = rests_in(minutes)
    warm_up = Item("warm-up", min(10, max(2, minutes // 6)), WARM_UP)
    left = minutes - rests * REST - warm_up.minutes
    work = _work(record, left, needs(record, now, rule), now)
    return Plan(minutes, tuple(_with_rests([warm_up, *work], rests)))


def rests_in(minutes: int) -> int:
    """How many rests: one for each half hour, and as many more as keep stretches within 25 minutes."""
    rests = minutes // HALF_HOUR
    while (minutes - rests * REST) > WITHOUT_REST * (rests + 1):
        rests += 1
    return rests


def because(need: Need, now: datetime) -> str:
    """Why a spot is on the plan, in one or two sentences made of what was logged."""
    if not need.share.attempts:
        return "Not tried yet: hear the reference, then look for the tempo at which it holds."
    where = need.share.words[0].upper() + need.share.words[1:]
    played = f"last worked {ago(need.last, now)}"
    if not need.share.clean and not need.falls:
        return f"{where}: take it slower, down to where it holds; {played}."
    if need.falls:
        if need.state == HOLDS:
            return f"{where}; on one breath down to {need.target:g}, and a look keeps it; {played}."
        return f"{where}; on one breath down to {need.target:g} is wanted; {played}."
    if need.hold is None:
        return f"{where}, too few to judge; {played}."
    if need.state == HOLDS:
        return f"{where}; it holds at {need.target:g}, and a look keeps it; {played}."
    if need.hold >= need.target:
        return f"{where}; about ready for {need.target:g}, and not shown there yet; {played}."
    if need.shown is not None and need.hold > need.shown:  # the estimate rests on the prior there
        return f"{where}; clean up to {need.shown:g} so far, {need.target:g} is wanted; {played}."
    return f"{where}; holds at about {need.hold:.0f} where {need.target:g} is wanted; {played}."


def _need(record: Record, spot: Spot, ladder: Ladder, now: datetime) -> Need:
    reps = record.reps_of(spot.uuid)
    stands = climb(ladder, attempts(ladder, reps))
    if ladder.falls:
        return _falling_need(spot, ladder, stands, reps)
    evidence = stretch_evidence(reps, ladder.beat, now)
    hold = estimate(evidence, ladder.target)
    return Need(
        spot=spot,
        need=1 - (prior_chance() if hold is None else hold.chance),
        state=state_of(evidence, hold, ladder.target),
        share=share_of(reps),
        last=last_worked(reps),
        hold=hold.per_minute if hold else None,
        shown=max((one.per_minute for one in evidence if one.clean), default=None),
        target=ladder.target,
        tempo=stands.per_minute,
        beat=ladder.beat,
    )


def _falling_need(spot: Spot, ladder: Ladder, stands: Climb, reps: Sequence[Rep]) -> Need:
    """A spot where slower is harder has no hold tempo: until the end of its ladder is reached it needs as much as one
    never tried, then as much as one that holds."""
    return Need(
        spot=spot,
        need=1 - (CLEAN_AT_HOLD if stands.arrived else prior_chance()),
        state=HOLDS if stands.arrived else NEEDS_WORK if reps else UNKNOWN,
        share=share_of(reps),
        last=last_worked(reps),
        hold=None,
        shown=None,
        target=ladder.target,
        tempo=stands.per_minute,
        beat=ladder.beat,
        falls=True,
    )


def _order(need: Need) -> tuple[float, float, str, str]:
    last = need.last.timestamp() if need.last else -math.inf
    return -round(need.need, 6), last, need.spot.name, need.spot.uuid


def _work(record: Record, minutes: int, found: tuple[Need, ...], now: datetime) -> list[Item]:
    """Turns of the spots, neediest first and round again until the minutes are used."""
    first, *others = [*_turns(found, now), *_whole_pieces(record, found)]
    # A piece not looked at yet comes right after the neediest spot: what is not known cannot be planned.
    turns = sorted(others, key=lambda turn: turn.kind != "look")
    turns.insert(0, first)
    items: list[Item] = []
    k = 0
    while minutes > 0:
        turn = turns[k % len(turns)]
        k += 1
        given = min(turn.minutes, minutes)
        if minutes - given < SHORT_TURN:  # no crumbs: the last turn takes what is left
            given = minutes
        before = items.pop().minutes if len(turns) == 1 and items else 0
        items.append(_lasting(turn, before + given))
        minutes -= given
    return items


def _turns(found: tuple[Need, ...], now: datetime) -> Iterator[Item]:
    for need in found:
        minutes = SHORT_TURN + round((LONG_TURN - SHORT_TURN) * need.need)
        spot = need.spot
        yield Item("spot", minutes, because(need, now), spot.piece, spot.uuid, spot.name, need.tempo, need.beat)


def _whole_pieces(record: Record, found: tuple[Need, ...]) -> Iterator[Item]:
    """A run of each piece whose spots all hold; a first look at each piece without spots. A drill is a means: where
    there are spots of measures, these decide."""
    states: dict[str, list[str]] = {}
    measured = {need.spot.piece for need in found if not need.spot.drill}
    for need in found:
        if not need.spot.drill or need.spot.piece not in measured:
            states.setdefault(need.spot.piece, []).append(need.state)
    for piece in record.stand():
        tempo, beat = float(piece.tempo.per_minute), piece.tempo.beat.name
        if piece.id not in states:
            yield Item("look", LONG_TURN, LOOK, piece.id, name=piece.title, tempo=tempo, beat=beat)
        elif set(states[piece.id]) == {HOLDS}:
            yield Item("run", RUN, RUN_WORDS, piece.id, name=piece.title, tempo=tempo, beat=beat)


def _with_rests(items: Sequence[Item], rests: int) -> Iterator[Item]:
    """The items with rests between, splitting one where no change of item is near."""
    breaks = _breaks([item.minutes for item in items], rests)
    done = 0
    for item in items:
        start, end = done, done + item.minutes
        for place in [place for place in breaks if start <= place < end]:
            if place > start:
                yield _lasting(item, place - start)
            yield Item("rest", REST, REST_WORDS)
            start = place
        yield _lasting(item, end - start)
        done = end


def _breaks(lengths: Sequence[int], rests: int) -> list[int]:
    """After how many minutes of playing to rest: at even distances, moved to a change of item where one is near."""
    ends = list(accumulate(lengths))
    even = [round(ends[-1] * k / (rests + 1)) for k in range(1, rests + 1)]
    near = [min(ends, key=lambda end: (abs(end - place), end)) for place in even]
    moved = [end if abs(end - place) <= SHORT_TURN else place for end, place in zip(near, even, strict=True)]
    stretches = [b - a for a, b in pairwise([0, *moved, ends[-1]])]
    return moved if all(0 < stretch <= WITHOUT_REST for stretch in stretches) else even


def _lasting(item: Item, minutes: int) -> Item:
    return Item(item.kind, minutes, item.because, item.piece, item.spot, item.name, item.tempo, item.beat)

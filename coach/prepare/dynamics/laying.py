"""From the signs of a part to its level over time."""

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

from coach.prepare.dynamics.signs import Signs, Stretch, Swell
from coach.prepare.dynamics.steps import DEFAULT_MARK, LEVEL_DB, LOUDEST_DB, NIENTE_DB, STEP_DB
from coach.prepare.dynamics.way import Run, Way
from coach.prepare.mark import Mark

# A dynamic that stands at most this far behind a hairpin is the hairpin's goal.
REACH_Q = Fraction(2)
# A hairpin with less room than this begins so far from its end.
_ROOM_DB = 1.0
MADE_ROOM_DB = 2.0
# Levels no further apart than this are the same.
_SAME_DB = 0.5
# What a crescendo has gained comes back at so many dB a quarter; so much or more is a contrast, and stays sudden.
BACK_DB_PER_QUARTER = 1.0
CONTRAST_DB = 2 * STEP_DB
# A level above what goes on behind it comes back over this share of its length, or over so much more that it is no more
# dB a quarter than this, but never over more than half of it.
_TAIL_SHARE, _TAIL_DB_PER_QUARTER = Fraction(1, 3), 2.0


def laid(signs: Signs, loudest_db: float | None = None) -> Way:
    """The level without what counts only for a stretch; without `loudest_db` also without levels relative to it. Of
    hairpins that begin together the last one counts."""
    steps = [step for step in signs.steps if loudest_db is not None or not step.relative]
    level_db = [step.level_db + (loudest_db or 0.0) * step.relative for step in steps]
    at_q = [step.at_q for step in steps]
    # Whoever marks a level where a hairpin out of nothing begins wants it to begin there.
    marked = {step.at_q for step in steps if isinstance(step.source, Mark)}
    by_start = {swell.start_q: swell for swell in signs.swells}
    swells = [
        replace(swell, niente=swell.niente and not (swell.rising and q in marked)) for q, swell in by_start.items()
    ]
    starts_q = list(by_start)
    usual = LEVEL_DB[DEFAULT_MARK]
    runs = [Run(Fraction(-1), None, usual, usual)]
    events: list[tuple[Fraction, int, int]] = [(place, 0, k) for k, place in enumerate(at_q)]
    events += [(place, 1, k) for k, place in enumerate(starts_q)]
    for place, kind, k in sorted(events):
        # The flat run laid down behind a hairpin gives way to whatever comes before it begins.
        now = _level(runs, place)
        while len(runs) > 1 and runs[-1].start_q >= place:
            runs.pop()
        if kind == 0:
            runs.append(Run(place, None, level_db[k], level_db[k], steps[k].source))
        else:
            after = bisect_right(starts_q, place)
            next_q = starts_q[after] if after < len(starts_q) else None
            goal = bisect_right(at_q, place)
            ahead = (at_q[goal], level_db[goal]) if goal < len(at_q) else None
            runs += _swell(swells[k], now, next_q, ahead)
    return Way(runs)


def shaded(signs: Signs, loudest_db: float) -> Way:
    """The level with all that is said, stretches laid over what holds without them."""
    under = laid(signs, loudest_db)
    over = _cut(signs)
    if not over:
        return under
    runs: list[Run] = []
    free_q = under.runs[0].start_q
    for stretch, after in zip(over, (*over[1:], None), strict=True):
        runs += _between(under, free_q, stretch.start_q, runs)
        level_db = stretch.level_db + loudest_db * stretch.relative
        joins = bool(runs) and free_q == stretch.start_q and not _moved(under, free_q)
        start_db = runs[-1].to_db if joins else under.at(stretch.start_q)
        start_db = _set_off(start_db, level_db, stretch.way, loudest_db)
        runs += _sounding(stretch, start_db, level_db, under, after.start_q if after else None)
        free_q = runs[-1].end_q or stretch.end_q
    runs += _between(under, free_q, None, runs)
    return Way(runs)


def _set_off(now_db: float, level_db: float, way: int, loudest_db: float) -> float:
    """Where a stretch begins; a hairpin that has no room from where it is makes itself some."""
    if way == 0:
        return level_db
    if (level_db - now_db) * way >= _ROOM_DB:
        return now_db
    return min(level_db - way * MADE_ROOM_DB, max(loudest_db, now_db))


def _moved(under: Way, at_q: Fraction) -> bool:
    """Whether something is said at a place that changes the level at once."""
    return abs(under.at(at_q) - under.until(at_q)) > _SAME_DB


def _sounding(stretch: Stretch, start_db: float, level_db: float, under: Way, next_q: Fraction | None) -> list[Run]:
    """The runs of a stretch. Where the line goes on at once from above what holds there, it comes back evenly: a level
    in dB within its length, a crescendo after it, since that arrives on the note it leads to."""
    end_q = stretch.end_q
    whole = Run(stretch.start_q, end_q, start_db, level_db, stretch.source)
    back_db = level_db - under.at(end_q)
    if not stretch.leads or not stretch.relative or end_q == next_q or back_db <= 0 or _moved(under, end_q):
        return [whole]
    if stretch.way == 0:
        length_q = end_q - stretch.start_q
        tail_q = end_q - min(max(length_q * _TAIL_SHARE, _quarters(back_db / _TAIL_DB_PER_QUARTER)), length_q / 2)
        held = Run(stretch.start_q, tail_q, level_db, level_db, stretch.source)
        return [held, Run(tail_q, end_q, level_db, under.at(end_q), stretch.source)]
    # A hairpin that begins there sets off from above (`_between`).
    goes_on = under.run(end_q)
    if stretch.way < 0 or back_db >= CONTRAST_DB or (goes_on.start_q == end_q and goes_on.end_q is not None):
        return [whole]
    back_q = end_q + _quarters(back_db / BACK_DB_PER_QUARTER)
    back_q = min((back_q, *under.bends(end_q, back_q), *(() if next_q is None else (next_q,))))
    return [whole, Run(end_q, back_q, level_db, under.until(back_q), stretch.source)]


def _quarters(length: float) -> Fraction:
    return Fraction(round(length * 64) or 1, 64)


def _level(runs: Sequence[Run], at_q: Fraction) -> float:
    """The level that runs lead to at a place behind the start of the last but one."""
    k = len(runs) - 1
    while k > 0 and runs[k].start_q > at_q:
        k -= 1
    return runs[k].at(at_q)


def _swell(swell: Swell, now: float, next_q: Fraction | None, ahead: tuple[Fraction, float] | None) -> list[Run]:
    end_q = swell.end_q if next_q is None else min(swell.end_q, next_q)
    reach_q = swell.end_q + REACH_Q if next_q is None else min(swell.end_q + REACH_Q, next_q)
    start = NIENTE_DB if swell.niente and swell.rising else now
    end = min(max(now + (STEP_DB if swell.rising else -STEP_DB), NIENTE_DB), LOUDEST_DB)
    if ahead is not None and ahead[0] <= reach_q:
        at_q, level = ahead
        end_q = min(end_q, at_q)
        # A dynamic against the hairpin's direction is a sudden one: the swell goes its step first.
        end = level if (level > start) == swell.rising and level != start else end
    if swell.niente and not swell.rising:
        end = NIENTE_DB
    return [Run(swell.start_q, end_q, start, end, swell.source), Run(end_q, None, end, end, swell.source)]


def _cut(signs: Signs) -> list[Stretch]:
    """The stretches one after the other: whatever is said within one ends it."""
    own = [swell.start_q for swell in signs.swells if isinstance(swell.source, Mark)]
    cuts = sorted({*(s.start_q for s in signs.stretches), *(step.at_q for step in signs.steps), *own})
    found: list[Stretch] = []
    for stretch in signs.stretches:
        k = bisect_right(cuts, stretch.start_q)
        end_q = min(stretch.end_q, cuts[k]) if k < len(cuts) else stretch.end_q
        if end_q > stretch.start_q and not (found and found[-1].start_q == stretch.start_q):
            found.append(replace(stretch, end_q=end_q, leads=stretch.leads and end_q == stretch.end_q))
    return found


def _between(under: Way, start_q: Fraction, end_q: Fraction | None, before: Sequence[Run]) -> list[Run]:
    """The runs of a way from one place to another. A hairpin that begins where shading ends sets off from there, if it
    still leads its way."""
    if end_q is not None and end_q <= start_q:
        return []
    first = under.run(start_q)
    start_db = first.at(start_q)
    if before and first.start_q == start_q and first.end_q is not None:
        shade_db = before[-1].to_db
        keeps_way = (first.to_db - shade_db) * (first.to_db - first.from_db) > 0
        start_db = shade_db if keeps_way else start_db
    opened = Run(start_q, first.end_q, start_db, first.to_db, first.source)
    return [opened, *(under.run(bend_q) for bend_q in under.bends(start_q, end_q))]

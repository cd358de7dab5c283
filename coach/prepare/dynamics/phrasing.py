"""The shape of phrases: a swell to the goal, and a taper at the end, over the level that holds.

In dB, even between these places: 0 where the phrase begins, PEAK_DB at the onset of its goal, 0 at the onset of its
last note, -TAPER_DB at the end of that note. Without a goal there is only the taper; a goal on the last note is held,
and nothing tapers. Where it would lead above the part's loudest, the whole phrase lies lower by as much. Trade
practice; the figures are a default of this program, not measured.
"""

from collections.abc import Iterable
from fractions import Fraction
from itertools import pairwise

from coach.music.part import Part
from coach.prepare.dynamics.signs import places
from coach.prepare.dynamics.way import Run, Way
from coach.prepare.mark import Mark, Phrase

PEAK_DB, TAPER_DB = 1.5, 1.5

_Points = list[tuple[Fraction, float]]


def phrase_way(phrases: Iterable[Mark], part: Part, under: Way, loudest_db: float) -> Way:
    """What phrases add to a level, in dB; each lasts at most until the next one begins."""
    where = places(part)
    shapes = [_points(mark.at, mark.content, where) for mark in phrases if isinstance(mark.content, Phrase)]
    shapes = sorted((shape for shape in shapes if shape), key=lambda shape: shape[0][0])
    runs = [Run(Fraction(-1), None, 0.0, 0.0)]
    for k, shape in enumerate(shapes):
        next_q = shapes[k + 1][0][0] if k + 1 < len(shapes) else None
        if next_q is None or next_q > shape[0][0]:
            runs += _runs(_lowered(shape, under, loudest_db, next_q), next_q)
    return Way(runs)


def _points(at: str, phrase: Phrase, where: dict[str, tuple[Fraction, Fraction]]) -> _Points:
    if at not in where or phrase.to not in where:
        return []
    start_q, (last_q, end_q) = where[at][0], where[phrase.to]
    goal_q = where[phrase.goal][0] if phrase.goal in where else None
    if goal_q is not None and not start_q <= goal_q < end_q:
        goal_q = None
    if end_q <= start_q:
        return []
    held = goal_q is not None and goal_q >= last_q
    points = {start_q: 0.0, max(last_q, start_q): 0.0, end_q: 0.0 if held else -TAPER_DB}
    if goal_q is not None:
        points[goal_q] = PEAK_DB
    return sorted(points.items())


def _lowered(shape: _Points, under: Way, loudest_db: float, next_q: Fraction | None) -> _Points:
    """The shape, so low that it leads nowhere above the loudest but where the level does without it."""
    as_run = Way(_runs(shape, None))
    end_q = shape[-1][0] if next_q is None else min(shape[-1][0], next_q)
    inner = [at_q for at_q, _ in shape if at_q < end_q] + under.bends(shape[0][0], end_q)
    begins = [(under.at(at_q), as_run.at(at_q)) for at_q in inner]
    ends = [(under.until(at_q), as_run.until(at_q)) for at_q in (*inner, end_q)]
    over = max(0.0, *(min(level_db + added - loudest_db, added) for level_db, added in (*begins, *ends)))
    return [(at_q, db - over) for at_q, db in shape]


def _runs(shape: _Points, next_q: Fraction | None) -> list[Run]:
    runs = [
        Run(start_q, end_q, from_db, to_db)
        for (start_q, from_db), (end_q, to_db) in pairwise(shape)
        if next_q is None or start_q < next_q
    ]
    last_q = shape[-1][0]
    return runs if next_q is not None and next_q <= last_q else [*runs, Run(last_q, None, 0.0, 0.0)]

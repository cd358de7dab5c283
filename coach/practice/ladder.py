"""The tempo ladder of a spot, and how reps move along it.

A transformed up-down staircase: so many clean reps in a row and it goes up, one slip and it goes down. Run long enough
with a player whose chance of a clean rep falls with the tempo, it settles where that chance is

    (down / (up + down)) ** (1 / in_a_row)

Source: Levitt H. 1971, JASA 49(2):467-477 for equal steps; Kaernbach C. 1991, Percept Psychophys 49(3):227-229 for
unequal ones. What is not known: whether climbing from slow to fast beats other ways to practise. Henley P.T. 2001 (JRME
49) found no difference between steady increase, performance tempo and alternating in 60 wind players. The ladder is a
procedure, not a promise; the default sizes are habits, not measurements.

The player outranks the ladder. A rep at another tempo than the rung first moves the foot to the rung nearest to the
tempo played (a new rung begins a new count), then counts there. Past the ends it counts one way only: a slip faster
than the target and a clean rep slower than the lowest rung say nothing about the rung and leave it as it is. An attempt
broken off without a slip counts for nothing.

A ladder that `falls` is for what gets harder when it is slower, a phrase on one breath above all. Its lowest rungs are
growing lengths of the phrase at the tempo of the performance, one rung each; the upper ones are the whole of it,
slower from rung to rung, down to the target. Common practice of the trade, with no study known to us; reps on it say
nothing of a hold tempo, whose model takes slow for easy.
"""

import math
from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from coach.music.tempo import METRONOME_MARKS, WHOLE_SCALE
from coach.practice import body as read
from coach.practice.entry import Entry
from coach.practice.rep import Rep

NOTCHES, PER_CENT = "notches", "per cent"
START_SHARE = 0.6  # of the target; a default, no source
FALL_SHARE = 0.8  # of the performance tempo, down to which a ladder that falls leads; a default, no source
MOST_LENGTHS = 20
SAME_TEMPO = 0.005  # tempi closer than half a per cent are the same; notches are at least 3.4 per cent apart


@dataclass(frozen=True, slots=True)
class Rule:
    """`in_a_row` clean reps in a row go `up` rungs; a slip goes `down` rungs. `words` say so plainly."""

    name: str
    words: str
    in_a_row: int
    up: int = 1
    down: int = 1

    @property
    def settles_at(self) -> float:
        """The chance of a clean rep at the tempo where the ladder settles (Levitt 1971, Kaernbach 1991)."""
        return float((self.down / (self.up + self.down)) ** (1 / self.in_a_row))


PRESETS: tuple[Rule, ...] = (
    Rule("steady", "Three clean in a row go one rung up; a slip goes one rung down.", 3),
    Rule("brisk", "Two clean in a row go one rung up; a slip goes one rung down.", 2),
    Rule("patient", "Four clean in a row go one rung up; a slip goes one rung down.", 4),
    Rule("secure", "Three clean in a row go one rung up; a slip goes two rungs down.", 3, up=1, down=2),
    Rule("one by one", "Each clean one goes one rung up; a slip goes three rungs down.", 1, up=1, down=3),
)


def preset(name: str) -> Rule:
    """A preset rule by name. Raises ValueError listing the names."""
    for rule in PRESETS:
        if rule.name == name:
            return rule
    raise ValueError(f"there is no rule {name!r}; the rules are {', '.join(rule.name for rule in PRESETS)}")


@dataclass(frozen=True, slots=True)
class Scale:
    """The size of a rung: so many "notches" of the metronome scale, or so many "per cent" of the rung below."""

    kind: str = NOTCHES
    size: float = 1

    @property
    def words(self) -> str:
        """In words, such as "2 notches" or "5 per cent"."""
        if self.kind == NOTCHES:
            return f"{self.size:g} {'notch' if self.size == 1 else NOTCHES}"
        return f"{self.size:g} {PER_CENT}"


@dataclass(frozen=True, slots=True)
class Ladder:
    """A ladder from `start` to `target`, both per minute of `beat`. Raises ValueError if it cannot be climbed.

    `since` is when it was set up; reps before that do not move it (None: all reps do). One that `falls` leads down from
    its start, after so many `lengths` of what is played, the last of which is all of it.
    """

    start: float
    target: float
    rule: Rule = PRESETS[0]
    scale: Scale = Scale()
    beat: str = "quarter"
    since: datetime | None = None
    falls: bool = False
    lengths: int = 1
    rungs: tuple[float, ...] = field(init=False, compare=False)

    def __post_init__(self) -> None:
        _check(self)
        object.__setattr__(self, "rungs", _rungs(self))

    @property
    def start_level(self) -> int:
        """Which rung is the start, counted from 0 at the lowest."""
        return self.rungs.index(self.start)

    def length_at(self, level: int) -> int:
        """Which of the growing lengths is played on a rung, counted from 1; the last one is all of it."""
        return min(level + 1, self.lengths)

    @property
    def top(self) -> int:
        """The level of the target."""
        return len(self.rungs) - 1

    def nearest(self, per_minute: float) -> int:
        """The level of the rung nearest to a tempo (by ratio); the slower one of two as near."""
        above = min(bisect_left(self.rungs, per_minute), self.top)
        below = max(above - 1, 0)
        return below if per_minute**2 <= self.rungs[below] * self.rungs[above] else above

    def to_entry(self, uuid: str, at: datetime, zone: str, piece: str, spot: str) -> Entry:
        """The ladder of a spot as an entry of the log; it holds from `at` on."""
        rule = {
            "name": self.rule.name,
            "words": self.rule.words,
            "in_a_row": self.rule.in_a_row,
            "up": self.rule.up,
            "down": self.rule.down,
        }
        body: dict[str, Any] = {
            "spot": spot,
            "start": self.start,
            "target": self.target,
            "beat": self.beat,
            "rule": rule,
            "scale": {"kind": self.scale.kind, "size": self.scale.size},
        }
        if self.falls:
            body |= {"falls": True, "lengths": self.lengths}
        return Entry(uuid, at, zone, "ladder", piece, body)

    @classmethod
    def from_entry(cls, entry: Entry) -> "Ladder":
        """Read a ladder back from its entry. Raises ValueError naming the field that is wrong."""
        body = entry.body
        read.filled(body, "spot")
        return cls(
            start=read.per_minute(body, "start"),
            target=read.per_minute(body, "target"),
            rule=_rule(read.table(body, "rule")),
            scale=_scale(read.table(body, "scale")),
            beat=read.beat(body),
            since=entry.at,
            falls=read.flag(body, "falls", False),
            lengths=read.count(body, "lengths") if "lengths" in body else 1,
        )


def first_ladder(target: float, beat: str, rule: Rule = PRESETS[0], scale: Scale | None = None) -> Ladder:
    """The ladder offered for a new spot: it starts at the metronome mark next below 60 per cent of the target."""
    k = bisect_right(WHOLE_SCALE, target * START_SHARE)
    start = WHOLE_SCALE[k - 1] if k else target * START_SHARE
    return Ladder(start, target, rule, scale or Scale(), beat)


def falling_ladder(
    performance: float, beat: str, lengths: int, rule: Rule = PRESETS[0], scale: Scale | None = None
) -> Ladder:
    """The ladder offered for a phrase on one breath: its lengths at the performance tempo, then slower, down to
    FALL_SHARE of it."""
    return Ladder(
        performance,
        performance * FALL_SHARE,
        rule,
        scale or Scale(),
        beat,
        falls=True,
        lengths=min(lengths, MOST_LENGTHS),
    )


@dataclass(frozen=True, slots=True)
class Attempt:
    """What moves a ladder: whether it was clean, the tempo played (None: the rung's), whether it was finished, and
    which of how many growing lengths was played (None: all of it)."""

    clean: bool
    per_minute: float | None = None
    complete: bool = True
    length: tuple[int, int] | None = None


@dataclass(frozen=True, slots=True)
class Footing:
    """Where one stands: the level, the clean reps in a row there, and whether the target is secured by the rule."""

    level: int
    streak: int = 0
    arrived: bool = False


@dataclass(frozen=True, slots=True)
class Tread:
    """One counted attempt: the rung it was played on, and whether it was clean."""

    level: int
    per_minute: float
    clean: bool


@dataclass(frozen=True, slots=True)
class Climb:
    """Where the reps so far have led: the rung to play next, the streak there, and every counted attempt.

    `arrived` tells that the clean reps in a row that the rule asks for were played on the target, with no slip since.
    """

    per_minute: float
    streak: int
    level: int
    history: tuple[Tread, ...]
    arrived: bool


def climb(ladder: Ladder, attempts: Iterable[Attempt]) -> Climb:
    """Follow the ladder through attempts in order."""
    footing, history = Footing(ladder.start_level), []
    for attempt in attempts:
        stood = _stand(ladder, footing, attempt)
        if stood is None:
            continue
        history.append(Tread(stood.level, ladder.rungs[stood.level], attempt.clean))
        footing = step(ladder, stood, attempt.clean)
    return Climb(ladder.rungs[footing.level], footing.streak, footing.level, tuple(history), footing.arrived)


def attempts(ladder: Ladder, reps: Iterable[Rep]) -> tuple[Attempt, ...]:
    """The reps that a ladder counts, in their order, with their tempi in its beat unit."""
    counted = (rep for rep in reps if ladder.since is None or rep.at >= ladder.since)
    return tuple(
        Attempt(rep.outcome == "clean", rep.per_minute_in(ladder.beat), rep.complete, rep.length) for rep in counted
    )


def step(ladder: Ladder, footing: Footing, clean: bool) -> Footing:
    """The footing after one attempt on the rung one stands on."""
    rule = ladder.rule
    if not clean:
        return Footing(max(footing.level - rule.down, 0))
    if footing.streak + 1 < rule.in_a_row:
        return Footing(footing.level, footing.streak + 1, footing.arrived)
    arrived = footing.arrived or footing.level == ladder.top
    return Footing(min(footing.level + rule.up, ladder.top), 0, arrived)


def _stand(ladder: Ladder, footing: Footing, attempt: Attempt) -> Footing | None:
    """The footing that the attempt was played on; None if it does not count."""
    if attempt.clean and not attempt.complete:
        return None
    if ladder.falls:
        return _stand_falling(ladder, footing, attempt)
    played = attempt.per_minute
    if played is None or math.isclose(played, ladder.rungs[footing.level], rel_tol=SAME_TEMPO):
        return footing
    too_fast = played > ladder.target * (1 + SAME_TEMPO)
    too_slow = played < ladder.rungs[0] * (1 - SAME_TEMPO)
    if (too_fast and not attempt.clean) or (too_slow and attempt.clean):
        return None
    level = ladder.nearest(played)
    return footing if level == footing.level else Footing(level, 0, footing.arrived)


def _stand_falling(ladder: Ladder, footing: Footing, attempt: Attempt) -> Footing | None:
    """The same where slower is harder: past the ends a clean rep faster than the start and a slip slower than the
    target say nothing."""
    whole = ladder.lengths - 1  # the lowest level of all of it
    part = attempt.length is not None and attempt.length[0] < attempt.length[1]
    wanted = min(attempt.length[0] - 1, whole) if part and attempt.length is not None else max(footing.level, whole)
    played = attempt.per_minute
    if played is None or math.isclose(played, ladder.rungs[wanted], rel_tol=SAME_TEMPO):
        return footing if wanted == footing.level else Footing(wanted, 0, footing.arrived)
    hardest = ladder.rungs[wanted] if wanted < whole else ladder.target
    too_easy = played > ladder.start * (1 + SAME_TEMPO)
    too_hard = played < hardest * (1 - SAME_TEMPO)
    if (too_easy and attempt.clean) or (too_hard and not attempt.clean):
        return None
    level = wanted if wanted < whole else _nearest_falling(ladder, played)
    return footing if level == footing.level else Footing(level, 0, footing.arrived)


def _nearest_falling(ladder: Ladder, per_minute: float) -> int:
    """The level of the rung of all of it that is nearest to a tempo (by ratio); the faster one of two as near."""
    levels = range(ladder.lengths - 1, len(ladder.rungs))
    return min(levels, key=lambda level: (abs(math.log(per_minute / ladder.rungs[level])), level))


def _check(ladder: Ladder) -> None:
    rule, scale = ladder.rule, ladder.scale
    if ladder.falls and not (read.SLOWEST <= ladder.target <= ladder.start <= read.FASTEST):
        span = f"from {ladder.start:g} down to {ladder.target:g}"
        raise ValueError(f"a ladder {span} cannot be climbed; start at {read.FASTEST:g} or less, not below the target")
    if not 1 <= ladder.lengths <= MOST_LENGTHS:
        raise ValueError(f"a ladder of {ladder.lengths} lengths is none; it may have 1 to {MOST_LENGTHS}")
    if not ladder.falls and not (read.SLOWEST <= ladder.start <= ladder.target <= read.FASTEST):
        span = f"from {ladder.start:g} to {ladder.target:g}"
        raise ValueError(f"a ladder {span} cannot be climbed; start at {read.SLOWEST:g} or more, not above the target")
    if min(rule.in_a_row, rule.up, rule.down) < 1:
        raise ValueError(f"the rule {rule.name!r} never moves; its numbers must be 1 or more")
    if scale.kind == NOTCHES and not (scale.size == int(scale.size) and 1 <= scale.size <= 20):
        raise ValueError(f"a rung of {scale.size:g} notches is no rung; it may be 1 to 20, a whole number")
    if scale.kind == PER_CENT and not 0.5 <= scale.size <= 100:
        raise ValueError(f"a rung of {scale.size:g} per cent is no rung; it may be 0.5 to 100")
    if scale.kind not in (NOTCHES, PER_CENT):
        raise ValueError(f"a scale of {scale.kind!r} is not known; it may be {NOTCHES} or {PER_CENT}")


def _rungs(ladder: Ladder) -> tuple[float, ...]:
    """The rungs from the scale's end up to the target; the start is always one of them. Of one that falls: the start
    for each length, then down to the target."""
    if ladder.falls:
        return _falling_rungs(ladder)
    steps = _notches(ladder) if ladder.scale.kind == NOTCHES else _per_cents(ladder)
    below, above = steps
    inside = [rung for rung in above if rung < ladder.target * (1 - SAME_TEMPO)]
    top = [ladder.target] if ladder.target > ladder.start else []
    return (*reversed(below), ladder.start, *inside, *top)


def _falling_rungs(ladder: Ladder) -> tuple[float, ...]:
    start, target, size = ladder.start, ladder.target, int(ladder.scale.size)
    if ladder.scale.kind == NOTCHES:
        lower = bisect_left(WHOLE_SCALE, start * (1 - SAME_TEMPO))
        steps = [float(mark) for mark in WHOLE_SCALE[:lower][::-1][size - 1 :: size]]
    else:
        ratio = 1 + ladder.scale.size / 100
        steps = [start / ratio**k for k in range(1, math.ceil(math.log(start / target) / math.log(ratio)) + 1)]
    inside = [rung for rung in steps if rung > target * (1 + SAME_TEMPO)]
    return (*[start] * ladder.lengths, *inside, *([target] if target < start else []))


def _notches(ladder: Ladder) -> tuple[list[float], list[float]]:
    start, size = ladder.start, int(ladder.scale.size)
    end = float(METRONOME_MARKS[0]) if start >= METRONOME_MARKS[0] else WHOLE_SCALE[0]
    lower = bisect_left(WHOLE_SCALE, start * (1 - SAME_TEMPO))
    upper = bisect_right(WHOLE_SCALE, start * (1 + SAME_TEMPO))
    below = [mark for mark in WHOLE_SCALE[:lower][::-1][size - 1 :: size] if mark >= end]
    return below, list(WHOLE_SCALE[upper:][size - 1 :: size])


def _per_cents(ladder: Ladder) -> tuple[list[float], list[float]]:
    ratio = 1 + ladder.scale.size / 100
    end = float(METRONOME_MARKS[0]) if ladder.start >= METRONOME_MARKS[0] else WHOLE_SCALE[0]
    down = max(0, math.floor(math.log(ladder.start / end) / math.log(ratio) + 1e-9))
    up = max(0, math.ceil(math.log(ladder.target / ladder.start) / math.log(ratio)))
    below = [ladder.start / ratio**k for k in range(1, down + 1)]
    return below, [ladder.start * ratio**k for k in range(1, up + 1)]


def _rule(body: Mapping[str, Any]) -> Rule:
    numbers = (read.count(body, key) for key in ("in_a_row", "up", "down"))
    return Rule(read.filled(body, "name"), read.text(body, "words", ""), *numbers)


def _scale(body: Mapping[str, Any]) -> Scale:
    size = body.get("size")
    if isinstance(size, bool) or not isinstance(size, (int, float)) or not math.isfinite(size):
        raise ValueError(f"size is {size!r}; it must be a number")
    return Scale(read.choice(body, "kind", (NOTCHES, PER_CENT)), size)

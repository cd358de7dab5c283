"""The transport: which notes and clicks begin and end in the next so many frames. Pure: no clock, no device.

Equation: at frame f the music is at `at_s + (f - frame) * rate / sample_rate`, (frame, at_s, rate) the anchor in force.
A change of rate swaps the anchor at the frame reached and never rewrites the past. An event's frame is rounded from its
absolute time, so nothing accumulates. Time runs on over the laps of a loop ("running" seconds); positions are
given within the lap. Frames are samples for audio and ticks of a clock for ports: both outputs are driven alike.
"""

import heapq
import math
from bisect import bisect_left
from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import count

from coach.errors import RequestError
from coach.sound.action import Action
from coach.sound.timeline import Event, Timeline

# Times that mean a half frame differ by rounding noise; leaning up by this much makes them all round one way.
_LEAN = 0.5 + 1e-4


@dataclass(frozen=True, slots=True)
class Position:
    """Where playing is: nominal seconds into the lap (negative in the count-in, beyond the length in the rest between
    laps), the number of laps finished, and whether it moves."""

    at_s: float = 0.0
    lap: int = 0
    playing: bool = False


@dataclass(frozen=True, slots=True)
class _Entry:
    """An event of a lap; what it started ends at the latest `limit_s` after the start of its lap."""

    at_s: float
    limit_s: float
    event: Event


@dataclass(frozen=True, slots=True)
class Course:
    """A timeline made ready to be played, looped or once. `silence` is measures with the click heard, then without."""

    timeline: Timeline
    loop: bool
    silence: tuple[int, int] | None
    period_s: float
    start_s: float
    prelude: tuple[_Entry, ...] = field(repr=False)
    laps: tuple[_Entry, ...] = field(repr=False)

    def upcoming(self, from_s: float) -> Iterator[tuple[float, int, _Entry]]:
        """(running time, lap, entry) from `from_s` on, in order; without end when looped."""
        for entry in self.prelude:
            if entry.at_s >= from_s:
                yield entry.at_s, 0, entry
        first = bisect_left(self.laps, from_s, key=lambda entry: entry.at_s)
        for entry in self.laps[first:]:
            yield entry.at_s, 0, entry
        for lap in count(1) if self.loop and self.laps else ():
            for entry in self.laps:
                yield lap * self.period_s + entry.at_s, lap, entry

    def heard(self, event: Event, lap: int, rate: float) -> bool:
        """Whether an event sounds in that lap at that rate."""
        if event.below_rate is not None and rate >= event.below_rate:
            return False
        if event.kind != "click" or self.silence is None or event.bar < 0:
            return True
        heard, silent = self.silence
        return (lap * self.timeline.bars + event.bar) % (heard + silent) < heard

    def position(self, running_s: float, playing: bool) -> Position:
        """The position that a running time means."""
        lap = max(0, math.floor(running_s / self.period_s)) if self.loop else 0
        return Position(running_s - lap * self.period_s, lap, playing)


def course(timeline: Timeline, *, loop: bool = False, silence: tuple[int, int] | None = None) -> Course:
    """Make a timeline ready. Raises RequestError for measures of silence that cannot be counted."""
    if silence is not None and (silence[0] < 1 or silence[1] < 0):
        raise RequestError("The click is heard for at least 1 measure and then silent for 0 or more.")
    period_s = timeline.length_s + timeline.rest_s
    loop = loop and period_s > 0
    if not loop:
        period_s = timeline.length_s
    before = [event for event in timeline.events if event.at_s < 0]
    within = [event for event in timeline.events if 0 <= event.at_s < period_s]
    laps = [_Entry(event.at_s, _limit(event, timeline.length_s, period_s), event) for event in within]
    if loop:  # what leads into the first note leads into it on every lap; the count-in is given once
        lead = [event for event in before if event.kind == "note"]
        laps += [_Entry(max(0.0, e.at_s + period_s), period_s + timeline.length_s, e) for e in lead]
        laps.sort(key=lambda entry: entry.at_s)
    prelude = tuple(_Entry(event.at_s, timeline.length_s, event) for event in before)
    start_s = min([0.0, -timeline.count_in_s, *(event.at_s for event in before[:1])])
    return Course(timeline, loop, silence, period_s, start_s, prelude, tuple(laps))


def _limit(event: Event, length_s: float, period_s: float) -> float:
    return length_s if event.at_s < length_s else period_s


@dataclass(frozen=True, slots=True)
class _Anchor:
    frame: int
    at_s: float
    rate: float


class Transport:
    """Plays a timeline frame by frame. Every "on" is followed by exactly one "off", whatever is asked meanwhile."""

    def __init__(
        self,
        timeline: Timeline,
        *,
        sample_rate: int,
        rate: float = 1.0,
        loop: bool = False,
        silence: tuple[int, int] | None = None,
    ) -> None:
        self._sample_rate = sample_rate
        self._course = course(timeline, loop=loop, silence=silence)
        self._frame = 0
        self._anchor = _Anchor(0, self._course.start_s, _checked(rate))
        self._playing = False
        self._played_from_s = self._course.start_s
        self._coming: Iterator[tuple[float, int, _Entry]] = iter(())
        self._next: tuple[float, int, _Entry] | None = None
        self._sounding: list[tuple[float, int]] = []  # a heap of (running time of the end, key)
        self._dropped: list[int] = []  # keys to end at the start of the next block
        self._last_key = 0

    @property
    def rate(self) -> float:
        """Nominal seconds per second of playing."""
        return self._anchor.rate

    @property
    def playing(self) -> bool:
        """Whether the music moves."""
        return self._playing

    @property
    def frame(self) -> int:
        """Frames given out since the transport was made."""
        return self._frame

    @property
    def position(self) -> Position:
        """Where the next block begins."""
        return self.heard(0)

    def heard(self, frames_ago: int) -> Position:
        """Where playing was so many frames ago at the rate in force: what a queue that long sounds now."""
        running_s = self._running(self._frame - frames_ago)
        return self._course.position(max(running_s, self._played_from_s), self._playing)

    def load(self, ready: Course) -> None:
        """Stop, and put another course in; the rate stays."""
        self.stop()
        self._course = ready
        self._settle(ready.start_s)

    def play(self, from_s: float | None = None) -> None:
        """Play from a nominal time of the first lap; None plays from the start with its count-in."""
        self.stop()
        start_s = self._course.start_s
        at_s = start_s if from_s is None else min(max(from_s, start_s), self._course.period_s)
        self._settle(at_s)
        self._coming = self._course.upcoming(at_s)
        self._next = next(self._coming, None)
        self._playing = True

    def stop(self) -> None:
        """Stop where it is; what sounds ends at the start of the next block."""
        at_s = self._running(self._frame)
        self._dropped += [key for _, key in sorted(self._sounding)]
        self._sounding.clear()
        self._playing = False
        self._next = None
        self._anchor = _Anchor(self._frame, at_s, self.rate)

    def set_rate(self, rate: float) -> None:
        """Go on at another rate from the next block. Raises RequestError for a rate that is not above 0."""
        at_s = self._running(self._frame)
        self._anchor = _Anchor(self._frame, at_s, _checked(rate))

    def advance(self, frames: int) -> tuple[Action, ...]:
        """Move on by a block; what happens within it, in order, offsets counted from its start."""
        actions = [Action(0, "off", key) for key in self._dropped]
        self._dropped.clear()
        end = self._frame + frames
        while self._playing and (due := self._due()) is not None and (frame := self._frame_of(due[0])) < end:
            actions += self._happen(due[1], max(0, frame - self._frame))
        self._frame = end
        if not self._playing:
            self._anchor = _Anchor(end, self._anchor.at_s, self.rate)
        return tuple(actions)

    def _due(self) -> tuple[float, str] | None:
        """The next thing to happen, (running time, what); at one time ends come before beginnings."""
        dues: list[tuple[float, str]] = []
        if self._sounding:
            dues.append((self._sounding[0][0], "off"))
        if self._next is not None:
            dues.append((self._next[0], "on"))
        if not self._course.loop:
            dues.append((self._course.timeline.length_s, "over"))
        return min(dues, default=None, key=lambda due: (due[0], ("off", "on", "over").index(due[1])))

    def _happen(self, what: str, offset: int) -> list[Action]:
        if what == "off":
            return [Action(offset, "off", heapq.heappop(self._sounding)[1])]
        if what == "on":
            return self._begin(offset)
        ended = [Action(offset, "off", key) for _, key in sorted(self._sounding)]
        self._sounding.clear()
        self._playing = False
        self._next = None
        self._anchor = _Anchor(self._frame, self._course.timeline.length_s, self.rate)
        return ended

    def _begin(self, offset: int) -> list[Action]:
        assert self._next is not None  # noqa: S101 - `_due` saw it
        at_s, lap, entry = self._next
        self._next = next(self._coming, None)
        event = entry.event
        if not self._course.heard(event, lap, self.rate):
            return []
        if event.kind == "click":
            return [Action(offset, "click", 0, event, self.rate)]
        self._last_key += 1
        end_s = min(at_s + event.length_s, lap * self._course.period_s + entry.limit_s)
        heapq.heappush(self._sounding, (max(at_s, end_s), self._last_key))
        return [Action(offset, "on", self._last_key, event, self.rate)]

    def _running(self, frame: int) -> float:
        anchor = self._anchor
        if not self._playing:
            return anchor.at_s
        return anchor.at_s + (frame - anchor.frame) * anchor.rate / self._sample_rate

    def _frame_of(self, running_s: float) -> int:
        anchor = self._anchor
        return anchor.frame + math.floor((running_s - anchor.at_s) / anchor.rate * self._sample_rate + _LEAN)

    def _settle(self, at_s: float) -> None:
        self._played_from_s = at_s
        self._anchor = _Anchor(self._frame, at_s, self.rate)


def _checked(rate: float) -> float:
    if not (math.isfinite(rate) and rate > 0):
        raise RequestError(f"The speed cannot be {rate:g} times the performance tempo; it must be above 0.")
    return rate

"""Where to breathe: the cheapest plan that never runs out of air, found exactly.

A line is a row of tones. After each tone there are options: to go on, a catch breath, a full breath; each spends so
much air on the tone before it (a breath cuts its end) and costs so much to the music. Air is counted in whole
microlitres, spending rounded up, so that the plan is safe and the search exact. A full breath fills up; a catch breath
adds its share.

The plan is the best by, in this order: the least air missing (none, wherever that can be); the least cost. The cost is
the sum of
- what each option costs the music (coach/prepare/breath/places.py);
- for a loud tone with less than THIN of the lungs and any tone with less than LOW, in proportion to what is short, for
  as long as it is short; for a soft high entry that begins with less than FED, in proportion, once;
- breath held too long, from STALE_S on since the last breath, a point a second, at most STALE_MOST (more frequent small
  breaths prevent the excess of carbon dioxide: Iltis 2003, Med Probl Perform Art 18:47, as the facts quote it);
- full breaths in a row, nearer than LIGHT_S, up to LIGHT_MOST (less trained players tend to overbreathe: Hahnengress
  and Böning 2010, as the facts quote it), and any breath nearer than SOON_S to the last, up to SOON_MOST, or up to
  SIP_MOST where a rest gives it: little rests in a row are no reason to gasp in each.
The weights are this program's, tuned to what teachers do; common practice of the trade, no measurement. Costs are in
hundredths of a point, whole numbers, so that sums are exact.

The search walks the tones with a set of labels (cost, air, when the last breaths were); a label is dropped only where
another one is at least as good whatever follows, so the result is the optimum, in time linear in the tones.
"""

from collections.abc import Sequence
from dataclasses import dataclass

NONE, CATCH, FULL = "", "catch", "full"
POINT = 100
UNITS = 1_000_000  # microlitres in a litre
# A second of a loud tone at the very end of the air costs eight points, of any other four.
THIN, THIN_WEIGHT = 0.2, 8 * POINT
LOW, LOW_WEIGHT = 0.1, 4 * POINT
FED, FED_WEIGHT = 0.35, 3 * POINT
STALE_S, STALE_MOST = 18.0, 6 * POINT
LIGHT_S, LIGHT_MOST = 4.0, 2 * POINT
SOON_S, SOON_MOST, SIP_MOST = 6.0, 3 * POINT, 1 * POINT


@dataclass(frozen=True, slots=True)
class Option:
    """What can be done after a tone: `size` NONE, CATCH or FULL; `used_ul` is spent on the tone before, `cut_s` its end
    given up for the breath; `cost` to the music in hundredths of a point; `rest` tells that a rest gives the time."""

    size: str
    used_ul: int
    cut_s: float
    cost: int
    rest: bool = False


@dataclass(frozen=True, slots=True)
class Tone:
    """A tone from its onset to the end of its sound, in seconds of playing, with the options after it. `loud` asks for
    air to its end, `entry` (soft and high) for air at its beginning; `floor_ul` must be left when it ends."""

    start_s: float
    end_s: float
    options: tuple[Option, ...]
    loud: bool = False
    entry: bool = False
    floor_ul: int = 0


@dataclass(frozen=True, slots=True)
class Lungs:
    """The usable air, and what a catch breath adds, in microlitres."""

    full_ul: int
    catch_ul: int


@dataclass(frozen=True, slots=True)
class Plan:
    """For each tone what follows it, the air left at its end in microlitres (before any breath), and the air missing
    during it; `cost` in hundredths of a point."""

    options: tuple[Option, ...]
    left_ul: tuple[int, ...]
    missing_ul: tuple[int, ...]
    cost: int

    @property
    def short_ul(self) -> int:
        """All the air that is missing, 0 for a plan that can be played."""
        return sum(self.missing_ul)


@dataclass(slots=True)
class _Label:
    """A way to have come so far; `last_s` and `full_s` are when the last breath and the last full one were taken."""

    missing: int
    cost: int
    air: int
    last_s: float
    full_s: float
    before: "_Label | None"
    option: Option | None
    left: int
    lacks: int


def plan_breaths(tones: Sequence[Tone], lungs: Lungs) -> Plan:
    """The best plan; it begins with full lungs, taken in just before."""
    start_s = tones[0].start_s if tones else 0.0
    labels = [_Label(0, 0, lungs.full_ul, start_s, float("-inf"), None, None, 0, 0)]
    for k, tone in enumerate(tones):
        after_s = tones[k + 1].start_s if k + 1 < len(tones) else tone.end_s
        labels = _kept([_next(label, tone, option, lungs, after_s) for label in labels for option in tone.options])
    last_s = tones[-1].end_s if tones else 0.0
    ends = [(label.missing, label.cost + stale(last_s - label.last_s), -label.air, k) for k, label in enumerate(labels)]
    missing, cost, _, best = min(ends)
    return _traced(labels[best], cost)


def _next(label: _Label, tone: Tone, option: Option, lungs: Lungs, after_s: float) -> _Label:
    cost = label.cost + option.cost + (entry_cost(label.air, lungs) if tone.entry else 0)
    left = label.air - option.used_ul
    lacks = max(0, tone.floor_ul - left) if tone.floor_ul else max(0, -left)
    left = max(left, 0)
    cost += thin_cost(label.air, left, lungs, tone.end_s - option.cut_s - tone.start_s, tone.loud)
    air, last_s, full_s = left, label.last_s, label.full_s
    if option.size:
        cost += stale(tone.end_s - option.cut_s - label.last_s)
        cost += soon(after_s - label.last_s, SIP_MOST if option.rest else SOON_MOST)
        last_s = after_s
    if option.size == FULL:
        cost += light(after_s - label.full_s)
        air, full_s = lungs.full_ul, after_s
    elif option.size == CATCH:
        air = min(lungs.full_ul, left + lungs.catch_ul)
    return _Label(label.missing + lacks, cost, air, last_s, full_s, label, option, left, lacks)


def thin_cost(air_ul: int, left_ul: int, lungs: Lungs, length_s: float, loud: bool) -> int:
    """What a tone costs that ends with so little left: what is short, summed over the time that it is short."""
    share, weight = (THIN, THIN_WEIGHT) if loud else (LOW, LOW_WEIGHT)
    wanted = share * lungs.full_ul
    if left_ul >= wanted:
        return 0
    short_s = length_s * min(1.0, (wanted - left_ul) / max(air_ul - left_ul, 1))
    most, least = 1 - left_ul / wanted, max(0.0, 1 - air_ul / wanted)
    return round(weight * short_s * (most + least) / 2)


def entry_cost(air_ul: int, lungs: Lungs) -> int:
    """What a soft high entry costs that begins with so little."""
    wanted = FED * lungs.full_ul
    return round(FED_WEIGHT * (1 - air_ul / wanted)) if air_ul < wanted else 0


def stale(since_s: float) -> int:
    """What it costs to breathe again only after so long."""
    return min(STALE_MOST, round(POINT * (since_s - STALE_S))) if since_s > STALE_S else 0


def light(since_s: float) -> int:
    """What a full breath costs so soon after the last one."""
    return round(LIGHT_MOST * (1 - since_s / LIGHT_S)) if since_s < LIGHT_S else 0


def soon(since_s: float, most: int = SOON_MOST) -> int:
    """What a breath costs so soon after the last one."""
    return round(most * (1 - since_s / SOON_S)) if since_s < SOON_S else 0


def _kept(labels: list[_Label]) -> list[_Label]:
    """The labels that may still be the best: no other is as cheap with as much air, whatever its history may cost."""
    labels.sort(key=lambda label: (label.missing, label.cost, -label.air))
    kept: list[_Label] = []
    for label in labels:
        if not any(_beats(other, label) for other in kept):
            kept.append(label)
    return kept


def _beats(one: _Label, other: _Label) -> bool:
    if one.air < other.air:
        return False
    if one.missing < other.missing:
        return True
    # The one can pay at most so much more than the other for when its breaths were.
    last = STALE_MOST if one.last_s < other.last_s else SOON_MOST if one.last_s > other.last_s else 0
    full = LIGHT_MOST if one.full_s > other.full_s else 0
    return one.cost + last + full <= other.cost


def _traced(label: _Label, cost: int) -> Plan:
    rows: list[tuple[Option, int, int]] = []
    at: _Label | None = label
    while at is not None and at.option is not None:
        rows.append((at.option, at.left, at.lacks))
        at = at.before
    rows.reverse()
    return Plan(
        tuple(option for option, _, _ in rows),
        tuple(left for _, left, _ in rows),
        tuple(lack for *_, lack in rows),
        cost,
    )

"""Where the air does not last, and what would help, a sentence or two each: every remedy is planned, not guessed."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from coach.instruments.air import Air
from coach.prepare.breath.chains import Chain
from coach.prepare.breath.line import Clock, Line, line_of
from coach.prepare.breath.places import Place
from coach.prepare.breath.planner import FULL, UNITS, Plan, plan_breaths
from coach.prepare.dynamics.level import Levels
from coach.prepare.over import measure_of

# Speeds that are tried, as factors of the tempo; beyond them it would be another piece.
_FASTER = tuple(1 + k / 20 for k in range(1, 6))
_SOFTER = (("play it one dynamic softer", 1), ("play it two dynamics softer", 2))
# How many notes in a row are left out for a breath at most.
_LEFT_OUT = 3
_MOST_NAMED = 3


@dataclass(frozen=True, slots=True)
class Making:
    """What a line was made of, to make a stretch of it anew. `tempo` tells what the tempo is called at a place, at a
    factor of its speed ("54")."""

    gaps: Sequence[Place]
    air: Air
    clock: Clock
    levels: Levels
    decided: Mapping[str, str]
    struck: frozenset[str]
    tempo: Callable[[Fraction, float], str] | None = None


def troubles(line: Line, plan: Plan, made: Making) -> tuple[str, ...]:
    """Where the air does not last, for each stretch between two breaths."""
    told = []
    first = 0
    for k, option in enumerate(plan.options):
        if option.size or k == len(plan.options) - 1:
            if any(plan.missing_ul[first : k + 1]):
                told.append(_out(line, plan, made, first, k))
            first = k + 1
    return tuple(told)


def _out(line: Line, plan: Plan, made: Making, first: int, last: int) -> str:
    """What is said of the stretch from note `first` to note `last`."""
    gone = next(k for k in range(first, last + 1) if plan.missing_ul[k])
    lacking = sum(plan.missing_ul[first : last + 1]) / UNITS
    at_q = line.chains[gone].onset_q
    tempo = f" at {made.tempo(at_q, 1.0)}" if made.tempo else ""
    short = f", {lacking:.1f} litres short" if lacking >= 0.05 else ", by very little"
    alone = "; this note is longer than a breath" if first == last and len(line.chains[gone].heads) > 1 else ""
    told = f"You will be out of air in measure {_measure_of_end(line, plan, gone)}{tempo}{short}{alone}."
    # Planned anew from the last whole breath to the next.
    begins = next((k + 1 for k in range(first - 1, -1, -1) if plan.options[k].size == FULL), 0)
    ends = next((k for k in range(last, len(plan.options)) if plan.options[k].size == FULL), len(plan.options) - 1)
    helps = [*_own(line, made, begins, ends), *_speed(line, made, begins, ends), *_softer(line, made, begins, ends)]
    leave = _left_out(line, plan, made, first, last)
    helps += [leave] if leave else []
    helps += [] if helps else ["hide a breath while others play"]
    return f"{told} What would help: {', or '.join(helps)}."


def _measure_of_end(line: Line, plan: Plan, k: int) -> str:
    """The measure in which the air goes out, of a note that may be tied over many."""
    chain = line.chains[k]
    used = max(plan.options[k].used_ul, 1)
    gone_q = chain.onset_q + chain.length_q * Fraction(used - min(plan.missing_ul[k], used), used)
    head = next((one for one in reversed(chain.heads) if one.onset_q <= gone_q), chain.first)
    return measure_of(head.id)


def _again(
    line: Line, made: Making, begins: int, ends: int, *, faster: float = 1.0, softer: int = 0, own: bool = True
) -> Plan:
    """The plan of a stretch that begins with full lungs, faster or softer, or without the breaths that were decided."""
    flows = (*made.air.flows[:1] * softer, *made.air.flows)[: len(made.air.flows)]
    air = replace(made.air, flows=flows)
    stretch = line_of(
        line.chains[begins : ends + 1],
        made.gaps[begins:ends],
        air,
        lambda at_q: made.clock(at_q) / faster,
        made.levels,
        made.decided if own else {},
        made.struck,
    )
    return plan_breaths(stretch.tones, stretch.lungs)


def _own(line: Line, made: Making, begins: int, ends: int) -> list[str]:
    """A breath more, where those that were decided leave no way and others would."""
    inside = {chain.at for chain in line.chains[begins : ends + 1]}
    if inside.isdisjoint(made.decided):
        return []
    plan = _again(line, made, begins, ends, own=False)
    chosen = [(option.size, line.chains[begins + k]) for k, option in enumerate(plan.options) if option.size]
    if plan.short_ul or not 0 < len(chosen) <= _MOST_NAMED:
        return []
    places = " and ".join(f"a {size} breath after the {_note(chain)}" for size, chain in chosen)
    return [f"take {places} in place of what was decided"]


def _speed(line: Line, made: Making, begins: int, ends: int) -> list[str]:
    if _again(line, made, begins, ends, faster=_FASTER[-1]).short_ul:
        return []
    for factor in _FASTER:
        if not _again(line, made, begins, ends, faster=factor).short_ul:
            name = made.tempo(line.chains[begins].onset_q, factor) if made.tempo else ""
            return [f"play it at {name}" if name else f"play it {factor - 1:.0%} faster".replace("%", " per cent")]
    return []


def _softer(line: Line, made: Making, begins: int, ends: int) -> list[str]:
    return next(([words] for words, n in _SOFTER if not _again(line, made, begins, ends, softer=n).short_ul), [])


def _left_out(line: Line, plan: Plan, made: Making, first: int, last: int) -> str:
    """The notes that could be left out for one breath, "" where no such breath would do: after what is left the air
    lasts to its place and from there to the end; the place is the best by what it costs the music."""
    full = line.lungs.full_ul
    before = _begins_with(line, plan, first)
    used = [0]
    for option in plan.options[first : last + 1]:
        used.append(used[-1] + option.used_ul)
    found: list[tuple[int, float, int]] = []
    for count in range(1, _LEFT_OUT + 1):
        for k in range(first, last - count):
            out = line.chains[k + 1 : k + count + 1]
            if out[-1].rest_q or line.chains[k].rest_q or out[0].measure != out[-1].measure:
                continue
            time_s = line.tones[k + count + 1].start_s - line.tones[k].end_s
            left = before - used[k - first + 1]
            gained = full if time_s >= made.air.full_s else min(full, left + line.lungs.catch_ul)
            if time_s >= made.air.catch_s and left >= 0 and used[-1] - used[k - first + count + 1] <= gained:
                found.append((count, made.gaps[k].points, k))
        if found:
            break
    if not found:
        return ""
    count, _, k = min(found)
    names = [chain.pitch.spoken for chain in line.chains[k + 1 : k + count + 1]]
    notes = ", ".join(names[:-1]) + f" and the {names[-1]}" if count > 1 else names[0]
    return f"leave out the {notes} after the {_note(line.chains[k])} and breathe there"


def _begins_with(line: Line, plan: Plan, first: int) -> int:
    """The air at the beginning of a stretch, after the breath before it."""
    full = line.lungs.full_ul
    if not first or plan.options[first - 1].size == FULL:
        return full
    return min(full, plan.left_ul[first - 1] + line.lungs.catch_ul)


def _note(chain: Chain) -> str:
    return f"{chain.pitch.spoken} in measure {measure_of(chain.last.id)}"

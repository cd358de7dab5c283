"""The planner against every subset of breaths, with the cost reckoned anew beside it from its published rules; and what
must hold whatever the line."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import product
from math import ceil

from hypothesis import given, settings
from hypothesis import strategies as st

from coach.prepare.breath.planner import CATCH, FULL, NONE, Lungs, Option, Tone, plan_breaths

lengths_s = st.integers(2, 60).map(lambda n: n / 10)


@st.composite
def lines(draw: st.DrawFn, most: int = 8) -> tuple[Tone, ...]:
    """Tones with rests between, flows, and options that a builder could offer."""
    tones: list[Tone] = []
    at_s = 0.0
    for _ in range(draw(st.integers(1, most))):
        length_s, rest_s = draw(lengths_s), draw(st.sampled_from([0.0, 0.0, 0.0, 0.4, 1.0]))
        flow = draw(st.integers(100, 300))
        points = draw(st.integers(0, 1200))
        options = [Option(NONE, round(flow * length_s), 0.0, draw(st.sampled_from([0, 0, 30])))]
        for size, need_s in ((CATCH, 0.3), (FULL, 0.6)):
            cut_s = max(0.0, need_s - rest_s)
            if cut_s <= length_s / 2 and draw(st.booleans()):
                cost = 0 if not cut_s else points + (100 if size == FULL else 0)
                options.append(Option(size, round(flow * (length_s - cut_s)), cut_s, cost, rest=rest_s >= 0.3))
        tones.append(
            Tone(
                at_s,
                at_s + length_s,
                tuple(options),
                loud=flow > 240,
                entry=draw(st.booleans()) and flow < 140,
                floor_ul=draw(st.sampled_from([0, 0, 200])) if flow > 240 else 0,
            )
        )
        at_s += length_s + rest_s
    return (*tones[:-1], replace(tones[-1], options=tones[-1].options[:1]))


lungs = st.integers(3, 60).map(lambda n: Lungs(n * 100, n * 40))


def judged(tones: Sequence[Tone], chosen: Sequence[Option], air: Lungs) -> tuple[int, int]:
    """The air missing and the cost of a choice of breaths, reckoned from the rules as they are written."""
    left, cost, missing = air.full_ul, 0, 0
    breathed_s, filled_s = tones[0].start_s, float("-inf")
    for k, (tone, option) in enumerate(zip(tones, chosen, strict=True)):
        if tone.entry and left < 0.35 * air.full_ul:
            cost += round(300 * (1 - left / (0.35 * air.full_ul)))
        begins = left
        left -= option.used_ul
        cost += option.cost
        missing += max(0, tone.floor_ul - left) if tone.floor_ul else max(0, -left)
        left = max(0, left)
        share, weight = (0.2, 800) if tone.loud else (0.1, 400)
        if left < share * air.full_ul:
            sounding_s = tone.end_s - option.cut_s - tone.start_s
            # The area of a trapezoid, or of a triangle where the tone begins with enough.
            wanted = share * air.full_ul
            low_s = sounding_s if begins <= wanted else sounding_s * (wanted - left) / (begins - left)
            cost += round(weight * low_s * ((1 - left / wanted) + (1 - min(begins, wanted) / wanted)) / 2)
        if not option.size:
            continue
        next_s = tones[k + 1].start_s
        cost += waited(tone.end_s - option.cut_s - breathed_s)
        if next_s - breathed_s < 6:
            cost += round((100 if option.rest else 300) * (1 - (next_s - breathed_s) / 6))
        if option.size == FULL:
            cost += round(200 * (1 - (next_s - filled_s) / 4)) if next_s - filled_s < 4 else 0
            left, filled_s = air.full_ul, next_s
        else:
            left = min(air.full_ul, left + air.catch_ul)
        breathed_s = next_s
    return missing, cost + waited(tones[-1].end_s - breathed_s)


def waited(since_s: float) -> int:
    return min(600, round(100 * (since_s - 18))) if since_s > 18 else 0


def every_choice(tones: Sequence[Tone]) -> Iterator[tuple[Option, ...]]:
    return product(*(tone.options for tone in tones))


@settings(max_examples=150, deadline=None)
@given(lines(), lungs)
def test_the_plan_is_the_best_of_all(tones: tuple[Tone, ...], air: Lungs) -> None:
    plan = plan_breaths(tones, air)
    best = min(judged(tones, chosen, air) for chosen in every_choice(tones))
    assert (plan.short_ul, plan.cost) == judged(tones, plan.options, air) == best


def only_full_or_none(tone: Tone) -> Tone:
    return replace(tone, options=tuple(one for one in tone.options if one.size != CATCH))


@settings(max_examples=25, deadline=None)
@given(lines(most=15), lungs)
def test_the_plan_is_the_best_over_fourteen_gaps(tones: tuple[Tone, ...], air: Lungs) -> None:
    # Two options a gap, so that all 2 to the 14th choices can be tried.
    tones = tuple(only_full_or_none(tone) for tone in tones)
    plan = plan_breaths(tones, air)
    best = min(judged(tones, chosen, air) for chosen in every_choice(tones))
    assert (plan.short_ul, plan.cost) == best


@settings(max_examples=200, deadline=None)
@given(lines(most=30), st.integers(3, 40), st.integers(0, 30))
def test_larger_lungs_never_cost_more(tones: tuple[Tone, ...], size: int, more: int) -> None:
    small, large = (plan_breaths(tones, Lungs(n * 100, n * 40)) for n in (size, size + more))
    assert (large.short_ul, large.cost) <= (small.short_ul, small.cost)


@settings(max_examples=200, deadline=None)
@given(lines(most=30), lungs)
def test_the_air_adds_up(tones: tuple[Tone, ...], air: Lungs) -> None:
    plan = plan_breaths(tones, air)
    left = air.full_ul
    for option, ends, lacks in zip(plan.options, plan.left_ul, plan.missing_ul, strict=True):
        assert 0 <= ends == max(0, left - option.used_ul)
        assert lacks >= max(0, option.used_ul - left)
        left = {NONE: ends, CATCH: min(air.full_ul, ends + air.catch_ul), FULL: air.full_ul}[option.size]


def test_no_tones_no_plan() -> None:
    assert plan_breaths((), Lungs(2000, 800)).options == ()


@st.composite
def long_lines(draw: st.DrawFn) -> tuple[list[float], list[int], list[float]]:
    """Lengths of notes that have time for a full breath even at twice their speed, their flows, the rests after."""
    count = draw(st.integers(1, 25))
    lengths_s = [draw(st.integers(24, 60)) / 10 for _ in range(count)]
    flows = [draw(st.integers(100, 300)) for _ in range(count)]
    return lengths_s, flows, [draw(st.sampled_from([0.0, 0.0, 0.8])) for _ in range(count)]


def fewest_breaths(
    lengths_s: Sequence[float], flows: Sequence[int], rests_s: Sequence[float], air: Lungs
) -> int | None:
    """How many full breaths the cheapest plan takes where a breath costs more than all else together; None where the
    air does not last."""
    tones, at_s = [], 0.0
    for length_s, flow, rest_s in zip(lengths_s, flows, rests_s, strict=True):
        cut_s = max(0.0, 0.6 - rest_s)
        assert length_s - cut_s >= max(0.25, length_s / 2) - 1e-9
        going_on = Option(NONE, ceil(flow * length_s), 0.0, 0)
        breath = Option(FULL, ceil(flow * (length_s - cut_s)), cut_s, 10**8, rest=rest_s > 0)
        tones.append(Tone(at_s, at_s + length_s, (going_on, breath)))
        at_s += length_s + rest_s
    tones[-1] = replace(tones[-1], options=tones[-1].options[:1])
    plan = plan_breaths(tones, air)
    return None if plan.short_ul else sum(option.size == FULL for option in plan.options)


@settings(max_examples=200, deadline=None)
@given(long_lines(), st.integers(6, 60), st.integers(101, 200))
def test_a_faster_tempo_never_needs_more_breaths(
    line: tuple[list[float], list[int], list[float]], size: int, per_cent: int
) -> None:
    """Where every note has time for a full breath at the faster tempo. Without that it would be false: a faster note
    may be too short to give its end, and two catch breaths elsewhere have to do what one full breath did."""
    lengths_s, flows, rests_s = line
    air = Lungs(size * 100, size * 40)
    slow = fewest_breaths(lengths_s, flows, rests_s, air)
    factor = per_cent / 100
    # The rests are kept long enough for a breath, or none.
    fast = fewest_breaths([one / factor for one in lengths_s], flows, rests_s, air)
    if slow is not None:
        assert fast is not None and fast <= slow

"""Why a breath is where it is, as a teacher would say it: what the place is like, and what would go wrong without."""

from collections.abc import Sequence

from coach.prepare.breath.line import Line
from coach.prepare.breath.places import Place
from coach.prepare.breath.planner import FED, STALE_S, THIN, Option, Plan
from coach.prepare.over import measure_of

# Traits of a place in words, those that say most first; a place says at most two.
_WORDS: tuple[tuple[str, str], ...] = (
    ("phrase end", "at the end of the phrase"),
    ("printed breath", "where a breath is printed"),
    ("section end", "at the double bar"),
    ("fermata", "after the fermata"),
    ("figure ends", "before the figure comes again"),
    ("four measures", "after four measures"),
    ("new dynamic", "before the new dynamic"),
    ("two measures", "after two measures"),
    ("leap", "before the leap"),
)


def reason(line: Line, plan: Plan, gaps: Sequence[Place], k: int) -> str:
    """Why a plan breathes after note `k`, in one sentence."""
    where, why = _where(line, gaps[k], k, plan.options[k]), _why(line, plan, k)
    told = f"{where}: {why}" if why else where
    return f"{told[:1].upper()}{told[1:]}."


def _where(line: Line, place: Place, k: int, option: Option) -> str:
    chain = line.chains[k]
    if chain.rest_q:
        return "in the rest" if not option.cut_s else "in the short rest, with a little of the note before"
    value = chain.last.value
    dotted = "dotted " if value is not None and value.dots else ""
    long = "long " if "long note" in place.traits and not dotted else ""
    note = f"after the {long}{dotted}{chain.pitch.spoken}"
    joined = "under the slur, where there is time" if "under a slur" in place.traits else ""
    slur = "where the slur ends" if not joined and k and line.chains[k - 1].joined else ""
    traits = [words for trait, words in _WORDS if trait in place.traits]
    return ", ".join([note, *[one for one in (joined, slur) if one], *traits][:3])


def _why(line: Line, plan: Plan, k: int) -> str:
    """What would happen if the line went on here, up to the next breath of the plan."""
    full = line.lungs.full_ul
    air = plan.left_ul[k]
    last = len(line.tones) - 1
    loud: int | None = None
    for n in range(k + 1, last + 1):
        tone, option = line.tones[n], plan.options[n]
        if tone.entry and air < FED * full:
            return f"so that the soft high {_note(line, n)} is supported"
        air -= option.used_ul
        if tone.loud and air < THIN * full:
            loud = n
        if air < 0 or (loud is not None and (option.size or n == last or not line.tones[n + 1].loud)):
            break
        if option.size:
            break
    else:
        n = last
    if loud is not None:
        end = _loud_end(line, plan, k)
        return f"so that the forte lasts to the {_note(line, end)}"
    if air < 0:
        return f"without it the air would be gone in measure {measure_of(line.chains[n].first.id)}"
    return _stale(line, plan, k)


def _loud_end(line: Line, plan: Plan, k: int) -> int:
    """The last note of the loud stretch before the next breath."""
    end = k + 1
    for n in range(k + 1, len(line.tones)):
        if line.tones[n].loud:
            end = n
        if plan.options[n].size:
            break
    return end


def _stale(line: Line, plan: Plan, k: int) -> str:
    since = next((n for n in range(k - 1, -1, -1) if plan.options[n].size), -1)
    until = next((n for n in range(k + 1, len(line.tones)) if plan.options[n].size), len(line.tones) - 1)
    start_s = line.tones[since + 1].start_s
    whole_s = line.tones[until].end_s - start_s
    if plan.options[k].rest and line.chains[k].rest_q:
        return ""
    if whole_s > STALE_S:
        return f"{whole_s:.0f} seconds on one breath would be too long to feel fresh"
    return ""


def _note(line: Line, n: int) -> str:
    chain = line.chains[n]
    return f"{chain.pitch.spoken} in measure {measure_of(chain.first.id)}"

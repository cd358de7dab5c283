"""Why a breath is where it is, as a teacher would say it: what the place is like, and what would go wrong without."""

from collections.abc import Sequence

from coach.prepare.breath.line import Line
from coach.prepare.breath.places import Place
from coach.prepare.breath.planner import FED, LOW, STALE_S, THIN, Option, Plan
from coach.prepare.over import measure_of

# What a place is, those that say most first; one is said.
_WORDS: tuple[tuple[str, str], ...] = (
    ("phrase end", "where the phrase ends"),
    ("printed breath", "where a breath is printed"),
    ("section end", "where the section ends"),
    ("opening returns", "before the opening comes back"),
    ("figure ends", "before the figure comes again"),
    ("slur end", "where the slur ends"),
    ("four measures", "at the end of four measures"),
    ("two measures", "after two measures"),
    ("new dynamic", "before the new dynamic"),
)
_LOUD = {"f": "forte", "ff": "fortissimo", "fff": "fortissimo"}
# With so much of the lungs left at its end, what is loud has lasted.
_LASTED = 0.03
_LONG_REST_S = 2.0


def reason(line: Line, plan: Plan, gaps: Sequence[Place], k: int) -> str:
    """Why a plan breathes after note `k`, in one sentence."""
    told = ", ".join(filter(None, [*_where(line, gaps[k], k, plan.options[k]), _why(line, plan, k)]))
    return f"{told[:1].upper()}{told[1:]}."


def _where(line: Line, place: Place, k: int, option: Option) -> list[str]:
    chain = line.chains[k]
    if chain.rest_q:
        return ["in the rest" if not option.cut_s else f"in the short rest and the end of the {chain.pitch.spoken}"]
    words = next((words for trait, words in _WORDS if trait in place.traits), "")
    if "under a slur" in place.traits:
        words = "though a slur goes on"
    if "fermata" in place.traits:
        return [f"after the fermata on the {chain.pitch.spoken}"]
    return [f"after the {_length(line, place, k)}{chain.pitch.spoken}", words]


def _length(line: Line, place: Place, k: int) -> str:
    """What the note is, where that speaks for the place."""
    chain = line.chains[k]
    value = chain.last.value
    if len(chain.heads) == 1 and value is not None and value.dots:
        return "dotted "
    return "long " if "long note" in place.traits else ""


def _why(line: Line, plan: Plan, k: int) -> str:
    """What would happen if the line went on here, up to the next breath of the plan; in a long rest nobody asks."""
    if _rest_s(line, k) >= _LONG_REST_S:
        return ""
    full = line.lungs.full_ul
    air = plan.left_ul[k]
    low = gone = None
    for n in range(k + 1, _next_breath(plan, k) + 1):
        tone = line.tones[n]
        if tone.entry and air < FED * full:
            return f"so that the soft high {_note(line, n)} has air enough"
        air -= plan.options[n].used_ul
        if tone.loud and air < THIN * full and (words := _loud(line, plan, k, n)):
            return words
        gone = n if gone is None and air < 0 else gone
        low = n if low is None and air < LOW * full else low
    if gone is not None:
        return f"or the air would be gone in measure {_measure(line, gone)}"
    if low is not None and plan.left_ul[low] > LOW * full:
        return f"or hardly any air would be left in measure {_measure(line, low)}"
    return _stale(line, plan, k)


def _rest_s(line: Line, k: int) -> float:
    return line.tones[k + 1].start_s - line.tones[k].end_s if line.chains[k].rest_q else 0.0


def _next_breath(plan: Plan, k: int) -> int:
    """The note after which the next breath comes, or the last note."""
    return next((n for n in range(k + 1, len(plan.options)) if plan.options[n].size), len(plan.options) - 1)


def _loud(line: Line, plan: Plan, k: int, n: int) -> str:
    """What the breath does for the loud stretch that note `n` is in; "" where it does not last even so."""
    begins = n
    while begins > k + 1 and line.tones[begins - 1].loud:
        begins -= 1
    ends, until = n, _next_breath(plan, k)
    while ends < until and line.tones[ends + 1].loud:
        ends += 1
    lasts = plan.left_ul[ends] >= _LASTED * line.lungs.full_ul and not any(plan.missing_ul[k + 1 : ends + 1])
    if not lasts:
        return ""
    note = line.chains[n].first
    name = _LOUD.get(note.dynamic or "") or ("crescendo" if note.hairpin == "crescendo" else "loud passage")
    if begins > k + 1 or not line.tones[k].loud:
        return f"so that there is air for the {name} in measure {_measure(line, begins)}"
    return f"so that the {name} lasts to the {_note(line, ends)}"


def _stale(line: Line, plan: Plan, k: int) -> str:
    if line.chains[k].rest_q:
        return ""
    since = next((n for n in range(k - 1, -1, -1) if plan.options[n].size), -1)
    whole_s = line.tones[_next_breath(plan, k)].end_s - line.tones[since + 1].start_s
    return f"because {whole_s:.0f} seconds are long without a breath" if whole_s > STALE_S else ""


def _measure(line: Line, n: int) -> str:
    return measure_of(line.chains[n].first.id)


def _note(line: Line, n: int) -> str:
    return f"{line.chains[n].pitch.spoken} in measure {_measure(line, n)}"

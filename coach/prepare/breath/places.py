"""What a breath costs the music at each place: a small table of what stands for and against it.

Common practice of the trade, in figures of this program's own: rests and phrase ends first, then the ends of slurs and
the notes that are long or dotted; not under a slur, not inside a figure that comes again, not on the way up to a
climax; never between a leading note and its resolution. Inside a tie or between a grace and its note no breath is ever
offered.
"""

from bisect import bisect_left, bisect_right
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from coach.music.part import Part
from coach.music.pitch import STEPS
from coach.prepare.breath.chains import Chain

# Points for (+) and against (-) a place; every breath that no rest gives costs the first.
POINTS: Mapping[str, float] = {
    "no rest": 6.0,
    "rest": -6.0,
    "short rest": -3.0,
    "phrase end": -5.5,
    "printed breath": -5.5,
    "section end": -4.0,
    "fermata": -3.0,
    "four measures": -2.0,
    "two measures": -1.0,
    "under a slur": 6.0,
    "long note": -2.0,
    "dotted note": -1.0,
    "leap": -1.0,
    "new dynamic": -1.5,
    "figure ends": -1.5,
    "inside a figure": 3.0,
    "crescendo": 1.5,
    "over the barline": 1.0,
    "leads into it": 1.5,
}
LEAST = 0.5
FULL_POINTS = 1.0
CUT_POINTS = 4.0  # for a note that would be cut away altogether, in proportion
UNUSED_REST_POINTS = 0.3
BARRED_POINTS = 10_000.0
_LEAP = 7
_LONGEST_FIGURE = 8


@dataclass(frozen=True, slots=True)
class Place:
    """The gap after a chain: what stands for and against a breath there (keys of POINTS), and why it is barred ("" if
    it is not)."""

    traits: tuple[str, ...]
    barred: str = ""

    @property
    def points(self) -> float:
        """What a breath here costs the music, before it is known how long it takes."""
        return max(LEAST, sum(POINTS[trait] for trait in self.traits))


def places(
    part: Part, line: Sequence[Chain], rests: Sequence[bool], phrase_ends: frozenset[str] = frozenset()
) -> tuple[Place, ...]:
    """The places after each chain of a line but the last. `rests` tells of each chain whether the rest after it is long
    enough for a breath; `phrase_ends` are ids of last notes of marked phrases."""
    inside, between = _figures(line)
    ends = _endings(part)
    new_dynamics = frozenset(mark.onset_q for mark in part.dynamics)
    swelling = _swelling(part, line)
    found = []
    for k, (chain, after) in enumerate(zip(line, line[1:], strict=False)):
        phrase = bool(phrase_ends.intersection(head.id for head in chain.heads))
        traits = [
            "no rest",
            *(["rest" if rests[k] else "short rest"] if chain.rest_q else []),
            *(["phrase end"] if phrase else []),
            *(["printed breath"] if chain.last.breath is not None or chain.last.caesura else []),
            *(["fermata"] if chain.last.fermata else []),
            *(["section end"] if after.onset_q in ends.sections else []),
            *(["four measures"] if after.onset_q in ends.fours else []),
            *(["two measures"] if after.onset_q in ends.twos else []),
            *(["under a slur"] if chain.joined else []),
            *_length(line, k),
            *(["leap"] if abs(after.pitch.midi - chain.pitch.midi) >= _LEAP else []),
            *(["new dynamic"] if after.onset_q in new_dynamics else []),
            *(["figure ends"] if k in between else ["inside a figure"] if k in inside else []),
            *(["crescendo"] if k + 1 in swelling else []),
            *_metre(chain, after),
        ]
        found.append(Place(tuple(traits), _barred(chain, after, free=bool(chain.rest_q) or phrase)))
    return tuple(found)


@dataclass(frozen=True, slots=True)
class _Endings:
    """Where sections end, and groups of four and of two measures, counted anew from each section: the onsets of what
    comes after."""

    sections: frozenset[Fraction]
    fours: frozenset[Fraction]
    twos: frozenset[Fraction]


def _endings(part: Part) -> _Endings:
    sections, fours, twos = set(), set(), set()
    count = 0
    for measure in part.measures:
        count += not (measure.pickup or measure.implicit)
        if measure.repeat_end or measure.barline in ("light-light", "light-heavy"):
            sections.add(measure.end_q)
            count = 0
        elif count and count % 4 == 0:
            fours.add(measure.end_q)
        elif count and count % 2 == 0:
            twos.add(measure.end_q)
    return _Endings(frozenset(sections), frozenset(fours), frozenset(twos))


def _length(line: Sequence[Chain], k: int) -> list[str]:
    """Whether the note is long, in its surroundings and by the beat, and whether it is dotted."""
    chain = line[k]
    near = sorted(one.length_q for one in line[max(0, k - 4) : k + 5])
    usual = near[len(near) // 2]
    beat_q = chain.measure.metre.beat_q if chain.measure.metre else Fraction(1)
    longer = chain.length_q >= 2 * usual or (chain.length_q > line[k + 1].length_q and chain.length_q >= beat_q)
    value = chain.last.value
    dotted = value is not None and value.dots > 0 and chain.length_q > line[k + 1].length_q
    return [*(["long note"] if longer else []), *(["dotted note"] if dotted else [])]


def _metre(chain: Chain, after: Chain) -> list[str]:
    """A short note that leads over the barline, or into a longer one on the beat, belongs to what it leads to."""
    if chain.rest_q or chain.length_q >= after.length_q:
        return []
    if after.first.beat == 1 and chain.last.measure != after.first.measure:
        return ["over the barline"]
    return ["leads into it"] if after.first.beat.denominator == 1 and chain.last.beat.denominator != 1 else []


def _barred(chain: Chain, after: Chain, *, free: bool) -> str:
    """Why no breath belongs here, "" where one may."""
    trilled = any(ornament.kind in ("trill-mark", "wavy-line") for head in chain.heads for ornament in head.ornaments)
    if chain.last.after_graces or (trilled and len(after.first.graces) > 1):
        return "the closing notes lead on to the next note"
    return "" if free else _resolution(chain, after)


def _resolution(chain: Chain, after: Chain) -> str:
    """Why the note asks for the next one: it leads up to it by a half step, raised by a sign or as the seventh of the
    major key."""
    pitch, goal = chain.pitch, after.pitch
    if goal.midi != pitch.midi + 1 or goal.diatonic != pitch.diatonic + 1:
        return ""
    key = chain.measure.key
    raised = pitch.alter > key.alter_of(pitch.step)
    tonic = STEPS[(4 * key.fifths) % 7]
    seventh = goal.step == tonic and goal.alter == key.alter_of(tonic)
    return "the leading note goes to its resolution" if raised or seventh else ""


def _swelling(part: Part, line: Sequence[Chain]) -> frozenset[int]:
    """The notes that begin inside a crescendo, not with it."""
    onsets = [chain.onset_q for chain in line]
    swells = (pin for pin in part.hairpins if pin.kind == "crescendo")
    spans = (range(bisect_right(onsets, pin.start_q), bisect_left(onsets, pin.end_q)) for pin in swells)
    return frozenset(k for span in spans for k in span)


# A note in a figure: its length, the step to the next, whether it is joined to it, whether a rest follows.
_Beat = tuple[int, int, bool, bool]


def _beats(line: Sequence[Chain]) -> list[_Beat]:
    lengths = {length: k for k, length in enumerate({chain.length_q for chain in line})}
    steps = [after.pitch.diatonic - chain.pitch.diatonic for chain, after in zip(line, line[1:], strict=False)]
    return [
        (lengths[chain.length_q], step, chain.joined, bool(chain.rest_q))
        for chain, step in zip(line, [*steps, 0], strict=True)
    ]


def _figures(line: Sequence[Chain]) -> tuple[set[int], set[int]]:
    """The gaps inside a figure that comes again at once (higher, lower or the same), and those between the two."""
    inside: set[int] = set()
    between: set[int] = set()
    beats = _beats(line)
    for size in range(_LONGEST_FIGURE, 1, -1):
        for start in range(len(line) - 2 * size + 1):
            if not _alike(beats[start : start + size], beats[start + size : start + 2 * size]):
                continue
            inside.update(range(start, start + size - 1), range(start + size, start + 2 * size - 1))
            between.add(start + size - 1)
    return inside, between - inside


def _alike(one: Sequence[_Beat], other: Sequence[_Beat]) -> bool:
    """Whether two rows of notes are the same figure: the same rhythm, steps and slurs, without rests inside, all joined
    or all apart, and more than even notes one way."""
    if one[:-1] != other[:-1] or one[-1][0] != other[-1][0]:
        return False
    if any(rest for *_, rest in one[:-1]) or len({joined for _, _, joined, _ in one[:-1]}) > 1:
        return False
    steps = [step for _, step, _, _ in one[:-1]]
    uneven = len({length for length, *_ in one}) > 1
    return uneven or any(a * b < 0 for a, b in zip(steps, steps[1:], strict=False))

"""What a breath costs the music at each place: a small table of what stands for and against it.

Common practice of the trade, in figures of this program's own: rests and phrase ends first, then the ends of slurs
and the notes that are long or dotted. A slur asks to go on, most of all inside a figure that comes again, where each
statement would be cut otherwise; a crescendo leads to its goal, a short note to what it leads into, and what has just
begun wants to be heard. Phrases of this repertoire mostly go by two and four measures, counted anew where the opening
comes back; an upbeat belongs to what follows, so the breath comes before it. Never between a leading note or a trill
and its resolution, as long as any other plan can be breathed. Inside a tie or between a grace and its note no breath
is ever offered.
"""

from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Mapping, Sequence, Set
from dataclasses import dataclass
from fractions import Fraction

from coach.music.part import Part
from coach.music.pitch import STEPS, Pitch
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
    "four measures": -2.5,
    "two measures": -1.5,
    "slur end": -2.0,
    "under a slur": 7.0,
    "long note": -2.0,
    "dotted note": -1.0,
    "leap": -1.0,
    "new dynamic": -1.5,
    "opening returns": -2.0,
    "figure ends": -1.5,
    "inside a figure": 8.0,
    "crescendo": 1.5,
    "over the barline": 1.0,
    "leads into it": 1.5,
    "just begun": 1.5,
}
LEAST = 0.5
TIME_POINTS = 2.0  # for a second that no rest gives
CUT_POINTS = 4.0  # for a note that would be cut away altogether, in proportion
# For going on where a rest has time for a whole breath, and at the clear end of a phrase, a place that costs no more.
UNUSED_REST_POINTS = 0.3
UNUSED_END_POINTS, CLEAR_END = 1.5, 1.0
# After these something new begins, and no breath comes after its first note.
BEGINS = frozenset({"phrase end", "section end", "four measures", "two measures", "opening returns"})
ENDS = frozenset({"phrase end", "section end", "fermata", "four measures"})
# For half a breath where a whole one is free.
HALF_POINTS = 0.1
BARRED_POINTS = 10_000.0
_LEAP = 7
_LONGEST_FIGURE = 8
_OPENING = 4


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
    ends = _endings(part, line, between)
    new_dynamics = frozenset(mark.onset_q for mark in part.dynamics)
    swelling = _swelling(part, line)
    found: list[Place] = []
    for k, (chain, after) in enumerate(zip(line, line[1:], strict=False)):
        phrase = bool(phrase_ends.intersection(head.id for head in chain.heads))
        traits = [
            "no rest",
            *(["rest" if rests[k] else "short rest"] if chain.rest_q else []),
            *(["phrase end"] if phrase else []),
            *(["printed breath"] if chain.last.breath is not None or chain.last.caesura else []),
            *(["fermata"] if chain.last.fermata else []),
            *ends.traits(chain, after, upbeats=k not in inside),
            *(["under a slur"] if chain.joined else ["slur end"] if k and line[k - 1].joined else []),
            *_length(line, k),
            *(["leap"] if abs(after.pitch.midi - chain.pitch.midi) >= _LEAP else []),
            *(["new dynamic"] if after.onset_q in new_dynamics else []),
            *(["figure ends"] if k in between else ["inside a figure"] if k in inside else []),
            *(["crescendo"] if k + 1 in swelling else []),
            *_metre(chain, after),
            *(["just begun"] if found and not BEGINS.isdisjoint(found[-1].traits) else []),
        ]
        # A slur that ends on a longer note and one that begins after it: a half close, and a new phrase.
        new_phrase = "slur end" in traits and after.joined and after.length_q < chain.length_q
        barred = _barred(chain, after, free=bool(chain.rest_q) or phrase, new_phrase=new_phrase)
        found.append(Place(tuple(traits), barred))
    return tuple(found)


@dataclass(frozen=True, slots=True)
class _Endings:
    """Where sections end, groups of four and of two measures, counted anew from each section, each silent measure
    and each return of the section's first notes; and those returns: the onsets of what comes after."""

    sections: frozenset[Fraction]
    fours: frozenset[Fraction]
    twos: frozenset[Fraction]
    openings: frozenset[Fraction]

    def traits(self, chain: Chain, after: Chain, *, upbeats: bool) -> list[str]:
        """What ends between two notes; a group of measures ends before an upbeat too, where there can be `upbeats`."""
        if after.onset_q in self.sections:
            return ["section end"]
        at = {after.onset_q, *(_over_upbeat(chain, after) if upbeats else ())}
        fours, twos = bool(at & (self.fours | self.sections)), bool(at & self.twos)
        group = ["four measures"] if fours else ["two measures"] if twos else []
        return [*group, *(["opening returns"] if at & self.openings else [])]


def _endings(part: Part, line: Sequence[Chain], between: Set[int]) -> _Endings:
    sections = {one.end_q for one in part.measures if one.repeat_end or one.barline in ("light-light", "light-heavy")}
    openings = {line[k].onset_q for k in _openings(line, sections) if k - 1 not in between}
    fours: set[Fraction] = set()
    twos: set[Fraction] = set()
    count = 0
    for measure in part.measures:
        silent = all(note.is_rest for note in measure.notes)
        if silent or measure.onset_q in sections or measure.onset_q in openings:
            count = 0
        count += not (silent or measure.pickup or measure.implicit)
        if count and count % 2 == 0:
            (fours if count % 4 == 0 else twos).add(measure.end_q)
    return _Endings(frozenset(sections), frozenset(fours), frozenset(twos), frozenset(openings))


def _over_upbeat(chain: Chain, after: Chain) -> tuple[Fraction, ...]:
    """The barline that an upbeat after a longer note leads over: what follows the long note lasts a beat at most."""
    measure = after.measure
    upbeat_q = measure.end_q - after.onset_q
    beat_q = measure.metre.beat_q if measure.metre else Fraction(1)
    return (measure.end_q,) if upbeat_q <= beat_q and upbeat_q < chain.length_q else ()


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


def _barred(chain: Chain, after: Chain, *, free: bool, new_phrase: bool) -> str:
    """Why no breath belongs here, "" where one may."""
    trilled = any(ornament.kind in ("trill-mark", "wavy-line") for head in chain.heads for ornament in head.ornaments)
    if chain.last.after_graces or (trilled and len(after.first.graces) > 1):
        return "the closing notes lead on to the next note"
    if free:
        return ""
    if trilled and abs(after.pitch.diatonic - chain.pitch.diatonic) == 1:
        return "the trill goes to its resolution"
    return "" if new_phrase else _resolution(chain, after)


def _resolution(chain: Chain, after: Chain) -> str:
    """Why the note asks for the next one: it leads up to it by a half step, raised by a sign or as the seventh of the
    major key."""
    pitch, goal = chain.pitch, after.pitch
    if goal.midi != pitch.midi + 1 or goal.diatonic != pitch.diatonic + 1:
        return ""
    key = chain.measure.key
    raised = pitch.alter > key.alter_of(pitch.step)
    tonic = STEPS[(4 * key.fifths) % 7]
    seventh = key.mode != "minor" and goal.step == tonic and goal.alter == key.alter_of(tonic)
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
    """The gaps inside a figure that comes again at once (higher, lower or the same), and those between the two; where a
    longer figure is made of shorter ones, the longer decides."""
    inside: set[int] = set()
    between: set[int] = set()
    beats = _beats(line)
    for size in range(_LONGEST_FIGURE, 1, -1):
        for starts in _runs(beats, size):
            first = _first(line, starts, size)
            ends = [k + size - 1 for k in range(first, starts[-1] + 1, size)]
            gaps = set(range(first, ends[-1] + size)) - set(ends)
            inside |= gaps - between
            between |= set(ends) - inside
    return inside, between


def _runs(beats: Sequence[_Beat], size: int) -> Iterator[range]:
    """The rows of places at each of which a figure of so many notes begins that comes again at once."""
    first: int | None = None
    for k in range(len(beats) - 2 * size + 2):
        alike = k <= len(beats) - 2 * size and _alike(beats[k : k + size], beats[k + size : k + 2 * size])
        if alike and first is None:
            first = k
        elif not alike and first is not None:
            yield range(first, k)
            first = None


def _first(line: Sequence[Chain], starts: range, size: int) -> int:
    """Where the figure begins, of the places where it could: where the notes before it are set off from it, by a rest
    or the end of a slur, else with a measure, else with a beat, else at once."""

    def order(k: int) -> tuple[bool, bool, bool, int]:
        end, after = line[k + size - 1], line[k + size]
        apart = bool(end.rest_q) or (line[k + size - 2].joined and not end.joined)
        return (not apart, after.first.beat != 1, after.first.beat.denominator != 1, k)

    return min(starts[:size], key=order)


def _openings(line: Sequence[Chain], sections: Set[Fraction]) -> set[int]:
    """The notes at which the first notes of the line, or of the section, come again: pitches, lengths and beat."""
    found: set[int] = set()
    head: list[tuple[Fraction, Pitch]] = []
    beat = Fraction(1)
    for k, chain in enumerate(line[: len(line) - _OPENING + 1]):
        row = [(one.length_q, one.pitch) for one in line[k : k + _OPENING]]
        if k == 0 or chain.onset_q in sections:
            head, beat = row, chain.first.beat
        elif row == head and chain.first.beat == beat:
            found.add(k)
    return found


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

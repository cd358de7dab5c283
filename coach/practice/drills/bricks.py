"""What the parts of a recipe make: bars of events.

- "hold": the held note over so many beats as there are cues, and on to the end of the measure, tied beat by beat;
- "pass": the note before for a beat, the held note with the cues, and the note after; nothing if both are missing;
- "alternate": the two notes in turn, by stages of one measure (two where a note fills one), each stage with more notes
  to the beat, up to the speed that the piece asks for there and three stages at least; the note next in turn is held
  for a measure at the end, so that the last change counts;
- "window": the change where it stands in its measures, with so many notes around it, all else silent;
- "grow": the stretch where it stands in its measures, from two notes on up to all of it;
- "whole": the stretch where it stands, and "measures": its measures.

What is made of ornaments is in `ornamented.py`: "stages", "shake", "counted", "graced"; of dynamics in `shaped.py`:
"lead", "long"; of the breath in `breathed.py`: "phrase", "breathe", "inside", "tone".
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from fractions import Fraction

from coach.practice.drills.breathed import breathe, inside, phrase, tone
from coach.practice.drills.event import Bar, Event, Frame, printed, sustained
from coach.practice.drills.ornamented import counted, graced, shake, stages
from coach.practice.drills.pouring import one_note, poured, slurred, stage, stage_length
from coach.practice.drills.recipe import KEYS, Brick
from coach.practice.drills.shaped import lead, long_tones
from coach.practice.drills.stretch import Chain, Stretch, chains_of
from coach.practice.drills.window import window

LEAST_STAGES = 3
_HANDS = {"L": "the left key", "R": "the right key"}


def bars_of(bricks: Sequence[Brick], stretch: Stretch) -> list[Bar]:
    """The bars of the parts of a recipe, each as often as it is played. A part that comes out like what was played just
    before (a measure of two notes has no more around them, or is printed as it was slurred) is left out."""
    made: list[Bar] = []
    for brick in bricks:
        bars = list(_MAKERS[brick.do](brick, stretch))
        if bars and list(map(_bare, bars)) != list(map(_bare, made[-len(bars) :])):
            made += _headed(bars, brick) * brick.times
    return made


def _bare(bar: Bar) -> Bar:
    """A bar without its words, and without pages that have nothing written at the note."""
    events = (replace(event, label="", says="", page=event.page if event.dressed else None) for event in bar.events)
    return Bar(bar.frame, tuple(events))


def _headed(bars: list[Bar], brick: Brick) -> list[Bar]:
    """The bars with the part's words at their beginning, unless they have their own."""
    if not bars:
        return bars
    first, *others = bars
    event, *rest = first.events
    headed = replace(event, label=event.label or brick.label, says=event.says or brick.says)
    return [Bar(first.frame, (headed, *rest)), *others]


# The swap


def _hold(brick: Brick, stretch: Stretch) -> Iterator[Bar]:
    frame = stretch.frame
    counts = len(brick.cues)
    counts += -counts % _beats(frame)
    yield from poured(_cued(brick, stretch, counts), frame)


def _pass(brick: Brick, stretch: Stretch) -> Iterator[Bar]:
    frame, before, after = stretch.frame, stretch.before, stretch.after
    if before is None and after is None:
        return
    lead = sustained(before.pitch, frame.beat_q, frame.beat_q) if before is not None else []
    left = -(len(brick.cues) + len(lead)) % _beats(frame)
    tail = sustained(after.pitch, (left or _beats(frame)) * frame.beat_q, frame.beat_q) if after is not None else []
    held = _cued(brick, stretch, len(brick.cues) + (0 if tail else left), len(lead))
    yield from poured(slurred([*lead, *held, *tail]), frame)


def _beats(frame: Frame) -> int:
    """How many beats a measure counts; printed units in additive metres."""
    return int(frame.length_q / frame.beat_q)


def _cued(brick: Brick, stretch: Stretch, counts: int, lead: int = 0) -> list[Event]:
    """The held note, a tied piece to the beat, each with its cue; `lead` beats were counted before it."""
    beat_q, beats = stretch.frame.beat_q, _beats(stretch.frame)
    short, long = _short_names(stretch.keys), _long_names(stretch.keys)
    cues = [*brick.cues, *[""] * counts][:counts]
    return [
        Event(
            stretch.first.pitch,
            beat_q,
            printed(beat_q),
            tied=k + 1 < counts,
            label=cue.format(**short) if cue else "",
            says=f"beat {(lead + k) % beats + 1}: {cue.format(**long)}" if cue else "",
        )
        for k, cue in enumerate(cues)
    ]


def _short_names(keys: tuple[str, str]) -> dict[str, str]:
    """What is printed for the two fingerings."""
    return {name: key or other for name, key, other in zip(KEYS, keys, ("1st", "2nd"), strict=True)}


def _long_names(keys: tuple[str, str]) -> dict[str, str]:
    """What the two fingerings are called in a sentence."""
    unknown = ("the first fingering", "the second fingering")
    return {
        name: _HANDS.get(key) or (f"fingering {key}" if key else other)
        for name, key, other in zip(KEYS, keys, unknown, strict=True)
    }


# Back and forth


def _alternate(brick: Brick, stretch: Stretch) -> Iterator[Bar]:
    frame = stretch.frame
    pitches = stretch.first.pitch, stretch.last.pitch
    turn = 0
    made: list[list[Event]] = []
    for length_q in _stage_lengths(brick, stretch):
        count = int(frame.length_q / length_q)
        count = 2 if count == 1 else count
        notes = [one_note(pitches[(turn + k) % 2], length_q, frame) for k in range(count)]
        made.append(stage(notes, length_q, brick.says))
        turn += count
    made.append(one_note(pitches[turn % 2], frame.length_q, frame))
    held = made.pop()
    made[-1] += [replace(held[0], label="hold", says="Hold the last one: the change to it counts too"), *held[1:]]
    yield from poured([event for notes in made for event in (slurred(notes) if brick.slurred else notes)], frame)


def _stage_lengths(brick: Brick, stretch: Stretch) -> list[Fraction]:
    """How long the notes of each stage are, in quarters."""
    frame = stretch.frame
    needed_q = min(stretch.first.length_q, stretch.last.length_q)
    lengths: list[Fraction] = []
    for rate in brick.compound if frame.metre.is_compound else brick.simple:
        length_q = stage_length(rate, frame)
        if length_q is None:
            continue
        if length_q not in lengths:
            lengths.append(length_q)
        if length_q <= needed_q and len(lengths) >= LEAST_STAGES:
            break
    return lengths


# Where it stands


def _window(brick: Brick, stretch: Stretch) -> Iterator[Bar]:
    inside = chains_of([note for measure in stretch.measures for note in measure.notes])
    first = inside.index(_cut_to(stretch.first, inside))
    last = inside.index(_cut_to(stretch.last, inside))
    yield from window(stretch, inside[max(first - brick.around, 0) : last + brick.around + 1], brick.slurred)


def _grow(brick: Brick, stretch: Stretch) -> Iterator[Bar]:
    chains = stretch.chains
    for size in sizes(len(chains), brick.rounds):
        taken = chains[:size] if brick.end == "front" else chains[-size:]
        whole = size == len(chains)
        bars = list(window(stretch, taken, brick.slurred))
        label = "all" if whole else f"{size} notes"
        says = f"{brick.says}: {'all of them' if whole else f'{size} notes'}"
        yield from _headed(bars, replace(brick, label=label, says=says))


def sizes(count: int, rounds: int) -> list[int]:
    """How many notes the rounds have: from 2 up to all, at most so many rounds, as evenly as can be."""
    steps = min(rounds, count - 1)
    if steps < 2:
        return [count]
    return [2 + round(Fraction(k * (count - 2), steps - 1)) for k in range(steps)]


def _whole(brick: Brick, stretch: Stretch) -> Iterator[Bar]:
    yield from window(stretch, stretch.chains, brick.slurred)


def _measures(brick: Brick, stretch: Stretch) -> Iterator[Bar]:
    notes = [note for measure in stretch.measures for note in measure.notes]
    yield from window(stretch, chains_of(notes), brick.slurred)


def _cut_to(chain: Chain, inside: Sequence[Chain]) -> Chain:
    """The chain of the measures at hand that holds the beginning of another one."""
    return next(one for one in inside if any(note in one.notes for note in chain.notes))


_MAKERS: dict[str, Callable[[Brick, Stretch], Iterator[Bar]]] = {
    "hold": _hold,
    "pass": _pass,
    "alternate": _alternate,
    "window": _window,
    "grow": _grow,
    "whole": _whole,
    "measures": _measures,
    "stages": stages,
    "shake": shake,
    "counted": counted,
    "graced": graced,
    "lead": lead,
    "long": long_tones,
    "phrase": phrase,
    "breathe": breathe,
    "inside": inside,
    "tone": tone,
}

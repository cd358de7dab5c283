"""How easily the accidental of a head is forgotten, and why: a weight from 0 (never) to 3 (by almost everybody).

Common practice of the trade, no published rule: what a careful player pencils is a sign that the page leaves out (it
holds from earlier in the measure, it ended with the barline, it holds in another octave alone, the key has changed, a
trill plays it) and a name under which no finger is known (B sharp, C flat, double accidentals). Not known: which of
them this player forgets; the weights are defaults, made so that `usual` stays below one note in twelve.

A sign that holds weighs more the more notes lie between it and the head: 0 next to it, 1 with one or two notes between,
2 with three to seven, 3 with more; 2 also with fewer where LATER_BEATS of the metre have gone by. One that has ended
weighs 3 within FRESH notes, 2 up to the end of the next measure, 1 a measure later. Over the barline another octave is
a step lighter. What the page leaves out at a grace weighs a step more: there is no time for a second look.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field

from coach.music.pitch import Pitch
from coach.prepare.mark import ACCIDENTALS
from coach.prepare.place import beat_words
from coach.prepare.reminders.heads import Head

SPARING, USUAL, FULL = 3, 2, 1  # the weights that each density begins with
FRESH = 6  # notes for which an alteration that has ended is still in the fingers
_KEPT = 64  # heads of a step that are remembered
_FAR, _FARTHER = 3, 8  # notes between a sign and a head that it still holds for
LATER_BEATS = 3


@dataclass(frozen=True, slots=True)
class Weighed:
    """What might be written at a head: how much it is needed, the text of the reminder, and the reason."""

    weight: int
    text: str
    because: str


@dataclass(frozen=True, slots=True)
class _Seen:
    """A head that was read, and the how many-th it was."""

    count: int
    head: Head


@dataclass(slots=True)
class Memory:
    """What a reader has read until now; `fresh_steps` are the steps that a change of key altered and that have not
    come since."""

    count: int = 0
    by_step: dict[str, list[_Seen]] = field(default_factory=dict)
    fresh_steps: set[str] = field(default_factory=set)
    last: Head | None = None

    def turn(self, head: Head) -> None:
        """Notice a change of key before a head."""
        if self.last is not None and self.last.key != head.key:
            old = self.last.key
            self.fresh_steps = {step for step in "CDEFGAB" if old.alter_of(step) != head.key.alter_of(step)}

    def take(self, head: Head) -> None:
        """Read a head."""
        seen = self.by_step.setdefault(head.pitch.step, [])
        seen.append(_Seen(self.count, head))
        del seen[:-_KEPT]
        self.fresh_steps.discard(head.pitch.step)
        self.last = head
        self.count += 1

    def seen(self, head: Head) -> Iterator[_Seen]:
        """The heads of its step that were read, the latest first."""
        return reversed(self.by_step.get(head.pitch.step, []))


def weighed(head: Head, memory: Memory) -> Weighed | None:
    """What might be written at a head, what is needed most; None where nobody would write anything."""
    if head.tied or abs(head.pitch.alter) > 2:
        return None
    found = _of_neighbour(head, memory) if head.of else _of_head(head, memory)
    most = max(found, key=lambda one: one.weight, default=None)
    if most is None or not most.weight:
        return None
    unsaid = head.grace and not head.shown and most.text in ACCIDENTALS
    more = 1 if unsaid and most.weight < SPARING else 0
    return Weighed(most.weight + more, most.text, most.because)


def spoken(pitch: Pitch, natural: bool = True) -> str:
    """A pitch without its octave, for a sentence: "F sharp", "F natural"."""
    return f"{pitch.step} natural" if natural and not pitch.alter else pitch.spoken


def _of_head(head: Head, memory: Memory) -> list[Weighed]:
    found = [_plain(head)]
    if head.shown:
        found.append(_against_key(head, memory))
    elif head.pitch.alter != head.by_key:
        found.append(_carried(head, memory))
    else:
        found += [_ended(head, memory), _new_key(head, memory)]
    return [one for one in found if one is not None]


def _plain(head: Head) -> Weighed | None:
    """A name under which the fingers know no note."""
    plain = head.pitch.plain
    if plain == head.pitch:
        return None
    because = f"{spoken(head.pitch)} is fingered as {spoken(plain, natural=False)}."
    return Weighed(USUAL, f"{plain.step}{plain.accidental}", because)


def _against_key(head: Head, memory: Memory) -> Weighed | None:
    """A printed sign after notes of the same step that went by the key."""
    before = next(memory.seen(head), None)
    if head.pitch.alter == head.by_key or before is None or before.head.pitch.alter != head.by_key:
        return None
    return Weighed(FULL, _sign(head), f"Until here {head.pitch.step} went by the key; now it is {spoken(head.pitch)}.")


def _carried(head: Head, memory: Memory) -> Weighed | None:
    """A sign from earlier in the measure that still holds."""
    here = [seen for seen in memory.seen(head) if seen.head.measure == head.measure]
    last = next((seen for seen in here if seen.head.pitch == head.pitch and not seen.head.of), None)
    if last is None:
        return None
    between = memory.count - last.count - 1
    weight = 0 if not between else FULL if between < _FAR else USUAL if between < _FARTHER else SPARING
    if between and head.beat - last.head.beat >= LATER_BEATS:
        weight = max(weight, USUAL)
    crossed = any(seen.count > last.count and seen.head.pitch.alter != head.pitch.alter for seen in here)
    first = next(seen.head for seen in reversed(here) if seen.head.pitch == head.pitch and not seen.head.of)
    where = "from the grace note " if first.grace else f"from beat {beat_words(first.beat)} "
    because = f"The {spoken(head.pitch)} {where}holds until the end of the measure."
    return Weighed(min(weight + crossed, SPARING), _sign(head), because)


def _ended(head: Head, memory: Memory) -> Weighed | None:
    """The key holds again, for the sign is of the measure before, of another octave, or of an ornament."""
    last = next((seen for seen in memory.seen(head)), None)
    if last is None or last.head.pitch.alter == head.pitch.alter or last.head.key != head.key:
        return None
    back, between = head.measure - last.head.measure, memory.count - last.count - 1
    if back > 2:
        return None
    weight = FULL if back == 2 else SPARING if between < FRESH else USUAL
    other = last.head.pitch.octave != head.pitch.octave
    if other and back:
        weight -= 1
    return Weighed(weight, _sign(head), _ended_words(head, last.head, back, other))


def _ended_words(head: Head, last: Head, back: int, other: bool) -> str:
    here, there = spoken(head.pitch), spoken(last.pitch)
    if last.of:
        return f"The {there} is the {last.ornament}'s alone; here it is {here}."
    if last.tied:
        return f"The {there} is tied over the barline, and its sign goes no further; here it is {here}."
    if other and not back:
        return f"The {there} earlier in this measure is in another octave; here it is {here}, by the key."
    measure = "the measure before" if back == 1 else "two measures before"
    return f"The {there} of {measure} has ended at the barline; here it is {here}, by the key."


def _new_key(head: Head, memory: Memory) -> Weighed | None:
    """The first note of a step that the new key has changed."""
    if head.pitch.step not in memory.fresh_steps:
        return None
    return Weighed(USUAL, _sign(head), f"The key has changed: {head.pitch.step} is {spoken(head.pitch)} from here on.")


def _of_neighbour(head: Head, memory: Memory) -> list[Weighed]:
    """The neighbour that an ornament plays: what the page does not say of it."""
    name, what = spoken(head.pitch), head.ornament
    if head.shown:
        return []
    if head.pitch.alter != head.in_force:
        return [Weighed(SPARING, _sign(head), f"The {what} plays {name}, which the page does not say.")]
    if head.pitch.alter != head.by_key:
        return [Weighed(USUAL, _sign(head), f"The {what} plays {name}, by the sign earlier in the measure.")]
    ended = _ended(head, memory)
    if ended is not None:
        return [Weighed(ended.weight, ended.text, f"The {what} plays {name}, by the key again.")]
    if head.pitch.alter:
        return [Weighed(FULL, _sign(head), f"The {what} plays {name}, by the key.")]
    return []


def _sign(head: Head) -> str:
    return ACCIDENTALS[head.pitch.alter + 2]

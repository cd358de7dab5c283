"""The shaping that a good player adds to printed dynamics, each as a mark to keep or to strike.

Common practice of the trade; every figure below is a default of this program, not measured. Nothing is added against
what is printed, nor where somebody has decided.
"""

from bisect import bisect_right
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import islice

from coach.music.part import DynamicMark, Hairpin, Part
from coach.prepare.dynamics.colouring import colour
from coach.prepare.dynamics.ground import Ground, Pace, Tone
from coach.prepare.dynamics.laying import REACH_Q
from coach.prepare.dynamics.naming import dynamic_name, level_sign
from coach.prepare.dynamics.signs import Step, Swell
from coach.prepare.dynamics.steps import LEVEL_DB, NIENTE_DB, STEP_DB
from coach.prepare.mark import SIGNS, Dynamic, Mark

# Two levels no further apart than this are the same.
_SAME_DB = 0.5

# Body after a long loud phrase: the dynamics that keep it, how long the loud one must have held, how near they stay to
# it (more than half of the way), and for how many beats at most.
BODIED = ("mp", "mf")
LONG_S, LONG_BEATS, LONG_BEATS_S = 3.0, 4, 2.0
BODY_SHARE = 0.65
BODY_BEATS = 8
# The lead into a leap up: its least size in semitones, how many notes lead, and by the size of the leap how much they
# grow and how long they last at least.
LEAP, OCTAVE = 7, 12
LEADING = 3
LEAD_DB, OCTAVE_LEAD_DB = 2.0, 3.0
LEAD_S, OCTAVE_LEAD_S = 0.9, 0.5
# A soft high note: from this written pitch, or in a part that never rises so high the top of it; how long at least; and
# the colour of how many dB more it has.
HIGH_MIDI, HIGH_LEAST_MIDI, HIGH_SPAN = 84, 81, 3
HIGH_S = 1.0
SUPPORT_DB = 8.0
# A long note: how long at least (and how long to have direction wherever it leads), and how far it grows or tapers.
HELD_S, HELD_BEATS = 1.8, 2
ALWAYS_S, ALWAYS_BEATS = 2.5, 4
GROW_DB, TAPER_DB = 2.0, 3.0
# A hairpin of so many beats and seconds goes two steps.
LONG_HAIRPIN_BEATS, LONG_HAIRPIN_S = 6, 4.0
# A dynamic so near behind a hairpin says enough about its end.
NEAR_BEATS = 4

_INTERVALS = ("a fifth", "a sixth", "a sixth", "a seventh", "a seventh", "an octave")
_COUNTS = ("", "", "two", "three")


@dataclass(frozen=True, slots=True)
class Shaping:
    """A dynamic to suggest at a note, with its reason in one sentence."""

    at: str
    content: Dynamic
    because: str


def shapings(part: Part, pace: Pace, marks: Sequence[Mark] = ()) -> tuple[Shaping, ...]:
    """What a good player would add to the printed dynamics of a part and to those that are marked and decided (`marks`,
    dynamics that are not struck and not merely suggested), in order. `pace` gives the seconds of a quarter at an onset
    in quarters, at the performance tempo. At most one at a note, and none over another."""
    ground = Ground(part, pace, marks)
    taken: list[tuple[Fraction, Fraction]] = []
    arrived: set[Fraction] = set()
    found: dict[Fraction, Shaping] = {}
    for kind in (_bodies, _ends, _leads, _long_notes, _high_notes):
        for start_q, end_q, shaping in kind(ground):
            grows = shaping.content.sign == "crescendo"
            # Where a crescendo has just arrived no other one sets off.
            if _free(taken, start_q, end_q) and not (grows and start_q in arrived):
                if grows and ground.levels.at(end_q) >= ground.levels.until(end_q) - _SAME_DB:
                    arrived.add(end_q)
                taken.insert(bisect_right(taken, (start_q, end_q)), (start_q, end_q))
                found[start_q] = shaping
    return tuple(found[start_q] for start_q in sorted(found))


_Found = Iterator[tuple[Fraction, Fraction, Shaping]]


def _free(taken: Sequence[tuple[Fraction, Fraction]], start_q: Fraction, end_q: Fraction) -> bool:
    k = bisect_right(taken, (start_q, end_q))
    before = k > 0 and taken[k - 1][1] > start_q
    return not before and not (k < len(taken) and taken[k][0] < end_q)


def _bodies(ground: Ground) -> _Found:
    """A softer dynamic right after a long loud phrase stays close to it in body."""
    for step in ground.signs.steps:
        if not isinstance(step.source, DynamicMark) or step.source.mark not in BODIED:
            continue
        k = ground.tone_from(step.at_q)
        loud_db = _left_db(ground, k, step)
        if loud_db is None or _subito(ground.part, step.at_q):
            continue
        tones = _breath_long(ground, k, BODY_BEATS)
        if not tones or ground.decided.overlaps(tones[0].start_q, tones[-1].end_q):
            continue
        start_q, end_q = tones[0].start_q, tones[-1].end_q
        level_db = step.level_db + BODY_SHARE * (loud_db - step.level_db)
        content = Dynamic(to=tones[-1].id, level_db=ground.relative(level_db), colour=round(colour(loud_db), 2))
        loud, soft = dynamic_name(level_sign(loud_db)), dynamic_name(step.source.mark)
        # Where no sign follows and no rest, it comes back by itself.
        fades = not tones[-1].parted and end_q not in ground.steps_q
        keeps = "nearly its body at first and then lets go of it" if fades else "nearly its body"
        because = f"Right after the long {loud} this {soft} keeps {keeps}; only a piano would be a contrast."
        yield start_q, end_q, Shaping(tones[0].id, content, because)


def _left_db(ground: Ground, k: int, step: Step) -> float | None:
    """The level that a long loud phrase has just ended with before tone `k`, None if there was none."""
    if not 0 < k < len(ground.tones):
        return None
    beat_q = ground.beat_q(ground.tones[k].start_q)
    here, last = ground.tones[k], ground.tones[k - 1]
    if here.start_q - step.at_q >= beat_q or here.start_q - last.end_q > 2 * beat_q:
        return None
    least_db = step.level_db + STEP_DB - _SAME_DB
    since_q = last.end_q
    for n in range(k - 1, -1, -1):
        tone = ground.tones[n]
        ends_db = ground.levels.until(tone.end_q)
        if since_q - tone.end_q > beat_q or min(ground.levels.at(tone.start_q), ends_db) < least_db:
            return None
        since_q = tone.start_q
        long_s = ground.seconds(since_q, last.end_q)
        if long_s >= LONG_S or (long_s >= LONG_BEATS_S and last.end_q - since_q >= LONG_BEATS * beat_q):
            return ground.levels.until(last.end_q)
    return None


def _subito(part: Part, at_q: Fraction) -> bool:
    return any("sub" in words.text.lower() and abs(words.onset_q - at_q) <= 1 for words in part.words)


def _breath_long(ground: Ground, k: int, beats: int) -> list[Tone]:
    """The tones from one on, up to a rest or the next sign; no more beats than that, and then up to a barline."""
    first = ground.tones[k]
    most_q = first.start_q + beats * ground.beat_q(first.start_q)
    sign_q = ground.next_sign_q(first.start_q)
    found: list[Tone] = []
    for tone in islice(ground.tones, k, None):
        if found and found[-1].parted:
            break
        if found and tone.end_q > most_q:
            whole = [k for k, each in enumerate(found, 1) if ground.ends_measure(each.end_q)]
            return found[: whole[-1]] if whole else found
        if sign_q is not None and tone.end_q > sign_q:
            break
        found.append(tone)
    return found


def _ends(ground: Ground) -> _Found:
    """A hairpin without an end level gets a sensible one."""
    swells = [swell for swell in ground.signs.swells if isinstance(swell.source, Hairpin) and not swell.niente]
    for k, swell in enumerate(swells):
        before = swells[k - 1] if k else None
        after = swells[k + 1] if k + 1 < len(swells) else None
        if _answered(ground, before, swell) or _answered(ground, swell, after):
            continue
        if ground.decided.overlaps(swell.start_q, swell.end_q):
            continue
        yield from _reached(ground, swell, after)


def _answered(ground: Ground, swell: Swell | None, by: Swell | None) -> bool:
    """Whether one hairpin directly answers another: a swell that comes back needs no level."""
    if swell is None or by is None or swell.rising == by.rising:
        return False
    return by.start_q - swell.end_q <= ground.beat_q(swell.end_q)


def _reached(ground: Ground, swell: Swell, after: Swell | None) -> _Found:
    beat_q = ground.beat_q(swell.start_q)
    long_s = ground.seconds(swell.start_q, swell.end_q)
    steps = 2 if swell.end_q - swell.start_q >= LONG_HAIRPIN_BEATS * beat_q and long_s >= LONG_HAIRPIN_S else 1
    start_db = ground.levels.at(swell.start_q)
    k = bisect_right(ground.steps_q, swell.start_q)
    goal = ground.signs.steps[k] if k < len(ground.signs.steps) else None
    if goal is not None and goal.at_q <= swell.end_q + REACH_Q:
        if swell.rising and isinstance(goal.source, DynamicMark) and goal.level_db <= start_db + _SAME_DB:
            yield from _contradicted(ground, swell, goal, steps)
        return
    near = goal is not None and goal.at_q - swell.end_q <= NEAR_BEATS * beat_q
    n = ground.tone_from(swell.end_q)
    if near or not 0 < n < len(ground.tones) or ground.tones[n - 1].parted:
        return
    tone = ground.tones[n]
    if tone.start_q - swell.end_q >= beat_q or ground.decided.overlaps(tone.start_q, tone.end_q):
        return
    sign = _stepped(start_db, swell.rising, steps, ground.loudest_db)
    if sign and (after is None or after.start_q >= tone.start_q):
        name, way = ("crescendo", "grow") if swell.rising else ("diminuendo", "fade")
        low, high = dynamic_name(level_sign(start_db)), dynamic_name(sign)
        because = (
            f"The page gives the {name} of measure {ground.measure(swell.start_q)} no goal: "
            f"let it {way} from {low} to {high} here."
        )
        yield tone.start_q, tone.end_q, Shaping(tone.id, Dynamic(sign), because)


def _contradicted(ground: Ground, swell: Swell, goal: Step, steps: int) -> _Found:
    """A crescendo into a dynamic that is no louder than where it begins: into a soft one it grows all the same, and for
    a loud one it begins softer."""
    first, last = ground.tone_from(swell.start_q), ground.tone_from(min(swell.end_q, goal.at_q)) - 1
    if first > last or goal.at_q - ground.tones[last].end_q >= ground.beat_q(goal.at_q):
        return
    begin, end = ground.tones[first], ground.tones[last]
    start_db = ground.levels.at(swell.start_q)
    goal_name = dynamic_name(level_sign(goal.level_db))
    if goal.level_db < LEVEL_DB["mf"]:
        sign = _stepped(start_db, True, steps, ground.loudest_db)
        if sign and goal.level_db < start_db - _SAME_DB:
            content = Dynamic("crescendo", end.id, ground.relative(LEVEL_DB[sign]))
            because = f"Let the crescendo grow to {dynamic_name(sign)}, right up to the sudden {goal_name}."
            yield begin.start_q, end.end_q, Shaping(begin.id, content, because)
    elif begin.start_q == swell.start_q:
        sign = _stepped(goal.level_db, False, steps, ground.loudest_db)
        if sign:
            because = (
                f"Begin the crescendo softer, at {dynamic_name(sign)}, so that it has room to grow to the {goal_name}."
            )
            yield begin.start_q, end.end_q, Shaping(begin.id, Dynamic(sign), because)


def _stepped(start_db: float, rising: bool, steps: int, loudest_db: float) -> str:
    """The sign some steps up or down from a level, no louder than the part gets; "" if there is none."""
    for count in range(steps, 0, -1):
        goal_db = start_db + (STEP_DB if rising else -STEP_DB) * count
        sign = level_sign(goal_db)
        moved = LEVEL_DB[sign] - start_db if rising else start_db - LEVEL_DB[sign]
        if sign in SIGNS and moved > STEP_DB / 2 and LEVEL_DB[sign] <= loudest_db + _SAME_DB:
            return sign
    return ""


def _leads(ground: Ground) -> _Found:
    """The last notes before a leap up into a dynamic no louder lead into it."""
    for k in range(2, len(ground.tones)):
        high, last = ground.tones[k], ground.tones[k - 1]
        leap = high.pitch.midi - last.pitch.midi
        if leap < LEAP or last.parted or 2 * high.length_q < last.length_q:
            continue
        # What is less than an octave needs to arrive somewhere: on a note of a beat or more, and no shorter.
        if leap < OCTAVE and high.length_q < max(ground.beat_q(high.start_q), last.length_q):
            continue
        now_db = ground.levels.until(last.end_q)
        if ground.levels.at(high.start_q) > now_db + _SAME_DB:
            continue
        tones = _leading(ground, k)
        grows_db, least_s = (OCTAVE_LEAD_DB, OCTAVE_LEAD_S) if leap >= OCTAVE else (LEAD_DB, LEAD_S)
        if len(tones) < 2 or ground.seconds(tones[0].start_q, last.end_q) < least_s:
            continue
        room_db = ground.loudest_db - now_db
        content = Dynamic("crescendo", last.id, ground.relative(now_db + min(grows_db, room_db)))
        wide = _INTERVALS[leap - LEAP] if leap <= OCTAVE else "more than an octave"
        grow = "grow a little" if room_db >= 1 else "begin a little softer and grow"
        because = (
            f"The last {_COUNTS[len(tones)]} notes {grow}, so that the air carries the leap of {wide} "
            f"up to {high.pitch.spoken}."
        )
        yield tones[0].start_q, last.end_q, Shaping(tones[0].id, content, because)


def _leading(ground: Ground, k: int) -> list[Tone]:
    """The tones that lead to tone `k`: at most three, of one breath and one level, themselves without wide leaps."""
    found: list[Tone] = []
    for tone in reversed(ground.tones[max(k - LEADING, 0) : k]):
        apart = abs(found[0].pitch.midi - tone.pitch.midi) > LEAP if found else False
        if apart or (found and tone.parted) or not ground.still(tone.start_q, ground.tones[k - 1].end_q):
            break
        found.insert(0, tone)
    return found


def _long_notes(ground: Ground) -> _Found:
    """A long note has direction."""
    from_midi = _high_from(ground)
    for k, tone in enumerate(ground.tones):
        beats = tone.length_q / ground.beat_q(tone.start_q)
        if beats < HELD_BEATS or ground.seconds(tone.start_q, tone.end_q) < HELD_S or not tone.plain:
            continue
        if not ground.still(tone.start_q, tone.end_q):
            continue
        now_db = ground.levels.at(tone.start_q)
        if now_db <= NIENTE_DB:  # nearly inaudible on purpose
            continue
        following = ground.tones[k + 1 : k + 3]
        held = tone.pitch.midi >= from_midi and _soft(ground, tone)
        for sign, goal_db, because in _directed(ground, tone, following, now_db):
            content = Dynamic(sign, tone.id, ground.relative(goal_db))
            if held:
                content = replace(content, colour=_supported(ground, tone))
                because = f"{because.removesuffix('.')}, and with full support, since it is high and soft."
            yield tone.start_q, tone.end_q, Shaping(tone.id, content, because)


def _directed(ground: Ground, tone: Tone, following: Sequence[Tone], now_db: float) -> Iterator[tuple[str, float, str]]:
    if tone.parted or not following:
        # A loud end is held to its end.
        if now_db < LEVEL_DB["f"] - _SAME_DB:
            yield (
                "diminuendo",
                now_db - TAPER_DB,
                "A long note at the end of a phrase tapers into the silence after it.",
            )
        return
    then_db = ground.levels.at(following[0].start_q)
    room_db = ground.loudest_db - now_db
    if then_db >= now_db + STEP_DB - _SAME_DB:
        sign = dynamic_name(level_sign(then_db))
        yield "crescendo", now_db + min(GROW_DB, room_db), f"A long note before the {sign} already grows towards it."
    elif len(following) == 2 and _rises(tone, following) and then_db >= now_db - _SAME_DB and room_db >= 1:
        name = following[0].pitch.spoken
        yield "crescendo", now_db + min(GROW_DB, room_db), f"A long note in a rising line grows towards the {name}."
    elif _stands(ground, tone, following[0]) and abs(then_db - now_db) < _SAME_DB:
        name = following[0].pitch.spoken
        how = "begins a little softer and grows" if room_db < 1 else "grows"
        because = f"So that a note as long as this does not stand still, it {how} towards the {name}."
        yield "crescendo", now_db + min(GROW_DB, room_db), because


def _stands(ground: Ground, tone: Tone, after: Tone) -> bool:
    """Whether a note is so long among shorter ones that it must lead on, whatever follows."""
    long = tone.length_q >= ALWAYS_BEATS * ground.beat_q(tone.start_q) and after.length_q < tone.length_q
    return long and ground.seconds(tone.start_q, tone.end_q) >= ALWAYS_S


def _rises(tone: Tone, following: Sequence[Tone]) -> bool:
    """Whether a line sets off upwards from a tone; among notes as long as it is, it is the line that has direction."""
    heights = [each.pitch.midi for each in (tone, *following)]
    sets_off = not following[0].parted and following[0].length_q < tone.length_q
    return sets_off and heights[0] < heights[1] < heights[2]


def _high_notes(ground: Ground) -> _Found:
    """A soft high note has full support: its colour changes, hardly its level."""
    from_midi = _high_from(ground)
    k = 0
    while k < len(ground.tones):
        group = _run(islice(ground.tones, k, None), lambda tone: tone.pitch.midi >= from_midi and _soft(ground, tone))
        k += max(len(group), 1)
        if not group or ground.seconds(group[0].start_q, group[-1].end_q) < HIGH_S:
            continue
        start_q, end_q = group[0].start_q, group[-1].end_q
        if ground.decided.overlaps(start_q, end_q):
            continue
        highest = max(group, key=lambda tone: tone.pitch.midi)
        to = group[-1].id if len(group) > 1 else ""
        content = Dynamic(to=to, colour=_supported(ground, highest))
        which = f"The {highest.pitch.spoken} is high and soft" if len(group) == 1 else "These notes are high and soft"
        because = f"{which}: full support, as for a forte, keeps the tone from thinning; only the volume is small."
        yield start_q, end_q, Shaping(group[0].id, content, because)


def _high_from(ground: Ground) -> int:
    """The written pitch from which a note of the part is high."""
    top = max((tone.pitch.midi for tone in ground.tones), default=0)
    return HIGH_MIDI if top >= HIGH_MIDI else max(top - HIGH_SPAN, HIGH_LEAST_MIDI)


def _supported(ground: Ground, tone: Tone) -> float:
    return round(colour(ground.levels.at(tone.start_q) + SUPPORT_DB, tone.pitch.midi), 2)


def _soft(ground: Ground, tone: Tone) -> bool:
    soft_db = LEVEL_DB["p"] + _SAME_DB
    struck = tone.start_q in ground.signs.attacks  # as a fortepiano is
    return not struck and max(ground.levels.at(tone.start_q), ground.levels.until(tone.end_q)) <= soft_db


def _run(tones: Iterable[Tone], of: Callable[[Tone], bool]) -> list[Tone]:
    """The tones from the first on for which something holds, up to a rest."""
    found: list[Tone] = []
    for tone in tones:
        if not of(tone) or (found and found[-1].parted):
            break
        found.append(tone)
    return found

"""How the clock bends: the tempo of every place of a part as a factor of the printed one.

Ritardando and accelerando: over a stretch of `l` quarters the factor goes evenly from `a` to `a k`, in steps of
`GRID_Q` quarters (the value in the middle of a step holds for all of it). `k` is SLOWER or FASTER, half as far from 1
with "poco" (and for morendo, calando and the like), half as far again with "molto". Behind the stretch the old tempo
comes back at once, unless the stretch runs to the end of the part, or the next that is said of the tempo is "a tempo":
then it holds until there. A printed word with a number changes nothing here, since the number says it already; one
without lasts to the next word on tempo, but at most WORD_MEASURES measures. A mark over a printed word counts in its
stead.

Held notes: a note `l` quarters long that is held for `h` goes by at `l / h` of the tempo around it. A fermata holds a
note, or a rest, FERMATA times its length and a tenuto TENUTO times, where the mark does not say how long.

Ends of phrases: the music waits WAIT_S seconds (of the performance tempo) at the very end of the phrase's last note,
where notes go on at once; not before graces, which lead over, and not where a breath is marked, which is taken out of
the note.

All numbers are defaults of this program after the customs of the trade, none of them measured; players differ.
"""

import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from itertools import pairwise
from math import ceil

from coach.music.note import Note
from coach.music.part import Part
from coach.music.tempo import TempoMark
from coach.prepare.interpretation import Interpretation
from coach.prepare.mark import Mark, Pace

GRID_Q = Fraction(1, 8)
SLOWER, FASTER = Fraction(7, 10), Fraction(13, 10)
TENUTO, FERMATA = Fraction(23, 20), Fraction(7, 4)
WAIT_S = Fraction(3, 20)
WORD_MEASURES = 2
_ONE = Fraction(1)
_SLOWING = re.compile(r"\b(rit|ritard|riten|rall|slentando|allarg)", re.I)
_DYING = re.compile(r"\b(morendo|calando|smorz)", re.I)
_QUICKENING = re.compile(r"\b(accel|string)", re.I)
_BACK = re.compile(r"\b(a tempo|tempo\s+(i|1|1o|primo))\b", re.I)
# Quarters a minute at an onset on the page.
Speed = Callable[[Fraction], Fraction]


@dataclass(frozen=True, slots=True)
class Bend:
    """The clock of an interpretation, on the page: from each onset of `steps` its factor of the printed tempo holds
    until the next (1 before the first). `waits`: where the music waits, by the place at which it goes on, the seconds,
    which the factors contain."""

    steps: tuple[tuple[Fraction, Fraction], ...] = ()
    waits: Mapping[Fraction, Fraction] = field(default_factory=dict)

    def at(self, at_q: Fraction) -> Fraction:
        """The factor at a place."""
        found = _ONE
        for onset_q, factor in self.steps:
            if onset_q > at_q:
                break
            found = factor
        return found


@dataclass(frozen=True, slots=True)
class _Said:
    """Something that is said of the tempo: a gradual change by a factor `by` up to `end_q`, or (`by` None) a tempo that
    begins here, the old one again if `back`."""

    at_q: Fraction
    end_q: Fraction
    by: Fraction | None = None
    back: bool = False
    marked: bool = False


@dataclass(frozen=True, slots=True)
class _Held:
    """A stretch that goes by at another share of the tempo."""

    start_q: Fraction
    end_q: Fraction
    factor: Fraction


@dataclass(frozen=True, slots=True)
class _Chain:
    """A note or rest with what is tied to it, and the note after it."""

    notes: tuple[Note, ...]
    after: Note | None = None

    @property
    def end_q(self) -> Fraction:
        return self.notes[-1].end_q


def bend(part: Part, tempos: Sequence[TempoMark], interpretation: Interpretation, speed: Speed) -> Bend:
    """How the clock bends in a part by its fermatas, the words over it, and the paces, phrases and breaths of an
    interpretation. `speed` is the printed tempo."""
    chains = _chains(part)
    places = {name: chain for chain in chains for note in chain.notes for name in _names(note)}
    steps = _gradual(part, _said(part, tempos, interpretation.paces, places))
    held = _held(chains, places, interpretation.paces)
    steps = _times(steps, held)
    return _waiting(steps, _waits(places, interpretation), speed)


def _names(note: Note) -> tuple[str, ...]:
    return (note.id, *(grace.id for grace in (*note.graces, *note.after_graces)))


def _chains(part: Part) -> list[_Chain]:
    grouped: list[list[Note]] = []
    for note in part.notes():
        before = grouped[-1][-1] if grouped else None
        if before is not None and before.tie in ("start", "continue") and note.tie in ("continue", "stop"):
            grouped[-1].append(note)
        else:
            grouped.append([note])
    afters = [*(chain[0] for chain in grouped[1:]), None]
    return [_Chain(tuple(notes), after) for notes, after in zip(grouped, afters, strict=True)]


def _said(part: Part, tempos: Sequence[TempoMark], paces: Iterable[Mark], places: Mapping[str, _Chain]) -> list[_Said]:
    """What marks and words say of the tempo, in order; words that a mark stands over are left out."""
    marks = [said for mark in paces if (said := _marked(part, mark, places)) is not None]
    stretches = [(one.at_q, one.end_q) for one in marks if one.by is not None]
    words = [
        _worded(mark)
        for mark in tempos
        if _amount(mark.text) is None or not any(start_q <= mark.onset_q < end_q for start_q, end_q in stretches)
    ]
    ordered = sorted([*marks, *words], key=lambda said: (said.at_q, said.marked))
    nexts = [said.at_q for said in (*ordered[1:], _Said(part.end_q, part.end_q))]
    return [
        said if said.by is None else _Said(said.at_q, min(_end(part, said), next_q), said.by, marked=said.marked)
        for said, next_q in zip(ordered, nexts, strict=False)
    ]


def _marked(part: Part, mark: Mark, places: Mapping[str, _Chain]) -> _Said | None:
    content, chain = mark.content, places.get(mark.at)
    if not isinstance(content, Pace) or chain is None or content.shape in ("tenuto", "fermata"):
        return None
    at_q = next(note.onset_q for note in chain.notes if mark.at in _names(note))
    if content.shape == "a tempo":
        return _Said(at_q, at_q, back=True, marked=True)
    last = places.get(content.to)
    end_q = last.end_q if last is not None else next(m.end_q for m in part.measures if m.end_q > at_q)
    return _Said(at_q, end_q, SLOWER if content.shape == "rit." else FASTER, marked=True)


def _worded(mark: TempoMark) -> _Said:
    back = bool(_BACK.search(mark.text))
    by = None
    if mark.tempo is None and not back:
        by = _amount(mark.text)
    return _Said(mark.onset_q, mark.onset_q, by, back or mark.tempo is None)


def _amount(words: str) -> Fraction | None:
    """The factor that words lead to, None if they speak of no gradual change."""
    lesser = bool(_DYING.search(words)) or "poco" in words.lower().replace("poco a poco", "")
    if _SLOWING.search(words) or _DYING.search(words):
        by = SLOWER
    elif _QUICKENING.search(words):
        by = FASTER
    else:
        return None
    far = Fraction(1, 2) if lesser else Fraction(3, 2) if "molto" in words.lower() else _ONE
    return 1 + (by - 1) * far


def _end(part: Part, said: _Said) -> Fraction:
    if said.marked:
        return said.end_q
    here = next((k for k, m in enumerate(part.measures) if m.onset_q <= said.at_q < m.end_q), len(part.measures) - 1)
    return part.measures[min(here + WORD_MEASURES - 1, len(part.measures) - 1)].end_q


def _gradual(part: Part, said: Sequence[_Said]) -> list[tuple[Fraction, Fraction]]:
    """The steps of the gradual changes."""
    steps: list[tuple[Fraction, Fraction]] = []
    now = _ONE
    for k, one in enumerate(said):
        after = said[k + 1] if k + 1 < len(said) else None
        if one.by is None:
            now = _ONE
            steps.append((one.at_q, now))
            continue
        length_q = one.end_q - one.at_q
        if length_q <= 0:
            continue
        for step in range(ceil(length_q / GRID_Q)):
            middle_q = min((step + Fraction(1, 2)) * GRID_Q, length_q)
            steps.append((one.at_q + step * GRID_Q, now * (1 + (one.by - 1) * middle_q / length_q)))
        holds = one.end_q >= part.end_q or (after is not None and (after.back or after.at_q <= one.end_q))
        now = now * one.by if holds else _ONE
        steps.append((one.end_q, now))
    return steps


def _held(chains: Iterable[_Chain], places: Mapping[str, _Chain], paces: Iterable[Mark]) -> list[_Held]:
    """The notes that are held: by marks, and by printed fermatas where no mark speaks of the note."""
    held: dict[tuple[str, ...], _Held] = {}
    for chain in chains:
        printed = [note for note in chain.notes if note.fermata]
        if printed:
            held[tuple(note.id for note in chain.notes)] = _Held(printed[-1].onset_q, chain.end_q, 1 / FERMATA)
    for mark in paces:
        content, at = mark.content, places.get(mark.at)
        if not isinstance(content, Pace) or at is None or content.shape not in ("tenuto", "fermata"):
            continue
        start_q = next(note.onset_q for note in at.notes if mark.at in _names(note))
        usual = FERMATA if content.shape == "fermata" else TENUTO
        told = content.length_q is not None and content.length_q > 0
        factor = (at.end_q - start_q) / content.length_q if told and content.length_q else 1 / usual
        held[tuple(note.id for note in at.notes)] = _Held(start_q, at.end_q, factor)
    return sorted((one for one in held.values() if one.end_q > one.start_q), key=lambda one: one.start_q)


def _times(steps: Sequence[tuple[Fraction, Fraction]], held: Sequence[_Held]) -> list[tuple[Fraction, Fraction]]:
    """Steps with the notes that are held in them; those do not overlap."""
    base = Bend(_clean(steps))
    edges = sorted({at_q for at_q, _ in base.steps} | {q for one in held for q in (one.start_q, one.end_q)})
    found: list[tuple[Fraction, Fraction]] = []
    k = j = 0
    factor = _ONE
    for at_q in edges:
        while j < len(base.steps) and base.steps[j][0] <= at_q:
            factor = base.steps[j][1]
            j += 1
        while k < len(held) and held[k].end_q <= at_q:
            k += 1
        here = held[k].factor if k < len(held) and held[k].start_q <= at_q else _ONE
        found.append((at_q, factor * here))
    return found


def _waits(places: Mapping[str, _Chain], interpretation: Interpretation) -> dict[Fraction, Fraction]:
    """Where phrases end and notes go on at once, and how long before that the last note begins, in quarters."""
    found: dict[Fraction, Fraction] = {}
    for mark in interpretation.phrases:
        chain = places.get(mark.to)
        if chain is None or chain.after is None or chain.after.is_rest or chain.notes[-1].is_rest:
            continue
        breathes = any(note.breath or note.caesura or note.id in interpretation.breaths for note in chain.notes)
        if not breathes and not chain.after.graces and not chain.notes[-1].after_graces:
            found[chain.end_q] = chain.notes[-1].length_q
    return found


def _waiting(steps: Sequence[tuple[Fraction, Fraction]], ends: Mapping[Fraction, Fraction], speed: Speed) -> Bend:
    """Steps with WAIT_S more in the last grid step before each end of a phrase."""
    made = dict(_clean(steps))
    for end_q, length_q in ends.items():
        start_q = end_q - min(GRID_Q, length_q / 2)
        before = Bend(tuple(sorted(made.items())))
        inside = sorted({start_q, *(at_q for at_q in made if start_q < at_q < end_q)})
        made.setdefault(end_q, before.at(end_q))
        for at_q, next_q in pairwise([*inside, end_q]):
            factor = before.at(at_q)
            share_s = WAIT_S * (next_q - at_q) / (end_q - start_q)
            made[at_q] = 1 / (1 / factor + share_s * speed(at_q) / (60 * (next_q - at_q)))
    return Bend(_clean(sorted(made.items())), dict.fromkeys(ends, WAIT_S))


def _clean(steps: Iterable[tuple[Fraction, Fraction]]) -> tuple[tuple[Fraction, Fraction], ...]:
    """Steps in order, the last of several at one onset, without those that change nothing."""
    kept: dict[Fraction, Fraction] = {}
    for at_q, factor in steps:
        kept[at_q] = factor
    now, found = _ONE, []
    for at_q in sorted(kept):
        if kept[at_q] != now:
            now = kept[at_q]
            found.append((at_q, now))
    return tuple(found)

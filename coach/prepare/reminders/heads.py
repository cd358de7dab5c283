"""The heads of a part in the order they are read, each with what the page shows of its accidental.

The rule of accidentals is that of standard notation: a sign holds to the end of the measure, for its own octave, and
for a note tied over the barline; without one the key decides. An accidental over a trill is for that trill alone.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from fractions import Fraction

from coach.music.measure import Measure
from coach.music.metre import Key
from coach.music.note import Note
from coach.music.part import Part
from coach.music.pitch import Pitch
from coach.prepare.mark import Ornament
from coach.prepare.ornaments.neighbour import marked


@dataclass(frozen=True, slots=True)
class Head:
    """One head, or (with `of`) a neighbour that the ornament at a note plays.

    `shown` tells that the page has a sign for it, `in_force` the alteration that a reader would read without one, `key`
    the key there; `tied` heads are not struck anew. `measure` counts from 0, `beat` is that of the note."""

    id: str
    pitch: Pitch
    measure: int
    beat: Fraction
    key: Key
    in_force: int
    shown: bool
    tied: bool = False
    grace: bool = False
    of: str = ""
    ornament: str = ""

    @property
    def by_key(self) -> int:
        """The alteration that the key has for it."""
        return self.key.alter_of(self.pitch.step)


@dataclass(slots=True)
class _State:
    """What holds in a measure, by step and octave."""

    key: Key
    signs: dict[tuple[str, int], int] = field(default_factory=dict)

    def in_force(self, pitch: Pitch) -> int:
        return self.signs.get((pitch.step, pitch.octave), self.key.alter_of(pitch.step))

    def hold(self, pitch: Pitch) -> None:
        self.signs[pitch.step, pitch.octave] = pitch.alter


def heads(part: Part, ornaments: Mapping[str, Ornament]) -> tuple[Head, ...]:
    """All heads of the practised line in order, each neighbour after the note whose ornament plays it."""
    return tuple(_heads(part, ornaments))


def _heads(part: Part, ornaments: Mapping[str, Ornament]) -> Iterator[Head]:
    graces = _graces_after(part)
    for number, measure in enumerate(part.measures):
        state = _State(measure.key)
        for note in measure.notes:
            state.key = _key_at(measure, note.onset_q)
            yield from _of_note(note, number, state, ornaments.get(note.id), graces)


def _of_note(
    note: Note, number: int, state: _State, ornament: Ornament | None, graces: Mapping[str, tuple[Pitch, ...]]
) -> Iterator[Head]:
    if note.unpitched:
        return
    for grace in note.graces:
        yield _head(grace.id, grace.pitch, note, number, state, sign=grace.accidental, grace=True)
    if note.pitch is not None:
        tied = note.tie in ("continue", "stop")
        yield _head(note.id, note.pitch, note, number, state, sign=note.accidental, tied=tied)
        if ornament is not None:
            yield from _neighbours(note, note.pitch, number, state, ornament, graces.get(note.id, ()))
    for grace in note.after_graces:
        yield _head(grace.id, grace.pitch, note, number, state, sign=grace.accidental, grace=True)


def _head(
    id_: str,
    pitch: Pitch,
    note: Note,
    number: int,
    state: _State,
    *,
    sign: str | None,
    tied: bool = False,
    grace: bool = False,
) -> Head:
    in_force = state.in_force(pitch)
    shown = not tied and (sign is not None or pitch.alter != in_force)
    if shown:
        state.hold(pitch)
    return Head(id_, pitch, number, note.beat, state.key, in_force, shown, tied, grace)


def _neighbours(
    note: Note, main: Pitch, number: int, state: _State, ornament: Ornament, printed: tuple[Pitch, ...]
) -> Iterator[Head]:
    """The notes next to the main one that its trill, turn or mordent plays; those printed as graces are not among
    them, for these stand on the page."""
    if ornament.what not in ("trill", "turn", "mordent"):
        return
    for of, pitch in _played(main, ornament).items():
        if pitch not in printed:
            sign = marked(note.ornaments, upper=of == "upper")
            in_force = state.in_force(pitch) if sign is None else sign
            shown = sign == pitch.alter
            yield Head(note.id, pitch, number, note.beat, state.key, in_force, shown, of=of, ornament=ornament.what)


def _played(main: Pitch, ornament: Ornament) -> dict[str, Pitch]:
    shake = ornament.shake
    inside = [note.pitch for note in ornament.notes if note.pitch is not None]
    pitches = [shake.other, *shake.close, *inside] if shake is not None else inside
    found: dict[str, Pitch] = {}
    for pitch in pitches:
        of = {1: "upper", -1: "lower"}.get(pitch.diatonic - main.diatonic)
        if of is not None:
            found.setdefault(of, pitch)
    return found


def _graces_after(part: Part) -> dict[str, tuple[Pitch, ...]]:
    """The graces printed after each note (of a tied chain, after its end), by the id of its first head."""
    found: dict[str, tuple[Pitch, ...]] = {}
    first = ""
    for note in part.notes():
        if note.tie not in ("continue", "stop"):
            if first:
                found[first] = (*found.get(first, ()), *(grace.pitch for grace in note.graces))
            first = note.id
        found[first] = (*found.get(first, ()), *(grace.pitch for grace in note.after_graces))
    return found


def _key_at(measure: Measure, onset_q: Fraction) -> Key:
    found = measure.key
    for change in measure.changes:
        if isinstance(change.to, Key) and change.onset_q <= onset_q:
            found = change.to
    return found

"""What stands in a measure from left to right: notes, rests and graces, each with its sign and its name."""

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from coach.music.measure import Measure
from coach.music.metre import Key
from coach.music.note import Grace, Note
from coach.music.pitch import Pitch
from coach.screen.view.glyphs import Glyphs
from coach.screen.view.words import accidental_text, pitch_name


@dataclass(frozen=True, slots=True)
class Slot:
    """One thing to draw. `at_q` counts from the start of the piece; graces take no time (`length_q` 0)."""

    note: Note
    at_q: Fraction
    length_q: Fraction
    pitch: Pitch | None
    grace: Grace | None = None
    sign: str = ""
    name: str = ""

    @property
    def id(self) -> str:
        """The id of the note or grace."""
        return self.grace.id if self.grace else self.note.id

    @property
    def lead(self) -> int:
        """Columns wanted before the head."""
        return max(1, len(self.sign))

    def columns(self, tall: bool) -> int:
        """The fewest columns it can have; `tall` writes names downwards."""
        if self.pitch is None:
            return 3
        if tall:
            return self.lead + 1
        return self.lead + max(2, len(self.name) - self.name_lead) + 1

    @property
    def name_lead(self) -> int:
        """How many characters of the name stand before the head's column."""
        return 1 if len(self.name) > 2 else 0


def slots(measure: Measure, glyphs: Glyphs) -> tuple[Slot, ...]:
    """The slots of a measure's practised line."""
    signs = _Signs(measure.key, glyphs)
    result: list[Slot] = []
    for note in measure.notes:
        result += _graces(note, note.graces, note.onset_q, signs, glyphs)
        result.append(_main(note, signs, glyphs))
        result += _graces(note, note.after_graces, note.end_q, signs, glyphs)
    return tuple(result)


def _main(note: Note, signs: "_Signs", glyphs: Glyphs) -> Slot:
    if note.pitch is None:
        return Slot(note, note.onset_q, note.length_q, None)
    held = note.tie in ("continue", "stop")
    sign = "" if held else signs.sign(note.pitch, note.accidental)
    name = pitch_name(note.pitch, glyphs)
    return Slot(note, note.onset_q, note.length_q, note.pitch, sign=sign, name=name)


def _graces(note: Note, graces: tuple[Grace, ...], at_q: Fraction, signs: "_Signs", glyphs: Glyphs) -> Iterator[Slot]:
    for grace in graces:
        sign = signs.sign(grace.pitch, grace.accidental)
        yield Slot(note, at_q, Fraction(0), grace.pitch, grace, sign, pitch_name(grace.pitch, glyphs))


class _Signs:
    """Which notes of a measure need a sign: those printed with one, and those that the key and the measure so far
    would have the player read otherwise."""

    def __init__(self, key: Key, glyphs: Glyphs) -> None:
        self._key = key
        self._glyphs = glyphs
        self._now: dict[tuple[str, int], int] = {}

    def sign(self, pitch: Pitch, printed: str | None) -> str:
        """The sign before this note, "" for none."""
        place = (pitch.step, pitch.octave)
        expected = self._now.get(place, self._key.alter_of(pitch.step))
        self._now[place] = pitch.alter
        if printed or pitch.alter != expected:
            return accidental_text(pitch.alter, self._glyphs)
        return ""


def slur_ends(slot: Slot) -> tuple[int, int]:
    """How many slurs start and how many stop at a slot."""
    slurs = slot.grace.slurs if slot.grace else slot.note.slurs
    kinds = [slur.kind for slur in slurs]
    return kinds.count("start"), kinds.count("stop")

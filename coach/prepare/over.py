"""What marks are written over: the notes of a part as short texts, and the ids that those texts imply."""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache

from coach.music.measure import Measure
from coach.music.note import Note
from coach.music.part import Part

Over = tuple[tuple[str, str], ...]

_LENGTH = re.compile("[0-9]{1,9}(/[1-9][0-9]{0,8})?")  # not all that Fraction reads: "1e99999999" takes minutes
_BEFORE, _AFTER, _REST = "g", "a", "r"


@dataclass(frozen=True, slots=True)
class Sign:
    """A note as a text has it: `pitch` is a name, or "r" for a rest; `length` a fraction of quarters, "g" for a grace
    before its note, "a" for one after; `measure` an index; `onset_q` counts from the start of the measure."""

    id: str
    measure: int
    pitch: str
    length: str
    onset_q: Fraction

    @property
    def key(self) -> tuple[str, str]:
        """What makes two notes the same."""
        return self.pitch, self.length


def measure_text(measure: Measure) -> str:
    """The notes of a measure in order with their lengths in quarters, such as "Db5:1 Eb5:1/2 r:1"; graces have "g" in
    place of a length before their note, "a" after it ("C5:g Db5:1")."""
    return " ".join(text for note in measure.notes for text in _texts(note))


def _texts(note: Note) -> Iterator[str]:
    yield from (f"{grace.pitch.name}:{_BEFORE}" for grace in note.graces)
    yield f"{note.pitch.name if note.pitch else _REST}:{note.length_q}"
    yield from (f"{grace.pitch.name}:{_AFTER}" for grace in note.after_graces)


def written_over(part: Part) -> Over:
    """What `Prep.over` holds for a part."""
    return tuple((measure.id, measure_text(measure)) for measure in part.measures)


@lru_cache(maxsize=16)
def signs(over: Over) -> tuple[Sign, ...]:
    """The notes, rests and graces of the texts in order, with their ids. What is no note counts as a note without a
    length, so that a slip of the hand moves nothing else."""
    return tuple(sign for k, (name, text) in enumerate(over) for sign in _measure_signs(k, name, text))


@lru_cache(maxsize=16)
def places(over: Over) -> dict[str, int]:
    """The place of each note id in the order of the part."""
    return {sign.id: k for k, sign in enumerate(signs(over))}


def measure_of(note_id: str) -> str:
    """The id of the measure that a note's id names."""
    return note_id.rpartition(".")[0]


def place_key(over: Over, note_id: str) -> tuple[int, list[tuple[int, str]]]:
    """What to sort notes by: their place in the part; those that are not in it come last, by their numbers."""
    known = places(over)
    return known.get(note_id, len(known)), [] if note_id in known else _natural(note_id)


def _natural(note_id: str) -> list[tuple[int, str]]:
    return [(int(run[:9]) if run.isascii() and run.isdigit() else -1, run) for run in re.findall(r"\d+|\D+", note_id)]


def _measure_signs(index: int, name: str, text: str) -> Iterator[Sign]:
    notes = rests = 0
    onset = Fraction(0)
    waiting: list[str] = []  # graces whose note is still to come
    main, after = "", 0
    for word in text.split():
        pitch, _, length = word.partition(":")
        if length == _BEFORE:
            waiting.append(pitch)
        elif length == _AFTER:
            after += 1
            yield Sign(f"{main}{_AFTER}{after}", index, pitch, _AFTER, onset)
        else:
            notes, rests = (notes, rests + 1) if pitch == _REST else (notes + 1, rests)
            main, after = f"{name}.{f'{_REST}{rests}' if pitch == _REST else notes}", 0
            for k, grace in enumerate(waiting, 1):
                yield Sign(f"{main}{_BEFORE}{k}", index, grace, _BEFORE, onset)
            waiting.clear()
            yield Sign(main, index, pitch, length, onset)
            onset += _quarters(length)


def _quarters(length: str) -> Fraction:
    return Fraction(length) if _LENGTH.fullmatch(length) else Fraction(0)

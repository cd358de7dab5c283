"""What marks write out over the part, as it is drawn: the notes of ornaments and alterations in voices of their own.

Two marks whose notes meet become one voice, as they are played: the shortened note that graces begin with is only cut,
so where it has a mark of its own, that one is drawn and ends where the graces begin. What goes on past the note of the
other mark (a longer passage of the player's own) stays a voice beside it.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from coach.music.part import Part
from coach.music.pitch import Pitch
from coach.prepare.mark import Alteration, Mark, Ornament, OssiaNote
from coach.prepare.ornaments.counted import rate_words
from coach.prepare.place import find_place

MOST_DRAWN = 32  # notes of a trill; a longer one is drawn as a held note with its rate, and the closing notes


@dataclass(frozen=True, slots=True)
class Written:
    """A note or rest (`pitch` None) of a mark, in quarters from the start of the piece; a grace that was altered has no
    length. `label` is what to write over it."""

    mark: Mark
    pitch: Pitch | None
    onset_q: Fraction
    length_q: Fraction
    label: str = ""

    @property
    def end_q(self) -> Fraction:
        """Where it ends."""
        return self.onset_q + self.length_q


@dataclass(frozen=True, slots=True)
class _Passage:
    """The notes of a mark, and where the note that it stands at begins."""

    main_q: Fraction
    notes: tuple[Written, ...]

    @property
    def end_q(self) -> Fraction:
        return max(note.end_q for note in self.notes)


def written_out(part: Part, marks: Iterable[Mark]) -> tuple[tuple[Written, ...], ...]:
    """The notes that ornaments and alterations write out, in the order of the part, those that meet as one voice. Marks
    at notes that are not there write nothing."""
    passages = [one for mark in marks if (one := _passage(part, mark)) is not None]
    passages.sort(key=lambda one: (one.main_q, one.notes[0].onset_q))
    joined: list[_Passage] = []
    for passage in passages:
        before = joined[-1] if joined else None
        if before is not None and passage.notes[0].onset_q < before.end_q <= passage.main_q:
            joined[-1] = _joined(before, passage)
        else:
            joined.append(passage)
    return tuple(one.notes for one in joined)


def _passage(part: Part, mark: Mark) -> _Passage | None:
    place = find_place(part, mark.at)
    if place is None:
        return None
    if isinstance(mark.content, Ornament):
        start_q = place.measure.onset_q
        notes = tuple(
            Written(mark, note.pitch, start_q + note.onset_q, note.length_q, label)
            for note, label in _drawn(mark.content, place.pitch)
        )
    elif isinstance(mark.content, Alteration):
        notes = tuple(_altered(mark, mark.content, place.note.onset_q, place.note.length_q, bool(place.grace)))
    else:
        return None
    return _Passage(place.note.onset_q, notes) if notes else None


def _altered(
    mark: Mark, alteration: Alteration, onset_q: Fraction, length_q: Fraction, grace: bool
) -> Iterator[Written]:
    share_q = Fraction(0) if grace else length_q / max(len(alteration.to), 1)
    for k, pitch in enumerate(alteration.to):
        yield Written(mark, pitch, onset_q + k * share_q, share_q)


def _drawn(ornament: Ornament, main: Pitch | None) -> Iterator[tuple[OssiaNote, str]]:
    """The notes to draw, each with what is written over it; a long trill as one held note and its closing notes."""
    shake = ornament.shake
    if shake is None or main is None or len(ornament.notes) <= MOST_DRAWN:
        yield from ((note, "") for note in ornament.notes)
        return
    end_q, close_q = shake.onset_q + shake.length_q, shake.close_q * len(shake.close)
    yield from ((note, "") for note in ornament.notes if note.onset_q < shake.onset_q)
    if close_q < shake.length_q:
        yield OssiaNote(main, shake.onset_q, shake.length_q - close_q), f"tr {rate_words(shake)}"
    for k, pitch in enumerate(shake.close):
        yield OssiaNote(pitch, end_q - close_q + k * shake.close_q, shake.close_q), ""
    yield from ((note, "") for note in ornament.notes if note.onset_q >= end_q)


def _joined(before: _Passage, after: _Passage) -> _Passage:
    """One passage out of two that meet: the first up to where the second has notes of its own."""
    notes = after.notes
    if len(notes) > 1 and notes[0].onset_q < after.main_q and notes[1].onset_q <= before.end_q:
        notes = notes[1:]  # the shortened note before
    start_q = notes[0].onset_q
    kept = tuple(_cut(before.notes, start_q))
    return _Passage(after.main_q, (*kept, *notes))


def _cut(notes: Sequence[Written], end_q: Fraction) -> Iterator[Written]:
    for note in notes:
        if note.onset_q < end_q:
            yield note if note.end_q <= end_q else replace(note, length_q=end_q - note.onset_q)

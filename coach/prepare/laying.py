"""Spans of new notes laid over printed ones, and the whole cut into measures again."""

from bisect import bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from coach.music.measure import Measure
from coach.music.note import Note


@dataclass(frozen=True, slots=True)
class Piece:
    """A note or rest at a place in played time, in quarters from the start of the stretch; `bar` is the measure (as
    passed) that it is printed in, None for what is new or cut."""

    note: Note
    at_q: Fraction
    length_q: Fraction
    bar: int | None = None

    @property
    def end_q(self) -> Fraction:
        """Where it ends."""
        return self.at_q + self.length_q

    def within(self, start_q: Fraction, end_q: Fraction) -> "Piece | None":
        """What of it lies between two places; None for nothing. Graces go with the beginning, after-graces and what
        else stands at the end with the end."""
        if start_q <= self.at_q and self.end_q <= end_q:
            return self
        at_q, until_q = max(self.at_q, start_q), min(self.end_q, end_q)
        if at_q >= until_q:
            return None
        note = self.note
        if at_q > self.at_q and note.graces:
            note = replace(note, graces=())
        return Piece(note, at_q, until_q - at_q)


@dataclass(frozen=True, slots=True)
class Span:
    """Pieces that sound in the place of everything printed from `start_q` to `end_q`, which they fill."""

    start_q: Fraction
    end_q: Fraction
    pieces: tuple[Piece, ...]


def laid(
    measures: Sequence[Measure], starts_q: Sequence[Fraction], printed: Sequence[Piece], spans: Sequence[Span]
) -> tuple[tuple[Note, ...], ...]:
    """The notes of each measure (which begin at `starts_q`, the end of the last one included) with spans laid over
    them in their order; each cuts what came before it."""
    bars: list[list[Note]] = [[] for _ in measures]
    for piece in _over(printed, spans):
        for bar, note in _split(piece, measures, starts_q):
            bars[bar].append(note)
    return tuple(tuple(bar) for bar in bars)


def _over(printed: Sequence[Piece], spans: Sequence[Span]) -> list[Piece]:
    made: list[Piece] = []
    k, from_q = 0, Fraction(0)
    for span in spans:
        while k < len(printed) and printed[k].at_q < span.start_q:
            _append(made, printed[k].within(from_q, span.start_q))
            k += 1
        while made and made[-1].end_q > span.start_q:
            _append(made, made.pop().within(Fraction(0), span.start_q))
        made += span.pieces
        from_q = span.end_q
        while k < len(printed) and printed[k].end_q <= from_q:
            k += 1
    for piece in printed[k:]:
        _append(made, piece.within(from_q, piece.end_q))
    return made


def _append(made: list[Piece], piece: Piece | None) -> None:
    if piece is not None:
        made.append(piece)


def _split(piece: Piece, measures: Sequence[Measure], starts_q: Sequence[Fraction]) -> Iterator[tuple[int, Note]]:
    """A piece as notes of the measures that it lies in, tied where it goes on."""
    if piece.bar is not None:
        yield piece.bar, piece.note
        return
    bar = bisect_right(starts_q, piece.at_q, hi=len(measures)) - 1
    at_q = piece.at_q
    while at_q < piece.end_q and bar < len(measures):
        end_q = min(piece.end_q, starts_q[bar + 1])
        begins, ends = at_q == piece.at_q, end_q == piece.end_q
        if end_q > at_q:
            yield bar, _note(piece, measures[bar], at_q - starts_q[bar], end_q - at_q, begins=begins, ends=ends)
        at_q, bar = end_q, bar + 1


def _note(piece: Piece, measure: Measure, into_q: Fraction, length_q: Fraction, *, begins: bool, ends: bool) -> Note:
    note, onset_q = piece.note, measure.onset_q + into_q
    if begins and ends and (note.onset_q, note.length_q) == (onset_q, length_q):
        return note
    placed = replace(
        note,
        onset_q=onset_q,
        length_q=length_q,
        measure=measure.id,
        beat=1 + into_q / (measure.metre.beat_q if measure.metre else 1),
        value=None,
    )
    if begins and ends:
        return placed
    tie = None if note.pitch is None else "start" if begins else "stop" if ends else "continue"
    placed = replace(placed, tie=tie, graces=placed.graces if begins else ())
    if ends:
        return placed
    return replace(placed, slurred=True, after_graces=(), breath=None, caesura=False, fermata=False)

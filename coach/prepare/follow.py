"""Marks follow their notes into a corrected score.

Measures are laid beside each other by their notes, then, where measures differ, the notes themselves. A mark follows a
note that is the same. Where a note was corrected and stands alone between notes that stayed, a mark of the place
(breath, phrase, pace, dynamic, comment) follows if pitch or length is still the same, one of the pitch (fingering,
reminder, alteration) if the pitch is, one of pitch and length (swap, ornament) not. What does not follow is unplaced,
with what it was written over, and comes back to a measure that is so again.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from fractions import Fraction
from itertools import groupby

from coach.music.part import Part
from coach.prepare.align import align
from coach.prepare.like import shifted
from coach.prepare.mark import Alteration, Content, Dynamic, Fingering, Mark, Ornament, Pace, Phrase, Reminder, Swap
from coach.prepare.over import Over, Sign, measure_of, places, signs, written_over
from coach.prepare.pencil import in_order, one_fingering
from coach.prepare.prep import Prep


@dataclass(frozen=True, slots=True)
class _Move:
    """Where a note went, whether it kept its pitch and its length, and by how much its place in the measure changed."""

    to: str
    pitch: bool
    length: bool
    shift_q: Fraction


@dataclass(slots=True)
class _Moves:
    """Where the notes went, by old id; `unchanged` are the indices of new measures that were there before."""

    notes: dict[str, _Move] = field(default_factory=dict)
    unchanged: set[int] = field(default_factory=set)


def follow(prep: Prep, part: Part, score_hash: str) -> Prep:
    """The prep in the ids of another reading of its part: marks that fit are moved, the others are unplaced.

    Every note id of a mark is followed, those in its content too. A prep that does not say what it was written over
    (one written by hand) keeps the ids that the part has.
    """
    new = written_over(part)
    moves = _moves(prep.over, new) if prep.over else _Moves({name: _stay(name) for name in places(new)})
    placed, lost = _split(prep.marks, moves.notes)
    back, waiting = _returning(prep, new, moves)
    kept_rows = tuple(row for row in prep.unplaced_over if row[0] in {mark.id for mark in waiting})
    return replace(
        prep,
        score_hash=score_hash,
        over=new,
        marks=in_order(one_fingering((*placed, *back)), new),
        unplaced=(*waiting, *lost),
        unplaced_over=(*kept_rows, *_context(lost, prep.over)),
    )


def note_ids(mark: Mark) -> tuple[str, ...]:
    """The ids of the notes that a mark speaks of: its own, the last of its stretch, its goal."""
    goal = mark.content.goal if isinstance(mark.content, Phrase) else ""
    return tuple(dict.fromkeys(name for name in (mark.at, mark.to, goal) if name))


def _split(marks: Iterable[Mark], notes: dict[str, _Move]) -> tuple[list[Mark], list[Mark]]:
    placed, lost = [], []
    for mark in marks:
        moved = _moved(mark, notes)
        if moved is None:
            lost.append(mark)
        else:
            placed.append(moved)
    return placed, lost


def _moved(mark: Mark, notes: dict[str, _Move]) -> Mark | None:
    """The mark in the new ids, or None where it does not fit."""
    ids = note_ids(mark)
    if not all(name in notes for name in ids):
        return None
    here = notes[mark.at]
    if not _fits(mark, here):
        return None
    return replace(mark, at=here.to, content=_content(mark, notes))


def _fits(mark: Mark, here: _Move) -> bool:
    match mark.content:
        case Swap() | Ornament():
            return here.pitch and here.length
        case Fingering() | Reminder() | Alteration():
            return here.pitch
    return here.pitch or here.length


def _content(mark: Mark, notes: dict[str, _Move]) -> Content:
    def new(name: str) -> str:
        return notes[name].to if name else ""

    match mark.content:
        case Phrase(to, goal):
            return Phrase(new(to), new(goal))
        case Pace() | Dynamic() as stretch:
            return replace(stretch, to=new(stretch.to))
        case Ornament() as ornament:
            return shifted(ornament, notes[mark.at].shift_q)
    return mark.content


def _stay(name: str) -> _Move:
    return _Move(name, True, True, Fraction(0))


def _moves(old: Over, new: Over) -> _Moves:
    """Where each note of the old texts is in the new ones."""
    moves = _Moves()
    by_old, by_new = _by_measure(old), _by_measure(new)
    pairs = align([text for _, text in old], [text for _, text in new])
    same = [i is not None and j is not None and old[i][1] == new[j][1] for i, j in pairs]
    for equal, run in groupby(zip(pairs, same, strict=True), key=lambda each: each[1]):
        here = [pair for pair, _ in run]
        if equal or all(i is not None and j is not None for i, j in here):
            for i, j in here:
                _pair_notes(by_old[i or 0], by_new[j or 0], moves)
                if equal:
                    moves.unchanged.add(j or 0)
        else:
            _pair_notes(
                [sign for i, _ in here if i is not None for sign in by_old[i]],
                [sign for _, j in here if j is not None for sign in by_new[j]],
                moves,
            )
    return moves


def _by_measure(over: Over) -> list[list[Sign]]:
    measures: list[list[Sign]] = [[] for _ in over]
    for sign in signs(over):
        measures[sign.measure].append(sign)
    return measures


def _pair_notes(old: list[Sign], new: list[Sign], moves: _Moves) -> None:
    """Note where each note of a stretch went. A rest is never taken for a note, nor a grace for one with a length."""
    for i, j in align([sign.key for sign in old], [sign.key for sign in new]):
        if i is None or j is None:
            continue
        before, after = old[i], new[j]
        pitch, length = before.pitch == after.pitch, before.length == after.length
        if _role(before) == _role(after) and (pitch or length):
            moves.notes[before.id] = _Move(after.id, pitch, length, after.onset_q - before.onset_q)


def _role(sign: Sign) -> str:
    if sign.length in ("g", "a"):
        return sign.length
    return "rest" if sign.pitch == "r" else "note"


def _context(lost: Iterable[Mark], over: Over) -> list[tuple[str, str, str]]:
    """What each unplaced mark was written over: the measures that its notes stood in."""
    texts = dict(over)
    return [
        (mark.id, name, texts[name])
        for mark in lost
        for name in dict.fromkeys(map(measure_of, note_ids(mark)))
        if name in texts
    ]


def _returning(prep: Prep, new: Over, moves: _Moves) -> tuple[list[Mark], list[Mark]]:
    """The unplaced marks that fit again, in the new ids, and those that do not."""
    back, waiting = [], []
    known = places(new)
    for mark in prep.unplaced:
        texts = [(name, text) for owner, name, text in prep.unplaced_over if owner == mark.id]
        if texts:
            found = _moved(mark, _return_moves(texts, new, moves.unchanged))
        else:  # put there by hand, or its note was never there: its ids speak of the score as it is
            found = mark if all(name in known for name in note_ids(mark)) else None
        if found is None:
            waiting.append(mark)
        else:
            back.append(found)
    return back, waiting


def _return_moves(texts: list[tuple[str, str]], new: Over, unchanged: set[int]) -> dict[str, _Move]:
    """Where the notes of remembered measures are again. A measure that was there all along is none of them: the mark
    did not fit there before either, or belongs elsewhere."""
    by_new = _by_measure(new)
    moves: dict[str, _Move] = {}
    for name, text in texts:
        fits = [k for k, (_, other) in enumerate(new) if other == text and k not in unchanged]
        named = [k for k in fits if new[k][0] == name]
        if named or len(fits) == 1:
            for before, after in zip(_by_measure(((name, text),))[0], by_new[(named or fits)[0]], strict=True):
                moves[before.id] = _Move(after.id, True, True, Fraction(0))
    return moves

"""What the signs on the page mean, only of those that occur, and the comments and the reasons for the breaths in the
order of the page."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from coach.files.printing.words import place_words
from coach.music.part import Part
from coach.music.text import one_line
from coach.prepare.mark import (
    ACCIDENTALS,
    Alteration,
    Breath,
    Comment,
    Dynamic,
    Fingering,
    Mark,
    Ornament,
    Pace,
    Phrase,
    Reminder,
    Swap,
)
from coach.prepare.written_out import MOST_DRAWN

_COMMA = "\ue4ce"  # SMuFL's breath mark, in the font that travels with the page
_NATURAL = "\u266e"


@dataclass(frozen=True, slots=True)
class Sign:
    """A sign as text, and what it means."""

    sign: str
    meaning: str


@dataclass(frozen=True, slots=True)
class Remark:
    """A comment, or a reason: its number on the page ("" where its words stand there), where it belongs, its words,
    whose it is."""

    number: str
    where: str
    text: str
    origin: str


def legend(marks: tuple[Mark, ...], numbers: dict[str, int]) -> tuple[Sign, ...]:
    """The signs that these marks are drawn with."""
    return tuple(sign for test, sign in _rows(numbers) if any(test(mark) for mark in marks))


def remarks(marks: tuple[Mark, ...], part: Part, numbers: dict[str, int]) -> tuple[Remark, ...]:
    """The comments, by place."""
    found = _in_order([mark for mark in marks if isinstance(mark.content, Comment)], part)
    return tuple(
        Remark(
            str(numbers.get(mark.id, "")),
            place_words(part, mark.at),
            one_line(mark.content.text),
            "suggested" if mark.state == "suggested" else mark.origin,
        )
        for mark in found
        if isinstance(mark.content, Comment)
    )


def reasons(marks: tuple[Mark, ...], part: Part) -> tuple[Remark, ...]:
    """Why the breaths are where they are, by place, of those that have a reason."""
    found = _in_order([mark for mark in marks if isinstance(mark.content, Breath) and mark.because], part)
    return tuple(
        Remark(
            "",
            place_words(part, mark.at),
            one_line(mark.because),
            "suggested" if mark.state == "suggested" else "teacher" if mark.origin == "teacher" else "player",
        )
        for mark in found
    )


def _in_order(marks: list[Mark], part: Part) -> list[Mark]:
    order = {note.id: k for k, note in enumerate(part.notes())}
    for note in part.notes():
        for grace in (*note.graces, *note.after_graces):
            order[grace.id] = order[note.id]
    return sorted(marks, key=lambda mark: order.get(mark.at, 0))


def _is_long_trill(mark: Mark) -> bool:
    content = mark.content
    return isinstance(content, Ornament) and content.shake is not None and len(content.notes) > MOST_DRAWN


def _rows(numbers: dict[str, int]) -> Iterator[tuple[Callable[[Mark], bool], Sign]]:
    def of(*types: type) -> Callable[[Mark], bool]:
        return lambda mark: isinstance(mark.content, types)

    def hand(mark: Mark) -> bool:
        return isinstance(mark.content, Fingering) and mark.content.choice in ("L", "R")

    def pace(*shapes: str, long: bool = False) -> Callable[[Mark], bool]:
        return lambda mark: (
            isinstance(mark.content, Pace)
            and mark.content.shape in shapes
            and (not long or mark.content.length_q is not None)
        )

    yield lambda mark: mark.content == Breath("full"), Sign(_COMMA, "breath")
    yield lambda mark: mark.content == Breath("catch"), Sign(f"({_COMMA})", "catch breath, quick and small")
    yield hand, Sign("L, R", "left or right little finger")
    yield lambda mark: of(Fingering)(mark) and not hand(mark), Sign("1, 2, \u2026", "fingering")
    yield of(Swap), Sign("L\u2013R", "change the finger on the held note")
    yield (
        lambda mark: isinstance(mark.content, Reminder) and mark.content.text in ACCIDENTALS and not mark.content.of,
        Sign(f"({_NATURAL})", "reminder: the accidental of this note"),
    )
    yield (
        lambda mark: isinstance(mark.content, Reminder) and mark.content.text not in ACCIDENTALS,
        Sign("G flat", "reminder: the plain name"),
    )
    yield (
        lambda mark: isinstance(mark.content, Reminder) and bool(mark.content.of),
        Sign(_NATURAL, "over or under a note: for its ornament"),
    )
    yield of(Ornament, Alteration), Sign("small staff", "play this instead of what is printed below it")
    yield _is_long_trill, Sign("tr 2-9", "trill from 2 notes a quarter to 9")
    yield of(Phrase), Sign("bracket", "phrase, from its start to its end")
    yield (
        lambda mark: isinstance(mark.content, Phrase) and bool(mark.content.goal),
        Sign("\u2193", "goal of the phrase"),
    )
    yield pace("fermata", "tenuto"), Sign("3 beats", "how long the note is held")
    yield lambda mark: mark.id in numbers, Sign("[1]", "see the comments")
    yield (
        lambda mark: isinstance(mark.content, Dynamic) and bool(mark.content.sign),
        Sign("blue", "dynamics and paces in blue are pencilled"),
    )
    yield lambda mark: mark.state == "suggested", Sign("[ ]  \u2013 \u2013", "in brackets or dashed: only suggested")

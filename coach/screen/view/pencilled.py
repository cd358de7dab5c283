"""Marks on the page that is made of characters: a short sign over the note, as near as there is room.

A suggested mark stands in brackets, a teacher's is underlined. What finds no room is left out here; the measure in
words tells every mark.
"""

from collections.abc import Iterable

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
from coach.screen.view.canvas import Canvas
from coach.screen.view.glyphs import Glyphs
from coach.screen.view.layout import Layout, Placed

_SIZES = {"full": ",", "catch": "(,)"}
_HAIRPINS = {"crescendo": "<", "diminuendo": ">"}


def draw_marks(canvas: Canvas, rows: tuple[int, ...], layout: Layout, marks: Iterable[Mark], glyphs: Glyphs) -> None:
    """Draw the marks that stand in a system, each in the first of some rows that has room for it."""
    at = {placed.slot.id: placed for placed in layout.placed}
    for mark in marks:
        if mark.at in at and not mark.struck:
            text = mark_sign(mark, glyphs)
            style = "suggested" if mark.state == "suggested" else "teacher" if mark.origin == "teacher" else "pencil"
            _put(canvas, dict.fromkeys(rows), at[mark.at], mark, text, style)


def _put(canvas: Canvas, rows: Iterable[int], placed: Placed, mark: Mark, text: str, style: str) -> None:
    wanted = placed.stop - len(text) if isinstance(mark.content, Breath) else placed.column
    for row in rows:
        for shift in (0, 1, -1, 2):
            if canvas.put_if_free(row, wanted + shift, text, style):
                return


def mark_sign(mark: Mark, glyphs: Glyphs) -> str:
    """A mark as a few characters."""
    text = _sign(mark, glyphs)
    return f"[{text}]" if mark.state == "suggested" else text


def _sign(mark: Mark, glyphs: Glyphs) -> str:
    match mark.content:
        case Breath(size):
            return _SIZES[size]
        case Fingering(choice):
            return choice
        case Swap(start, end):
            return f"{start}>{end}"
        case Reminder(text, of) if of:
            sign = glyphs.accidentals[ACCIDENTALS.index(text)] if text in ACCIDENTALS else text
            return f"{'^' if of == 'upper' else 'v'}{sign}"
        case Reminder(text):
            return f"({glyphs.accidentals[ACCIDENTALS.index(text)]})" if text in ACCIDENTALS else text
        case Ornament():
            return "ossia"
        case Dynamic(sign):
            return _HAIRPINS.get(sign, sign) or "dB"
        case Alteration(to):
            return "".join(pitch.name for pitch in to)
        case Phrase():
            return "phrase"
        case Pace(shape):
            return shape
        case Comment():
            return '"'

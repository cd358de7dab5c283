"""Breaths that are planned and not written down: light commas over the music, those of slow practice in braces.

The brackets are those of suggested marks; braces stand only for practice breaths, which come and go with the tempo. A
catch breath stands in parentheses inside them, as it does in a mark.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from itertools import pairwise

from coach.screen.view.canvas import Canvas

_SIZES = {"full": ",", "catch": "(,)"}
_NUMBERS = ("number", "chosen-number", "outside")


@dataclass(frozen=True, slots=True)
class BreathSign:
    """A planned breath after the note `at`: its size, and whether it is of slow practice alone."""

    at: str
    size: str
    practice: bool = False

    @property
    def text(self) -> str:
        """As it stands over the music."""
        sign = _SIZES[self.size]
        return f"{{{sign}}}" if self.practice else f"[{sign}]"

    @property
    def style(self) -> str:
        """The style it is drawn in."""
        return "practice" if self.practice else "suggested"


def draw_breaths(
    canvas: Canvas, rows: Iterable[int], heads: Mapping[str, int], stop: int, signs: Iterable[BreathSign]
) -> None:
    """Draw the signs of a system between their note's head and the next, as near to that as there is room, in the
    first of some rows that has any. `heads` are the columns of all heads by id, `stop` where the music ends. Where no
    row is free a sign stands in the last one, over what is no number there."""
    rows = tuple(rows)
    following = dict(pairwise([*sorted(set(heads.values())), stop]))
    for sign in signs:
        if sign.at in heads:
            head = heads[sign.at]
            last = following[head] - len(sign.text)
            columns = range(last, min(head, last - 1), -1)  # over its own head where the next one is too near
            places = [(row, column) for row in rows for column in columns]
            if not any(canvas.put_if_free(row, column, sign.text, sign.style) for row, column in places) and rows:
                _force(canvas, rows[-1], columns, sign)


def _force(canvas: Canvas, row: int, columns: range, sign: BreathSign) -> None:
    cells = canvas.cells(row) if 0 <= row < canvas.height else []
    for column in columns:
        under = cells[column : column + len(sign.text)]
        if len(under) == len(sign.text) and not any(style in _NUMBERS for _, style in under):
            canvas.put(row, column, sign.text, sign.style)
            return

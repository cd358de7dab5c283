"""A grid of characters, each with the name of its style."""

from dataclasses import dataclass
from itertools import groupby


@dataclass(frozen=True, slots=True)
class Run:
    """Neighbouring characters of one style; the style "" is plain."""

    text: str
    style: str = ""


class Canvas:
    """A grid that is written on; what falls outside it is left out."""

    def __init__(self, width: int, height: int) -> None:
        self.width = width
        self.height = height
        self._text = [[" "] * width for _ in range(height)]
        self._style = [[""] * width for _ in range(height)]

    def put(self, row: int, column: int, text: str, style: str = "") -> None:
        """Write a text; every character takes one cell."""
        if not 0 <= row < self.height:
            return
        for k, character in enumerate(text, column):
            if 0 <= k < self.width:
                self._text[row][k] = character
                self._style[row][k] = style

    def put_if_free(self, row: int, column: int, text: str, style: str = "") -> bool:
        """Write a text if its cells and those on either side are blank, and it fits; tells whether it was written."""
        cells = range(max(column - 1, 0), column + len(text) + 1)
        inside = 0 <= row < self.height and column >= 0 and column + len(text) <= self.width
        if not inside or any(self._text[row][k] != " " for k in cells if k < self.width):
            return False
        self.put(row, column, text, style)
        return True

    def fill(self, row: int, first: int, stop: int, character: str, style: str = "") -> None:
        """Write one character over the columns from `first` up to, not including, `stop`."""
        self.put(row, first, character * max(stop - first, 0), style)

    def at(self, row: int, column: int) -> str:
        """The character in a cell; blank outside."""
        if 0 <= row < self.height and 0 <= column < self.width:
            return self._text[row][column]
        return " "

    def paste(self, other: "Canvas", row: int, column: int = 0) -> None:
        """Copy another canvas on to this one."""
        first, stop = max(column, 0), min(column + other.width, self.width)
        for k in range(max(-row, 0), min(other.height, self.height - row)):
            self._text[row + k][first:stop] = other._text[k][first - column : stop - column]
            self._style[row + k][first:stop] = other._style[k][first - column : stop - column]

    def cells(self, row: int) -> list[tuple[str, str]]:
        """(character, style) of every cell of a row."""
        return list(zip(self._text[row], self._style[row], strict=True))

    def runs(self, row: int) -> tuple[Run, ...]:
        """A row as runs of one style."""
        return runs(self.cells(row))

    def text(self) -> str:
        """All rows as plain text, without trailing blanks."""
        return "\n".join("".join(row).rstrip() for row in self._text)


def runs(cells: list[tuple[str, str]]) -> tuple[Run, ...]:
    """Neighbouring cells of one style joined."""
    groups = groupby(cells, key=lambda cell: cell[1])
    return tuple(Run("".join(character for character, _ in group), style) for style, group in groups)

"""Reading braille dots by the names that the Unicode Character Database gives them: "BRAILLE PATTERN DOTS-178"."""

from unicodedata import name

from coach.screen.view.canvas import Canvas

_PREFIX = "BRAILLE PATTERN DOTS-"
# Dots of a cell from the top: 1 2 3 7 at the left, 4 5 6 8 at the right (The Unicode Standard, chapter 21.1).
_PLACES = {"1": (0, 0), "2": (0, 1), "3": (0, 2), "7": (0, 3), "4": (1, 0), "5": (1, 1), "6": (1, 2), "8": (1, 3)}


def dots_of(canvas: Canvas, rows: range, left: int = 0) -> dict[int, set[int]]:
    """By column of dots the heights (over the bottom of the rows) at which one is set, from a column of cells on."""
    lowest = len(rows) * 4 - 1
    found: dict[int, set[int]] = {}
    for k, row in enumerate(rows):
        for column in range(left, canvas.width):
            title = name(canvas.at(row, column), "")
            for dot in title.removeprefix(_PREFIX) if title.startswith(_PREFIX) else "":
                x, y = _PLACES[dot]
                found.setdefault(2 * column + x, set()).add(lowest - (4 * k + y))
    return found

"""Reads engraved music back from braille characters, as eyes would: it knows Unicode's braille patterns and how a staff
and noteheads look, and nothing of the code that draws them.

A dot's place is (column, row), rows downwards. The dots of a cell are numbered as Unicode 15 (chapter 21.1, Braille)
numbers them: 1, 2, 3 and 7 down the left side, 4, 5, 6 and 8 down the right one, dot n being bit n - 1.
"""

from collections.abc import Iterator
from dataclasses import dataclass

Dots = frozenset[tuple[int, int]]

_BRAILLE = 0x2800
_PLACE_OF_BIT = ((0, 0), (0, 1), (0, 2), (1, 0), (1, 1), (1, 2), (0, 3), (1, 3))


def dots_in(text: str) -> Dots:
    """The dots of a text of braille characters; other characters hold none."""
    return frozenset(
        (2 * column + dx, 4 * row + dy)
        for row, line in enumerate(text.split("\n"))
        for column, character in enumerate(line)
        for bit, (dx, dy) in enumerate(_PLACE_OF_BIT)
        if 0 <= ord(character) - _BRAILLE < 256 and (ord(character) - _BRAILLE) >> bit & 1
    )


def staves(dots: Dots) -> list[tuple[int, int]]:
    """(row of the top line, rows from line to line) of every staff: five rows, equally far apart, dotted over most of
    their length."""
    width = max((x for x, _ in dots), default=0) + 1
    count: dict[int, int] = {}
    for _, y in dots:
        count[y] = count.get(y, 0) + 1
    long = sorted(row for row, number in count.items() if number >= 0.6 * width)
    found: list[tuple[int, int]] = []
    for row in long:
        inside = found and row <= found[-1][0] + 4 * found[-1][1]
        for apart in range(2, 9):
            if not inside and all(row + k * apart in long for k in range(5)):
                found.append((row, apart))
                break
    return found


@dataclass(frozen=True)
class Look:
    """How a notehead looks: where there must be dots, where there must be none, and its corners, of which the stem may
    take those on one side."""

    kind: str
    dots: Dots
    blank: Dots
    corners: Dots


def _look(kind: str, *rows: str) -> Look:
    """`#` dots, `.` blank, `/` a corner; the middle row is the head's own."""
    places = {(x, y - len(rows) // 2): sign for y, row in enumerate(rows) for x, sign in enumerate(row)}
    pick = {wanted: frozenset(place for place, sign in places.items() if sign == wanted) for wanted in "#./"}
    return Look(kind, pick["#"], pick["."], pick["/"])


# Ovals three rows high: filled, hollow, hollow and wide, and the smaller one of graces, which are filled as a rule.
LOOKS = (
    _look("black", "/###/", "#####", "/###/"),
    _look("half", "/####", "#...#", "####/"),
    _look("whole", "//###//", "##...##", "//###//"),
    _look("small", "/##/", "####", "/##/"),
)


@dataclass(frozen=True)
class Head:
    """A notehead read: its left end, its row, and its kind."""

    column: int
    row: int
    kind: str


def heads(dots: Dots) -> list[Head]:
    """All noteheads, from left to right; where a dot could belong to two, the larger one has it."""
    found: list[Head] = []
    taken: set[tuple[int, int]] = set()
    for look in LOOKS:
        for x, y in sorted(_fitting(dots, look)):
            body = {(x + dx, y + dy) for dx, dy in look.dots | look.blank}
            if not body & taken:
                found.append(Head(x, y, look.kind))
                taken |= body
    return sorted(found, key=lambda head: (head.column, head.row))


def _fitting(dots: Dots, look: Look) -> Iterator[tuple[int, int]]:
    first = min(look.dots)
    for dot_x, dot_y in dots:
        x, y = dot_x - first[0], dot_y - first[1]
        if not all((x + dx, y + dy) in dots for dx, dy in look.dots):
            continue
        if any((x + dx, y + dy) in dots for dx, dy in look.blank):
            continue
        if not _stands_alone(dots, look, x, y):
            continue
        lit = {(dx, dy) for dx, dy in look.corners if (x + dx, y + dy) in dots}
        if len({dx > 1 for dx, _ in lit}) < 2 or len(lit) <= 1:
            yield x, y


_LONGEST_LEDGER = 3  # dots that a ledger line reaches beyond a head


def _stands_alone(dots: Dots, look: Look, x: int, y: int) -> bool:
    """Whether nothing goes on to either side but a stem, which is one dot wide, or a short ledger line."""
    width = max(dx for dx, _ in look.dots | look.corners) + 1
    for side, end in ((-1, x - 1), (1, x + width)):
        if any((end, y + dy) in dots for dy in (-1, 1)):
            return False
        if all((end + side * k, y) in dots for k in range(_LONGEST_LEDGER + 1)):
            return False
    return True


def step_of(head: Head, staff: tuple[int, int]) -> float:
    """Steps above the bottom line of a staff: 0 on it, 1 in the space over it."""
    top, apart = staff
    return (top + 4 * apart - head.row) * 2 / apart

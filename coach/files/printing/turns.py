"""Where lines and pages end, so that a page is turned while the player rests.

The music is a row of blocks (a measure, or several measures of rest in one). A line holds blocks whose natural widths
fit it and fill at least LOOSEST of it, unless the next block does not fit or the music ends. A page holds lines whose
heights fit it. Costs, compared in this order:

1. pages and turns: a turn costs 1 - rest / TURN_S, rounded up to quarters, from 0 to 1, where the rest is what stands
   on both sides of it; a page costs as much as a turn without any rest;
2. the number of pages, so that one more is taken only where it saves more than one turn without rest;
3. a last page of fewer than FEWEST_LINES lines, where there are several pages;
4. for each line but the last, (1 - width / line)^2: stretched lines are ugly.

TURN_S is a default: no source says how long a turn takes; two seconds are what a player needs to reach out, turn and
come back (trade practice). Exact: for every start of a page, all of its line divisions are kept that no other one
beats in height, stretching and number of lines.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import ceil

TURN_S = 2.0
LOOSEST = 0.6
FEWEST_LINES = 3
PAGE = 4  # quarters


@dataclass(frozen=True, slots=True)
class Block:
    """What is never divided: its natural width, how far it reaches above and below the staff's middle, and the rest in
    seconds that a player has around its end. Lengths in any unit, the same in `Format`."""

    width: float
    above: float
    below: float
    rest_s: float = 0.0


@dataclass(frozen=True, slots=True)
class Format:
    """The room there is: a line's width, what clef and key take of it, the least gap between the lines, the heights for
    music on the first page and on the others."""

    line: float
    clef: float
    gap: float
    first_page: float
    page: float


Lines = tuple[int, ...]  # of each line, the index of the block after its last
Cost = tuple[int, int, int, float]


@dataclass(frozen=True, slots=True)
class _Line:
    end: int
    height: float
    stretched: float


@dataclass(frozen=True, slots=True)
class _Way:
    height: float
    stretched: float
    lines: Lines


def plan(blocks: Sequence[Block], room: Format) -> tuple[Lines, ...]:
    """The pages, each as its lines, each line as the index of the block after its last. A block too wide or a line too
    high for the room gets a line or page of its own."""
    count = len(blocks)
    lines = [_lines(blocks, room, start) for start in range(count)]
    best: list[tuple[Cost, tuple[Lines, ...]] | None] = [((0, 0, 0, 0.0), ()), *[None] * count]
    for start in range(count):
        before = best[start]
        if before is None:
            continue
        cost, pages = before
        for end, ways in _page(lines, room, start):
            added, way = min(((_cost(blocks, start, end, way), way) for way in ways), key=lambda pair: pair[0])
            total = _sum(cost, added)
            found = best[end]
            if found is None or total < found[0]:
                best[end] = total, (*pages, way.lines)
    whole = best[count]
    return whole[1] if whole is not None else ()


def turn_cost(rest_s: float) -> int:
    """What a turn costs, in quarters of the worst: 0 where there is time for it, 4 where there is none."""
    return ceil(max(0.0, 1 - rest_s / TURN_S) * 4)


def stretched(blocks: Sequence[Block], room: Format, start: int, end: int) -> float | None:
    """What the line of these blocks costs, None if there can be none."""
    filled = (room.clef + sum(block.width for block in blocks[start:end])) / room.line
    if filled > 1 and end > start + 1:
        return None
    if end == len(blocks):
        return 0.0
    if filled < LOOSEST and filled + blocks[end].width / room.line <= 1:
        return None
    return (1 - min(filled, 1.0)) ** 2


def line_height(blocks: Sequence[Block], start: int, end: int) -> float:
    """How high a line of these blocks is."""
    line = blocks[start:end]
    return max(block.above for block in line) + max(block.below for block in line)


def page_height(blocks: Sequence[Block], room: Format, start: int, lines: Lines) -> float:
    """How high a page of these lines is, the first of which begins at a block."""
    starts = (start, *lines[:-1])
    return sum(map(lambda a, b: line_height(blocks, a, b), starts, lines)) + room.gap * (len(lines) - 1)


def _cost(blocks: Sequence[Block], start: int, end: int, way: _Way) -> Cost:
    last = end == len(blocks)
    turn = 0 if last else turn_cost(blocks[end - 1].rest_s)
    return PAGE + turn, 1, int(last and start > 0 and len(way.lines) < FEWEST_LINES), way.stretched


def _sum(one: Cost, other: Cost) -> Cost:
    return one[0] + other[0], one[1] + other[1], one[2] + other[2], one[3] + other[3]


def _lines(blocks: Sequence[Block], room: Format, start: int) -> list[_Line]:
    """The lines that can begin at a block."""
    made = []
    for end in range(start + 1, len(blocks) + 1):
        filled = room.clef + sum(block.width for block in blocks[start:end])
        if filled > room.line and end > start + 1:
            break
        cost = stretched(blocks, room, start, end)
        if cost is not None:
            made.append(_Line(end, line_height(blocks, start, end), cost))
    return made


def _page(lines: Sequence[Sequence[_Line]], room: Format, start: int) -> Iterator[tuple[int, list[_Way]]]:
    """For each place where a page that begins here can end, the ways there."""
    most = room.page if start else room.first_page
    ways: dict[int, list[_Way]] = {start: [_Way(0.0, 0.0, ())]}
    for at in range(start, len(lines)):
        for way in ways.get(at, ()):
            for line in lines[at]:
                height = way.height + line.height + (room.gap if way.lines else 0.0)
                if height <= most or not way.lines:
                    new = _Way(height, way.stretched + line.stretched, (*way.lines, line.end))
                    _keep(ways.setdefault(line.end, []), new)
        if at > start and at in ways:
            yield at, ways[at]
    if len(lines) in ways:
        yield len(lines), ways[len(lines)]


def _keep(ways: list[_Way], new: _Way) -> None:
    if any(_beats(way, new) for way in ways):
        return
    ways[:] = [way for way in ways if not _beats(new, way)]
    ways.append(new)


def _beats(one: _Way, other: _Way) -> bool:
    """Whether one way is at least as good as another in all that counts."""
    enough = min(len(one.lines), FEWEST_LINES) >= min(len(other.lines), FEWEST_LINES)
    return enough and one.height <= other.height and one.stretched <= other.stretched

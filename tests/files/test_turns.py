"""Lines and pages against brute force: every way to divide a few blocks, with the costs of the module written anew."""

from collections.abc import Iterator
from itertools import pairwise

from hypothesis import given, settings
from hypothesis import strategies as st

from coach.files.printing.turns import Block, Format, plan

Pages = tuple[tuple[int, ...], ...]

ROOM = Format(line=100.0, clef=10.0, gap=5.0, first_page=50.0, page=70.0)

blocks = st.lists(
    st.builds(
        Block,
        width=st.integers(5, 70).map(float),
        above=st.integers(5, 12).map(float),
        below=st.integers(5, 12).map(float),
        rest_s=st.sampled_from([0.0, 0.4, 1.0, 1.9, 2.0, 7.0]),
    ),
    min_size=1,
    max_size=8,
)


def divisions(count: int) -> Iterator[tuple[int, ...]]:
    """Every way to end lines: increasing indices, the last one `count`."""
    for chosen in range(2 ** (count - 1)):
        yield (*(k + 1 for k in range(count - 1) if chosen >> k & 1), count)


def pagings(lines: tuple[int, ...]) -> Iterator[Pages]:
    for chosen in range(2 ** (len(lines) - 1)):
        pages: list[list[int]] = [[]]
        for k, end in enumerate(lines):
            pages[-1].append(end)
            if k < len(lines) - 1 and chosen >> k & 1:
                pages.append([])
        yield tuple(map(tuple, pages))


def cost(given_: list[Block], pages: Pages) -> tuple[float, ...] | None:
    """The four costs of a whole division, None for one that is not allowed."""
    loose = 0.0
    count = len(given_)
    ends = [0, *(end for page in pages for end in page)]
    for start, end in pairwise(ends):
        share = (10 + sum(block.width for block in given_[start:end])) / 100
        if share > 1 and end - start > 1:
            return None
        if end < count:
            if share < 0.6 and share + given_[end].width / 100 <= 1:
                return None
            loose += (1 - min(share, 1)) ** 2
    at = 0
    turns = 0
    for k, page in enumerate(pages):
        total = 0.0
        for j, end in enumerate(page):
            total += max(b.above for b in given_[at:end]) + max(b.below for b in given_[at:end]) + (5 if j else 0)
            at = end
        if total > (70 if k else 50) and len(page) > 1:
            return None
        if at < count:
            rest = given_[at - 1].rest_s
            turns += next(quarter for quarter in range(5) if rest >= 2 * (1 - quarter / 4))
    few = int(len(pages) > 1 and len(pages[-1]) < 3)
    return 4 * len(pages) + turns, len(pages), few, round(loose, 9)


@settings(max_examples=150, deadline=None)
@given(blocks)
def test_no_division_is_better(given_: list[Block]) -> None:
    found = plan(given_, ROOM)
    best = min(
        value
        for lines in divisions(len(given_))
        for pages in pagings(lines)
        if (value := cost(given_, pages)) is not None
    )
    assert cost(given_, found) == best


def test_a_page_is_turned_in_the_rest() -> None:
    """Two blocks a line, two lines a page; the rest stands after the second block, so the first page is one line."""
    music = [Block(40.0, 10.0, 10.0, 3.0 if k == 1 else 0.0) for k in range(6)]
    assert plan(music, Format(100.0, 10.0, 5.0, 50.0, 50.0)) == ((2,), (4, 6))


def test_a_block_too_large_gets_a_line_and_a_page() -> None:
    huge = Block(500.0, 90.0, 90.0)
    assert plan([huge, huge], ROOM) == ((1,), (2,))


def test_nothing_needs_no_page() -> None:
    assert plan([], ROOM) == ()

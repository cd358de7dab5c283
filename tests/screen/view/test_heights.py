"""Rows of staff positions: order is kept, the five lines stay evenly spaced, what lies outside them gives way first."""

from itertools import combinations, pairwise

from hypothesis import given
from hypothesis import strategies as st

from coach.music.metre import Clef
from coach.screen.view.heights import NOTES_ONLY, PAIRS, Heights, bottom_line

POSITIONS = st.sets(st.integers(23, 49), max_size=12)  # E3 to C7, the written range of the clarinet


@given(POSITIONS, st.integers(5, 30))
def test_order_and_room(occupied: set[int], available: int) -> None:
    heights = Heights(occupied, bottom_line(Clef()), available)
    rows = [heights.row(position) for position in sorted(occupied)]
    assert rows == sorted(rows, reverse=True)
    assert all(0 <= row < available for row in (*rows, *heights.lines))


@given(POSITIONS, st.integers(5, 30))
def test_the_five_lines_stay_even(occupied: set[int], available: int) -> None:
    heights = Heights(occupied, bottom_line(Clef()), available)
    distances = {low - high for high, low in pairwise(heights.lines)}
    outside = len([position for position in occupied if not 30 <= position <= 38])
    assert distances in ({1}, {2})
    assert distances == {2} or 9 + outside > available  # the staff is halved last
    if 9 + outside <= available and heights.squeeze == NOTES_ONLY:
        assert len({heights.row(position) for position in occupied}) == len(occupied)


@given(POSITIONS, st.integers(9, 30))
def test_a_ledger_line_stands_between_its_notes(occupied: set[int], available: int) -> None:
    """Two notes share a row only as a ledger line and the space beyond it, unless there is room for notes alone."""
    heights = Heights(occupied, bottom_line(Clef()), available)
    for one, other in combinations(sorted(occupied), 2):
        if heights.row(one) == heights.row(other):
            assert heights.squeeze >= PAIRS
            if heights.squeeze == PAIRS:
                assert other == one + 1
                assert not 30 <= one <= 38
                assert {heights.beyond(one), heights.beyond(other)} == ({-1, 0} if one < 30 else {0, 1})


def test_the_lowest_and_a_high_note_with_few_rows() -> None:
    # Written E3 (23) and F6 (45): eight rows outside the staff are enough for pairs, three are not.
    pairs = Heights({23, 45}, 30, 17)
    assert (pairs.squeeze, pairs.lines) == (PAIRS, (4, 6, 8, 10, 12))
    assert pairs.ledgers(23) == (14, 15)  # of A3 the line is in the note's own row, over its head
    assert pairs.beyond(23) == -1
    few = Heights({23, 24, 45}, 30, 12)
    assert few.squeeze == NOTES_ONLY
    assert (few.row(45), few.row(24), few.row(23)) == (0, 10, 11)


@given(POSITIONS)
def test_with_room_every_step_is_a_row(occupied: set[int]) -> None:
    heights = Heights(occupied, bottom_line(Clef()), 30)
    assert {heights.row(position) + position for position in occupied} <= {heights.lines[4] + 30}


def test_the_lowest_line_of_clefs() -> None:
    # Treble: E4 (30 steps above C0); bass: G2 (18); alto: F3 (24); treble an octave down: E3 (23).
    assert bottom_line(Clef()) == 30
    assert bottom_line(Clef("F", 4)) == 18
    assert bottom_line(Clef("C", 3)) == 24
    assert bottom_line(Clef("G", 2, -1)) == 23

"""Rows of staff positions: order is kept, notes and lines keep rows of their own for as long as there is room."""

from hypothesis import given
from hypothesis import strategies as st

from coach.music.metre import Clef
from coach.screen.view.heights import Heights, bottom_line

POSITIONS = st.sets(st.integers(23, 49), max_size=12)  # E3 to C7, the written range of the clarinet


@given(POSITIONS, st.integers(5, 30))
def test_order_and_room(occupied: set[int], available: int) -> None:
    heights = Heights(occupied, bottom_line(Clef()), available)
    rows = [heights.row(position) for position in sorted(occupied)]
    assert rows == sorted(rows, reverse=True)
    assert all(0 <= row < available for row in (*rows, *heights.lines))
    needed = occupied | set(range(30, 39, 2))
    if len(needed) <= available:
        assert len({heights.row(position) for position in needed}) == len(needed)


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

"""Widths in proportion to time, against a search for the scale by halving."""

from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from coach.screen.view.spacing import spread

ITEMS = st.lists(st.tuples(st.integers(2, 9), st.fractions(0, 8, max_denominator=48)), min_size=1, max_size=24)


@given(ITEMS, st.integers(0, 200))
def test_widths_fill_the_room_and_keep_their_minima(items: list[tuple[int, Fraction]], width: int) -> None:
    minima, lengths = [low for low, _ in items], [length for _, length in items]
    widths = spread(minima, lengths, width)
    assert sum(widths) == max(width, sum(minima))
    assert all(size >= low for size, low in zip(widths, minima, strict=True))


@given(ITEMS.filter(lambda items: any(length for _, length in items)), st.integers(0, 150))
def test_widths_follow_the_common_scale(items: list[tuple[int, Fraction]], spare: int) -> None:
    minima, lengths = [low for low, _ in items], [length for _, length in items]
    width = sum(minima) + spare
    low, high = 0.0, 1e6
    for _ in range(100):
        scale = (low + high) / 2
        wanted = sum(max(m, scale * float(length)) for m, length in zip(minima, lengths, strict=True))
        low, high = (scale, high) if wanted < width else (low, scale)
    exact = [max(m, low * float(length)) for m, length in zip(minima, lengths, strict=True)]
    at = 0.0
    for size, ideal, place in zip(spread(minima, lengths, width), exact, range(len(exact)), strict=True):
        assert abs(size - ideal) <= 2.01, place
        at += ideal

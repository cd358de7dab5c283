"""Rows beside each other: the fewest changes, checked by trying all (Levenshtein 1966: replace, insert, delete)."""

from functools import cache

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coach.prepare import align as module
from coach.prepare.align import align

ROWS = st.text("abc", max_size=7)


@cache
def fewest(old: str, new: str) -> int:
    """By the definition, without a table."""
    if not old or not new:
        return len(old) + len(new)
    return min(fewest(old[1:], new[1:]) + (old[0] != new[0]), fewest(old[1:], new) + 1, fewest(old, new[1:]) + 1)


def changes(old: str, new: str, pairs: list[tuple[int | None, int | None]]) -> int:
    return sum(i is None or j is None or old[i] != new[j] for i, j in pairs)


def complete(old: str, new: str, pairs: list[tuple[int | None, int | None]]) -> bool:
    """Whether both rows are there whole and in order."""
    left, right = [i for i, _ in pairs if i is not None], [j for _, j in pairs if j is not None]
    return left == list(range(len(old))) and right == list(range(len(new)))


@given(ROWS, ROWS)
def test_no_other_way_needs_fewer_changes(old: str, new: str) -> None:
    pairs = align(old, new)
    assert complete(old, new, pairs)
    assert changes(old, new, pairs) == fewest(old, new)


@given(ROWS, ROWS)
def test_the_rough_way_is_complete_too(old: str, new: str) -> None:
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(module, "LARGEST_TABLE", 0)
        assert complete(old, new, align(old, new))

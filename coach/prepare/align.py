"""Two rows laid beside each other with the fewest changes (Levenshtein's distance: replace, insert, delete)."""

from collections.abc import Hashable, Iterator, Sequence
from difflib import SequenceMatcher

# A table larger than this takes seconds; then difflib's quicker, rougher matching serves.
LARGEST_TABLE = 2_000_000

Pair = tuple[int | None, int | None]


def align(old: Sequence[Hashable], new: Sequence[Hashable]) -> list[Pair]:
    """Index pairs in order: (i, j) for things kept or replaced, (i, None) for those gone, (None, j) for new ones."""
    low = 0
    while low < min(len(old), len(new)) and old[low] == new[low]:
        low += 1
    tail = 0
    while tail < min(len(old), len(new)) - low and old[-1 - tail] == new[-1 - tail]:
        tail += 1
    top_old, top_new = len(old) - tail, len(new) - tail
    middle = _middle(old[low:top_old], new[low:top_new])
    return [
        *((k, k) for k in range(low)),
        *((None if i is None else low + i, None if j is None else low + j) for i, j in middle),
        *((top_old + k, top_new + k) for k in range(tail)),
    ]


def _middle(old: Sequence[Hashable], new: Sequence[Hashable]) -> list[Pair]:
    if not old or not new:
        return [*((i, None) for i in range(len(old))), *((None, j) for j in range(len(new)))]
    if len(old) * len(new) > LARGEST_TABLE:
        return list(_roughly(old, new))
    return _traced(_table(old, new), old, new)


def _table(old: Sequence[Hashable], new: Sequence[Hashable]) -> list[list[int]]:
    """`table[i][j]`: the fewest changes from the last `len(old) - i` things to the last `len(new) - j`."""
    rows = [list(range(len(new), -1, -1))]
    for i in range(len(old) - 1, -1, -1):
        below, row = rows[-1], [len(old) - i]
        for j in range(len(new) - 1, -1, -1):
            kept = below[j + 1] + (old[i] != new[j])
            row.append(min(kept, below[j] + 1, row[-1] + 1))
        row.reverse()
        rows.append(row)
    rows.reverse()
    return rows


def _traced(table: list[list[int]], old: Sequence[Hashable], new: Sequence[Hashable]) -> list[Pair]:
    pairs: list[Pair] = []
    i = j = 0
    while i < len(old) or j < len(new):
        here = table[i][j]
        if i < len(old) and j < len(new) and here == table[i + 1][j + 1] + (old[i] != new[j]):
            pairs.append((i, j))
            i, j = i + 1, j + 1
        elif i < len(old) and here == table[i + 1][j] + 1:
            pairs.append((i, None))
            i += 1
        else:
            pairs.append((None, j))
            j += 1
    return pairs


def _roughly(old: Sequence[Hashable], new: Sequence[Hashable]) -> Iterator[Pair]:
    for kind, i0, i1, j0, j1 in SequenceMatcher(None, old, new, autojunk=False).get_opcodes():
        if kind == "equal" or i1 - i0 == j1 - j0:
            yield from zip(range(i0, i1), range(j0, j1), strict=True)
        else:
            yield from ((i, None) for i in range(i0, i1))
            yield from ((None, j) for j in range(j0, j1))

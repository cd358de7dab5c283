"""Signs of the SMuFL standard set by hand, dot by dot; the pictures are in content/signs/dots.txt.

At a staff space of four dots a sign that is merely scaled down cannot be told from its neighbours; these can, by their
dots alone.
"""

import re
from dataclasses import dataclass
from functools import cache

from coach.paths import content

_HEAD = re.compile(r"([0-9A-F]{4}) .*")


@dataclass(frozen=True, slots=True)
class Bitmap:
    """A sign's dots as (column, row) from its origin: `ink`, and `clear` where no staff line may show."""

    ink: frozenset[tuple[int, int]]
    clear: frozenset[tuple[int, int]]


def bitmap(code: int, small: bool = False) -> Bitmap | None:
    """The bitmap of a SMuFL code, of its small form where there is one; None for a sign we have none of."""
    signs = all_bitmaps()
    return (signs.get((code, True)) if small else None) or signs.get((code, False))


@cache
def all_bitmaps() -> dict[tuple[int, bool], Bitmap]:
    """Every bitmap by its code and whether it is a small form."""
    found: dict[tuple[int, bool], Bitmap] = {}
    for block in content("signs", "dots.txt").read_text("utf-8").split("\n\n"):
        head, *rows = block.strip().splitlines() or [""]
        if _HEAD.fullmatch(head):
            found[int(head[:4], 16), head.endswith(", small")] = read_bitmap(rows)
    return found


def read_bitmap(rows: list[str]) -> Bitmap:
    """A bitmap from the rows of its picture."""
    origin = next((k for k, row in enumerate(rows) if row.startswith("@")), 0)
    dots = [
        (dot, (column, k - origin)) for k, row in enumerate(rows) for column, dot in enumerate(row.removeprefix("@"))
    ]
    ink = frozenset(place for dot, place in dots if dot == "#")
    return Bitmap(ink, frozenset(place for dot, place in dots if dot == "o"))

"""A grid of braille dots in two layers: the lines of the staff and ledger lines behind, ink in front."""

from collections.abc import Iterable

BLANK = "\u2800"
# The bit of each dot of a cell, by (column, row): the order of the braille patterns of Unicode, U+2800.
_BITS = {(0, 0): 1, (0, 1): 2, (0, 2): 4, (1, 0): 8, (1, 1): 16, (1, 2): 32, (0, 3): 64, (1, 3): 128}
CELL_WIDTH, CELL_HEIGHT = 2, 4


class DotGrid:
    """Dots of `columns` by `rows` cells. `style` of a cell is the strongest of what was inked in it."""

    def __init__(self, columns: int, rows: int) -> None:
        self.columns, self.rows = columns, rows
        self.width, self.height = columns * CELL_WIDTH, rows * CELL_HEIGHT
        self._lines: dict[tuple[int, int], str] = {}
        self._ink: dict[tuple[int, int], str] = {}
        self._owners: dict[str, set[tuple[int, int]]] = {}

    def line(self, first: int, last: int, row: int, style: str = "line") -> None:
        """A staff line, or a ledger line, from one column of dots through another."""
        if 0 <= row < self.height:
            self._lines.update(((x, row), style) for x in range(max(first, 0), min(last + 1, self.width)))

    def ink(self, dots: Iterable[tuple[int, int]], style: str, owner: str = "") -> None:
        """Set dots; those of one owner can be found again."""
        owned = self._owners.setdefault(owner, set()) if owner else None
        for x, y in dots:
            if 0 <= x < self.width and 0 <= y < self.height:
                self._ink[x, y] = style
                if owned is not None:
                    owned.add((x // CELL_WIDTH, y // CELL_HEIGHT))

    def clear(self, dots: Iterable[tuple[int, int]], keep: str = "") -> None:
        """Take lines away under these dots, except those of a style to keep."""
        for dot in dots:
            if dot in self._lines and self._lines[dot] != keep:
                del self._lines[dot]

    def inked(self, dot: tuple[int, int]) -> bool:
        """Whether there is ink at a dot."""
        return dot in self._ink

    def cells_of(self, owner: str) -> frozenset[tuple[int, int]]:
        """The cells (column, row) with ink of an owner."""
        return frozenset(self._owners.get(owner, ()))

    def inked_cells(self) -> set[tuple[int, int]]:
        """The cells (column, row) with any ink."""
        return {(x // CELL_WIDTH, y // CELL_HEIGHT) for x, y in self._ink}

    def cells(self, rank: dict[str, int]) -> dict[tuple[int, int], tuple[str, str]]:
        """(character, style) of every cell that is not blank; where styles meet in a cell the higher rank wins."""
        bits: dict[tuple[int, int], int] = {}
        styles: dict[tuple[int, int], str] = {}
        for (x, y), style in (*self._lines.items(), *self._ink.items()):
            cell = x // CELL_WIDTH, y // CELL_HEIGHT
            bits[cell] = bits.get(cell, 0) | _BITS[x % CELL_WIDTH, y % CELL_HEIGHT]
            if cell not in styles or rank.get(style, 0) > rank.get(styles[cell], 0):
                styles[cell] = style
        return {cell: (chr(0x2800 + value), styles[cell]) for cell, value in bits.items()}

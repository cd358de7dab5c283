"""Numerals that can be read from a music stand: seven rows high, of blocks."""

ROWS = 7
# Five columns of dots a row, as in the dot-matrix displays of clocks.
_DOTS = {
    "0": ("01110", "10001", "10001", "10001", "10001", "10001", "01110"),
    "1": ("00100", "01100", "00100", "00100", "00100", "00100", "01110"),
    "2": ("01110", "10001", "00001", "00110", "01000", "10000", "11111"),
    "3": ("11110", "00001", "00001", "01110", "00001", "00001", "11110"),
    "4": ("00010", "00110", "01010", "10010", "11111", "00010", "00010"),
    "5": ("11111", "10000", "11110", "00001", "00001", "10001", "01110"),
    "6": ("00110", "01000", "10000", "11110", "10001", "10001", "01110"),
    "7": ("11111", "00001", "00010", "00100", "01000", "01000", "01000"),
    "8": ("01110", "10001", "10001", "01110", "10001", "10001", "01110"),
    "9": ("01110", "10001", "10001", "01111", "00001", "00010", "01100"),
    ".": ("0", "0", "0", "0", "0", "0", "1"),
}


def numerals(text: str, block: str) -> str:
    """A number in rows of blocks, two columns to a dot; what is no digit and no point is left out."""
    rows = []
    for row in range(ROWS):
        dots = "0".join(_DOTS[character][row] for character in text if character in _DOTS)
        rows.append("".join(block * 2 if dot == "1" else "  " for dot in dots).rstrip())
    return "\n".join(rows)

"""Which pictures the terminal can show. Asking writes to the terminal and reads its answer, up to a tenth of a second a
question, so it is done only where pictures are wanted, and before the screens read the keys."""

import os
import sys
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Shows:
    """`kind` is "sixel", "kitty" (its graphics protocol), or "" for no pictures, then `because` says why; `cell` is the
    size of a cell in pixels."""

    kind: str
    because: str = ""
    cell: tuple[int, int] = (10, 20)


def terminal_pictures() -> Shows:
    """Ask the terminal at standard input and output."""
    if not all(stream is not None and stream.isatty() for stream in (sys.__stdin__, sys.__stdout__)):
        return Shows("", "this is no terminal")
    from textual_image import renderable  # asks when it is imported
    from textual_image._terminal import get_cell_size

    cell = get_cell_size()
    size = cell.width, cell.height
    if renderable.Image is renderable.SixelImage:
        return Shows("sixel", cell=size)
    if renderable.Image is not renderable.TGPImage:
        return Shows("", "tmux passes none on" if os.environ.get("TMUX") else "this terminal shows none", size)
    return _kitty(size)


def _kitty(size: tuple[int, int]) -> Shows:
    """kitty's pictures are placed by the colours of the characters they stand on, so all colours are needed."""
    if os.environ.get("NO_COLOR"):
        return Shows("", "NO_COLOR takes away the colours that place them", size)
    if os.environ.get("COLORTERM", "").lower() not in ("truecolor", "24bit"):
        return Shows("", "COLORTERM is not truecolor, and they are placed by colours", size)
    return Shows("kitty", cell=size)

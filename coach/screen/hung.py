"""Text whose lines, where they are too long, go on below their own words and not at the edge."""

import re
from collections.abc import Iterable
from textwrap import wrap

from rich.console import Console, ConsoleOptions, RenderResult
from rich.measure import Measurement
from rich.text import Text

_COLUMN = re.compile(r".*\S {2,}(?=\S)| *(?:- )?")


class Hung:
    """Lines of text, each with its style; a line of columns (two spaces or more between them) hangs from the last."""

    def __init__(self, lines: Iterable[tuple[str, str]]) -> None:
        self._lines = tuple(lines)

    def __rich_console__(self, console: Console, options: ConsoleOptions) -> RenderResult:
        for line, style in self._lines:
            yield from (Text(piece, style) for piece in hang(line, options.max_width))

    def __rich_measure__(self, console: Console, options: ConsoleOptions) -> Measurement:
        return Measurement(1, options.max_width)


def hang(line: str, width: int) -> list[str]:
    """A line in pieces of at most `width` cells, those after the first under the line's last column."""
    column = _COLUMN.match(line)
    indent = column.end() if column and column.end() <= width // 2 else 0
    return wrap(line, max(width, indent + 1), subsequent_indent=" " * indent) or [""]

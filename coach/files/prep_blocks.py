"""The text of a prep file cut into its tables, so that a mistake in one spoils no other."""

import re
import tomllib
from dataclasses import dataclass, field
from typing import Any

# Lines that begin so are ours and are written anew each time; other comments are the player's.
OURS = "#:"
_HEADER = re.compile(r"\s*\[{1,2}\s*([A-Za-z0-9_.-]+)\s*\]{0,2}\s*(#.*)?$")
_AT_LINE = re.compile(r" ?\(at line (\d+), column \d+\)| ?\(at end of document\)")
_STRINGS = re.compile(r'"""|\'\'\'|"(?:[^"\\]|\\.)*"|\'[^\']*\'|#.*')


@dataclass(slots=True)
class Block:
    """A table: its name ("" for the head), the number of its first line, its lines from the header on, and the comment
    lines above it."""

    name: str
    line: int
    lines: list[str] = field(default_factory=list)
    above: list[str] = field(default_factory=list)

    @property
    def text(self) -> str:
        """Its lines as one text."""
        return "\n".join(self.lines) + "\n"

    @property
    def own_comments(self) -> list[str]:
        """The player's comment lines above it."""
        return [line for line in self.above if not line.lstrip().startswith(OURS)]


@dataclass(frozen=True, slots=True)
class Slip:
    """A line that is no TOML: its number in the file, and what is wrong, as a clause."""

    line: int
    what: str


def split_blocks(text: str) -> list[Block]:
    """The tables of a text in order, the head first. A table inside a mark (`[mark.x]`) belongs to the mark."""
    blocks = [Block("", 1)]
    inside = ""  # the quotes of a text over several lines that is open
    for number, line in enumerate(text.split("\n"), 1):
        header = None if inside else _HEADER.match(line)
        if header and not header[1].startswith(("mark.", "unplaced.")):
            blocks.append(Block(header[1], number, [line], _comments_below(blocks[-1])))
        else:
            blocks[-1].lines.append(line)
        inside = _open_quotes(line, inside)
    for block in blocks:
        while len(block.lines) > 1 and not block.lines[-1].strip():
            block.lines.pop()
    return blocks


def table_of(block: Block) -> dict[str, Any] | Slip:
    """What stands in a table, or its first mistake."""
    try:
        table: Any = tomllib.loads(block.text)
    except (tomllib.TOMLDecodeError, RecursionError, ValueError) as error:
        return _slip(block, str(error))
    for name in filter(None, block.name.split(".")):
        table = table[name]
        table = table[0] if isinstance(table, list) else table
    return dict(table)


def mended(block: Block) -> tuple[Block, list[Slip]]:
    """The table with every line that is no TOML by itself as a comment above the others, and those lines."""
    slips: list[Slip] = []
    lines: list[str] = []
    comments: list[str] = []
    seen: set[str] = set()
    for k, line in enumerate(block.lines):
        if not (k == 0 and block.name):
            found = table_of(Block("", block.line + k, [line]))
            twice = set() if isinstance(found, Slip) else set(found) & seen
            if isinstance(found, Slip) or twice:
                slips.append(found if isinstance(found, Slip) else Slip(block.line + k, f"{twice.pop()} is set twice"))
                comments.append(f"# {line}")
                continue
            seen |= set(found)
        lines.append(line)
    if block.name:
        return Block(block.name, block.line, lines, [*block.above, *comments]), slips
    return Block("", block.line, [*comments, *lines]), slips


def commented(block: Block) -> list[str]:
    """The lines of a table as comments of the player's."""
    kept = (line for line in block.lines if line.strip() and not line.lstrip().startswith(OURS))
    return [line if line.lstrip().startswith("#") else f"# {line}" for line in kept]


def inner_comments(block: Block) -> list[str]:
    """The player's comment lines between the lines of a table."""
    lines = (line.strip() for line in block.lines)
    return [line for line in lines if line.startswith("#") and not line.startswith(OURS)]


def _comments_below(block: Block) -> list[str]:
    """Take the comment lines that end a table off it; they belong to the next one."""
    start = len(block.lines)
    while start > (1 if block.name else 0) and (
        not block.lines[start - 1].strip() or block.lines[start - 1].lstrip().startswith("#")
    ):
        start -= 1
    taken = [line for line in block.lines[start:] if line.strip()]
    del block.lines[start:]
    return taken


def _open_quotes(line: str, inside: str) -> str:
    """The quotes of a many-line text that is open after a line."""
    at = 0
    if inside:
        end = line.find(inside)
        if end < 0:
            return inside
        at = end + 3
    for token in _STRINGS.finditer(line, at):
        if token[0] in ('"""', "'''"):
            return _open_quotes(line[token.end() :], token[0])
    return ""


def _slip(block: Block, message: str) -> Slip:
    at = _AT_LINE.search(message)
    number = int(at[1]) if at and at[1] else len(block.lines)
    return Slip(block.line + min(number, len(block.lines)) - 1, _AT_LINE.sub("", message)[:120])

"""The passages of passages.toml."""

import tomllib
from dataclasses import dataclass
from pathlib import Path

_FILE = tomllib.loads(Path(__file__).with_suffix(".toml").read_text(encoding="utf-8"))
LINES: dict[str, str] = _FILE["lines"]


@dataclass(frozen=True)
class Passage:
    """A passage as page.py reads it, for lungs of so many usable litres. One place at least of each group of `needed`
    is breathed at, none but the `allowed`, `most` times at most."""

    name: str
    text: str
    litres: float
    needed: tuple[frozenset[str], ...]
    allowed: frozenset[str]
    most: int
    share: float


def _passage(
    name: str,
    begins: str,
    line: str,
    litres: float,
    allowed: str,
    needed: tuple[str, ...] = (),
    most: int = 99,
    share: float = 1.0,
    *,
    slurs: bool = True,
) -> Passage:
    notes = LINES.get(line, line)
    notes = notes if slurs else notes.replace("(", "").replace(")", "")
    groups = tuple(frozenset(group.split()) for group in needed)
    return Passage(name, f"{begins} {notes}", litres, groups, frozenset(allowed.split()), most, share)


PASSAGES = tuple(_passage(**row) for row in _FILE["passage"])

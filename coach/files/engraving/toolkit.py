"""The door to verovio, with options that every use shares."""

from typing import Any

from coach.errors import ScoreError

SPACE = 18  # verovio's pixels in one staff space, at its default unit and a scale of 100


def toolkit(**options: Any) -> Any:
    """A verovio toolkit, quiet, with these options. The ids that it invents begin at a seed that is not `part_mei`'s:
    MEI keeps its ids, and one given twice would draw a slur into somebody else's note."""
    import verovio  # deferred: opening a piece and the first paint need no engraver

    verovio.enableLog(verovio.LOG_OFF)
    made = verovio.toolkit()
    if not made.setOptions({"header": "none", "footer": "none", "xmlIdSeed": 2, **options}):
        raise ValueError(f"verovio refuses one of {options}")
    return made


def version() -> str:
    """verovio's version."""
    import verovio

    return str(verovio.toolkit(False).getVersion())


def load(tool: Any, data: str, title: str) -> None:
    """Load MusicXML or MEI. Raises ScoreError."""
    if not tool.loadData(data):
        raise ScoreError(f"{title} cannot be engraved; its notes are shown in words, and everything else works.")

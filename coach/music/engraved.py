"""A system as it is engraved: shapes in staff spaces, and where its notes and measures stand.

x runs to the right from the left end of the system, y downwards from the top line of the staff, so that the staff lies
between 0 and 4; both count in staff spaces.
"""

from dataclasses import dataclass

STAFF = 4.0  # spaces from the top to the bottom line


@dataclass(frozen=True, slots=True)
class Shape:
    """One shape. By `kind`:

    "glyph": a sign of the SMuFL standard, its code in `code`, at one point, `size` 1 or smaller for graces and cues;
    "line": from one point to another; "path": through several points; "area": a filled polygon; "curve": one cubic
    (start, two controls, end), a slur or a tie, `width` its greatest thickness; "dot": a disc of diameter `width`;
    "text": words at one point of their baseline, `size` their height, `anchor` "start", "middle" or "end", `style`
    "bold", "italic" or both.

    `points` are x and y in turn. `what` is the engraver's word for what it belongs to ("notehead", "stem", "beam",
    "slur", ...), `owner` the note it belongs to ("" for none), `mark` the id of the mark it draws and `state` that
    mark's state and origin ("suggested computed").
    """

    kind: str
    points: tuple[float, ...]
    what: str = ""
    owner: str = ""
    code: int = 0
    width: float = 0.0
    size: float = 1.0
    text: str = ""
    anchor: str = "start"
    style: str = ""
    mark: str = ""
    state: str = ""


@dataclass(frozen=True, slots=True)
class Bounds:
    """From where to where something reaches, in spaces."""

    left: float
    right: float


@dataclass(frozen=True, slots=True)
class EngravedSystem:
    """One system. `first` and `last` are the indices of its measures, `heads` the (x, y) of the middle of noteheads and
    rests by note id, `measures` where each measure lies, `music_left` where clef, key and metre end."""

    number: int
    first: int
    last: int
    shapes: tuple[Shape, ...]
    heads: dict[str, tuple[float, float]]
    measures: dict[int, Bounds]
    right: float
    music_left: float = 0.0


@dataclass(frozen=True, slots=True)
class Paint:
    """How a system is painted as a picture: the pixels of the terminal's cells, and colours as "#rrggbb"."""

    cell_width: int
    cell_height: int
    ink: str
    paper: str
    pencil: str


@dataclass(frozen=True, slots=True)
class Picture:
    """A system as a PNG that fills so many columns and rows of cells."""

    png: bytes
    columns: int
    rows: int

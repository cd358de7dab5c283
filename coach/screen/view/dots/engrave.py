"""An engraved system as a grid of dots, and the words that stand in it as plain characters."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from coach.music.engraved import EngravedSystem, Shape
from coach.screen.view.dots.bitmaps import Bitmap, bitmap
from coach.screen.view.dots.grid import CELL_HEIGHT, CELL_WIDTH, DotGrid
from coach.screen.view.dots.raster import Dot, area, curve, nearest, path, segment, slab

DOTS = 4  # dots in one staff space
_SMALL = 0.85  # below this share of full size a sign takes its small form
_BEAM = 2  # dots
_GRACE_BEAM = 0.45  # spaces that the beam of graces is thick at most
_HEAD, _FAR = 5, 99  # dots
_LEDGER = 2  # dots that a ledger line reaches beyond a head
_DYNAMICS = {
    0xE520: "p",
    0xE521: "m",
    0xE522: "f",
    0xE523: "r",
    0xE524: "s",
    0xE525: "z",
    0xE526: "n",
    0xE527: "pppppp",
    0xE528: "ppppp",
    0xE529: "pppp",
    0xE52A: "ppp",
    0xE52B: "pp",
    0xE52C: "mp",
    0xE52D: "mf",
    0xE52E: "pf",
    0xE52F: "ff",
    0xE530: "fff",
    0xE531: "ffff",
    0xE532: "fffff",
    0xE533: "ffffff",
    0xE534: "fp",
    0xE535: "fz",
    0xE536: "sf",
    0xE537: "sfp",
    0xE538: "sfpp",
    0xE539: "sfz",
    0xE53A: "sfzp",
    0xE53B: "sffz",
    0xE53C: "rf",
    0xE53D: "rfz",
}
# Signs that are read better as characters than as dots.
_CHARACTERS = {
    **_DYNAMICS,
    **{0xE880 + k: str(k) for k in range(10)},
    0xE566: "tr",
    0xE047: "%",
    0xE048: "O",
    0xE08C: "+",
    0xE08D: "+",
    0xE88A: ":",
    0xE510: "8",
    0xE511: "8va",
    0xE512: "8va",
    0xE514: "15",
    0xE515: "15ma",
    0xE516: "15mb",
    0xE51C: "8vb",
    0xE51D: "15mb",
    0xE650: "Ped.",
    0xE655: "*",
}
_STYLES = {
    "ledgerLines": "ledger",
    "barLine": "bar",
    "clef": "clef",
    "keyAccid": "clef",
    "meterSig": "metre",
    "slur": "slur",
    "tie": "tie",
    "hairpin": "hairpin",
    "dynam": "dynamic",
    "dir": "words",
    "tempo": "tempo",
    "mNum": "number",
    "rest": "rest",
    "mRest": "rest",
    "accid": "sign",
    "breath": "breath",
    "fing": "finger",
}
RANK = {style: k for k, style in enumerate(("", "line", "ledger", "bar", "slur", "tie", "hairpin", "clef", "metre"))}
RANK |= {style: 20 + k for k, style in enumerate(("rest", "stem", "grace", "head", "sign"))}
RANK |= {"suggested": 40, "teacher": 41, "pencil": 42}


@dataclass(frozen=True, slots=True)
class Words:
    """Characters at a cell: `row` counts cell rows from the top line of the staff, negative above."""

    column: int
    row: int
    text: str
    style: str
    owner: str = ""
    wanted: bool = True


class Drawing:
    """A system drawn on a grid whose top line of the staff lies on the top dots of the cell row `staff_row`."""

    def __init__(self, system: EngravedSystem, columns: int, rows: int, staff_row: int) -> None:
        self.system = system
        self.grid = DotGrid(columns, rows)
        self.staff_row = staff_row
        self.words: list[Words] = []
        self._head_dots: dict[str, set[tuple[int, int]]] = {}
        self._heads = {
            shape.owner: self._x(shape.points[0])
            for shape in system.shapes
            if shape.owner and shape.what == "notehead" and shape.kind == "glyph"
        }
        self._lefts = {self._x(shape.points[0]) for shape in system.shapes if shape.what == "notehead"}
        self._boxed = {shape.mark for shape in system.shapes if _is_box(shape)}
        self._rims: set[Dot] = set()
        self._shifts = self._accidental_shifts()
        for shape in sorted(_joined(system.shapes), key=_order):
            self._draw(shape)

    def heads_of(self, owner: str) -> set[tuple[int, int]]:
        """The cells (column, row) that a note's head, or a rest, lies in."""
        return self._head_dots.get(owner, set())

    def _accidental_shifts(self) -> dict[str, int]:
        """How far the accidentals of each note move to the right, so that one blank column is before the head."""
        ends: dict[str, int] = {}
        for shape in self.system.shapes:
            found = bitmap(shape.code, shape.size < _SMALL) if shape.what == "accid" else None
            if found is not None and shape.owner in self._heads:
                end = self._x(shape.points[0]) + max(x for x, _ in found.ink)
                ends[shape.owner] = max(ends.get(shape.owner, end), end)
        return {owner: min(self._heads[owner] - 2 - end, 2) for owner, end in ends.items()}

    def _x(self, x: float) -> int:
        return nearest(x * DOTS)

    def _y(self, y: float) -> int:
        return nearest(y * DOTS) + self.staff_row * CELL_HEIGHT

    def _scaled(self, points: tuple[float, ...]) -> tuple[float, ...]:
        shift = self.staff_row * CELL_HEIGHT
        return tuple(value * DOTS + (shift if k % 2 else 0) for k, value in enumerate(points))

    def _draw(self, shape: Shape) -> None:
        if shape.kind == "text" or (shape.kind == "glyph" and shape.code in _CHARACTERS):
            self._say(shape)
        elif shape.what == "breath" and shape.state and breath_words(shape.state):
            self._say(replace(shape, text=breath_words(shape.state), anchor="middle"))
        elif _is_box(shape):
            return  # of dots it would not close round its number
        elif shape.kind == "glyph":
            self._stamp(shape)
        elif shape.kind == "line":
            self._line(shape)
        elif shape.what == "beam":
            dots = list(_dots(shape, self._scaled(shape.points)))
            self.grid.clear((x, y + dy) for x, y in dots for dy in (-1, 1))
            self._ink(dots, shape)
        elif shape.kind == "curve":
            self._ink((dot for dot in curve(self._scaled(shape.points)) if dot not in self._rims), shape)
        else:
            self._ink(_dots(shape, self._scaled(shape.points)), shape)

    def _ink(self, dots: Iterable[Dot], shape: Shape) -> None:
        if "suggested" in shape.state and shape.kind != "glyph":  # not decided yet: half the dots, whatever the colours
            dots = ((x, y) for x, y in dots if (x + y) % 2)
        style = style_of(shape)
        if style == "teacher" and shape.what != "breath":
            style = "pencil"  # underlined lines could not be read
        self.grid.ink(dots, style, shape.mark or shape.owner)

    def _line(self, shape: Shape) -> None:
        x0, y0, x1, y1 = shape.points
        if shape.what in ("staff", "ossia-staff"):
            self.grid.line(self._x(x0), self._x(x1) - 1, self._y(y0))
        elif shape.what == "ledgerLines":
            for first, last in self._ledgers(self._x(x0), self._x(x1)):
                self.grid.line(first, last, self._y(y0), "ledger")
        elif shape.what == "stem" and shape.owner in self._heads:
            left = self._heads[shape.owner]
            wide = 3 if self._is_small(shape.owner) else 4
            x = left + wide if x0 * DOTS > left + 2 else left
            self._ink(segment(x, self._y(y0), x, self._y(y1)), shape)
        elif shape.what == "barLine":
            thick = max(nearest(shape.width * DOTS), 1)
            for k in range(thick):
                x = min(self._x(x0), self.grid.width - 1) - (thick - 1) + k
                self._ink(segment(x, self._y(y0), x, self._y(y1)), shape)
        else:
            self._ink(segment(*self._scaled(shape.points)), shape)

    def _ledgers(self, first: int, last: int) -> Iterator[tuple[int, int]]:
        """A ledger line as one under each of its heads, with a blank between those of neighbours."""
        for left in (left for left in self._lefts if first - 1 <= left + 2 <= last + 1):
            before = max((other for other in self._lefts if other < left), default=-_FAR)
            after = min((other for other in self._lefts if other > left), default=left + _FAR)
            yield left - _reach(left - before), left + _HEAD - 1 + _reach(after - left)

    def _is_small(self, owner: str) -> bool:
        return "g" in owner.rpartition(".")[2] or "a" in owner.rpartition(".")[2]

    def _stamp(self, shape: Shape) -> None:
        found = bitmap(shape.code, shape.size < _SMALL)
        if found is None:
            self._say_unknown(shape)
            return
        x, y = self._x(shape.points[0]), self._y(shape.points[1])
        if shape.what == "flag" and shape.owner in self._heads:
            x = self._stem_column(shape, x)
        elif shape.what == "accid":
            x += self._shifts.get(shape.owner, 0)
        self._put(found, x, y, shape)

    def _stem_column(self, shape: Shape, x: int) -> int:
        left = self._heads[shape.owner]
        wide = 3 if shape.size < _SMALL else 4
        return left + wide if x > left + 1 else left

    def _put(self, found: Bitmap, x: int, y: int, shape: Shape) -> None:
        self.grid.clear((x + dx, y + dy) for dx, dy in found.clear)
        if shape.what == "notehead" and found.clear:  # a line that touches a hollow head would fill it
            self.grid.clear(((x + dx, y + dy) for dx, _ in found.ink | found.clear for dy in (-2, 2)), keep="ledger")
        if shape.what in ("notehead", "accid", "rest", "keyAccid"):
            # Ledger lines must be seen to come out of a head.
            self.grid.clear(((x + dx + side, y + dy) for dx, dy in found.ink for side in (-1, 1)), keep="ledger")
        dots = [(x + dx, y + dy) for dx, dy in found.ink]
        self._ink(dots, shape)
        if shape.what == "notehead":
            self._rims.update((x + dx, y + dy) for x, y in dots for dx in (-1, 0, 1) for dy in (-1, 0, 1))
        if shape.what in ("notehead", "rest", "mRest"):
            cells = {(x // CELL_WIDTH, y // CELL_HEIGHT) for x, y in dots}
            self._head_dots.setdefault(shape.owner, set()).update(cells)

    def _say(self, shape: Shape) -> None:
        if shape.what == "mNum":
            return  # the page numbers its measures itself
        text = shape.text or _CHARACTERS[shape.code]
        if shape.mark in self._boxed and not text.startswith("["):
            text = f"({text})"
        x, y = shape.points[0] * DOTS / CELL_WIDTH, shape.points[1] * DOTS / CELL_HEIGHT
        back = {"start": 0.0, "middle": len(text) / 2, "end": float(len(text))}[shape.anchor]
        column = max(nearest(x - back), 0)
        self.words.append(Words(column, _row(y), text, style_of(shape), shape.mark or shape.owner))

    def _say_unknown(self, shape: Shape) -> None:
        """A sign we have no dots for: a small square of dots says that something stands there."""
        x, y = self._x(shape.points[0]), self._y(shape.points[1])
        self._ink(((x + dx, y + dy) for dx in range(2) for dy in range(-1, 2)), shape)


def _is_box(shape: Shape) -> bool:
    """Whether a shape is the box round the number of a comment."""
    return shape.kind == "path" and shape.what == "dir" and bool(shape.mark)


def breath_words(state: str) -> str:
    """A breath as it is pencilled: a catch breath in parentheses (trade practice), what is only suggested in brackets;
    "" for a full breath that is kept, which is drawn as its own sign."""
    sign = "(\u2019)" if "catch" in state else "\u2019"
    if "suggested" in state:
        return f"[{sign}]"
    return sign if "catch" in state else ""


def upright(shape: Shape) -> tuple[float, float]:
    """From which height to which a shape is drawn, in spaces."""
    ys = shape.points[1::2]
    if shape.kind == "text" or shape.code in _CHARACTERS:
        return min(ys) - 0.9, max(ys) + 0.1
    if shape.kind == "curve":
        ys = tuple(y / DOTS for _, y in curve(tuple(value * DOTS for value in shape.points)))
    found = bitmap(shape.code, shape.size < _SMALL) if shape.kind == "glyph" else None
    if found is None:
        return min(ys) - 0.25, max(ys) + 0.25
    rows = [row for _, row in found.ink]
    return min(ys) + min(rows) / DOTS, max(ys) + (max(rows) + 1) / DOTS


def _reach(apart: int) -> int:
    """How many dots a ledger line goes on beyond a head whose neighbour begins `apart` dots from it."""
    return max(min((apart - _HEAD - 1) // 2, _LEDGER), 0)


_JOINED = 2.0  # spaces from one character of a word to the next at most


def _joined(shapes: Iterable[Shape]) -> Iterator[Shape]:
    """Shapes with the characters of one sign, such as the digits of a tuplet's number, put together as a word."""
    word: Shape | None = None
    end = 0.0
    for shape in shapes:
        if shape.kind != "glyph" or shape.code not in _CHARACTERS or shape.what in ("trill", "octave"):
            if word is not None:
                yield word
            word = None
            yield shape
            continue
        x, y = shape.points
        if word is not None and word.what == shape.what and y == word.points[1] and 0 < x - end < _JOINED:
            word = replace(word, text=word.text + _CHARACTERS[shape.code])
        else:
            if word is not None:
                yield word
            word = replace(shape, text=_CHARACTERS[shape.code])
        end = x
    if word is not None:
        yield word


def _row(y: float) -> int:
    """The row of cells on which a baseline at `y` rows stands."""
    return nearest(y - 0.9)


def _dots(shape: Shape, points: tuple[float, ...]) -> Iterable[Dot]:
    if shape.kind == "area":
        return slab(points, _thick(points)) if shape.what == "beam" and len(points) == 8 else area(points)
    if shape.kind == "dot":
        x, y = nearest(points[0] - 0.5), nearest(points[1] - 0.5)
        return ((x + dx, y + dy) for dx in range(2) for dy in range(2))
    return path(points)


def _thick(points: tuple[float, ...]) -> int:
    """The thickness of a beam in dots: that of graces is one."""
    at_left = sorted((x, y) for x, y in zip(points[::2], points[1::2], strict=True))[:2]
    return _BEAM if abs(at_left[0][1] - at_left[1][1]) > _GRACE_BEAM * DOTS else 1


def _order(shape: Shape) -> int:
    """Lines behind, slurs and ties at last: they keep clear of the heads."""
    return 0 if shape.what in ("staff", "ossia-staff", "ledgerLines") else 2 if shape.kind == "curve" else 1


def style_of(shape: Shape) -> str:
    """The style of a shape: what it is, or that it is pencilled in, and by whom."""
    if shape.state:
        return "suggested" if "suggested" in shape.state else "teacher" if "teacher" in shape.state else "pencil"
    if shape.what in ("notehead", "stem", "flag", "beam", "dots", "artic"):
        return "grace" if shape.size < _SMALL else "head" if shape.what == "notehead" else "stem"
    return _STYLES.get(shape.what, "stem")

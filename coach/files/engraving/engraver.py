"""An engraver: one part, its marks, a width; systems as shapes on request."""

from copy import deepcopy
from dataclasses import replace
from typing import Any

from lxml import etree

from coach.files.engraving.ids import xml_id
from coach.files.engraving.mei import MEI
from coach.files.engraving.shapes import read_shapes
from coach.files.engraving.splitting import split_wide
from coach.files.engraving.toolkit import SPACE, load, toolkit
from coach.music.engraved import Bounds, EngravedSystem, Shape
from coach.music.metre import Metre
from coach.music.piece import Piece
from coach.prepare.prep import Prep

_OPTIONS = {
    "breaks": "auto",
    "adjustPageHeight": True,
    "systemMaxPerPage": 1,
    "pageHeight": 6000,
    "pageMarginLeft": 0,
    "pageMarginRight": 0,
    "pageMarginTop": 0,
    "pageMarginBottom": 0,
    "mnumInterval": 1,
    "minLastJustification": 0.6,
    "multiRestStyle": "block",
    "leftMarginAccid": 2.0,  # in halves of a space: accidentals are wider in dots than in print
    "rightMarginAccid": 1.5,
}
_CLEF, _KEY_SIGN, _AFTER = 3.9, 1.0, 1.5  # spaces in front of the notes
_HALF_HEAD = 0.6


class Engraver:
    """Engraves one part of a piece, from its MEI (`part_mei`)."""

    def __init__(self, piece: Piece, mei: etree._Element) -> None:
        self.piece = piece
        self._mei = mei
        for label in [*self._mei.iter(f"{{{MEI}}}label", f"{{{MEI}}}labelAbbr")]:
            parent = label.getparent()
            if parent is not None:
                parent.remove(label)

    def lay(self, prep: Prep | None, width: float) -> "Layout":
        """Break the part, with its marks, into systems of `width` spaces; a measure too full for one stands in several.
        Raises ScoreError."""
        mei = deepcopy(self._mei)
        if prep is not None and prep.shown:
            from coach.files.engraving.pencil import pencil_in

            mei = pencil_in(mei, prep, self.piece.part).root
        fifths = max((abs(measure.key.fifths) for measure in self.piece.part.measures), default=0)
        room = width - _CLEF - _KEY_SIGN * fifths - _AFTER
        split_wide(mei, self.piece.part.measures, _metres(self.piece), room)
        tool = toolkit(**_OPTIONS, pageWidth=int(width * SPACE))
        load(tool, etree.tostring(mei, encoding="unicode"), self.piece.title)
        return Layout(self.piece, tool)


class Layout:
    """A part broken into systems: `systems` are the first and last measure of each, by index."""

    def __init__(self, piece: Piece, tool: Any) -> None:
        self.piece = piece
        self._tool = tool
        self.systems = self._found()

    def system(self, number: int) -> EngravedSystem:
        """A system by its number in the layout, from 0."""
        shapes = read_shapes(self._tool.renderToSVG(number + 1))
        first, last = self.systems[number]
        return _system(self.piece, number, first, last, shapes)

    def svg(self, number: int) -> str:
        """The same system as verovio draws it."""
        return str(self._tool.renderToSVG(number + 1))

    def _found(self) -> tuple[tuple[int, int], ...]:
        count = self._tool.getPageCount()
        held: dict[int, list[int]] = {page: [] for page in range(1, count + 1)}
        page = 1
        for k, measure in enumerate(self.piece.part.measures):
            for note in measure.notes:
                page = self._tool.getPageWithElement(xml_id(note.id)) or page
                if page in held and (not held[page] or held[page][-1] != k):
                    held[page].append(k)
        systems: list[tuple[int, int]] = []
        for page in range(1, count + 1):
            inside = held[page]
            before = systems[-1][1] if systems else 0
            systems.append((inside[0], inside[-1]) if inside else (before, before))
        return tuple(systems)


def _metres(piece: Piece) -> list[Metre | None]:
    """The metre in force in each measure."""
    found: list[Metre | None] = []
    now = None
    for measure in piece.part.measures:
        now = measure.metre or now
        found.append(now)
    return found


def _system(piece: Piece, number: int, first: int, last: int, shapes: tuple[Shape, ...]) -> EngravedSystem:
    lines = [shape for shape in shapes if shape.what == "staff" and shape.kind == "line"]
    top = min((shape.points[1] for shape in lines), default=0.0)
    moved = tuple(replace(shape, points=_lowered(shape.points, -top)) for shape in shapes)
    heads = {s.owner: _middle(s) for s in moved if s.owner and s.kind == "glyph" and s.what in _HEADS}
    right = max((shape.points[2] for shape in lines), default=0.0)
    bars = sorted(shape.points[0] for shape in moved if shape.what == "barLine" and shape.kind == "line")
    left = min((s.points[0] for s in moved if s.owner), default=0.0)
    bounds: dict[int, Bounds] = {}
    start = left
    for k in range(first, last + 1):
        xs = [heads[n.id][0] for n in piece.part.measures[k].notes if n.id in heads]
        end = next((bar for bar in bars if xs and bar > max(xs)), right)
        bounds[k] = Bounds(round(start, 3), round(end, 3))
        start = end
    return EngravedSystem(number, first, last, moved, heads, bounds, right, round(left, 3))


_HEADS = ("notehead", "rest", "mRest", "multiRest")


def _lowered(points: tuple[float, ...], by: float) -> tuple[float, ...]:
    return tuple(round(value + by, 3) if k % 2 else value for k, value in enumerate(points))


def _middle(shape: Shape) -> tuple[float, float]:
    return round(shape.points[0] + _HALF_HEAD * shape.size, 3), shape.points[1]

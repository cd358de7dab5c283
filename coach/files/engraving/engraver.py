"""An engraver: one part, its marks, a width; systems as shapes on request."""

from collections.abc import Sequence
from copy import deepcopy
from dataclasses import replace
from typing import Any

from lxml import etree

from coach.files.engraving.ids import xml_id
from coach.files.engraving.mei import MEI, XML_ID, MeasureElement, measure_elements, space_tempo
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
        for tempo in mei.iter(f"{{{MEI}}}tempo"):
            space_tempo(tempo)
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
        return Layout(self.piece, tool, measure_elements(mei, len(self.piece.part.measures)))


class Layout:
    """A part broken into systems: `systems` are the first and last measure of each, by index."""

    def __init__(self, piece: Piece, tool: Any, measures: Sequence[MeasureElement]) -> None:
        self.piece = piece
        self._tool = tool
        self._held = self._by_page(measures) if measures else self._by_note()
        self.systems = tuple((held[0][0], held[-1][1]) for held in self._held)

    def system(self, number: int) -> EngravedSystem:
        """A system by its number in the layout, from 0."""
        shapes = read_shapes(self._tool.renderToSVG(number + 1))
        return _system(self.piece, number, self._held[number], shapes)

    def svg(self, number: int) -> str:
        """The same system as verovio draws it."""
        return str(self._tool.renderToSVG(number + 1))

    def _by_page(self, measures: Sequence[MeasureElement]) -> "list[_Held]":
        """What the measures on each page hold: the first and last measure of the part."""
        held: list[_Held] = [[] for _ in range(self._tool.getPageCount())]
        for one in measures:
            page = self._tool.getPageWithElement(one.element.get(XML_ID) or "")
            if page:
                held[page - 1].append((one.first, one.last))
        return _filled(held)

    def _by_note(self) -> "list[_Held]":
        """The same by the pages of the notes, where the measures on the page are not those of the part one by one."""
        held: list[_Held] = [[] for _ in range(self._tool.getPageCount())]
        for k, measure in enumerate(self.piece.part.measures):
            for page in sorted({self._tool.getPageWithElement(xml_id(note.id)) for note in measure.notes} - {0}):
                held[page - 1].append((k, k))
        return _filled(held)


_Held = list[tuple[int, int]]


def _filled(held: list[_Held]) -> list[_Held]:
    """A page without measures of its own is taken for the one before."""
    for k, one in enumerate(held):
        if not one:
            held[k] = [(held[k - 1][-1][1],) * 2] if k else [(0, 0)]
    return held


def _metres(piece: Piece) -> list[Metre | None]:
    """The metre in force in each measure."""
    found: list[Metre | None] = []
    now = None
    for measure in piece.part.measures:
        now = measure.metre or now
        found.append(now)
    return found


def _system(piece: Piece, number: int, held: _Held, shapes: tuple[Shape, ...]) -> EngravedSystem:
    lines = [shape for shape in shapes if shape.what == "staff" and shape.kind == "line"]
    top = min((shape.points[1] for shape in lines), default=0.0)
    moved = tuple(replace(shape, points=_lowered(shape.points, -top)) for shape in shapes)
    # A long notehead is drawn without a glyph.
    drawn = sorted((s for s in moved if s.owner and s.what in _HEADS), key=lambda shape: shape.kind == "glyph")
    heads = {s.owner: _middle(s) for s in drawn if s.kind in ("glyph", "area")}
    right = max((shape.points[2] for shape in lines), default=0.0)
    left = _music_left(moved)
    boxes = sorted({(shape.points[0], shape.points[2]) for shape in lines})
    bounds = _by_box(held, boxes, left) if len(boxes) == len(held) else _by_heads(piece, held, heads, (left, right))
    return EngravedSystem(number, held[0][0], held[-1][1], moved, heads, bounds, right, round(left, 3))


def _music_left(shapes: Sequence[Shape]) -> float:
    """Where the music begins: after clef, key and metre, at the first note or sooner."""
    first = min((s.points[0] for s in shapes if s.owner or s.what == "multiRest"), default=0.0)
    signs = [s.points[0] for s in shapes if s.kind == "glyph" and s.what in _FRONT and s.points[0] < first]
    return min(first, max(signs, default=first) + _SIGN)


_FRONT = ("clef", "keyAccid", "meterSig")
_SIGN = 2.5  # spaces from the beginning of the last of them to the music, a clef alone taking all of it


def _by_box(held: _Held, boxes: list[tuple[float, float]], left: float) -> dict[int, Bounds]:
    """Where measures lie, by their staff lines; measures under one rest lie in the same place."""
    bounds: dict[int, Bounds] = {}
    for (first, last), (start, end) in zip(held, boxes, strict=True):
        start = start if bounds else max(start, left)
        for k in range(first, last + 1):
            bounds[k] = Bounds(bounds[k].left if k in bounds else round(start, 3), round(end, 3))
    return bounds


def _by_heads(
    piece: Piece, held: _Held, heads: dict[str, tuple[float, float]], ends: tuple[float, float]
) -> dict[int, Bounds]:
    """Where measures lie, by their notes."""
    left, right = ends
    indices = sorted({k for first, last in held for k in range(first, last + 1)})
    starts = [
        min((heads[n.id][0] for n in piece.part.measures[k].notes if n.id in heads), default=right) for k in indices
    ]
    starts[0] = left
    return {
        k: Bounds(round(start, 3), round(end, 3))
        for k, start, end in zip(indices, starts, [*starts[1:], right], strict=True)
    }


_HEADS = ("notehead", "rest", "mRest", "multiRest")


def _lowered(points: tuple[float, ...], by: float) -> tuple[float, ...]:
    return tuple(round(value + by, 3) if k % 2 else value for k, value in enumerate(points))


def _middle(shape: Shape) -> tuple[float, float]:
    if shape.kind == "area":
        xs, ys = shape.points[::2], shape.points[1::2]
        return round(sum(xs) / len(xs), 3), round(sum(ys) / len(ys), 3)
    return round(shape.points[0] + _HALF_HEAD * shape.size, 3), shape.points[1]

"""Verovio's SVG of one system into shapes.

Verovio 6 draws with few forms: `use` of a SMuFL glyph, straight paths, slurs as closed double curves, polygons (beams),
polylines (hairpins, brackets), ellipses (dots), rectangles and texts. Every group bears its MEI class and id.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from math import cos, radians, sin

from lxml import etree

from coach.files.engraving.ids import note_id
from coach.files.engraving.toolkit import SPACE
from coach.music.engraved import Shape

_PIXEL = 10 * SPACE  # units of verovio's view box in one staff space
_FULL_SIZE = 0.72  # the scale at which verovio draws a glyph of full size
_NUMBERS = re.compile(r"-?\d+(?:\.\d+)?")
_XLINK = "{http://www.w3.org/1999/xlink}href"
_NOTE_CLASSES = {"note", "rest", "chord", "mRest", "space"}
_OWN = {
    *(
        "notehead",
        "stem",
        "flag",
        "accid",
        "artic",
        "dots",
        "clef",
        "keyAccid",
        "keySig",
        "meterSig",
        "barLine",
        "rest",
    ),
    *("ledgerLines", "beam", "slur", "tie", "hairpin", "dynam", "dir", "tempo", "fermata", "trill", "turn", "mordent"),
    *(
        "tupletBracket",
        "tupletNum",
        "mNum",
        "fing",
        "breath",
        "mRest",
        "ossia",
        "reh",
        "bracketSpan",
        "caesura",
        "staff",
    ),
    *("multiRest", "mRpt", "ending", "octave", "phrase", "lv", "verse", "syl", "label", "labelAbbr", "grpSym", "arpeg"),
    *("gliss", "stem", "bTrem", "fTrem", "volta", "harm", "repeatMark", "annot", "lyrics", "cpMark", "ornam"),
}


@dataclass(frozen=True, slots=True)
class _Around:
    """What the groups around an element say of it, and where they move it to."""

    what: str = ""
    owner: str = ""
    mark: str = ""
    state: str = ""
    x: float = 0.0
    y: float = 0.0
    turn: tuple[float, float, float] | None = None  # by degrees round a point
    hidden: bool = False


def read_shapes(svg: str) -> tuple[Shape, ...]:
    """The shapes of a page, in spaces from the page's own corner."""
    root = etree.fromstring(svg.encode())
    start = next((g for g in root.iter(f"{{{_SVG}}}g") if g.get("class") == "page-margin"), root)
    return tuple(_walk(start, _Around()))


_SVG = "http://www.w3.org/2000/svg"


def _walk(element: etree._Element, around: _Around) -> Iterator[Shape]:
    around = _inside(element, around)
    if around.hidden:
        return
    for child in element:
        if not isinstance(child.tag, str):
            continue
        name = child.tag.rpartition("}")[2]
        if name in ("g", "svg"):
            yield from _walk(child, around)
        elif name in _READERS:
            yield from (_placed(shape, around) for shape in _READERS[name](child))


def _inside(element: etree._Element, around: _Around) -> _Around:
    classes = (element.get("class") or "").split()
    own = next((name for name in classes if name in _OWN), "")
    name = element.get("id") or ""
    moved = _moved(element.get("transform") or "")
    changed = replace(
        around,
        what="ossia-staff" if "oStaff" in classes else own or around.what,
        x=around.x + moved[0],
        y=around.y + moved[1],
        turn=_turn(element.get("transform") or "") or around.turn,
        hidden=around.hidden or element.get("visibility") == "hidden" or "placeholder" in classes,
    )
    if name.startswith("n") and "." in name and _NOTE_CLASSES & set(classes):
        changed = replace(changed, owner=note_id(name))
    if {"mark", "marks"} & set(classes):
        states = " ".join(word for word in classes if word in _STATES)
        changed = replace(changed, mark=_mark_id(name, classes) or around.mark, state=states)
    return changed


def _mark_id(name: str, classes: list[str]) -> str:
    """The id of the mark that a group draws; where it goes on in another system only its class tells it."""
    names = [name, *(word.removeprefix("id-") for word in classes if word.startswith("id-"))]
    return next((one.removeprefix("m-") for one in names if one.startswith("m-")), "")


_STATES = ("suggested", "kept", "struck", "computed", "player", "teacher", "full", "catch")


def _moved(transform: str) -> tuple[float, float]:
    if not transform.startswith("translate"):
        return 0.0, 0.0
    x, y = (float(number) for number in _NUMBERS.findall(transform)[:2])
    return x, y


def _turn(transform: str) -> tuple[float, float, float] | None:
    if not transform.startswith("rotate"):
        return None
    degrees, x, y = [*_numbers(transform), 0.0, 0.0][:3]
    return degrees, x, y


def _placed(shape: Shape, around: _Around) -> Shape:
    if around.turn is not None:
        shape = _turned(shape, around.turn)
    points = tuple(
        round((value + (around.y if k % 2 else around.x)) / _PIXEL, 3) for k, value in enumerate(shape.points)
    )
    return replace(shape, points=points, what=around.what, owner=around.owner, mark=around.mark, state=around.state)


_WAVE = (0.0, 0.0, 0.2, -0.25, 0.6, 0.25, 0.8, 0.0)  # one piece of a wavy line, in spaces


def _turned(shape: Shape, turn: tuple[float, float, float]) -> Shape:
    """A shape of a slanted group. Its glyphs are the pieces of a wavy line (an arpeggio, a glissando)."""
    points = shape.points
    if shape.kind == "glyph":
        points = tuple(value * _PIXEL + points[k % 2] for k, value in enumerate(_WAVE))
    cosine, sine = cos(radians(turn[0])), sin(radians(turn[0]))
    moved: list[float] = []
    for x, y in zip(points[::2], points[1::2], strict=True):
        dx, dy = x - turn[1], y - turn[2]
        moved += [turn[1] + dx * cosine - dy * sine, turn[2] + dx * sine + dy * cosine]
    return replace(shape, points=tuple(moved), kind="path" if shape.kind == "glyph" else shape.kind, code=0)


def _numbers(text: str) -> list[float]:
    return [float(number) for number in _NUMBERS.findall(text)]


def _width(element: etree._Element) -> float:
    return round(float(element.get("stroke-width") or 0) / _PIXEL, 3)


def _use(element: etree._Element) -> Iterator[Shape]:
    code = int((element.get(_XLINK) or "#0")[1:5], 16)
    x, y, scale = _numbers(element.get("transform") or "0 0 1")[:3]
    yield Shape("glyph", (x, y), code=code, size=round(scale / _FULL_SIZE, 3))


def _path(element: etree._Element) -> Iterator[Shape]:
    form = re.sub(r"[^A-Za-z]", "", element.get("d") or "")
    points = _numbers(element.get("d") or "")
    if form == "ML":
        yield Shape("line", tuple(points), width=_width(element))
    elif form == "MCC":
        yield _slur(points, _width(element))
    elif form == "MC":
        yield Shape("curve", tuple(points), width=_width(element))
    elif set(form) <= {"M", "L", "Z", "z"} and len(points) >= 4:
        yield Shape("path", tuple(points), width=_width(element))


def _slur(points: list[float], width: float) -> Shape:
    """The middle of a closed double curve: out along one side, back along the other."""
    x0, y0, ax, ay, bx, by, x3, y3, cx, cy, dx, dy = points[:12]
    middle = (x0, y0, (ax + dx) / 2, (ay + dy) / 2, (bx + cx) / 2, (by + cy) / 2, x3, y3)
    thickness = 0.75 * max(abs(ay - dy), abs(by - cy)) / _PIXEL  # a cubic comes to 3/4 of the way to its controls
    return Shape("curve", middle, width=round(width + thickness, 3))


def _points(kind: str, element: etree._Element) -> Iterator[Shape]:
    yield Shape(kind, tuple(_numbers(element.get("points") or "")), width=_width(element))


def _polygon(element: etree._Element) -> Iterator[Shape]:
    return _points("area", element)


def _polyline(element: etree._Element) -> Iterator[Shape]:
    return _points("path", element)


def _rect(element: etree._Element) -> Iterator[Shape]:
    x, y, width, height = (float(element.get(name) or 0) for name in ("x", "y", "width", "height"))
    corners = (x, y, x + width, y, x + width, y + height, x, y + height)
    if element.get("fill") in (None, "currentColor") and not element.get("fill-opacity") == "0":
        yield Shape("area", corners)
    else:
        yield Shape("path", (*corners, x, y), width=_width(element))


def _ellipse(element: etree._Element) -> Iterator[Shape]:
    x, y, radius = (float(element.get(name) or 0) for name in ("cx", "cy", "rx"))
    yield Shape("dot", (x, y), width=round(2 * radius / _PIXEL, 3))


def _text(element: etree._Element) -> Iterator[Shape]:
    words = _spaced("".join(_words(element)).translate(_METRONOME))
    if not words:
        return
    inner = [element, *element.iter(f"{{{_SVG}}}tspan")]
    sizes = [float(one.get("font-size", "0").removesuffix("px") or 0) for one in inner]
    styles = {one.get("font-style") for one in inner} | {one.get("font-weight") for one in inner}
    style = " ".join(name for name in ("bold", "italic") if name in styles)
    x = next((one.get("x") for one in inner if one.get("x")), "0") or "0"
    y = next((one.get("y") for one in inner if one.get("y")), "0") or "0"
    anchor = next((one.get("text-anchor") for one in inner if one.get("text-anchor")), None) or "start"
    size = round(max(sizes) / _PIXEL, 3)
    yield Shape("text", (float(x), float(y)), text=words, size=size, anchor=anchor, style=style)


def _spaced(text: str) -> str:
    """A text with single blanks, the dot of a note value close to it and a blank before the value."""
    return " ".join(re.sub("([\u2669\u266a])\\s*(\\.*)", r" \1\2 ", text).split())


# The note values of metronome marks, as SMuFL has them, in signs that terminals have.
_METRONOME = {
    **{0xECA2: "whole", 0xECA3: "half", 0xECA5: "\u2669", 0xECA7: "\u266a", 0xECA9: "sixteenth"},
    **{0xECB7: ".", 0xE260: "\u266d", 0xE261: "\u266e", 0xE262: "\u266f"},
    **{0xE1D2: "whole", 0xE1D3: "half", 0xE1D5: "\u2669", 0xE1D7: "\u266a", 0xE1D9: "sixteenth", 0xE1E7: "."},
}


def _words(element: etree._Element) -> Iterator[str]:
    """Texts of the tspans; a line break becomes a blank, and white space between the elements is none."""
    for one in element.iter():
        if one.text and one.text.strip():
            yield one.text
        elif one.text and one is not element and not len(one):
            yield " "
        if one.tail and one.tail.strip() and one is not element:
            yield one.tail


_READERS = {
    "use": _use,
    "path": _path,
    "polygon": _polygon,
    "polyline": _polyline,
    "rect": _rect,
    "ellipse": _ellipse,
    "circle": _ellipse,
    "text": _text,
}

"""How wide and how high verovio draws each measure: widths from its drawing of the whole part on one endless line,
heights from lines that it broke itself (on one line, what reaches far down at one place moves all lyrics down)."""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from lxml import etree

from coach.files.engraving.mei import XML_ID
from coach.files.printing.leaves import Leaf

SVG = "http://www.w3.org/2000/svg"
UNITS = 10.0  # verovio draws tenths of its pixels
_SPACE = 18.0
_GLYPH = 1.5 * _SPACE  # how far a sign reaches from its origin, about
_MOVED = re.compile(r"translate\((-?\d+), ?(-?\d+)\)")
_NUMBER = re.compile(r"-?\d+(?:\.\d+)?")


@dataclass(frozen=True, slots=True)
class Extent:
    """Of one measure, in verovio's pixels: its width, how far it reaches above and below the middle line."""

    width: float
    above: float
    below: float


def extents(line: etree._Element, broken: Sequence[etree._Element], leaves: Sequence[Leaf]) -> tuple[Extent, ...]:
    """The extents of the measures, from a drawing on one line and from pages with line breaks."""
    wide = _groups([line])
    high = _groups(broken)
    return tuple(_extent(wide[name], high[name]) for name in (str(leaf.element.get(XML_ID)) for leaf in leaves))


def _groups(svgs: Sequence[etree._Element]) -> dict[str, etree._Element]:
    return {str(g.get("id")): g for svg in svgs for g in svg.iter(f"{{{SVG}}}g")}


def _extent(wide: etree._Element, high: etree._Element) -> Extent:
    left, right, _ = _staff(wide)
    _, _, middle = _staff(high)
    heights = [middle - 3 * _SPACE, middle + 3 * _SPACE, *_heights(high)]
    return Extent(right - left, middle - min(heights), max(heights) - middle)


def _staff(measure: etree._Element) -> tuple[float, float, float]:
    """Left and right end and middle line of a measure's staff."""
    for group in measure.iter(f"{{{SVG}}}g"):
        if "staff" in (group.get("class") or "").split():
            lines = [path.get("d") or "" for path in group.findall(f"{{{SVG}}}path")[:5]]
            ends = [[float(number) / UNITS for number in _NUMBER.findall(line)] for line in lines]
            middle = ends[len(ends) // 2]
            return middle[0], middle[2], middle[1]
    raise ValueError(f"no staff in {measure.get('id')}")


def _heights(group: etree._Element) -> Iterator[float]:
    for shape in group.iter():
        name = etree.QName(shape).localname if isinstance(shape.tag, str) else ""
        if name == "use":
            moved = _MOVED.search(shape.get("transform") or "")
            if moved:
                y = float(moved[2]) / UNITS
                yield from (y - _GLYPH, y + _GLYPH)
        elif name in ("path", "polygon", "polyline"):
            numbers = _NUMBER.findall(shape.get("d") or shape.get("points") or "")
            yield from (float(number) / UNITS for number in numbers[1::2])
        elif name in ("text", "rect", "tspan") and shape.get("y"):
            y = float(shape.get("y") or 0) / UNITS
            yield from (y - _SPACE, y + _SPACE / 2)

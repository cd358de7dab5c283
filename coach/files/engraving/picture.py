"""An engraved system as a picture, for terminals that show pictures: verovio's SVG made of the terminal's cells."""

from importlib.resources import as_file
from math import ceil

from lxml import etree

from coach.files.engraving.toolkit import SPACE
from coach.files.printing.finish import PENCIL, finish
from coach.files.printing.measuring import SVG
from coach.music.engraved import Paint, Picture
from coach.paths import content

_ABOVE, _BELOW = SPACE, SPACE / 2  # verovio's page begins at its highest line or sign, which words reach over
_G = f"{{{SVG}}}g"


def picture(svg: str, paint: Paint) -> Picture:
    """A system as a picture of whole cells, a staff space two columns wide, without the measures' numbers."""
    import resvg_py  # deferred: few ask for pictures

    drawn = painted(svg, paint)
    cells = _cells(drawn, paint)
    with as_file(content("fonts")) as fonts:
        png = resvg_py.svg_to_bytes(
            svg_string=etree.tostring(drawn, encoding="unicode"),
            background=paint.paper,
            width=cells[0] * paint.cell_width,
            skip_system_fonts=True,
            font_files=sorted(str(font) for font in fonts.glob("*.ttf")),
        )
    return Picture(bytes(png), *cells)


def painted(svg: str, paint: Paint) -> etree._Element:
    """The SVG in the colours of the screen, its view box the cells it takes, with nothing in it that clips."""
    root = etree.fromstring(svg.encode())
    for group in [g for g in root.iter(_G) if "mNum" in (g.get("class") or "").split()]:
        _remove(group)
    width, height = finish(root, "")
    _flatten(root, paint.ink)
    for element in root.iter():
        for name in ("fill", "color"):
            if element.get(name) == PENCIL:
                element.set(name, paint.pencil)
    scale = 2 * paint.cell_width / SPACE
    columns, rows = ceil(2 * width / SPACE), ceil((height + _ABOVE + _BELOW) * scale / paint.cell_height)
    size = columns * paint.cell_width / scale, rows * paint.cell_height / scale
    root.set("viewBox", f"0 {-_ABOVE} {size[0]:.4f} {size[1]:.4f}")
    return root


def _cells(drawn: etree._Element, paint: Paint) -> tuple[int, int]:
    scale = 2 * paint.cell_width / SPACE
    _, _, width, height = map(float, (drawn.get("viewBox") or "").split())
    return round(width * scale / paint.cell_width), round(height * scale / paint.cell_height)


def _flatten(root: etree._Element, ink: str) -> None:
    """Turn the drawing inside the drawing into a group: it would be clipped, which more than doubles the time."""
    for inner in root.findall(f"{{{SVG}}}svg"):
        group = etree.Element(_G, {"transform": "scale(0.1)", "color": ink, "fill": ink})
        group.set("font-family", inner.get("font-family") or "")
        group.extend(list(inner))
        root.replace(inner, group)


def _remove(element: etree._Element) -> None:
    parent = element.getparent()
    if parent is not None:
        parent.remove(element)

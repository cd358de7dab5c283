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

    drawn, columns, rows = painted(svg, paint)
    with as_file(content("fonts")) as fonts:
        png = resvg_py.svg_to_bytes(
            svg_string=etree.tostring(drawn, encoding="unicode"),
            background=paint.paper,
            skip_system_fonts=True,
            font_files=sorted(str(font) for font in fonts.glob("*.ttf")),
        )
    return Picture(bytes(png), columns, rows)


def painted(svg: str, paint: Paint) -> tuple[etree._Element, int, int]:
    """The SVG in the colours of the screen, in the size of the columns and rows that it takes, which are told."""
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
    root.set("preserveAspectRatio", "none")  # the rounding of the view box must not cost a pixel
    root.set("width", str(columns * paint.cell_width))
    root.set("height", str(rows * paint.cell_height))
    return root, columns, rows


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

"""verovio's drawing of a page made ready for paper.

Fonts that travel with it, marks in pencil blue, and the differences that verovio has no sign for: a catch breath, what
is only suggested, an ossia over its own notes alone.
"""

import re
from collections.abc import Iterator

from lxml import etree

from coach.files.printing.measuring import SVG

PENCIL = "#0b3d91"  # dark enough to print black
SERIF = "Coach Serif"
SIGNS = "Coach Signs"

_G, _USE, _PATH = (f"{{{SVG}}}{tag}" for tag in ("g", "use", "path"))
_STROKED = tuple(f"{{{SVG}}}{tag}" for tag in ("ellipse", "path", "polygon", "polyline", "rect"))
_BOLD, _ITALIC = ("ending", "fing", "reh", "tempo"), ("dir", "dynam", "mNum")
_HREF = "{http://www.w3.org/1999/xlink}href"
_MOVED = re.compile(r"translate\((-?\d+), ?(-?\d+)\)")
_LINE = re.compile(r"M(-?\d+) (-?\d+) L(-?\d+) (-?\d+)")
_HEAD = 170  # about the width of an ossia's notehead, in the drawing's units
_RIGHT_PX = 27  # what verovio leaves beside the last barline, both margins together
_EM = {"thin": 0.36, "plain": 0.53, "wide": 0.9}  # at least what these letters take in the serif fonts
_THIN, _WIDE = frozenset("fijlrt.,;:'!|()[] "), frozenset("mwMW@%&—…")
_COMMA = (130, 216)  # the breath mark's size there


def finish(svg: etree._Element, prefix: str) -> tuple[float, float]:
    """Change a page's drawing in place; ids get the prefix, so that several pages fit one document. Returns its width
    and height in verovio's pixels."""
    size = _trim_root(svg)
    right = (size[0] - _RIGHT_PX) * 10
    for group in list(svg.iter(_G)):
        classes = _classes(group)
        if "placeholder" in classes:
            _remove(group)
        if "oStaff" in classes:
            _finish_ossia(group, "suggested" in classes)
        if {"breath", "mark"} <= classes:
            _finish_breath(group, classes)
        if "mark" in classes:
            _keep_on_paper(group, right)
    for element in svg.iter():
        if isinstance(element.tag, str):
            _dress(element)
    _rename(svg, prefix)
    return size


def _classes(group: etree._Element) -> set[str]:
    return set((group.get("class") or "").split())


def _remove(element: etree._Element) -> None:
    parent = element.getparent()
    if parent is not None:
        parent.remove(element)


def systems(svg: etree._Element) -> list[etree._Element]:
    """The groups of the page's lines, from the top."""
    return [group for group in svg.iter(_G) if group.get("class") == "system"]


def spread(svg: etree._Element, gap: float) -> None:
    """Set the lines further apart, each by `gap` of verovio's pixels."""
    for k, system in enumerate(systems(svg)):
        if k:
            system.set("transform", f"translate(0, {k * gap * 10:.0f})")


def resize(svg: etree._Element, width: float, height: float) -> None:
    """Give the drawing its final size, in verovio's pixels."""
    svg.set("viewBox", f"0 0 {width:g} {height:g}")
    for inner in svg.iter(f"{{{SVG}}}svg"):
        if inner is not svg:
            inner.set("viewBox", f"0 0 {width * 10:g} {height * 10:g}")
            inner.set("width", f"{width:g}")
            inner.set("height", f"{height:g}")


def _trim_root(svg: etree._Element) -> tuple[float, float]:
    """Take out what is for other uses: sizes, styles (one fetches a font from elsewhere), the description."""
    width, height = (float((svg.get(name) or "0").removesuffix("px")) for name in ("width", "height"))
    for name in ("width", "height", "overflow"):
        svg.attrib.pop(name, "")
    for tag in ("style", "desc"):
        for element in list(svg.iter(f"{{{SVG}}}{tag}")):
            _remove(element)
    resize(svg, width, height)
    return width, height


def _dress(element: etree._Element) -> None:
    """Say in attributes, which every reader of SVG knows, what verovio said in a style sheet."""
    if element.tag == _G:
        classes = _classes(element)
        if classes.intersection(_BOLD):
            element.set("font-weight", "bold")
        if classes.intersection(_ITALIC):
            element.set("font-style", "italic")
        if classes & {"mark", "oStaff"} or _is_ossia_bar(element, classes):
            element.set("fill", PENCIL)
            element.set("color", PENCIL)
    elif element.tag in _STROKED and not any(True for _ in element.iterancestors(f"{{{SVG}}}defs")):
        element.set("stroke", "currentColor")
    family = element.get("font-family")
    if family:
        element.set("font-family", SIGNS if "Leipzig" in family else f"{SERIF}, {SIGNS}, serif")


def _is_ossia_bar(group: etree._Element, classes: set[str]) -> bool:
    parent = group.getparent()
    return "barLine" in classes and parent is not None and "ossia" in _classes(parent)


def _rename(svg: etree._Element, prefix: str) -> None:
    glyphs = {str(e.get("id")) for defs in svg.iter(f"{{{SVG}}}defs") for e in defs if e.get("id")}
    for element in svg.iter():
        if not isinstance(element.tag, str):
            continue
        name = element.get("id")
        if name in glyphs:
            element.set("id", f"{prefix}{name}")
        elif name is not None:
            del element.attrib["id"]
        for href in (_HREF, "href"):
            target = (element.get(href) or "").removeprefix("#")
            if target in glyphs:
                element.set(href, f"#{prefix}{target}")


def _finish_breath(group: etree._Element, classes: set[str]) -> None:
    """A breath stands clear of the notes beside it; a catch breath in parentheses, a suggested one in brackets."""
    for sign in list(group.iter(_USE)):
        moved = _MOVED.search(sign.get("transform") or "")
        if moved is None:
            continue
        left, bottom = int(moved[1]), int(moved[2])
        clear = _highest(group, left - 150, left + _COMMA[0] + 150)
        if clear is not None and clear - 40 < bottom:
            sign.set("transform", (sign.get("transform") or "").replace(moved[0], f"translate({left}, {clear - 40})"))
            bottom = clear - 40
        right, top, gap = left + _COMMA[0], bottom - _COMMA[1], 40
        if "catch" in classes:
            for x, out in ((left - gap, -60), (right + gap, 60)):
                _stroke(group, f"M{x} {top - 30} q{out} {(bottom - top) // 2 + 30} 0 {bottom - top + 60}")
            gap += 90
        if "suggested" in classes:
            for x, inwards in ((left - gap, 45), (right + gap, -45)):
                _stroke(group, f"M{x + inwards} {top - 40} h{-inwards} v{bottom - top + 80} h{inwards}")


def _keep_on_paper(group: etree._Element, right: float) -> None:
    """Words at the end of a line begin further left, so that the paper holds them; verovio lets them run out. What has
    a box or a line stays with it."""
    if group.find(f"{{{SVG}}}rect") is not None:
        return
    for text in group.findall(f"{{{SVG}}}text"):
        words = "".join(map(str, text.itertext())).strip()
        sizes = [float((span.get("font-size") or "0").removesuffix("px")) for span in text.iter()]
        over = float(text.get("x") or 0) + max(sizes) * sum(map(_em, words)) - right
        if over > 0 and text.get("text-anchor", "start") == "start":
            text.set("x", f"{max(0.0, float(text.get('x') or 0) - over):.0f}")


def _em(letter: str) -> float:
    if letter in _THIN:
        return _EM["thin"]
    return _EM["wide" if letter in _WIDE or not letter.isascii() or letter.isupper() else "plain"]


def _highest(breath: etree._Element, left: int, right: int) -> int | None:
    """The top of the printed noteheads, stems and accidentals between two x in the breath's measure."""
    measure = breath.getparent()
    tops = []
    for staff in measure.findall(f"{_G}") if measure is not None else ():
        if "staff" not in _classes(staff):
            continue
        for note in staff.iter(_G):
            if "note" in _classes(note):
                tops += [y for x, y in _points(note) if left - _HEAD <= x <= right]
    return min(tops, default=None)


def _points(note: etree._Element) -> Iterator[tuple[int, int]]:
    for shape in note.iter():
        moved = _MOVED.search(shape.get("transform") or "") if shape.tag == _USE else None
        line = _LINE.fullmatch(shape.get("d") or "") if shape.tag == _PATH else None
        if moved:
            yield int(moved[1]), int(moved[2]) - 90
        if line:
            x, y, _, end = map(int, line.groups())
            yield x, min(y, end)


def _stroke(group: etree._Element, path: str) -> None:
    etree.SubElement(group, _PATH, {"d": path, "fill": "none", "stroke-width": "18"})


def _finish_ossia(staff: etree._Element, suggested: bool) -> None:
    """The small staff covers its own notes alone, and is dashed where it is only suggested. Clef and key are those of
    the staff below: verovio sets them where the measure begins, far from the notes."""
    for head in [group for group in staff if _classes(group) & {"clef", "keySig"}]:
        staff.remove(head)
    lines = [(path, found) for path in staff.findall(_PATH) if (found := _LINE.fullmatch(path.get("d") or ""))]
    if not lines:
        return
    left, right = int(lines[0][1][1]), int(lines[0][1][3])
    stretches, open_right = _stretches(staff, left, right)
    for path, found in lines:
        y = found[2]
        path.set("d", " ".join(f"M{start} {y} L{end} {y}" for start, end in stretches))
        if suggested:
            path.set("stroke-dasharray", "90 60")
    parent = staff.getparent()
    for line in parent.findall(_PATH) if parent is not None else ():  # the bracket and the barline before the clef
        _remove(line)
    if parent is not None and not open_right:
        for bar in [g for g in parent.findall(_G) if g.get("class") == "barLine"]:
            parent.remove(bar)


def _stretches(staff: etree._Element, left: int, right: int) -> tuple[list[tuple[int, int]], bool]:
    """From where to where the staff has notes, and whether they reach its end. Between two notes lies no empty time."""
    found: list[list[int]] = []
    before = ""
    for event in staff.iter(_G):
        what = next(iter(_classes(event) & {"note", "rest", "space"}), "")
        if what in ("note", "rest"):
            if before in ("", "space"):
                found.append([])
            found[-1] += _xs(event)
            if not before:
                found[-1].append(left + _HEAD)
        before = what or before
    stretches = [(max(left, min(xs) - _HEAD), min(right, max(xs) + 2 * _HEAD)) for xs in found if xs]
    open_right = before in ("note", "rest")
    if stretches and open_right:
        stretches[-1] = stretches[-1][0], right
    return stretches or [(left, right)], open_right


def _xs(event: etree._Element) -> list[int]:
    return [int(moved[1]) for sign in event.iter(_USE) if (moved := _MOVED.search(sign.get("transform") or ""))]

"""Verovio's SVG read: every form that it draws over many scores is known, and comes out as the shape it is."""

import re
from collections import Counter
from collections.abc import Iterator
from functools import cache

import pytest
from lxml import etree

from coach.errors import ScoreError
from coach.files.engraving.engraver import Engraver
from coach.files.engraving.mei import part_mei
from coach.files.engraving.shapes import read_shapes
from coach.files.score import written_score
from coach.screen.view.dots.bitmaps import bitmap
from coach.screen.view.dots.engrave import _CHARACTERS
from tests.files.engraving.corpus import DEMO, SUITE, VARIED, WIND

SVG = "{http://www.w3.org/2000/svg}"
# What verovio 6 draws with, found by going through all pages below: (element, letters of its path).
DRAWN = {
    ("use", ""),
    ("path", "ML"),
    ("path", "MCC"),
    ("path", "MC"),
    ("polygon", ""),
    ("polyline", ""),
    ("rect", ""),
    ("ellipse", ""),
    ("text", ""),
}
SILENT = {"g", "svg", "desc", "title", "style", "defs", "symbol", "tspan"}
# Signs without a picture in content/signs/dots.txt: bows, falls and plucking of strings and brass, pedals, tablature,
# heads of other shapes, microtonal accidentals of other systems. Where one of them stands a small square says so.
WITHOUT_PICTURE = {
    *(0xE0A1, 0xE0AF, 0xE0B6, 0xE06D, 0xE222, 0xE248, 0xE249, 0xE269, 0xE270, 0xE271, 0xE274, 0xE275),
    *(0xE5E5, 0xE5E7, 0xE587, 0xE631, 0xE636, 0xEAAD, 0xEAAE),
}


@cache
def pages() -> tuple[str, ...]:
    """The SVG of every system of the demo, Weber and many more scores of the corpus, and of MusicXML's test suite."""
    files = [str(path) for path in sorted(SUITE.iterdir()) if path.suffix in (".xml", ".mxl")]
    return tuple(_pages([DEMO, *(f"corpus:{name}" for name in (*WIND, *VARIED)), *files]))


def _pages(sources: list[str]) -> Iterator[str]:
    for source in sources:
        try:
            score = written_score(source)
        except ScoreError:
            continue  # 17 files of the suite hold no notes: tests/files/test_corpus.py
        layout = Engraver(score.piece, part_mei(score)).lay(None, 59.75)
        yield from (layout.svg(number) for number in range(len(layout.systems)))


def drawn_forms(svg: str) -> Iterator[tuple[str, str]]:
    """(element, letters of its path) of what a page draws, what it hides left out."""
    root = etree.fromstring(svg.encode())
    (margin,) = [group for group in root.iter(f"{SVG}g") if group.get("class") == "page-margin"]
    for one in margin.iter():
        if isinstance(one.tag, str):
            name = one.tag.removeprefix(SVG)
            yield name, re.sub("[^A-Za-z]", "", one.get("d") or "")


@pytest.mark.slow
def test_every_form_that_is_drawn_is_known() -> None:
    assert len(pages()) > 800
    found = Counter(form for svg in pages() for form in drawn_forms(svg) if form[0] not in SILENT)
    assert set(found) <= DRAWN, f"unknown: {set(found) - DRAWN}"
    assert set(found) == DRAWN  # each of them is met


@pytest.mark.slow
def test_every_drawn_form_becomes_a_shape() -> None:
    """As many glyphs, curves, areas and texts as the page holds."""
    for svg in pages()[::7]:
        root = etree.fromstring(svg.encode())
        for hidden in [one for one in root.iter() if "placeholder" in (one.get("class") or "").split()]:
            parent = hidden.getparent()
            assert parent is not None
            parent.remove(hidden)
        if any(one.get("visibility") == "hidden" for one in root.iter()):
            continue
        forms = Counter(drawn_forms(etree.tostring(root).decode()))
        shapes = Counter(shape.kind for shape in read_shapes(svg))
        turned = sum("rotate" in (one.get("transform") or "") for one in root.iter())
        if not turned:
            assert shapes["glyph"] == forms["use", ""]
        assert shapes["curve"] == forms["path", "MCC"] + forms["path", "MC"]
        assert shapes["line"] == forms["path", "ML"]
        assert shapes["dot"] == forms["ellipse", ""]


@pytest.mark.slow
def test_signs_without_a_picture_are_those_a_wind_player_hardly_meets() -> None:
    shapes = [shape for svg in pages() for shape in read_shapes(svg) if shape.kind == "glyph"]
    without = {shape.code for shape in shapes if shape.code not in _CHARACTERS and bitmap(shape.code) is None}
    assert {f"{code:X}" for code in without} <= {f"{code:X}" for code in WITHOUT_PICTURE}
    assert sum(shape.code in without for shape in shapes) < 0.002 * len(shapes)


def test_a_slur_is_read_as_the_middle_of_its_outline() -> None:
    """Out along one side and back along the other; half way up a cubic stands at an eighth, three, three and one."""
    svg = _page('<path d="M0,0 C90,-180 270,-180 360,0 C270,-144 90,-144 0,0" stroke-width="9"/>', "slur")
    (curve,) = read_shapes(svg)
    assert curve.kind == "curve"
    assert curve.points == (0.0, 0.0, 0.5, -0.9, 1.5, -0.9, 2.0, 0.0)
    assert curve.width == pytest.approx(9 / 180 + 0.75 * 36 / 180)


def test_a_turned_group_is_turned() -> None:
    """A quarter turn to the left round its own corner takes a piece of a wavy line from level to upright."""
    glyph = '<use xlink:href="#EAA9-x" transform="translate(360, 720) scale(0.72, 0.72)"/>'
    (wave,) = read_shapes(_page(f'<g transform="rotate(-90.0 360,720)">{glyph}</g>', "arpeg"))
    xs, ys = wave.points[::2], wave.points[1::2]
    assert wave.kind == "path"
    assert (xs[0], ys[0]) == (2.0, 4.0)
    assert max(abs(x - 2.0) for x in xs) <= 0.25
    assert ys[-1] == pytest.approx(4.0 - 0.8)


def test_what_is_hidden_is_not_read() -> None:
    assert read_shapes(_page('<g visibility="hidden"><path d="M0 0 L9 9"/></g>', "staff")) == ()
    assert read_shapes(_page('<g class="x placeholder"><ellipse cx="1" cy="1" rx="1" ry="1"/></g>', "note")) == ()


def _page(inside: str, name: str) -> str:
    return (
        '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink">'
        f'<g class="page-margin"><g class="{name}">{inside}</g></g></svg>'
    )

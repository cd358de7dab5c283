"""The pictures of signs: the form of the file, and that a sign has the size and place that its code has in a font."""

import re
from pathlib import Path
from xml.etree import ElementTree

import pytest

from coach.paths import content
from coach.screen.view.dots.bitmaps import all_bitmaps, bitmap

HEAD = re.compile(r"[0-9A-F]{4} [A-Za-z][a-z0-9, ()-]*[a-z0-9)]")
ROW = re.compile(r"@?[#o.]+")


def blocks() -> list[list[str]]:
    """The file's blocks as lines, its head of comments left out."""
    text = content("signs", "dots.txt").read_text("utf-8")
    return [block.splitlines() for block in text.strip().split("\n\n")[1:]]


def test_the_head_explains_the_form() -> None:
    first = content("signs", "dots.txt").read_text("utf-8").split("\n\n")[0]
    assert all(line.startswith("# ") for line in first.splitlines())


@pytest.mark.parametrize("block", blocks(), ids=lambda block: block[0])
def test_a_picture_has_this_form(block: list[str]) -> None:
    """A code and a name; rows of one width of `#`, `o` and `.`; one row at most with the origin; some ink."""
    head, *rows = block
    assert HEAD.fullmatch(head), head
    assert rows and all(ROW.fullmatch(row) for row in rows)
    assert len({len(row.removeprefix("@")) for row in rows}) == 1, "rows differ in width"
    assert sum(row.startswith("@") for row in rows) <= 1
    assert any("#" in row for row in rows)
    assert len(rows) <= 40 and len(rows[0]) <= 12
    assert bitmap(int(head[:4], 16)) is not None


def test_no_picture_is_there_twice() -> None:
    heads = [(int(block[0][:4], 16), block[0].endswith(", small")) for block in blocks()]
    assert len(set(heads)) == len(heads)
    assert set(heads) == set(all_bitmaps())


def test_a_code_is_drawn_about_where_an_engraving_font_draws_it() -> None:
    """Against the outlines of Leland, a SMuFL font (it comes with verovio): tops and bottoms within a space and a half
    of the font's, right ends within three quarters; a picture under a wrong code, or upside down, is further off."""
    compared = 0
    for (code, small), picture in all_bitmaps().items():
        box = leland().get(code)
        if small or box is None or code in CHANGES:
            continue
        left, bottom, width, height = (value * DOTS / 250 for value in box)
        rows, columns = [y for _, y in picture.ink], [x for x, _ in picture.ink]
        assert abs(-min(rows) + 0.5 - (bottom + height)) < 6, f"top of {code:X}"
        assert abs(-max(rows) - 0.5 - bottom) < 6, f"bottom of {code:X}"
        assert abs(max(columns) + 1 - (left + width)) < 3, f"right end of {code:X}"
        compared += 1
    assert compared > 85


CHANGES = {0xE07A, 0xE07B, 0xE07C}  # the font has these at full size and leaves it to the engraver to make them smaller
DOTS = 4  # in a space; the font has 250 units in one


def leland() -> dict[int, tuple[float, float, float, float]]:
    """Left, bottom, width and height of the glyphs of the font by their codes."""
    import verovio

    font = ElementTree.parse(Path(verovio.__file__).parent / "data" / "Leland.xml")
    return {
        int(glyph.attrib["c"], 16): (
            float(glyph.attrib["x"]),
            float(glyph.attrib["y"]),
            float(glyph.attrib["w"]),
            float(glyph.attrib["h"]),
        )
        for glyph in font.iter("g")
        if "c" in glyph.attrib
    }

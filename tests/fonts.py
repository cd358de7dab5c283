"""Makes the fonts in content/fonts anew from the free ones they come from (OFL 1.1, content/fonts/OFL.txt).

python -m tests.fonts FOLDER     FOLDER holds LiberationSerif-*.ttf of Liberation 2.1 (Debian: fonts-liberation2)

Needs fonttools and brotli (which reads the font that verovio carries). Both licences reserve the fonts' names, so what
is cut out of them bears names of our own.
"""

import base64
import io
import re
import sys
from pathlib import Path

import verovio
from fontTools.subset import Options, Subsetter
from fontTools.ttLib import TTFont

FONTS = Path(__file__).parent.parent / "content" / "fonts"
STYLES = ("Regular", "Bold", "Italic", "BoldItalic")
LETTERS = [
    *range(0x20, 0x250),  # Latin
    *range(0x370, 0x460),  # Greek and Cyrillic
    *range(0x1E00, 0x1F00),
    *range(0x2010, 0x2060),
    *range(0x2070, 0x20C0),
    *range(0x2150, 0x2200),  # fractions and arrows
]
SIGNS = [*range(0x2669, 0x2670), *range(0xE1D0, 0xE1F0), *range(0xE260, 0xE265), *range(0xECA0, 0xECC0), 0xE4CE, 0xE522]


def cut(font: TTFont, codes: list[int], family: str, style: str, copying: str) -> TTFont:
    """The font with these characters alone, under another name."""
    options = Options(hinting=False, layout_features=["kern", "mark", "liga"], notdef_outline=True, name_IDs=[0])
    subsetter = Subsetter(options)
    subsetter.populate(unicodes=codes)
    subsetter.subset(font)
    names = font["name"]
    words = re.sub(r"(?<=d)(?=Italic)", " ", style)
    names.names = []
    for number, text in (
        (0, copying),
        (1, family),
        (2, words),
        (3, f"{family} {words}"),
        (4, f"{family} {words}"),
        (5, "Version 1.0"),
        (6, f"{family.replace(' ', '')}-{style}"),
        (13, "SIL Open Font License, Version 1.1"),
        (14, "https://openfontlicense.org"),
    ):
        names.setName(text, number, 3, 1, 0x409)
    return font


def main(folder: Path) -> None:
    """Write all of them."""
    FONTS.mkdir(exist_ok=True)
    for style in STYLES:
        font = TTFont(folder / f"LiberationSerif-{style}.ttf", recalcTimestamp=False)
        made = cut(font, LETTERS, "Coach Serif", style, str(font["name"].getDebugName(0)))
        made.save(FONTS / f"CoachSerif-{style}.ttf")
    sheet = (Path(verovio.__file__).parent / "data" / "Leipzig.css").read_text("ascii")
    packed = re.search(r"base64,([A-Za-z0-9+/=]+)", sheet)
    assert packed is not None
    font = TTFont(io.BytesIO(base64.b64decode(packed[1])), recalcTimestamp=False)
    font.flavor = None
    copying = "Copyright (c) 2014, Etienne Darbellay, Jean-Francois Marti and Laurent Pugin"
    cut(font, SIGNS, "Coach Signs", "Regular", copying).save(FONTS / "CoachSigns-Regular.ttf")


if __name__ == "__main__":
    main(Path(sys.argv[1]))

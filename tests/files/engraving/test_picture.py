"""A system as a picture: the pixels say what the page says, in the colours that were asked for, by Pillow's reading."""

import io
from collections import Counter
from pathlib import Path

import pytest
from PIL import Image

from coach.files.engraving import picture as module
from coach.files.engraving.engraver import Layout
from coach.files.engraving.kept import engraver_of
from coach.files.engraving.picture import picture
from coach.files.prep import parse_prep
from coach.music.engraved import Paint

DEMO = Path(__file__).parents[3] / "content" / "pieces" / "demo.musicxml"
WEBER = "corpus:weber/concertino_clarinet"
CELLS = [(8, 16), (10, 20), (7, 15), (12, 30)]
Rgb = tuple[int, int, int]
INK, PAPER, PENCIL = "#e9e4da", "#17191b", "#8fb0a9"


def paint(cell: tuple[int, int] = (10, 20), ink: str = INK, paper: str = PAPER) -> Paint:
    return Paint(*cell, ink, paper, PENCIL)


def rgb(colour: str) -> Rgb:
    return int(colour[1:3], 16), int(colour[3:5], 16), int(colour[5:7], 16)


@pytest.fixture(scope="module")
def demo() -> Layout:
    return engraver_of(DEMO, None, None).lay(None, (2 * 80 - 1) / 4)


def pixels(layout: Layout, number: int, how: Paint) -> Image.Image:
    found = Image.open(io.BytesIO(picture(layout.svg(number), how).png))
    return found.convert("RGB")


def inked(image: Image.Image, box: tuple[int, int, int, int]) -> int:
    """How many pixels of a part of a picture are nearer to the ink than to the paper."""
    return sum(image.crop(box).convert("L").histogram()[129:])


def staff_rows(image: Image.Image) -> list[int]:
    """The rows of pixels that are drawn nearly from side to side."""
    lit = [y for y in range(image.height) if inked(image, (0, y, image.width, y + 1)) > 0.8 * image.width]
    return [y for y in lit if y - 1 not in lit]


@pytest.mark.parametrize("cell", CELLS)
def test_a_picture_fills_cells_and_a_space_is_two_columns(demo: Layout, cell: tuple[int, int]) -> None:
    made = picture(demo.svg(0), paint(cell))
    image = Image.open(io.BytesIO(made.png)).convert("RGB")
    assert made.columns == 80 and image.size == (80 * cell[0], made.rows * cell[1])
    rows = staff_rows(image)
    assert len(rows) == 5
    gaps = [b - a for a, b in zip(rows, rows[1:], strict=False)]
    assert all(abs(gap - 2 * cell[0]) <= 1 for gap in gaps)


@pytest.mark.parametrize(("ink", "paper"), [(INK, PAPER), ("#1c1a17", "#fbf8f1"), ("#ffffff", "#000000")])
def test_the_colours_are_those_of_the_screen(demo: Layout, ink: str, paper: str) -> None:
    image = pixels(demo, 0, paint(ink=ink, paper=paper))
    counts = Counter({colour: count for count, colour in image.getcolors(1 << 20) or ()})
    assert [colour for colour, _ in counts.most_common(2)] == [rgb(paper), rgb(ink)]
    between = [sorted((a, b)) for a, b in zip(rgb(ink), rgb(paper), strict=True)]
    for colour in counts:
        assert isinstance(colour, tuple)
        assert all(low - 1 <= value <= high + 1 for value, (low, high) in zip(colour, between, strict=True))


def test_words_are_drawn_with_the_font_we_carry_alone(
    demo: Layout, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The demo begins with a tempo in words above the staff; without our fonts there is nothing there."""
    image = pixels(demo, 0, paint())
    above = (image.width // 4, 0, image.width // 2, staff_rows(image)[0] - 30)
    (tmp_path / "fonts").mkdir()
    monkeypatch.setattr(module, "content", lambda name: tmp_path / name)
    wordless = inked(pixels(demo, 0, paint()), above)  # a slur reaches up there too
    assert inked(image, above) > wordless + 500


def test_nothing_reaches_over_the_edge() -> None:
    """In the Weber part, whose highest and lowest notes verovio draws at the very edge of its page."""
    layout = engraver_of(WEBER, None, None).lay(None, (2 * 120 - 1) / 4)
    for number in range(0, len(layout.systems), 9):
        image = pixels(layout, number, paint())
        assert inked(image, (0, 0, image.width, 2)) == 0
        assert inked(image, (0, image.height - 1, image.width, image.height)) == 0
        assert len(staff_rows(image)) == 5


def test_marks_are_in_the_pencil_s_colour() -> None:
    text = 'schema = "coach.prepfile/1"\n[[mark]]\nat = "1.1"\nkind = "comment"\ntext = "lean on it"\n'
    layout = engraver_of(DEMO, None, None).lay(parse_prep(text, "marks").prep, (2 * 80 - 1) / 4)
    bare = engraver_of(DEMO, None, None).lay(None, (2 * 80 - 1) / 4)
    found = [dict((c, n) for n, c in pixels(one, 0, paint()).getcolors(1 << 20) or ()) for one in (layout, bare)]
    assert found[0].get(rgb(PENCIL), 0) > 20 and rgb(PENCIL) not in found[1]


def test_numbers_are_left_to_the_row_above(demo: Layout) -> None:
    """A number drawn by verovio stands at the left edge above the staff, where otherwise only the clef reaches."""
    svg = demo.svg(1)
    image = pixels(demo, 1, paint())
    top = staff_rows(image)[0]
    assert 'class="mNum' in svg
    assert inked(image, (0, 0, 8, top - 2)) == 0

"""The music as a picture: what a terminal is sent decodes to the picture that was made, and where none can be shown
there are dots and one sentence. No such terminal is looked at: tests/screen/terminals.py says what stands in for it."""

import io
import json
import re
import subprocess
import sys
from dataclasses import replace
from functools import partial
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
from PIL import Image, ImageChops, ImageStat
from textual.widget import Widget

from coach.config import Settings, load
from coach.errors import SettingsError
from coach.files.engraving.kept import engraver_of
from coach.files.engraving.picture import picture
from coach.lesson.engraving import engraving
from coach.music.engraved import Paint
from coach.screen.pictures import Pictures
from coach.screen.themes import DARK, LIGHT
from coach.screen.view.dots.pictured import pictures_fitting
from tests.cli.conftest import command
from tests.screen.sitting import Sitting, demo_home, sitting

if sys.platform != "win32":
    from tests.screen.terminals import DA1, FakeTerminal

DEMO = Path(__file__).parents[2] / "content" / "pieces" / "demo.musicxml"
CELL = (8, 16)
PLACEHOLDER = "\U0010eeee"
posix = pytest.mark.skipif(sys.platform == "win32", reason="pseudo-terminals of POSIX")


def expected(number: int = 0, columns: int = 80) -> Image.Image:
    """A system of the demo as it should be shown in the dark theme."""
    layout = engraver_of(DEMO, None, None).lay(None, (2 * columns - 1) / 4)
    assert DARK.foreground and DARK.background and DARK.secondary
    made = picture(layout.svg(number), Paint(*CELL, DARK.foreground, DARK.background, DARK.secondary))
    return Image.open(io.BytesIO(made.png)).convert("RGB")


def apart(one: Image.Image, other: Image.Image) -> float:
    """How far the pixels of two pictures are apart on average, of 255."""
    assert one.size == other.size
    return max(ImageStat.Stat(ImageChops.difference(one, other)).mean)


@pytest.fixture
def home(tmp_path: Path) -> Path:
    """The demo on the stand, pictures wanted, no sound."""
    folder = demo_home(tmp_path)
    settings = folder / "config" / "settings.toml"
    settings.parent.mkdir(parents=True, exist_ok=True)
    settings.write_text('output = "none"\nmusic = "picture"\n')
    return folder


@posix
def test_kitty_is_sent_the_picture(home: Path) -> None:
    with FakeTerminal("kitty", command("demo"), home, cell=CELL) as terminal:
        terminal.until(lambda: PLACEHOLDER in terminal.out.decode("utf-8", "replace"))
        terminal.until(lambda: bool(terminal.sent and terminal.placed))
        (name, image), *_ = terminal.sent.items()
        assert apart(image, expected()) == 0
        assert terminal.placed[name] == (image.width // CELL[0], image.height // CELL[1])
        rows = image.height // CELL[1]
        terminal.until(lambda: terminal.out.decode("utf-8", "replace").count(PLACEHOLDER) >= 80 * rows)


@posix
def test_sixel_is_sent_the_picture(home: Path) -> None:
    with FakeTerminal("sixel", command("demo"), home, cell=CELL) as terminal:
        terminal.until(lambda: bool(terminal.sixels))
        assert apart(terminal.sixels[0], expected()) < 3  # 256 colours, in per cent


@posix
@pytest.mark.parametrize(
    ("kind", "extra", "because"),
    [
        ("plain", {}, "this terminal shows none"),
        ("plain", {"TMUX": "/nowhere,1,0"}, "tmux passes none on"),
        ("kitty", {"NO_COLOR": "1"}, "NO_COLOR"),
        ("kitty", {"COLORTERM": ""}, "COLORTERM"),
    ],
)
def test_elsewhere_there_are_dots_and_a_sentence(home: Path, kind: str, extra: dict[str, str], because: str) -> None:
    with FakeTerminal(kind, command("demo"), home, cell=CELL, extra=extra) as terminal:
        terminal.until(lambda: len(re.findall("[\u2801-\u28ff]", terminal.out.decode("utf-8", "replace"))) > 100)
        terminal.until(lambda: because.split()[0].encode() in terminal.out)
        assert not terminal.sent and not terminal.sixels and PLACEHOLDER not in terminal.out.decode("utf-8", "replace")


@posix
@pytest.mark.parametrize("music", ["dots", "characters"])
def test_a_terminal_is_asked_nothing_unless_pictures_are_wanted(home: Path, music: str) -> None:
    (home / "config" / "settings.toml").write_text(f'output = "none"\nmusic = "{music}"\n')
    with FakeTerminal("kitty", command("demo"), home, cell=CELL) as terminal:
        sign = "[\u2801-\u28ff]{3}" if music == "dots" else "●"
        terminal.until(lambda: bool(re.search(sign, terminal.out.decode("utf-8", "replace"))))
        assert b"\x1b_G" not in terminal.out and not DA1.search(terminal.out)


@posix
@pytest.mark.parametrize(
    ("kind", "words"),
    [("kitty", "kitty graphics, cells of 8 by 16"), ("sixel", "sixel, cells of 8 by 16"), ("plain", "none")],
)
def test_check_tells_what_the_terminal_shows(home: Path, kind: str, words: str) -> None:
    with FakeTerminal(kind, command("check"), home, cell=CELL) as terminal:
        text = terminal.to_the_end().decode()
    (line,) = (line for line in text.splitlines() if " pictures: " in line)
    assert words in line and line[0] == ("✗" if kind == "plain" else "✓")
    assert ("choose dots of braille" in text) == (kind == "plain")


def test_the_screens_load_no_picture_library() -> None:
    code = (
        "import json, sys, coach.screen.app, coach.screen.widgets.music, coach.screen.stand.screen;"
        "print(json.dumps([n for n in ('textual_image', 'PIL', 'resvg_py', 'verovio') if n in sys.modules]))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, timeout=60, check=True)
    assert json.loads(done.stdout) == []


# In the app, with a widget that keeps what it is given.


class Kept(Widget):
    """Stands in for textual-image's widgets: keeps the pictures it is told to show."""

    told: list[Image.Image]
    DEFAULT_CSS = "Kept { background: $surface; }"

    def __setattr__(self, name: str, value: Any) -> None:
        if name == "image":
            self.__dict__.setdefault("told", []).append(Image.open(value).convert("RGB"))
        super().__setattr__(name, value)


PICTURES = Pictures(Kept, CELL)


def frames(sat: Sitting) -> list[Kept]:
    """The pictures on view, from the top."""
    return sorted((f for f in sat.music.query(Kept) if f.display), key=lambda frame: frame.region.y)


def all_told(sat: Sitting) -> int:
    return sum(len(frame.told) for frame in sat.music.query(Kept))


async def stand(sat: Sitting) -> None:
    await sat.press("2")
    await sat.goes("stand")
    await sat.until(lambda: frames(sat) and all(frame.told and frame.region.height for frame in frames(sat)))


async def test_systems_stand_one_below_the_other_under_their_numbers(home: Path) -> None:
    async with sitting(home, size=(80, 60), engraving=engraving, pictures=PICTURES) as sat:
        await stand(sat)
        await sat.until(lambda: len(frames(sat)) >= 2)
        shown = frames(sat)
        for number, frame in enumerate(shown):
            assert apart(frame.told[-1], expected(number)) == 0
            await sat.until(partial(lambda one: one.region.size == (80, one.told[-1].height // CELL[1]), frame))
        assert all(below.region.y >= above.region.bottom + 1 for above, below in pairwise(shown))
        rows = sat.text.splitlines()
        assert re.search(r"\b1\b", rows[shown[0].region.y - 1]) and re.search(r"\b2\b", rows[shown[1].region.y - 1])


async def test_the_sounding_note_is_marked_and_no_picture_is_sent_again(home: Path) -> None:
    async with sitting(home, size=(80, 40), engraving=engraving, pictures=PICTURES) as sat:
        await stand(sat)
        await sat.until(lambda: len(frames(sat)) == 2)  # all that fit
        before = all_told(sat)
        for note in ("1.1", "1.2", "1.3"):
            sat.music.light(note, 0)
            page = sat.music.page
            assert page is not None
            place = page.notes[note]
            row = frames(sat)[0].region.y - 1
            await sat.until(partial(lambda column, row: sat.text.splitlines()[row][column] == "▼", place.column, row))
        await sat.press("right")
        assert all_told(sat) == before


async def test_a_click_on_a_picture_chooses_its_measure(home: Path) -> None:
    async with sitting(home, size=(80, 60), engraving=engraving, pictures=PICTURES) as sat:
        await stand(sat)
        await sat.until(lambda: len(frames(sat)) == 3 and all(frame.region.height for frame in frames(sat)))
        region = frames(sat)[1].region
        await sat.pilot.click(offset=(region.x + 40, region.y + 3))
        await sat.until(lambda: sat.app.session.chosen == 1)


async def test_colours_and_the_way_of_drawing_change_at_once(home: Path) -> None:
    async with sitting(home, size=(80, 40), engraving=engraving, pictures=PICTURES) as sat:
        await stand(sat)
        desk = sat.app.desk

        def change(**fields: str) -> None:
            before = desk.settings
            desk.change(replace(before, **fields))  # type: ignore[arg-type]  # by field name
            sat.app.take_settings(before)
            sat.app.show_state()

        change(theme=LIGHT.name)
        assert LIGHT.background
        paper = tuple(int(LIGHT.background[k : k + 2], 16) for k in (1, 3, 5))
        await sat.until(lambda: frames(sat)[0].told[-1].getpixel((0, 0)) == paper)
        change(music="characters")
        await sat.until(lambda: not frames(sat) and "●" in sat.text)
        change(music="dots")
        await sat.until(lambda: not frames(sat) and re.search("[\u2801-\u28ff]{3}", sat.text))
        change(music="picture")
        await sat.until(lambda: bool(frames(sat)))


async def test_a_picture_higher_than_the_screen_is_shown_from_its_top(home: Path) -> None:
    async with sitting(home, size=(80, 20), engraving=engraving, pictures=PICTURES) as sat:
        await stand(sat)
        assert len(frames(sat)) == 1
        assert sat.music.region.contains_region(frames(sat)[0].region.intersection(sat.music.region))


def test_as_many_fit_as_have_room() -> None:
    assert pictures_fitting([10, 10, 10], 33) == 3
    assert pictures_fitting([10, 10, 10], 32) == 2
    assert pictures_fitting([10], 3) == 1


def test_settings_know_three_ways(tmp_path: Path) -> None:
    file = tmp_path / "settings.toml"
    for music in ("dots", "characters", "picture"):
        file.write_text(f'music = "{music}"\n')
        assert load(file).music == music
    assert Settings().music == "dots"
    file.write_text('music = "paintings"\n')
    with pytest.raises(SettingsError, match="music is 'paintings'; it may be dots or characters or picture"):
        load(file)


async def test_setup_offers_them(tmp_path: Path) -> None:
    async with sitting(tmp_path) as sat:
        await sat.press("5")
        await sat.shows("Music", "dots of braille")

"""All places at the usual sizes, in a terminal too small, without colour, in every theme; help and palette."""

from pathlib import Path

import pytest

from coach.screen.actions import BY_ID, COMMANDS, PENCIL, PLACES, clashes, commands_of, key_words, keys_in_force
from coach.screen.footer import Keys
from coach.screen.themes import THEMES
from coach.screen.view.glyphs import ASCII
from tests.screen.sitting import sitting

SIGNS = {  # something that each place must show of the demo
    "today": ("Spots by need", "the climb", "not worked yet", "A plan for 30 minutes", "Pain means stop"),
    "stand": ("measure 1 of 30", "stopped", "A♭4"),
    "drill": ("the held low F", "goal 50", "rule: steady"),
    "progress": ("✓ holds: 0", "· unknown: 30", "spot 1 of 4"),
    "setup": ("A = 440 Hz", "-20 dB", "clarinet in B-flat", "keep it low in headphones"),
}
MOST_IN_FOOTER = 8
LINES_OF_TEXTUAL = "─│"


@pytest.mark.parametrize("size", [(80, 24), (120, 40), (60, 20)])
async def test_every_place_by_its_key(tmp_path: Path, with_demo: Path, size: tuple[int, int]) -> None:
    async with sitting(tmp_path, copy_of=with_demo, size=size) as at:
        await at.until(lambda: at.app.session.opened is not None)
        for key, place in zip("12345", PLACES, strict=True):
            await at.press(key)
            await at.goes(place)
            await at.shows(f"[{key} {place.capitalize()}]", "? keys", *(SIGNS[place] if size[0] > 60 else ()))
            lines = at.text.split("\n")
            assert lines[-1].endswith(" ? keys")
            assert lines[-1].startswith("space play" if place != "setup" else "a add a key")
            assert len(lines) <= size[1]
            assert all(len(line) <= size[0] for line in lines)


async def test_the_music_is_the_largest_thing(tmp_path: Path, with_demo: Path) -> None:
    for size in ((80, 24), (120, 40)):
        async with sitting(tmp_path / str(size[0]), copy_of=with_demo, size=size) as at:
            await at.until(lambda: at.app.session.opened is not None)
            await at.press("2")
            await at.shows("measure 1 of 30")
            music = at.music.size
            assert music.width == size[0]
            assert music.height >= size[1] - 5


async def test_more_room_shows_more_measures(tmp_path: Path, with_demo: Path) -> None:
    shown = []
    for size in ((60, 20), (80, 24), (120, 40)):
        async with sitting(tmp_path / str(size[0]), copy_of=with_demo, size=size) as at:
            await at.until(lambda: at.app.session.opened is not None)
            await at.press("2")
            await at.shows("measure 1 of 30")
            assert at.music.page is not None
            shown.append(len(at.music.page.measures))
    assert shown == sorted(set(shown))


@pytest.mark.parametrize("size", [(20, 5), (59, 24), (80, 19)])
async def test_too_small_is_said_in_one_sentence(tmp_path: Path, with_demo: Path, size: tuple[int, int]) -> None:
    async with sitting(tmp_path, copy_of=with_demo, size=size) as at:
        sentence = f"coach needs a terminal of 60 columns and 20 rows; this one has {size[0]} and {size[1]}."
        await at.until(lambda: " ".join(at.text.split()) == sentence)
        await at.press("2", "space", "right", "l", "question_mark", "escape", "3", "c", "4", "5", "2")
        await at.pilot.resize_terminal(80, 24)
        await at.shows("[2 Stand]")


async def test_help_names_every_key_of_every_place(tmp_path: Path, with_demo: Path) -> None:
    async with sitting(tmp_path, copy_of=with_demo, size=(80, 60)) as at:
        await at.until(lambda: at.app.session.opened is not None)
        for key, place in zip("12345", PLACES, strict=True):
            await at.press(key)
            await at.goes(place)
            await at.press("question_mark")
            await at.shows("Keys:", "Pain means stop", "Every key can be changed in Setup")
            text = " ".join(at.text.replace("│", " ").split())
            for command in commands_of(place):
                assert f"{key_words(command.keys)} {command.words}" in text
            await at.press("escape")
            await at.until(lambda: at.app.screen is at.app.place)


def test_no_key_means_two_things_at_one_place() -> None:
    in_force = keys_in_force({})
    for command in COMMANDS:
        assert clashes(command, command.keys.split(","), in_force) == ()


def test_the_footer_has_room() -> None:
    for place in PLACES:
        shown = [c for c in commands_of(place) if place in c.footer]
        groups = {c.group or c.id for c in shown}
        assert 2 <= len(groups) <= MOST_IN_FOOTER, place
    assert BY_ID["help"].footer == (*PLACES, PENCIL)


async def test_the_palette_reaches_everything_here(tmp_path: Path, with_demo: Path) -> None:
    async with sitting(tmp_path, copy_of=with_demo) as at:
        await at.until(lambda: at.app.session.opened is not None)
        await at.press("2")
        await at.goes("stand")
        names = [command.title for command in at.app.get_system_commands(at.app.screen)]
        assert names[:-1] == [command.words.capitalize() for command in commands_of("stand")]
        chosen = next(c for c in at.app.get_system_commands(at.app.screen) if c.title.startswith("To the last"))
        await chosen.callback()
        await at.shows("measure 30 of 30")


@pytest.mark.parametrize("theme", [theme.name for theme in THEMES])
async def test_themes(tmp_path: Path, with_demo: Path, theme: str) -> None:
    async with sitting(tmp_path, copy_of=with_demo) as at:
        at.app.choose_theme(theme)
        await at.until(lambda: at.app.session.opened is not None)
        await at.press("2")
        await at.shows("measure 1 of 30")
        assert at.app.current_theme.name == theme


async def test_without_colour_everything_is_said(
    tmp_path: Path, with_demo: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("NO_COLOR", "1")
    async with sitting(tmp_path, copy_of=with_demo) as at:
        assert at.app.no_color
        at.app.choose_theme("ansi-light")  # would be black on black
        assert at.app.current_theme.name == THEMES[0].name
        await at.until(lambda: at.app.session.opened is not None)
        await at.press("3")
        await at.goes("drill")
        await at.press("c")
        await at.shows("✓ clean at 30")
        await at.press("s")
        await at.shows("✗ slip at 30")
        await at.press("4")
        await at.shows("✓ holds", "~ nearly holds", "✗ needs work", "· unknown")


async def test_without_unicode_everything_is_ascii(tmp_path: Path, with_demo: Path) -> None:
    async with sitting(tmp_path, copy_of=with_demo, glyphs=ASCII) as at:
        await at.until(lambda: at.app.has_class("-ascii"))
        await at.until(lambda: at.app.session.opened is not None)
        for key, place in zip("1234", PLACES, strict=False):
            await at.press(key)
            await at.goes(place)
            await at.shows("keys")
            drawn = "\n".join(at.text.split("\n")[1:-1]).replace(
                "Slow Étude in D flat", ""
            )  # titles keep their letters
            assert {c for c in drawn if not c.isascii()} <= set(LINES_OF_TEXTUAL), place


async def test_the_footer_is_there_from_the_start(tmp_path: Path, with_demo: Path) -> None:
    """The place painted first gets its footer a moment later; it must not stay an empty bar."""
    async with sitting(tmp_path, copy_of=with_demo, start="Slow Étude in D flat") as at:
        await at.until(lambda: at.text.split("\n")[-1].endswith(" ? keys"))
        assert at.text.split("\n")[-1].startswith("space play")


async def test_no_key_of_the_footer_is_cut(tmp_path: Path, with_demo: Path) -> None:
    """Taking up the pencil changes the keys; at 60 columns they end before the list of keys, whole."""
    async with sitting(tmp_path, copy_of=with_demo, size=(60, 20)) as at:
        await at.until(lambda: at.app.session.opened is not None)
        await at.press("2")
        await at.shows("measure 1 of 30")
        await at.press("p")
        await at.shows("breath")

        def is_whole() -> bool:
            keys = at.app.screen.query_one(Keys)
            (last,) = keys.query(".-last")
            ends = [child.region.right for child in keys.children if child is not last and child.visible]
            return len(ends) > 3 and max(ends) <= last.region.x

        await at.until(is_whole)

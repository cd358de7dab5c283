"""Setup: settings are written at once, keys can be changed, clashes are told; the settings file is obeyed."""

from pathlib import Path

from coach.config import load
from coach.screen.actions import faults
from tests.screen.sitting import Sitting, paths_in, sitting


async def at_setup(at: Sitting) -> None:
    await at.press("5")
    await at.goes("setup")
    await at.shows("A = 440 Hz")


async def mark(at: Sitting, words: str) -> None:
    """Move the mark to the line with these words."""
    from textual.widgets import OptionList

    listed = at.app.screen.query_one(OptionList)
    lines = [str(listed.get_option_at_index(k).prompt) for k in range(listed.option_count)]
    (index,) = [k for k, line in enumerate(lines) if words in line]
    listed.highlighted = index
    await at.pilot.pause(0.01)


async def test_a_setting_is_written_at_once(tmp_path: Path) -> None:
    async with sitting(tmp_path) as at:
        await at_setup(at)
        await mark(at, "Tuning")
        await at.press("enter")
        await at.write("442")
        await at.shows("A = 442 Hz")
        assert load(paths_in(tmp_path).settings).tuning_hz == 442
        await at.press("enter")
        await at.write("999")
        await at.shows("! 999 is outside what is possible", "A = 442 Hz")
        await at.press("delete")
        await at.shows("A = 440 Hz")


async def test_the_click(tmp_path: Path) -> None:
    async with sitting(tmp_path) as at:
        await at_setup(at)
        for line, text, shown in (
            ("Click on beats", "1 3", "1 3"),
            ("Click falls silent", "2 2", "after 2 measures, for 2"),
            ("Click level", "-6", "-6 dB"),
        ):
            await mark(at, line)
            await at.press("enter")
            await at.write(text)
            await at.shows(shown)
        await mark(at, "Count-in")
        await at.press("enter")
        await at.shows("two measures")
        await at.press("down", "enter")
        await at.until(lambda: at.app.desk.settings.click.count_in == 2)
        click = load(paths_in(tmp_path).settings).click
        assert (click.beats, click.heard_measures, click.silent_measures, click.count_in) == ((1, 3), 2, 2, 2)
        await mark(at, "Click on beats")
        await at.press("enter")
        await at.write("first")
        await at.shows("! 'first' are no beats")


async def test_what_sounds_hears_of_changes(tmp_path: Path, with_demo: Path) -> None:
    async with sitting(tmp_path, copy_of=with_demo) as at:
        await at.until(lambda: at.app.session.opened is not None)
        await at.press("2")
        await at.shows("measure 1 of 30")
        await at.press("space")
        await at.until(lambda: at.app.sounding.wanted)
        await at_setup(at)
        await mark(at, "Tuning")
        await at.press("enter")
        await at.write("441")
        await at.until(lambda: ("set_tuning", 441.0) in at.player.calls)
        await mark(at, "Drone")
        await at.press("enter")
        await at.write("Bb4")
        await at.until(lambda: ("drone", 68) in at.player.calls)  # written B-flat 4 sounds A-flat 4, MIDI 68
        await at.press("enter")
        await at.write("H4")
        await at.shows("'H4' is not a pitch")


async def test_a_key_is_changed_and_works_at_once(tmp_path: Path, with_demo: Path) -> None:
    async with sitting(tmp_path, copy_of=with_demo, size=(80, 50)) as at:
        await at.until(lambda: at.app.session.opened is not None)
        await at_setup(at)
        await mark(at, "one measure on")
        await at.press("enter")
        await at.shows("Press the key for: one measure on")
        await at.press("f9")
        await at.shows("f9")
        await at.press("a")
        await at.shows("Press the key for")
        await at.press("j")
        await at.shows("f9 or j")
        assert dict(load(paths_in(tmp_path).settings).keys) == {"on": "f9,j"}
        await at.press("2")
        await at.shows("measure 1 of 30")
        await at.press("right", "f9", "j")
        await at.shows("measure 3 of 30")
        await at_setup(at)
        await mark(at, "one measure on")
        await at.press("delete")
        await at.shows("right or page down")
        assert load(paths_in(tmp_path).settings).keys == ()


async def test_a_key_that_is_taken_is_told(tmp_path: Path) -> None:
    async with sitting(tmp_path, size=(80, 50)) as at:
        await at_setup(at)
        await mark(at, "one measure on")
        await at.press("enter")
        await at.shows("Press the key for")
        await at.press("space")
        await at.shows("! Space is taken: play, or stop")
        await at.press("enter")
        await at.shows("Press the key for")
        await at.press("escape")
        await at.until(lambda: at.app.screen is at.app.place)
        assert load(paths_in(tmp_path).settings).keys == ()


async def test_keys_from_the_settings_file(tmp_path: Path, with_demo: Path) -> None:
    config = tmp_path / "config"
    config.mkdir()
    (config / "settings.toml").write_text('[keys]\nplay = "j,f5"\n', "utf-8")
    async with sitting(tmp_path, copy_of=with_demo) as at:
        await at.until(lambda: at.app.session.opened is not None)
        await at.press("2")
        await at.shows("measure 1 of 30", "j play")
        await at.press("space")
        await at.press("f5")
        await at.shows("count-in")


def test_faults_in_the_settings_file_are_told() -> None:
    assert faults({"play": "j,f5"}) == ()
    (unknown,) = faults({"plya": "p"})
    assert "there is no plya; did you mean play?" in unknown
    (twice,) = faults({"loop": "s"})
    assert "also mean “make a spot of the range or the measure”" in twice


async def test_settings_that_cannot_be_written_hold_for_the_session(tmp_path: Path) -> None:
    (tmp_path / "config").write_text("a file where the folder should be", "utf-8")
    async with sitting(tmp_path / "other") as at:
        blocked = paths_in(tmp_path)
        at.app.desk.paths = blocked
        await at_setup(at)
        await mark(at, "Level")
        await at.press("enter")
        await at.write("-30")
        await at.shows("! ", "cannot be written", "-30 dB")


async def test_the_chart_and_the_lever(tmp_path: Path) -> None:
    async with sitting(tmp_path) as at:
        await at_setup(at)
        await at.shows("Boehm clarinet")
        await mark(at, "Left E-flat lever")
        await at.press("enter")
        await at.shows("the left little finger has the A-flat/E-flat key too")
        await at.press("down", "enter")
        await at.until(lambda: load(paths_in(tmp_path).settings).fingering.left_eflat_lever)
        await mark(at, "Fingering chart")
        await at.press("enter")
        await at.shows("the chart of the alto saxophone")
        await at.press("home", "enter")
        await at.until(lambda: load(paths_in(tmp_path).settings).instrument == "alto saxophone")

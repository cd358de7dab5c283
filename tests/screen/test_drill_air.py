"""The air in Drill: a strip that moves while a drill of the breath plays, the lengths beside it, and rest between."""

from pathlib import Path

import pytest

from coach.screen.view.glyphs import ASCII
from coach.screen.widgets.drawing import Drawing
from tests.screen.sitting import Sitting, sitting
from tests.screen.test_drill_goal import drills_of


async def one_breath(at: Sitting) -> None:
    """The phrase that ends with measure 8: the note after its graces."""
    await drills_of(at, "8", 3, "Ab4, measure 8")
    await at.shows("breath after Ab4, measures 8-9", "on one breath, measures 4-8")
    await at.press("down", "enter")
    await at.goes("drill")
    await at.shows("on one breath, measures 4-8", "length 1 of 2, goal all at 40")


@pytest.mark.parametrize("size", [(80, 24), (120, 40)])
async def test_the_air_is_told_at_rest(tmp_path: Path, with_demo: Path, size: tuple[int, int]) -> None:
    async with sitting(tmp_path, copy_of=with_demo, size=size) as at:
        await one_breath(at)
        await at.shows("air to", "click on", "dizzy: stop and sit down")
        assert all(len(line) <= size[0] for line in at.text.split("\n")) and "…" not in at.text
        beside = at.app.screen.query_one("#drill-track", Drawing).text.split("\n")
        assert [line.split()[:2] for line in beside if "1/2" in line] == [["▸", "1/2"]]
        await at.press("w")
        await at.shows("Dizzy means stop", "medical test", "Common practice of the trade.")


async def test_the_line_moves_while_it_plays_and_then_there_is_rest(tmp_path: Path, with_demo: Path) -> None:
    """Two measures of three beats at 50: 7.2 s. The share goes down, the mark goes on; then a minute is counted."""
    async with sitting(tmp_path, copy_of=with_demo) as at:
        await one_breath(at)
        at.app.session.clock = at.clock
        await at.press("space")
        await at.shows("get ready 1", "air 100 %")
        assert not at.loaded().loop
        shares, marks = [], []
        for _ in range(3):
            at.clock.now_s += 3.5
            await at.pilot.pause(0.2)
            line = at.text.split("\n")[-2]
            shares.append(int(line.split("air ")[1].split()[0]))
            marks.append(line.index("▸"))
        assert shares[0] > shares[1] > shares[2] and marks[0] < marks[1] < marks[2]
        at.clock.now_s += 4
        await at.shows("rest 60 s and breathe")
        at.clock.now_s += 20
        await at.shows("rest 40 s and breathe")
        at.clock.now_s += 41
        await at.shows("stopped: space begins")


async def test_it_climbs_to_all_of_it(tmp_path: Path, with_demo: Path) -> None:
    async with sitting(tmp_path, copy_of=with_demo) as at:
        await one_breath(at)
        await at.press("c", "c", "c")
        await at.shows("✓ clean at 50: on to all at 50", "all")
        await at.press("space")
        await at.shows("On one breath: all of it")
        assert at.loaded().measures == ["1", "2", "3", "4", "5"]
        await at.press("s")
        await at.shows("✗ slip at 50: back to length 1 of 2")
        assert [rep.length for rep in at.app.desk.record().reps] == [(1, 2)] * 3 + [None]
        await at.press("backspace")
        await at.shows("taken back: slip at 50", "all at 50, goal all at 40")


async def test_on_a_terminal_of_ascii(tmp_path: Path, with_demo: Path) -> None:
    """The strip in tenths: nine where it is full."""
    async with sitting(tmp_path, copy_of=with_demo, glyphs=ASCII) as at:
        await one_breath(at)
        line = at.text.split("\n")[-2]
        assert line.isascii() and "99" in line and "air to" in line


async def test_what_does_not_last_is_told(tmp_path: Path, with_demo: Path) -> None:
    """Six measures on one breath, which are twenty seconds."""
    async with sitting(tmp_path, copy_of=with_demo) as at:
        await drills_of(at, "8", 3, "Ab4, measure 8")
        await at.press("escape", "escape")
        await at.press("g")
        await at.write("9")
        await at.shows("measure 9 of 30")
        await at.press("left_square_bracket", *["right"] * 8, "right_square_bracket", "e")
        await at.shows("Drills of measures 9-17")
        await at.press("end", "up", "enter")
        await at.goes("drill")
        await at.shows("on one breath, measures 9-17")
        for _ in range(9):
            await at.press("c")
        await at.shows("litres short", "click on")
        assert "…" not in at.text.split("\n")[-2]

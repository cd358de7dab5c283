"""The main job from an empty stand: the demo, hearing it, a loop at 60 per cent, a spot, three reps, Progress."""

from pathlib import Path

import pytest

from coach.lesson.drilling import spots
from coach.lesson.stand import pieces
from tests.screen.sitting import sitting


@pytest.mark.parametrize("size", [(80, 24), (120, 40)])
async def test_from_an_empty_stand_to_progress(tmp_path: Path, size: tuple[int, int]) -> None:
    async with sitting(tmp_path, size=size) as at:
        await at.shows("Nothing is on the stand yet")

        await at.press("d")
        await at.goes("stand")
        await at.shows("measure 1 of 30", "9/8", "5 flats", "stopped")
        (demo,) = pieces(at.app.desk)

        await at.press("space")
        await at.shows("count-in")
        length_s = at.app.sounding.playing._length_s
        at.clock.now_s += 0.1 + 9 * 60 / 50 / 3  # a measure of 9/8 counted in at 50 dotted quarters a minute
        await at.shows("playing")
        await at.until(lambda: at.music.lit == "1.1")
        assert "▼" in at.text
        assert length_s > 60
        await at.press("space")
        await at.shows("stopped")
        await at.until(lambda: "▼" not in at.text)

        await at.press("right", "right", "right", "l", "equals_sign")
        await at.write("60 %")
        await at.shows("measure 4 of 30", "= 30 (60 % of 50)", "loop measure 4")
        await at.press("space")
        await at.shows("count-in")
        loaded = at.loaded()
        assert (loaded.measures, loaded.loop, round(loaded.rate, 9)) == (["4"], True, 0.6)
        await at.press("space")

        before = len(spots(at.app.desk, demo.id))
        await at.press("s")
        await at.write("the turn")
        await at.shows("Kept as a spot: the turn")
        assert len(spots(at.app.desk, demo.id)) == before + 1  # the demo brings some of its own

        await at.press("enter")
        await at.goes("drill")
        await at.shows("the turn", "measure 4", "goal 50")
        await at.press("space")
        await at.shows("get ready")
        for k in range(3):
            await at.press("c")
            await at.shows("✓ clean at 30", ("1 of 3", "2 of 3", "up to")[k])
            assert len(at.app.desk.record().reps_in(demo.id)) == k + 1  # on the disk when the screen says so
        await at.press("space")

        await at.press("4")
        await at.goes("progress")
        await at.shows("needs work: 1", "unknown: 29", "the turn", "clean in 3 of 3 complete reps")
        await at.until(lambda: at.text.count("✓") >= 4)  # the legend, and the three in the curve

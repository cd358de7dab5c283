"""Today: the spots by need, working on one, the plan for other minutes."""

from pathlib import Path

from tests.screen.sitting import sitting


async def test_the_marked_spot_is_worked_on_and_comes_back_with_its_share(tmp_path: Path, with_demo: Path) -> None:
    async with sitting(tmp_path, copy_of=with_demo) as at:
        await at.shows("Spots by need", "no complete rep yet", "not worked yet", "start at 30, goal 50")
        await at.until(lambda: at.app.session.opened is not None)
        await at.press("enter")
        await at.goes("drill")
        await at.shows("the climb")
        await at.press("c", "s", "c")
        await at.shows("✓ clean at 29: 1 of 3")
        await at.press("1")
        await at.goes("today")
        await at.shows("✗ needs work", "clean in 2 of 3 complete reps", "last worked today")


async def test_space_plays_the_marked_spot(tmp_path: Path, with_demo: Path) -> None:
    async with sitting(tmp_path, copy_of=with_demo) as at:
        await at.shows("Spots by need")
        await at.until(lambda: at.app.session.opened is not None)
        await at.press("space")
        await at.goes("drill")
        await at.shows("▶ get ready")


async def test_the_plan_for_other_minutes(tmp_path: Path, with_demo: Path) -> None:
    async with sitting(tmp_path, copy_of=with_demo, size=(100, 50)) as at:
        await at.shows("A plan for 30 minutes", "warm-up", "rest")
        await at.press("equals_sign")
        await at.write("10")
        await at.shows("A plan for 10 minutes")
        await at.press("equals_sign")
        await at.write("2")
        await at.shows("! ")
        await at.press("equals_sign")
        await at.write("a few")
        await at.shows("'a few' is no number of minutes")

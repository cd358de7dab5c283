"""The reference on the Stand breathes for the tempo in hand. What it should do is `coach prepare --breath` at its tempo
(tests/cli/test_breath.py); here it is whether that is what the player is given, and planned once for each tempo."""

from pathlib import Path

from tests.screen.sitting import sitting
from tests.screen.stand.marks import take_up


async def test_it_breathes_more_often_in_slow_practice_and_not_as_printed(tmp_path: Path, with_demo: Path) -> None:
    async with sitting(tmp_path, copy_of=with_demo) as at:
        await take_up(at)
        session = at.app.session
        quick = session.take().interpretation
        session.share = 0.6
        slow = session.take().interpretation
        assert quick is not None and slow is not None
        plan = session.prepared.breaths(0.6)
        assert set(quick.breaths) == {one.at for one in plan.performance.breaths} < set(slow.breaths)
        assert set(slow.breaths) - set(quick.breaths) == {one.at for one in plan.here.breaths if one.practice}
        assert session.prepared.breaths(0.601) is plan, "planned once, to the nearest per cent"
        session.plain = True
        assert session.take().interpretation is None


async def test_a_breath_that_is_struck_is_not_taken(tmp_path: Path, with_demo: Path) -> None:
    async with sitting(tmp_path, copy_of=with_demo) as at:
        await take_up(at)
        session = at.app.session
        opened = session.opened
        before = session.take().interpretation
        assert opened is not None and before is not None
        first = next(iter(before.breaths))
        opened.pencil.put_typed("breath", "full", first)
        opened.pencil.strike(next(mark.id for mark in opened.pencil.prep.at(first) if mark.kind == "breath"))
        after = session.take().interpretation
        assert after is not None and first not in after.breaths

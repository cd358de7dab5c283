"""What goes wrong is one sentence on the screen; leaving in the middle of anything loses nothing."""

import subprocess
import sys
from pathlib import Path

from coach.errors import StoreError
from coach.lesson.desk import Desk
from tests.screen.sitting import Sitting, paths_in, sitting

HEAVY = ("numpy", "sqlite3", "lxml", "music21", "rtmidi", "miniaudio", "mido")


async def playing(at: Sitting) -> None:
    await at.until(lambda: at.app.session.opened is not None)
    await at.press("2")
    await at.shows("measure 1 of 30")
    await at.press("space")
    await at.shows("count-in")


async def test_a_trouble_with_the_sound_is_told_and_playing_can_begin_again(tmp_path: Path, with_demo: Path) -> None:
    async with sitting(tmp_path, copy_of=with_demo) as at:
        await playing(at)
        at.player.troubles.append("The sound process ended unexpectedly; press play to start it again.")
        at.player.stop()
        await at.shows("! The sound process ended unexpectedly", "stopped")
        await at.press("space")
        await at.shows("count-in")


async def test_a_log_that_cannot_be_opened_is_told(tmp_path: Path) -> None:
    (tmp_path / "data").write_text("a file where the folder should be", "utf-8")
    async with sitting(tmp_path) as at:
        await at.shows("! The folder")
        await at.press("d")
        await at.shows("! ")
        await at.press("2")
        await at.goes("stand")


async def test_a_rep_that_cannot_be_written_is_not_confirmed(tmp_path: Path, with_demo: Path) -> None:
    async with sitting(tmp_path, copy_of=with_demo) as at:
        await at.until(lambda: at.app.session.opened is not None)
        await at.press("3")
        await at.shows("0 of 3 clean in a row")

        def full(*_: object) -> None:
            raise StoreError("The disk is full: make room, then press the key again.")

        desk = at.app.desk
        append, desk.append = desk.append, full  # type: ignore[method-assign]
        await at.press("c")
        await at.shows("! The disk is full")
        assert "✓ clean" not in at.text
        desk.append = append  # type: ignore[method-assign]
        await at.press("c")
        await at.shows("✓ clean at 30: 1 of 3")


async def test_ctrl_c_stops_and_twice_leaves_with_status_0(tmp_path: Path, with_demo: Path) -> None:
    async with sitting(tmp_path, copy_of=with_demo) as at:
        await playing(at)
        await at.press("ctrl+c")
        await at.shows("Press ctrl+c again to leave", "stopped")
        await at.press("ctrl+c")
        await at.until(lambda: at.player.calls[-1][0] == "close")
        assert (at.app.return_code, at.app.return_value) == (0, 0)


async def test_leaving_in_the_middle_of_a_drill_keeps_every_rep(tmp_path: Path, with_demo: Path) -> None:
    async with sitting(tmp_path, copy_of=with_demo) as at:
        await at.until(lambda: at.app.session.opened is not None)
        await at.press("3")
        await at.shows("0 of 3 clean in a row")
        await at.press("space", "c", "c", "s")
        await at.shows("✗ slip at 30")
        await at.press("p")
        await at.shows("How the ladder moves")
        await at.press("ctrl+q")
        await at.until(lambda: at.player.calls[-1][0] == "close")
    desk = Desk.open(paths_in(tmp_path))
    assert [rep.outcome for rep in desk.record().reps] == ["clean", "clean", "slip"]
    desk.close()


async def test_keys_work_while_a_piece_is_being_read(tmp_path: Path) -> None:
    async with sitting(tmp_path) as at:
        await at.press("d", "2", "space", "right", "l", "3", "c", "4", "2")
        await at.shows("measure 1 of 30", "[2 Stand]")


def test_before_the_first_paint_nothing_heavy_is_imported() -> None:
    program = (
        "import sys, coach.screen.app, coach.screen.today.screen; "
        f"print([m for m in sys.modules if m.split('.')[0] in {HEAVY!r}], "
        "[m for m in sys.modules if m.startswith(('coach.music', 'coach.sound', 'coach.practice', 'coach.files'))])"
    )
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[] []"

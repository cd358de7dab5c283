"""Drills on the screens: made with the pencil or of a measure, played, logged, climbed, taken back."""

import asyncio
from dataclasses import replace
from pathlib import Path

import pytest

from coach.lesson.drilling import spots
from coach.lesson.engraving import engraving
from coach.screen.view.glyphs import ASCII
from coach.screen.widgets.drawing import Drawing
from tests.screen.sitting import Sitting, sitting

BAR_S = 3 * 60 / 30  # three dotted quarters at 30 a minute


async def to_measure(at: Sitting, number: str) -> None:
    await at.until(lambda: at.app.session.opened is not None)
    await at.press("2")
    await at.goes("stand")
    await at.press("g")
    await at.write(number)
    await at.shows(f"measure {number} of 30")


async def swap_drill(at: Sitting) -> None:
    """Make the swap drill of the held low F, with its two fingerings marked."""
    await to_measure(at, "12")
    await at.press("p")
    await at.shows("F3, beat 1 of measure 12")
    await at.press("w")
    await at.write("L>R 3/2")
    await at.shows("change from L to R")
    await at.press("e")
    await at.shows("Drills of F3, measure 12", "swap on F3, measure 12", "F3-Db4 back and forth")
    await at.press("enter")
    await at.goes("drill")
    await at.shows("swap on F3, measure 12", "spot 5 of 5")


def reps(at: Sitting) -> list[tuple[str, float, str]]:
    return [(rep.outcome, rep.per_minute, rep.drill) for rep in at.app.desk.record().reps]


async def test_a_swap_drill_is_made_played_logged_and_climbed(tmp_path: Path, with_demo: Path) -> None:
    """Three clean in a row go one rung up: 30, then 31.5, half of the metronome's marks 60 and 63."""
    async with sitting(tmp_path, copy_of=with_demo) as at:
        await swap_drill(at)
        await at.shows("Hold, add the second key, release the first", "hold L", "add R", "release L")
        await at.press("space")
        await at.shows("get ready 1", "beat 1: hold the left key")
        assert at.loaded().loop and at.loaded().measures == ["1", "3", "5", "6"]  # what is struck anew
        at.clock.now_s += BAR_S * 1.4  # the count-in of one measure, then into the second beat
        await at.shows("▶ play", "beat 2: add the right key")
        at.clock.now_s += BAR_S / 3
        await at.shows("beat 3: release the left key")
        assert at.music.lit == "1.1"
        for k in (1, 2):
            await at.press("c")
            await at.shows(f"✓ clean at 30: {k} of 3 in a row")
        await at.press("c")
        await at.shows("✓ clean at 30: up to 31.5", "31.5 from the next time")
        assert reps(at) == [("clean", 30, "swap")] * 3
        assert at.app.screen.query_one("#drill-track", Drawing).text.count("✓") == 3
        await at.press("space")
        await at.shows("stopped: space begins")


async def test_slip_undo_and_what_is_asked(tmp_path: Path, with_demo: Path) -> None:
    async with sitting(tmp_path, copy_of=with_demo) as at:
        await swap_drill(at)
        await at.press("c", "s", "f")
        await at.shows("✗ slip at 30: down to 29 (fingers)")
        await at.press("i")
        await at.shows("! Of a drill it is kept what slipped, not where.")
        await at.press("backspace")
        await at.shows("taken back: slip at 30", "1 of 3 clean in a row")
        assert reps(at) == [("clean", 30, "swap")]
        await at.press("w")
        await at.shows("One finger takes over a note", "beat 2: add the right key", "Pain means stop")


async def test_what_was_confirmed_is_there_after_a_kill(tmp_path: Path, with_demo: Path) -> None:
    """Nothing is closed in between: the second sitting reads what the first one left on the disk."""
    async with sitting(tmp_path, copy_of=with_demo) as at:
        await swap_drill(at)
        await at.press("c")
        await at.shows("✓ clean at 30: 1 of 3 in a row")
        async with sitting(tmp_path) as again:
            await again.until(lambda: again.app.session.opened is not None)
            await again.press("3")
            await again.goes("drill")
            await again.press("left")
            await again.shows("swap on F3, measure 12", "spot 5 of 5", "1 of 3 clean in a row")


async def test_the_other_spots_are_as_ever(tmp_path: Path, with_demo: Path) -> None:
    """Stepping on from the drill leads to a spot as printed, without the line of the drill; the Stand brackets and
    drills spots, not drills."""
    async with sitting(tmp_path, copy_of=with_demo) as at:
        await swap_drill(at)
        await at.press("right")
        await at.shows("the held low F", "measures 11-13", "spot 1 of 5")
        assert not at.app.screen.query_one("#drill-step").display
        await at.press("left")
        await at.shows("swap on F3", "Hold, add the second key")
        await at.press("2")
        await at.goes("stand")
        await at.shows("spot: the held low")
        assert "swap on" not in at.text.split("\n")[1]
        await at.press("enter")
        await at.goes("drill")
        await at.shows("the held low F")


async def test_a_measure_and_a_range_on_the_stand(tmp_path: Path, with_demo: Path) -> None:
    async with sitting(tmp_path, copy_of=with_demo) as at:
        await to_measure(at, "11")
        await at.press("e")
        await at.shows(
            "Drills of measure 11", "measure 11 from the front", "measure 11 from the end", "the cursor on it"
        )
        await at.press("escape")
        await at.press("left_square_bracket", "right", "right_square_bracket", "e")
        await at.shows("Drills of measures 11-12")
        await at.press("down", "enter")
        await at.goes("drill")
        await at.shows("measures 11-12 from the end", "spot 5 of 5")


async def test_where_no_drill_fits(tmp_path: Path, with_demo: Path) -> None:
    async with sitting(tmp_path, copy_of=with_demo) as at:
        await to_measure(at, "1")
        await at.press("left_square_bracket", "end", "right_square_bracket", "e")
        await at.shows("! No drill fits measures 1-30")
        assert at.app.session.opened is not None
        assert len(spots(at.app.desk, at.app.session.opened.set_piece.id)) == 4


async def test_today_and_progress_know_it(tmp_path: Path, with_demo: Path) -> None:
    async with sitting(tmp_path, copy_of=with_demo, size=(120, 40)) as at:
        await swap_drill(at)
        await at.press("c")
        await at.shows("1 of 3 in a row")
        await at.press("4")
        await at.goes("progress")
        await at.shows("spot 5 of 5: swap on F3, measure 12   clean in 1 of 1")
        await at.press("1")
        await at.goes("today")
        await at.shows("swap on F3, measure 12   Slow")  # its name says where, and nothing says it twice


async def test_on_a_terminal_of_ascii(tmp_path: Path, with_demo: Path) -> None:
    async with sitting(tmp_path, copy_of=with_demo, glyphs=ASCII) as at:
        await swap_drill(at)
        await at.shows("hold L", "add R")
        assert {sign for sign in at.text if not sign.isascii()} <= {"É", "│"}  # the title's, and the border's


async def test_it_is_engraved(tmp_path: Path, with_demo: Path) -> None:
    async with sitting(tmp_path, copy_of=with_demo, size=(120, 40), engraving=engraving) as at:
        await swap_drill(at)
        await at.until(lambda: at.music.engraved, 60)
        page = at.music.page
        assert page is not None and {"1.1", "1.2", "1.3"} <= set(page.notes)
        assert len(list(at.app.desk.paths.drills.iterdir())) == 1


@pytest.mark.parametrize("size", [(80, 24), (120, 40)])
async def test_the_step_fits(tmp_path: Path, with_demo: Path, size: tuple[int, int]) -> None:
    async with sitting(tmp_path, copy_of=with_demo, size=size) as at:
        await swap_drill(at)
        await at.shows("no gap, no blip.")
        await asyncio.sleep(0)
        assert "…" not in at.text


async def test_a_drill_that_the_score_has_lost_is_told_and_passed_over(tmp_path: Path, with_demo: Path) -> None:
    """Its entry is of a note that is not there, as after a correction of the score; stepping either way goes on."""
    async with sitting(tmp_path, copy_of=with_demo) as at:
        await swap_drill(at)
        spot = at.app.session.spot
        assert spot is not None
        lost = replace(spot, from_note="12.9", to_note="12.9")
        at.app.desk.append(lost.to_entry("lost", at.app.desk.now(), "UTC"))
        await at.press("right")
        await at.shows("the held low F", "spot 1 of 5")
        await at.press("left")
        await at.shows("the long trill", "spot 4 of 5", "cannot be played")
        await at.press("right")
        await at.shows("the held low F", "spot 1 of 5")


async def test_the_hardest_changes_of_the_piece(tmp_path: Path, with_demo: Path) -> None:
    """The last line of the list: two changes from a grace, the swap on the held low F, then C to D flat over into the
    altissimo; what was chosen is a spot of its own, and the next time the next drill of that change stands there."""
    async with sitting(tmp_path, copy_of=with_demo) as at:
        await hardest(at)
        await at.shows(
            "swap on F3, measure 12", "C6-Db6 back and forth, measure 16 (2 times)", "if the left ring is late"
        )
        await at.press("down", "down", "down", "enter")
        await at.goes("drill")
        await at.shows("C6-Db6 back and forth, measure 16", "spot 5 of 5")
        await at.press("c")
        await at.shows("1 of 3 in a row")
        assert [drill for _, _, drill in reps(at)] == ["back-and-forth"]
        await hardest(at)
        await at.shows("C6-Db6 in its place, measure 16")
        await at.press("down", "down", "enter")
        await at.goes("drill")
        await at.shows("swap on F3, measure 12", "spot 6 of 6", "hold L", "add R")


async def test_the_hardest_changes_with_the_pencil(tmp_path: Path, with_demo: Path) -> None:
    async with sitting(tmp_path, copy_of=with_demo) as at:
        await to_measure(at, "12")
        await at.press("p")
        await at.shows("F3, beat 1 of measure 12")
        await at.press("e")
        await at.shows("Drills of F3, measure 12")
        await at.press("end", "enter")
        await at.shows("swap on F3, measure 12", "C6-Db6 back and forth")
        await at.press("escape")
        await at.shows("F3, beat 1 of measure 12")
        assert at.app.session.opened is not None
        assert len(spots(at.app.desk, at.app.session.opened.set_piece.id)) == 4


async def test_without_a_chart_it_is_said(tmp_path: Path, with_demo: Path) -> None:
    async with sitting(tmp_path, copy_of=with_demo) as at:
        await to_measure(at, "11")
        opened = at.app.session.opened
        assert opened is not None
        at.app.session.opened = replace(opened, set_piece=replace(opened.set_piece, instrument="zither"))
        await at.press("e")
        await at.shows("Drills of measure 11")
        await at.press("end", "enter")
        await at.shows("There is no fingering chart for zither")


async def hardest(at: Sitting) -> None:
    """Ask for the hardest changes from measure 11 of the Stand."""
    await to_measure(at, "11")
    await at.press("e")
    await at.shows("Drills of measure 11")
    await at.press("end")
    await at.shows("The hardest changes of the piece")
    await at.press("enter")
    await at.shows("its next drill")

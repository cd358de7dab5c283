"""Drill: reps by one key, what slipped by another, the ladder, undo."""

from pathlib import Path

from coach.lesson.stand import pieces
from coach.screen.widgets.drawing import Drawing
from tests.screen.sitting import Sitting, sitting


async def at_the_drill(at: Sitting) -> None:
    await at.until(lambda: at.app.session.opened is not None)
    await at.press("3")
    await at.goes("drill")
    await at.shows("spot 1 of 4", "0 of 3 clean in a row", "rule: steady")


def reps(at: Sitting) -> list[tuple[str, float, str]]:
    """Outcome, tempo and what slipped of all reps."""
    return [
        (rep.outcome, rep.per_minute, " ".join(slip.what for slip in rep.slips)) for rep in at.app.desk.record().reps
    ]


async def test_three_clean_go_up_and_a_slip_goes_down(tmp_path: Path, with_demo: Path) -> None:
    """The rule "steady": three clean in a row go one rung up, a slip goes one rung down; 30 and 31.5 are half of the
    metronome's marks 60 and 63, 29 is half of 58."""
    async with sitting(tmp_path, copy_of=with_demo) as at:
        await at_the_drill(at)
        await at.press("c")
        await at.shows("✓ clean at 30: 1 of 3 in a row")
        await at.press("c")
        await at.shows("✓ clean at 30: 2 of 3 in a row", "clean in 2 of 2 complete reps")
        await at.press("c")
        await at.shows("✓ clean at 30: up to 31.5")
        await at.press("s")
        await at.shows("✗ slip at 31.5: down to 30", "n notes")
        await at.press("f")
        await at.shows("✗ slip at 31.5: down to 30 (fingers)", "clean in 3 of 4")
        assert reps(at) == [("clean", 30, "")] * 3 + [("slip", 31.5, "fingers")]
        await at.press("s")
        await at.shows("✗ slip at 30: down to 29")
        track = at.app.screen.query_one("#drill-track", Drawing).text
        (clean,) = [line for line in track.split("\n") if "✓" in line]
        assert clean.split()[0] == "30"
        assert track.count("✗") == 2
        assert next(line for line in track.split("\n") if "▸" in line).split()[1] == "29"


async def test_undo(tmp_path: Path, with_demo: Path) -> None:
    async with sitting(tmp_path, copy_of=with_demo) as at:
        await at_the_drill(at)
        await at.press("backspace")
        await at.shows("! There is no rep to take back")
        await at.press("c", "s")
        await at.shows("✗ slip at 30: down to 29")
        await at.press("backspace")
        await at.shows("taken back: slip at 30", "1 of 3 clean in a row")
        assert reps(at) == [("clean", 30, "")]
        kinds = [entry.kind for entry in at.app.desk.log.entries(kinds=["rep", "retraction"])]
        assert kinds == ["rep", "rep", "retraction"]  # the log only grows


async def test_what_slipped_needs_a_slip(tmp_path: Path, with_demo: Path) -> None:
    async with sitting(tmp_path, copy_of=with_demo) as at:
        await at_the_drill(at)
        await at.press("c")
        await at.press("b")
        await at.shows("First press the key for a slip")
        for key, what in zip("nrftbud", "notes rhythm fingers tone breath tuning dynamics".split(), strict=True):
            await at.press("s", key)
            await at.shows(f"({what})")
        assert [what for _, _, what in reps(at)][1:] == "notes rhythm fingers tone breath tuning dynamics".split()


async def test_the_new_tempo_begins_between_the_laps(tmp_path: Path, with_demo: Path) -> None:
    async with sitting(tmp_path, copy_of=with_demo) as at:
        await at_the_drill(at)
        await at.press("space")
        await at.shows("get ready")
        bar_s = 9 * 60 / 30 / 3
        at.clock.now_s += bar_s * 1.5
        await at.shows("▶ play")
        await at.press("s")
        await at.shows("29 from the next time")
        assert not [call for call in at.player.calls if call[0] == "set_rate"]
        at.clock.now_s += bar_s * 2.8  # three measures of spot, then one of rest
        await at.until(lambda: [call for call in at.player.calls if call[0] == "set_rate"])
        assert at.app.sounding.playing.take is not None
        assert at.app.sounding.playing.take.per_minute == 29
        await at.until(lambda: "from the next time" not in at.text)


async def test_another_tempo_than_the_rung(tmp_path: Path, with_demo: Path) -> None:
    async with sitting(tmp_path, copy_of=with_demo) as at:
        await at_the_drill(at)
        await at.press("equals_sign")
        await at.write("50 %")
        await at.shows("the next rep at 25; the ladder stands at 30")
        await at.press("s")
        await at.shows("✗ slip at 25")
        assert reps(at) == [("slip", 25, "")]


async def test_rule_name_and_dropping(tmp_path: Path, with_demo: Path) -> None:
    async with sitting(tmp_path, copy_of=with_demo) as at:
        await at_the_drill(at)
        await at.press("p")
        await at.shows("How the ladder moves", "Two clean in a row go one rung up")
        await at.press("down", "enter")
        await at.shows("rule: brisk")
        await at.press("c", "c")
        await at.shows("up to 31.5")
        await at.press("e")
        await at.write("the long low one")
        await at.shows("the long low one")
        await at.press("delete")
        await at.shows("its reps stay in the log")
        await at.press("down", "enter")
        await at.shows("spot 1 of 3")
        assert len(reps(at)) == 2
        assert len(at.app.desk.record().spots_of(pieces(at.app.desk)[0].id)) == 3


async def test_stepping_through_the_spots(tmp_path: Path, with_demo: Path) -> None:
    async with sitting(tmp_path, copy_of=with_demo) as at:
        await at_the_drill(at)
        await at.press("right", "right")
        await at.shows("spot 3 of 4")
        await at.press("left", "left", "left")
        await at.shows("spot 4 of 4")


async def test_nothing_to_drill(tmp_path: Path) -> None:
    async with sitting(tmp_path) as at:
        await at.press("3")
        await at.goes("drill")
        await at.shows("There is no spot to drill yet")
        await at.press("c")
        await at.shows("! There is no spot yet")

"""Drill: reps by one key, what slipped by another, the ladder, undo."""

from dataclasses import replace
from pathlib import Path

from coach.lesson.stand import pieces
from coach.screen.drill.screen import DrillScreen
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
        await at.shows("get ready 1")
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
        await at.shows("How big a rung is", "1 notch", "5 per cent")
        await at.press("enter")
        await at.shows("Where it starts", "up to the goal of 50")
        await at.press("enter")
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


async def test_a_ladder_of_per_cents_from_another_start(tmp_path: Path, with_demo: Path) -> None:
    """Rungs of 5 per cent from 40: three clean in a row lead to 42, arithmetic done here."""
    async with sitting(tmp_path, copy_of=with_demo) as at:
        await at_the_drill(at)
        await at.press("p")
        await at.shows("How the ladder moves")
        await at.press("enter")
        await at.shows("How big a rung is")
        await at.press("down", "down", "down", "down", "enter")
        await at.shows("Where it starts")
        await at.write("40")
        await at.shows("rungs of 5 per cent, from 40 up to 50")
        await at.press("c", "c", "c")
        await at.shows("✓ clean at 40: up to 42")
        await at.press("p")
        await at.shows("How the ladder moves")
        await at.press("enter")
        await at.shows("How big a rung is")
        await at.press("enter")
        await at.shows("Where it starts")
        await at.write("900")
        await at.shows("This ladder cannot be set up")
        await at.until(lambda: at.app.desk.record().reps[-1].rung == 40)


async def test_where_a_slip_was(tmp_path: Path, with_demo: Path) -> None:
    async with sitting(tmp_path, copy_of=with_demo) as at:
        await at_the_drill(at)
        await at.press("i")
        await at.shows("Where it slipped", "measure 12")
        await at.press("enter")
        await at.shows("! First press the key for a slip")
        await at.press("s", "f", "i")
        await at.shows("Where it slipped")
        await at.press("down", "enter")
        await at.shows("(fingers, measure 12)")
        (rep,) = at.app.desk.record().reps
        assert [(slip.what, slip.at) for slip in rep.slips] == [("fingers", "12")]


async def test_the_rest_between_the_laps_is_a_setting(tmp_path: Path, with_demo: Path) -> None:
    async with sitting(tmp_path, copy_of=with_demo) as at:
        await at_the_drill(at)
        app = at.app
        app.desk.change(replace(app.desk.settings, drill_rest=2, loop_rest=4, follow_repeats=True))
        screen = app.screen
        assert isinstance(screen, DrillScreen) and screen.drilling is not None
        assert screen.drilling.take(False).rest_measures == 2
        app.session.loop = True
        assert (app.session.take().rest_measures, app.session.take().repeats) == (4, False)
        app.session.loop = False
        assert app.session.take().repeats


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

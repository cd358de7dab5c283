"""Drills of trills, graces and leaps on the screens: offered where the pencil is, shown with their goal, played as it
is decided."""

from dataclasses import replace
from pathlib import Path

import pytest

from coach.lesson.engraving import engraving
from coach.prepare.ornaments.shake import shaken
from coach.screen.view.glyphs import ASCII
from coach.screen.widgets.drawing import Drawing
from tests.screen.sitting import Sitting, sitting


async def drills_of(at: Sitting, measure: str, steps: int, about: str) -> None:
    """Put the pencil on a note of the demo and ask for its drills."""
    await at.until(lambda: at.app.session.opened is not None)
    await at.press("2")
    await at.goes("stand")
    await at.press("g")
    await at.write(measure)
    await at.shows(f"measure {measure} of 30")
    await at.press("p", *["right"] * steps, "e")
    await at.shows(f"Drills of {about}")


async def trill_drill(at: Sitting) -> None:
    await drills_of(at, "25", 0, "Eb5, measure 25")
    await at.shows("trill on Eb5, measure 25")
    await at.press("enter")
    await at.goes("drill")
    await at.shows("trill on Eb5, measure 25", "spot 5 of 5", "Counted in stages")


@pytest.mark.parametrize("size", [(80, 24), (120, 40)])
async def test_the_goal_of_a_trill_is_a_curve_under_the_ladder(
    tmp_path: Path, with_demo: Path, size: tuple[int, int]
) -> None:
    """What it is in words with its glyph; the four beats of twelve eighths and the next downbeat beneath it; at the
    left the rates of the decided trill, a dotted quarter being one and a half: its notes a quarter times 3/2."""
    async with sitting(tmp_path, copy_of=with_demo, size=size) as at:
        await trill_drill(at)
        beside = at.app.screen.query_one("#drill-track", Drawing).text.split("\n")
        assert beside[0].split() == ["50◆"]  # the ladder's goal stays where it was
        drawn = beside[beside.index("◆ notes a beat") :]
        assert drawn[-1].split() == ["1", "2", "3", "4", "1"]
        decided = at.app.session.prepared.interpretation.ornaments["25.1"].shake
        assert decided is not None
        rates = [line[:5].strip() for line in drawn[1:-2] if line[:5].strip()]
        assert rates == [f"{float(rate) * 1.5:.3g}" for rate in (decided.last, decided.first)]
        assert "…" not in at.text.split("\n")[4]  # the step fits its line


async def test_it_sounds_the_decided_trill_and_climbs(tmp_path: Path, with_demo: Path) -> None:
    async with sitting(tmp_path, copy_of=with_demo) as at:
        await trill_drill(at)
        await at.press("space")
        await at.shows("get ready 1", "dotted quarters: to and fro")
        decided = at.app.session.prepared.interpretation.ornaments["25.1"].shake
        goal = at.app.screen.drilling.work.drill.goal  # type: ignore[attr-defined]
        assert goal is not None and goal[1] == decided
        sounding = [event for event in at.loaded().timeline.events if event.line == 0 and event.kind == "note"]
        wanted = len(shaken(goal[0].pitch, goal[1]))
        assert len([event for event in sounding if event.where.startswith("5.")]) == wanted
        for _ in range(3):
            await at.press("c")
        await at.shows("✓ clean at 30: up to 31.5")
        assert [rep.drill for rep in at.app.desk.record().reps] == ["trill-ramp"] * 3
        await at.press("w")
        await at.shows("both notes of the trill come out even", "stop when the hand", "Pain means stop.")


async def test_other_spots_have_no_goal(tmp_path: Path, with_demo: Path) -> None:
    async with sitting(tmp_path, copy_of=with_demo) as at:
        await trill_drill(at)
        await at.press("right")
        await at.shows("the held low F", "spot 1 of 5")
        assert "notes a beat" not in at.text


async def test_a_trill_decided_anew_is_drilled_anew(tmp_path: Path, with_demo: Path) -> None:
    async with sitting(tmp_path, copy_of=with_demo) as at:
        await trill_drill(at)
        opened = at.app.session.opened
        assert opened is not None
        content = at.app.session.prepared.interpretation.ornaments["25.1"]
        assert content.shake is not None
        slower = replace(content, shake=replace(content.shake, first=content.shake.first / 2))
        opened.pencil.put(slower, "25.1")
        await at.press("2")
        await at.goes("stand")
        await at.press("3")
        await at.goes("drill")
        await at.shows("trill on Eb5, measure 25")
        assert at.app.screen.drilling.work.drill.goal[1] == slower.shake  # type: ignore[attr-defined]


async def test_on_a_terminal_of_ascii(tmp_path: Path, with_demo: Path) -> None:
    async with sitting(tmp_path, copy_of=with_demo, glyphs=ASCII) as at:
        await trill_drill(at)
        drawn = at.app.screen.query_one("#drill-track", Drawing).text
        assert "notes a beat" in drawn and drawn.isascii()


async def test_graces_are_offered_at_their_note_and_at_themselves(tmp_path: Path, with_demo: Path) -> None:
    """Measure 20: A flat, F, and three graces after it."""
    async with sitting(tmp_path, copy_of=with_demo) as at:
        await drills_of(at, "20", 2, "F5, measure 20")
        await at.shows("graces at F5, measure 20")
        await at.press("enter")
        await at.goes("drill")
        await at.shows("graces at F5, measure 20", "Slowly and in time as ordinary notes", "counted")


async def test_a_leap_is_offered_where_it_begins(tmp_path: Path, with_demo: Path) -> None:
    async with sitting(tmp_path, copy_of=with_demo, size=(100, 40)) as at:
        await drills_of(at, "18", 0, "Ab5, measure 18")
        await at.shows("leap Ab5-Ab4, measure 18")
        await at.press("escape", "escape")
        await drills_of(at, "20", 0, "Ab4, measure 20")
        await at.shows("leap Ab4-F5, measure 20")


async def test_long_tones_are_offered_for_a_range(tmp_path: Path, with_demo: Path) -> None:
    async with sitting(tmp_path, copy_of=with_demo, size=(100, 40)) as at:
        await at.until(lambda: at.app.session.opened is not None)
        await at.press("2")
        await at.goes("stand")
        await at.press("g")
        await at.write("6")
        await at.shows("measure 6 of 30")
        await at.press("left_square_bracket", "right", "right", "right", "right_square_bracket", "e")
        await at.shows("Drills of measures 6-9", "measures 6-9 in long tones")
        await at.press("enter")
        await at.goes("drill")
        await at.shows("measures 6-9 in long tones", "Hold each note with its dynamics")


async def test_a_trill_is_engraved(tmp_path: Path, with_demo: Path) -> None:
    async with sitting(tmp_path, copy_of=with_demo, size=(120, 40), engraving=engraving) as at:
        await trill_drill(at)
        await at.until(lambda: at.music.engraved, 60)
        page = at.music.page
        assert page is not None and {"1.1", "1.2"} <= set(page.notes)

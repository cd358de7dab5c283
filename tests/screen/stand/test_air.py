"""The air and the breaths on the Stand, with the pencil and in Setup: what is shown is what the plan for the tempo in
hand says (its own tests are in tests/prepare/breath), and what is measured is in the settings file."""

import tomllib
from dataclasses import replace
from pathlib import Path

from coach.lesson.breathing import Breaths
from coach.lesson.engraving import engraving
from coach.prepare.breath.caution import CAUTION
from coach.screen.setup.measuring import MeasureScreen
from coach.screen.stand.suggesting import SuggestScreen
from coach.screen.view.glyphs import ASCII
from coach.screen.widgets.music import MusicView
from tests.screen.sitting import Sitting, paths_in, sitting
from tests.screen.stand.marks import on_disk, take_up
from tests.screen.stand.test_suggesting import kinds, on_the_stand, suggest
from tests.screen.test_pictures import PICTURES, frames
from tests.screen.test_setup import at_setup, mark


async def planned(at: Sitting) -> Breaths:
    await at.until(lambda: at.app.session.breaths is not None)
    await at.pilot.pause()
    found = at.app.session.breaths
    assert found is not None
    return found


async def tempo(at: Sitting, text: str) -> Breaths:
    await at.press("equals_sign")
    await at.write(text)
    await at.shows(text)
    return await planned(at)


def signs(at: Sitting) -> set[tuple[str, bool]]:
    return {(sign.at, sign.practice) for sign in at.app.screen.query_one(MusicView).look.breaths}


async def test_practice_breaths_come_and_go_with_the_tempo(tmp_path: Path, with_demo: Path) -> None:
    async with sitting(tmp_path, size=(120, 40), copy_of=with_demo) as at:
        await on_the_stand(at)
        full = await planned(at)
        assert not any(one.practice for one in full.here.breaths)
        await at.until(lambda: signs(at) == {(one.at, False) for one in full.here.breaths})
        slow = await tempo(at, "25")
        practice = {one.at for one in slow.here.breaths if one.practice}
        assert practice
        await at.until(lambda: {name for name, only in signs(at) if only} == practice)
        assert {name for name, only in signs(at) if not only} >= {one.at for one in full.here.breaths}
        assert "{" in at.text
        assert on_disk(at) == []  # they are never marks
        await tempo(at, "50")
        await at.until(lambda: not any(only for _, only in signs(at)))
        await at.press("J")  # as printed: nothing is planned into it
        await at.until(lambda: not signs(at))


async def test_the_air_falls_between_the_breaths(tmp_path: Path, with_demo: Path) -> None:
    """Under every note the share that the plan has left, never more at its end than at its start."""
    async with sitting(tmp_path, size=(120, 50), copy_of=with_demo) as at:
        await on_the_stand(at)
        plan = await planned(at)
        await at.until(lambda: len(at.app.screen.query_one(MusicView).look.bands) == 2)
        level, air = at.app.screen.query_one(MusicView).look.bands
        assert (level.name, air.name) == ("level", "air")
        held = {name: one for name, one in air.notes.items() if one is not None}
        assert all(one.end < one.start for one in held.values())
        for one in plan.here.air:
            assert abs(held[one.at].start - one.start / plan.air.litres) < 1e-9
        await at.shows("level", "air")
        rows = at.text.splitlines()
        named = [k for k, row in enumerate(rows) if row.startswith(("level", "air"))]
        assert [rows[k].split()[0] for k in named[:2]] == ["level", "air"]


async def test_a_key_goes_round_what_stands_under_the_staff(tmp_path: Path, with_demo: Path) -> None:
    async with sitting(tmp_path, copy_of=with_demo) as at:
        await on_the_stand(at)
        await planned(at)
        for says in ("nothing", "the level", "the air", "the level and the air"):
            await at.press("L")
            await at.shows(f"Under the staff: {says}.")
        await at.press("right")
        await at.until(lambda: "Under the staff" not in at.text)


async def test_breaths_are_suggested_kept_and_struck(tmp_path: Path, with_demo: Path) -> None:
    async with sitting(tmp_path, copy_of=with_demo) as at:
        await take_up(at)
        plan = await planned(at)
        await at.press("P")
        await at.until(lambda: isinstance(at.app.screen, SuggestScreen))
        await at.shows("6 breaths")
        await at.press("escape")
        await suggest(at, "6")
        wanted = {one.at for one in plan.suggested}
        assert {one["at"] for one in on_disk(at)} == wanted
        assert set(kinds(at)) == {"breath"}
        await at.until(lambda: not {name for name, only in signs(at) if not only} & wanted)  # now they are marks
        await at.press("K")
        await at.until(lambda: kinds(at, "kept")["breath"] == len(wanted))
        await at.press("u")
        await at.until(lambda: kinds(at)["breath"] == len(wanted))


async def test_the_reason_and_the_air_are_told_at_the_note(tmp_path: Path, with_demo: Path) -> None:
    async with sitting(tmp_path, size=(160, 40), copy_of=with_demo) as at:
        await on_the_stand(at)
        slow = await tempo(at, "25")
        one = next(one for one in slow.here.breaths if one.practice)
        at.app.session.pointed = one.at
        assert at.app.session.opened is not None
        measure = at.app.session.opened.piece.measure_index(one.at.split(".")[0])
        at.app.session.choose(measure)
        await at.press("p")
        await at.goes("pencil")
        await at.press("left", "right")
        before, after = (litres / slow.air.litres for litres in (one.air_before, one.air_after))
        await at.shows(f"air {before:.0%} before, {after:.0%} after".replace("%", " %"), "Practice breath")
        await at.says(one.because[1:])


async def test_what_cannot_work_is_told_and_listed(tmp_path: Path, with_demo: Path) -> None:
    async with sitting(tmp_path, size=(120, 40), copy_of=with_demo) as at:
        await on_the_stand(at)
        air = replace(at.app.desk.settings.air, litres=0.4)
        at.app.desk.change(replace(at.app.desk.settings, air=air))
        at.app.show_state()
        await planned(at)
        await at.shows("! You will be out of air in measure", "n tells what would help")
        await at.press("n")
        await at.shows("The air.", CAUTION[:30], "What would help:")
        await at.press("escape", "right")
        await at.shows("Measure 2")


async def test_a_breath_without_time_is_said_so(tmp_path: Path, with_demo: Path) -> None:
    """The demo goes at 50 dotted quarters a minute: an eighth lasts 0.4 s, of which a breath may take 0.15."""
    async with sitting(tmp_path, size=(120, 40), copy_of=with_demo) as at:
        await take_up(at)
        await planned(at)
        await at.press("right", "right", "right", "b")
        await at.shows("is too short: it gives 0.15 of the 0.6 seconds that a full breath takes")


async def test_the_air_in_setup(tmp_path: Path) -> None:
    """The litres: 60 per cent of what the equations predict; their worked values are tested with them."""
    async with sitting(tmp_path, size=(100, 60)) as at:
        await at_setup(at)
        await mark(at, "Air in one breath")
        await at.shows("2.50 L (default: how much you have is not known)", "Dizzy: stop and sit down")
        for line, text, shown in (
            ("Air in one breath", "3.1", "3.10 L (set)"),
            ("Usable share", "65", "65 % of the vital capacity (set)"),
            ("Air at mf", "0.22", "0.220 L/s (set)"),
            ("A catch breath takes", "0,4", "0.4 s (set)"),
            ("Air by register", "1 1.1 1 1.2", "1, 1.1, 1, 1.2 (set)"),
        ):
            await mark(at, line)
            await at.press("enter")
            await at.write(text)
            await at.shows(shown)
        air = tomllib.loads(paths_in(tmp_path).settings.read_text("utf-8"))["air"]
        assert (air["litres"], air["share"], air["flows"][3], air["catch_s"]) == (3.1, 0.65, 0.22, 0.4)
        for line, text, says in (
            ("Air in one breath", "100", "! 100 is outside what is possible"),
            ("Air in one breath", "0.1", "are nobody's"),
            ("Usable share", "80", "write a number from 10 to 73"),
            ("Height", "20", "less than the equations were made for"),
            ("Air by register", "1 1", "write four factors"),
            ("Air at mf", "much", "'much' is no number"),
        ):
            await mark(at, line)
            await at.press("enter")
            await at.write(text)
            await at.says(says)
        assert tomllib.loads(paths_in(tmp_path).settings.read_text("utf-8"))["air"] == air
        await mark(at, "Usable share")
        await at.press("delete")
        await at.shows("60 % of the vital capacity (default")


async def test_the_lungs_are_reckoned_in_setup(tmp_path: Path) -> None:
    async with sitting(tmp_path, size=(100, 60)) as at:
        await at_setup(at)
        for line, text, shown in (("Age", "40", "40 years (set)"), ("Height", "170", "170 cm (set)")):
            await mark(at, line)
            await at.press("enter")
            await at.write(text)
            await at.shows(shown)
        await mark(at, "Sex")
        await at.press("enter")
        await at.shows("not said", "female", "male")
        await at.press("down", "enter")
        await at.shows("by GLI 2022)")


async def test_three_long_tones(tmp_path: Path) -> None:
    """On a clock that is moved by hand: 2.5 litres over 20, 12.5 and 10 seconds."""
    async with sitting(tmp_path, size=(80, 24)) as at:
        at.app.session.clock = at.clock
        await at_setup(at)
        await mark(at, "Measure with long tones")
        await at.press("enter")
        await at.shows("litres are not known yet")
        await at.write("H9")
        await at.says("'H9' is not a pitch")
        await at.press("enter")
        await at.write("C5")
        await at.until(lambda: isinstance(at.app.screen, MeasureScreen))
        for k, (name, held_s) in enumerate((("p", 20.0), ("mf", 12.5), ("f", 10.0))):
            await at.shows(f"Long tone on C5: {name}", "Breathe in fully", "Stop and sit down when you are dizzy")
            await at.press("space")
            at.clock.now_s += held_s
            await at.shows("Space stops when the air is used up")
            await at.press("space")
            if k == 0:
                await at.shows("Rest and breathe as you like")
                at.clock.now_s += 60
            elif k == 1:
                await at.shows("Rest and breathe as you like")
                await at.press("space")
        await at.shows("all are held", "12.5 seconds", "0.200 litres a second", "the proportions of the dynamics")
        assert not paths_in(tmp_path).settings.exists()
        await at.press("enter")
        await at.shows("measured")
        air = tomllib.loads(paths_in(tmp_path).settings.read_text("utf-8"))["air"]
        assert [air["flows"][k] for k in (1, 3, 4)] == [0.125, 0.2, 0.25]


async def test_practice_breaths_stand_over_a_picture(tmp_path: Path, with_demo: Path) -> None:
    made = sitting(tmp_path, size=(80, 40), copy_of=with_demo, engraving=engraving, pictures=PICTURES)
    async with made as at:
        at.app.desk.change(replace(at.app.desk.settings, music="picture"))
        at.app.paint_sheets()
        await on_the_stand(at)
        await at.until(lambda: frames(at) and all(frame.region.height for frame in frames(at)))
        await tempo(at, "22")
        view = at.music.region

        def rows() -> list[int]:
            page = at.music.page
            assert page is not None
            return [k for k in range(page.canvas.height) if ("{", "practice") in page.canvas.cells(k)]

        await at.until(rows)
        for frame in frames(at):
            assert not set(rows()) & set(range(frame.region.y - view.y, frame.region.bottom - view.y))


async def test_the_measure_in_words_tells_the_breaths(tmp_path: Path, with_demo: Path) -> None:
    async with sitting(tmp_path, copy_of=with_demo) as at:
        await on_the_stand(at)
        slow = await tempo(at, "25")
        one = next(one for one in slow.here.breaths if one.practice)
        await at.press("g")
        await at.write(one.at.split(".")[0])
        await at.shows(f"measure {one.at.split('.')[0]} of 30", "practice breath after beat")
        await at.press("w")
        await at.shows("Air:", "% at the start", "practice breath")


async def test_all_of_it_in_plain_characters(tmp_path: Path, with_demo: Path) -> None:
    async with sitting(tmp_path, copy_of=with_demo, glyphs=ASCII) as at:
        await on_the_stand(at)
        await tempo(at, "25")
        await at.until(lambda: any(only for _, only in signs(at)))
        page = at.music.page
        assert page is not None
        assert page.canvas.text().isascii()
        for _ in range(8):
            await at.press("right")
            await at.pilot.pause()
            assert at.music.page is not None and at.music.page.canvas.text().isascii()

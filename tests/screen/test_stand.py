"""The Stand: stepping, tempo, loops, ranges, click, other parts, what is told."""

from pathlib import Path

import pytest

from coach.lesson.stand import pieces
from coach.practice.rep import Rep
from tests.screen.sitting import Sitting, sitting


async def on_the_stand(at: Sitting) -> None:
    await at.until(lambda: at.app.session.opened is not None)
    await at.press("2")
    await at.goes("stand")
    await at.shows("measure 1 of 30")


async def test_stepping(tmp_path: Path, with_demo: Path) -> None:
    async with sitting(tmp_path, copy_of=with_demo) as at:
        await on_the_stand(at)
        await at.press("right", "right", "left")
        await at.shows("measure 2 of 30")
        await at.press("pagedown", "pagedown", "pageup")  # what page-turn pedals send
        await at.shows("measure 3 of 30")
        await at.press("end", "right", "right")
        await at.shows("measure 30 of 30")
        await at.press("home", "left")
        await at.shows("measure 1 of 30")
        await at.press("g")
        await at.write("17")
        await at.shows("measure 17 of 30", "spot: the climb")
        await at.press("g")
        await at.write("99")
        await at.shows("has no measure 99", "measure 17 of 30")


async def test_tempo_by_notches_of_the_metronome(tmp_path: Path, with_demo: Path) -> None:
    """The traditional marks around 50 are 48, 50, 52 (handbook facts, section 6)."""
    async with sitting(tmp_path, copy_of=with_demo) as at:
        await on_the_stand(at)
        await at.press("down")
        await at.shows("= 48 (96 % of 50)")
        await at.press("up", "up")
        await at.shows("= 52 (104 % of 50)")
        await at.press("space")
        await at.until(lambda: at.app.sounding.wanted)
        await at.press("down", "down")
        await at.until(lambda: ("set_rate", pytest.approx(48 / 50)) in at.player.calls)
        assert at.app.sounding.wanted
        await at.press("equals_sign")
        await at.write("0")
        await at.shows("cannot be practised")
        await at.press("equals_sign")
        await at.write("fast")
        await at.shows("'fast' is no tempo")
        await at.shows("= 48 (96 % of 50)")


async def test_a_range_is_played_looped_and_kept_as_a_spot(tmp_path: Path, with_demo: Path) -> None:
    async with sitting(tmp_path, copy_of=with_demo) as at:
        await on_the_stand(at)
        await at.press("right", "left_square_bracket", "right", "right_square_bracket")
        await at.shows("range: measures 2-3", "[2═")
        await at.press("l", "space")
        await at.shows("loop measures 2-3")
        loaded = at.loaded()
        assert (loaded.measures, loaded.loop, loaded.rate) == (["2", "3"], True, 1.0)
        await at.press("s")
        await at.write("")
        await at.shows("Kept as a spot: measures 2-3")
        await at.press("x")
        await at.until(lambda: "range" not in at.text)
        await at.press("enter")
        await at.goes("drill")
        await at.shows("measures 2-3")


async def test_the_name_of_a_spot_moves_that_spot(tmp_path: Path, with_demo: Path) -> None:
    async with sitting(tmp_path, copy_of=with_demo) as at:
        await on_the_stand(at)
        desk = at.app.desk
        piece = pieces(desk)[0].id
        first = desk.record().spots_of(piece)[0]
        await at.press("left_square_bracket", "right", "right_square_bracket", "s")
        await at.write(first.name)
        await at.shows("is now measures 1-2; its history stays")
        moved = desk.record().spots[first.uuid]
        assert (moved.first, moved.last, len(desk.record().spots_of(piece))) == ("1", "2", 4)


async def test_without_a_range_it_plays_on_and_steps_while_playing(tmp_path: Path, with_demo: Path) -> None:
    async with sitting(tmp_path, copy_of=with_demo) as at:
        await on_the_stand(at)
        await at.press("g")
        await at.write("28")
        await at.press("space")
        await at.shows("count-in")
        assert at.loaded().measures == ["28", "29", "30"]
        await at.press("right")
        await at.shows("measure 29 of 30", "playing")
        assert at.loaded().measures == ["29", "30"]
        at.clock.now_s += 600
        await at.shows("stopped")


async def test_the_page_turns_with_the_sound_and_back(tmp_path: Path, with_demo: Path) -> None:
    async with sitting(tmp_path, copy_of=with_demo) as at:
        await on_the_stand(at)
        await at.press("space")
        await at.shows("count-in")
        bar_s = 9 * 60 / 50 / 3
        at.clock.now_s += bar_s * 5.1  # the count-in and four measures
        await at.until(lambda: "▼" in at.text and " 5 " in at.text.split("\n")[2])
        assert "measure 1 of 30" in at.text
        await at.press("space")
        await at.until(lambda: "▼" not in at.text and " 1 " in at.text.split("\n")[2])


async def test_click_and_other_parts(tmp_path: Path, with_demo: Path) -> None:
    async with sitting(tmp_path, copy_of=with_demo) as at:
        await on_the_stand(at)
        await at.press("space")
        await at.until(lambda: at.app.sounding.wanted)
        await at.press("m")
        await at.shows("click off")
        assert at.player.calls[-1][:2] == ("set_gain", "click")
        await at.press("m")
        await at.shows("click on")
        await at.press("a")
        await at.shows("has no other parts")


async def test_a_run_through_is_written_down(tmp_path: Path, with_demo: Path) -> None:
    async with sitting(tmp_path, copy_of=with_demo) as at:
        await on_the_stand(at)
        await at.press("r")
        await at.shows("measures 1-30", "at 50")
        await at.write("3 17")
        await at.shows("✗ slip at 50", "cold")
        await at.press("r")
        await at.write("clean")
        await at.shows("✓ clean at 50", "a run")
        await at.press("r")
        await at.write("77")
        await at.shows("has no measure 77")
        runs: tuple[Rep, ...] = at.app.desk.record().reps
        assert [(rep.kind, rep.outcome, [slip.at for slip in rep.slips]) for rep in runs] == [
            ("cold", "slip", ["3", "17"]),
            ("run", "clean", []),
        ]


async def test_the_measure_in_words(tmp_path: Path, with_demo: Path) -> None:
    async with sitting(tmp_path, copy_of=with_demo) as at:
        await on_the_stand(at)
        await at.shows("Measure 1, beat 1: A♭4 dotted quarter, slurred, piano")
        await at.press("w")
        await at.shows("E♭5 eighth", "D♭5 eighth")
        await at.press("escape")
        await at.press("n")
        await at.shows("Everything was understood" if not at.app.session.opened.piece.notices else "- ")  # type: ignore[union-attr]


async def test_a_measure_can_be_clicked(tmp_path: Path, with_demo: Path) -> None:
    async with sitting(tmp_path, copy_of=with_demo) as at:
        await on_the_stand(at)
        assert at.music.page is not None
        left, _, top, _ = at.music.page.measures[2]
        await at.pilot.click(at.music, offset=(left + 4, top + 8))
        await at.shows("measure 3 of 30")


async def test_notices_are_told_once(tmp_path: Path) -> None:
    """The Weber file holds things that are simplified; the Stand says how many, until one moves on."""
    async with sitting(tmp_path) as at:
        await at.press("o")
        await at.shows("Add a score")
        await at.press("enter")
        await at.shows("a path, or corpus:")
        await at.write("corpus:weber/concertino_clarinet")
        await at.goes("stand")
        await at.shows("Concertino for Clarinet", "other parts off")
        opened = at.app.session.opened
        assert opened is not None
        count = sum(notice.count for notice in opened.piece.notices)
        assert count > 0
        await at.shows("in the file were not understood")
        await at.press("n")
        await at.shows(f"- {opened.piece.notices[0].text[:40]}")
        await at.press("escape")
        await at.until(lambda: at.app.place is at.app.screen)
        await at.press("a")
        await at.shows("other parts on", "! You will be out of air in measure")  # by the litres of the defaults
        await at.press("w")
        await at.shows("Measure 1, beat 1")
        await at.press("escape")
        await at.until(lambda: at.app.place is at.app.screen)
        await at.press("space")
        await at.until(lambda: at.app.sounding.wanted)
        assert {event.line for event in at.loaded().timeline.events} > {0}


async def test_a_file_that_is_no_score_is_told_in_one_sentence(tmp_path: Path, with_demo: Path) -> None:
    bad = tmp_path / "bad.musicxml"
    bad.write_text("this is no score", "utf-8")
    async with sitting(tmp_path / "home", copy_of=with_demo) as at:
        await on_the_stand(at)
        await at.press("o")
        await at.shows("Add a score")
        await at.press("down", "enter")
        await at.shows("a path, or corpus:")
        await at.write(str(bad))
        await at.says("bad.musicxml holds no MusicXML")
        await at.shows("measure 1 of 30")

"""Changing an ornament with the pencil: two keys, heard at once. The ways offered are those of the room of ornaments
(tests/prepare/ornaments); here it is whether what is chosen is written, played and shown.

What sounds is read from the timeline that the player was given.
"""

from pathlib import Path

from textual.widgets import Input

from coach.music.pitch import parse_pitch
from coach.prepare.mark import Ornament
from coach.screen.rows import Rows
from coach.screen.stand.ways import WaysScreen
from tests.screen.sitting import Sitting, sitting
from tests.screen.stand.marks import at_note, on_disk, take_up

GRACES, TRILL = "8", "25"  # measures of the demo


async def go(at: Sitting, measure: str, *more: str) -> None:
    await at.press("g")
    await at.write(measure)
    await at.shows(f"of measure {measure}")
    await at.press(*more)


async def ways(at: Sitting) -> WaysScreen:
    await at.press("o")
    await at.until(lambda: isinstance(at.app.screen, WaysScreen))
    await at.shows("How to play", "type notes")
    screen = at.app.screen
    assert isinstance(screen, WaysScreen)
    return screen


def offered(screen: WaysScreen) -> list[Ornament]:
    return [way.content for way in screen._ways]


def standing(at: Sitting, note: str) -> list[str]:
    return [mark.get("state", "kept") for mark in at_note(at, note) if mark["kind"] == "ornament"]


def sounding(at: Sitting, note: str) -> list[int]:
    """The keys that the own part sounds for a note, in order."""
    events = [event for event in at.loaded().timeline.events if event.line == 0 and event.kind == "note"]
    return [event.midi for event in events if event.where == note]


async def test_two_keys_change_it_and_play_it(tmp_path: Path, with_demo: Path) -> None:
    async with sitting(tmp_path, copy_of=with_demo) as at:
        await take_up(at)
        await go(at, GRACES, "right")  # on the first of two graces
        await at.shows("grace note D♭5", "o: other ways", "grace before the beat")
        main = at.app.session.prepared.main_note(at.app.session.pointed)
        screen = await ways(at)
        assert len(offered(screen)) > 1
        wanted = offered(screen)[1]
        await at.press("2")
        await at.until(lambda: standing(at, main) == ["kept"])
        await at.until(lambda: at.app.sounding.wanted)
        assert GRACES in at.loaded().measures
        opened = at.app.session.opened
        assert opened is not None
        assert [mark.content for mark in opened.pencil.prep.at(main)] == [wanted]
        assert at.app.session.pointed == main
        await at.shows("Written.")
        await at.press("space")
        await at.until(lambda: not at.app.sounding.wanted)
        await at.press("u")
        await at.until(lambda: standing(at, main) == [])


async def test_a_suggestion_gives_way(tmp_path: Path, with_demo: Path) -> None:
    async with sitting(tmp_path, copy_of=with_demo) as at:
        await take_up(at)
        await at.press("P")
        await at.shows("Suggest for the whole piece")
        await at.press("2")
        await at.until(lambda: any(mark["kind"] == "ornament" for mark in on_disk(at)), 30.0)
        await go(at, GRACES, "right")
        main = at.app.session.prepared.main_note(at.app.session.pointed)
        await at.until(lambda: "? grace" in at.text)  # told at the grace too
        await ways(at)
        await at.press("1")  # the one that is suggested: it is kept
        await at.until(lambda: standing(at, main) == ["kept"])
        await ways(at)
        await at.press("2")
        await at.until(lambda: standing(at, main) == ["struck", "kept"] or standing(at, main) == ["kept", "struck"])


async def test_a_way_is_heard_before_it_is_written(tmp_path: Path, with_demo: Path) -> None:
    async with sitting(tmp_path, copy_of=with_demo) as at:
        await take_up(at)
        await go(at, GRACES, "right")
        main = at.app.session.prepared.main_note(at.app.session.pointed)
        screen = await ways(at)
        await at.press("down", "space")
        await at.until(lambda: at.app.sounding.wanted)
        take = at.app.sounding.playing.take
        assert take is not None and take.interpretation is not None
        assert take.interpretation.ornaments[main] == offered(screen)[1]
        assert take.click.count_in == 0 and not take.loop
        await at.press("escape")
        await at.until(lambda: not isinstance(at.app.screen, Rows))
        assert on_disk(at) == []


async def test_the_last_line_types_notes(tmp_path: Path, with_demo: Path) -> None:
    async with sitting(tmp_path, copy_of=with_demo) as at:
        await take_up(at)
        await go(at, GRACES, "right")
        main = at.app.session.prepared.main_note(at.app.session.pointed)
        await ways(at)
        await at.press("up", "enter")  # the list goes round
        await at.until(lambda: isinstance(at.app.focused, Input))
        await at.write("grace what")
        await at.shows("has no length; write it like")
        await at.write("grace Ab4:dotted-quarter")
        await at.until(lambda: standing(at, main) == ["kept"])
        await ways(at)
        await at.shows("✓ as it is now")
        await at.press("escape")


async def test_without_an_ornament_it_is_typed(tmp_path: Path, with_demo: Path) -> None:
    async with sitting(tmp_path, copy_of=with_demo) as at:
        await take_up(at)
        await at.press("o")
        await at.until(lambda: isinstance(at.app.focused, Input))
        await at.shows("Written out, from A♭4, beat 1 of measure 1")


async def test_a_trill_is_turned_and_its_curve_drawn(tmp_path: Path, with_demo: Path) -> None:
    async with sitting(tmp_path, copy_of=with_demo) as at:
        await take_up(at)
        await go(at, TRILL)
        main = at.app.session.prepared.main_note(at.app.session.pointed)
        screen = await ways(at)
        await at.shows("begins: ", "at first: ", "at last: ", "growth: ", "closes: ", " notes, ", "lands on beat 1")
        base = screen._base
        assert base is not None and base.shake is not None
        drawn = at.text
        number = len(offered(screen))
        await at.press(*["down"] * (number + 2), "right", "right")  # to "at last", two steps up
        await at.until(lambda: at.text != drawn)
        await at.press("down", "right", "up")
        await at.press("enter")
        await at.until(lambda: standing(at, main) == ["kept"])
        opened = at.app.session.opened
        assert opened is not None
        (mark,) = [mark for mark in opened.pencil.prep.at(main) if mark.kind == "ornament"]
        assert isinstance(mark.content, Ornament) and mark.content.shake is not None
        assert mark.content.shake.last > base.shake.last
        assert mark.content.shake.curve != base.shake.curve
        await at.until(lambda: at.app.sounding.wanted)
        keys = {parse_pitch("Eb5").midi, mark.content.shake.other.midi}
        transposed = {key - 2 for key in keys}  # a clarinet in B flat sounds a whole step lower
        assert keys <= set(sounding(at, main)) or transposed <= set(sounding(at, main))
        await ways(at)
        await at.shows("✓ as it is now")


async def test_every_line_turns_both_ways_and_stays_in_its_bounds(tmp_path: Path, with_demo: Path) -> None:
    async with sitting(tmp_path, copy_of=with_demo) as at:
        await take_up(at)
        await go(at, TRILL)
        screen = await ways(at)
        number = len(offered(screen))
        await at.press(*["down"] * number)
        for _ in range(5):
            await at.press(*["right"] * 9, *["left"] * 20, "down")
        await at.shows("type notes", "notes and their lengths in your own writing")
        await at.press("right", "9")  # no value here, and no such number: nothing happens
        assert at.app.screen is screen
        assert on_disk(at) == []

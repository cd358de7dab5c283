"""The fingerings on the Stand: suggested by a key, kept or struck with the pencil, the picture beside the music.

What the demo wants is common practice: D flat after E flat (right alone) is left; see tests/prepare/test_fingering.py.
"""

from pathlib import Path

import pytest

from coach.screen.stand.panel import HandPanel
from coach.screen.view.glyphs import ASCII, UNICODE, Glyphs
from coach.screen.widgets.music import MusicView
from tests.screen.sitting import Sitting, sitting
from tests.screen.stand.marks import at_note, on_disk, take_up

WAIT_S = 20.0  # the first plan reads the chart


async def suggested(at: Sitting) -> None:
    await at.press("F")
    await at.until(lambda: any(mark.get("state") == "suggested" for mark in on_disk(at)), WAIT_S)


async def test_a_key_suggests_and_the_pencil_decides(tmp_path: Path, with_demo: Path) -> None:
    async with sitting(tmp_path, copy_of=with_demo) as at:
        await take_up(at)
        await at.press("p")
        await at.goes("stand")
        assert on_disk(at) == []  # nothing is suggested unasked
        await suggested(at)
        await at.shows("fingerings suggested, in brackets", "[L]")
        assert [(m["choice"], m["origin"]) for m in at_note(at, "1.5")] == [("L", "computed")]
        await at.press("p")
        await at.goes("pencil")
        await at.press("right", "right", "right", "right")
        await at.shows("D♭5", "? fingering L (suggested, computed)", "Left, because the E flat before it")
        await at.press("k")
        await at.shows("✓ fingering L (kept, computed)")
        await at.press("x")
        await at.until(lambda: [m["state"] for m in at_note(at, "1.5")] == ["struck"])
        await at.press("K")
        await at.shows("fingerings kept.")
        await at.until(lambda: {m["state"] for m in on_disk(at) if "state" in m} <= {"kept", "struck"})
        assert [m["state"] for m in at_note(at, "1.5")] == ["struck"]  # decided before, and it stays so
        await at.press("u")  # one change, one step back
        await at.until(lambda: any(mark.get("state") == "suggested" for mark in on_disk(at)))


async def test_suggested_anew_around_what_the_player_wrote(tmp_path: Path, with_demo: Path) -> None:
    async with sitting(tmp_path, copy_of=with_demo) as at:
        await take_up(at)
        await suggested(at)
        before = {mark["at"]: mark["id"] for mark in on_disk(at)}
        await at.press("right", "right", "right", "right", "r")
        await at.until(
            lambda: ("R", "player") in [(m["choice"], m.get("origin", "player")) for m in at_note(at, "1.5")]
        )
        await at.press("F")
        await at.until(lambda: [m["id"] for m in at_note(at, "3.1")] == [before["3.1"]], WAIT_S)
        standing = [m["choice"] for m in at_note(at, "1.5") if m.get("state") != "struck"]
        assert standing == ["R"]


@pytest.mark.parametrize(("glyphs", "size"), [(UNICODE, (80, 24)), (ASCII, (80, 24)), (UNICODE, (120, 40))])
async def test_the_picture_beside_the_music(
    tmp_path: Path, with_demo: Path, glyphs: Glyphs, size: tuple[int, int]
) -> None:
    async with sitting(tmp_path, copy_of=with_demo, glyphs=glyphs, size=size) as at:
        await at.until(lambda: at.app.session.opened is not None)
        await at.press("2")
        await at.goes("stand")
        await at.press("p")
        await at.goes("pencil")
        await at.shows("puts the pencil down")
        assert not at.app.screen.query_one(HandPanel).display
        await at.press("s")
        await at.until(lambda: "left hand" in at.text, WAIT_S)
        await at.press("right", "right", "right")
        flat = glyphs.accidentals[1]
        await at.shows(f"E{flat}5  R", "Ab/Eb", f"to D{flat}5, if late:", "L little", "D5")
        panel, music = at.app.screen.query_one(HandPanel), at.app.screen.query_one(MusicView)
        assert music.size.width > 2 * panel.size.width and music.size.height == panel.size.height
        down, up = glyphs.key_down, glyphs.key_up
        assert f"little   {up}{down}{up}{up} Ab/Eb" in at.text
        if glyphs is ASCII:
            left = panel.region.x
            assert all(line[left:].isascii() for line in at.text.splitlines()[panel.region.y : panel.region.bottom])
        await at.press("s")
        await at.until(lambda: not panel.display)
        assert "left hand" not in at.text


async def test_a_change_on_a_held_note_and_a_rest(tmp_path: Path, with_demo: Path) -> None:
    async with sitting(tmp_path, copy_of=with_demo) as at:
        await take_up(at)
        await at.press("s")
        await at.until(lambda: "left hand" in at.text, WAIT_S)
        await at.press("g")
        await at.write("12")
        await at.shows("F3  L>R", "after 3/2: right F/C", "to D♭4, if late:")
        rest = next(note for note in at.app.session.opened.piece.part.notes() if note.is_rest)  # type: ignore[union-attr]
        await at.press("g")
        await at.write(rest.measure)
        while at.app.session.pointed != rest.id:
            before = at.app.session.pointed
            await at.press("right")
            await at.until(lambda: at.app.session.pointed != before)  # noqa: B023  awaited here
        await at.shows("a rest: hands free")


async def test_the_plan_follows_a_mark(tmp_path: Path, with_demo: Path) -> None:
    async with sitting(tmp_path, copy_of=with_demo) as at:
        await take_up(at)
        await at.press("s")
        await at.until(lambda: "left hand" in at.text, WAIT_S)
        await at.press("right", "right", "right", "right")
        await at.shows("D♭5  L")
        await at.press("r")
        await at.shows("D♭5  R", f"little   {UNICODE.key_down}")


async def test_an_instrument_without_a_chart_is_told_once(tmp_path: Path, with_demo: Path) -> None:
    async with sitting(tmp_path, copy_of=with_demo) as at:
        await take_up(at)
        opened = at.app.session.opened
        assert opened is not None
        from dataclasses import replace

        opened.set_piece = replace(opened.set_piece, instrument="zither")
        await at.press("s")
        await at.shows("no fingering chart for zither")
        await at.press("right", "right")
        await at.shows("F5, beat 3 of measure 1", "the fingerings could", "not be planned")
        told = [one for one in at.app._notifications if "zither" in one.message]
        assert len(told) == 1


async def test_nothing_to_keep(tmp_path: Path, with_demo: Path) -> None:
    async with sitting(tmp_path, copy_of=with_demo) as at:
        await take_up(at)
        await at.press("K")
        await at.shows("No suggestion waits to be kept; press P for suggestions")

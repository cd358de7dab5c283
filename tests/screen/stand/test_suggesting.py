"""Suggesting ornaments, dynamics and reminders on the Stand, and keeping them: what stands in the prep file, read with
Python's own TOML reader, is what the screen says."""

import re
from collections import Counter
from pathlib import Path

from coach.screen.rows import Rows
from coach.screen.widgets.music import MusicView
from tests.screen.sitting import Sitting, sitting
from tests.screen.stand.marks import at_note, on_disk, take_up

WAIT_S = 30.0


def kinds(at: Sitting, state: str = "suggested") -> Counter[str]:
    """The marks in the file by kind, of one state."""
    return Counter(mark["kind"] for mark in on_disk(at) if mark.get("state", "kept") == state)


async def on_the_stand(at: Sitting) -> None:
    await at.until(lambda: at.app.session.opened is not None)
    await at.press("2")
    await at.shows("measure 1 of 30")


async def suggest(at: Sitting, key: str) -> None:
    before = on_disk(at)
    await at.press("P")
    await at.shows("Suggest for the whole piece")
    await at.press(key)
    await at.until(lambda: on_disk(at) != before, WAIT_S)


async def test_everything_is_suggested_and_counted(tmp_path: Path, with_demo: Path) -> None:
    async with sitting(tmp_path, copy_of=with_demo) as at:
        await on_the_stand(at)
        assert on_disk(at) == []
        await suggest(at, "1")
        await at.until(lambda: " suggested; with the pencil" in at.text)
        found = kinds(at)
        assert set(found) == {"ornament", "dynamic", "reminder", "breath"}
        for kind, number in found.items():
            assert re.search(rf"\b{number} {kind}s?\b", at.text)
        assert all(mark["origin"] == "computed" for mark in on_disk(at))


async def test_one_kind_leaves_the_others(tmp_path: Path, with_demo: Path) -> None:
    async with sitting(tmp_path, copy_of=with_demo) as at:
        await on_the_stand(at)
        await suggest(at, "3")
        assert set(kinds(at)) == {"dynamic"}
        dynamics = [mark for mark in on_disk(at) if mark["kind"] == "dynamic"]
        await suggest(at, "2")
        assert set(kinds(at)) == {"dynamic", "ornament"}
        assert [mark for mark in on_disk(at) if mark["kind"] == "dynamic"] == dynamics


async def test_the_style_and_the_density_are_turned_right_there(tmp_path: Path, with_demo: Path) -> None:
    async with sitting(tmp_path, copy_of=with_demo) as at:
        await on_the_stand(at)
        await suggest(at, "2")
        lyrical = {mark["at"]: mark for mark in on_disk(at)}
        await at.press("P")
        await at.shows("style of the ornaments: [lyrical]  treatise", "how many reminders:  sparing  [usual]  full")
        await at.press("down", "down", "down", "down", "down", "down", "right")
        await at.shows("[treatise]", "trills from the upper note")
        await at.press("down", "right")
        await at.shows("sparing   usual  [full]")
        await at.press("left", "left")
        await at.shows("[sparing]")
        await at.press("2")
        await at.until(lambda: {m["at"]: m for m in on_disk(at)} != lyrical, WAIT_S)
        assert {mark["style"] for mark in on_disk(at)} == {"treatise"}
        await at.press("P")  # what was chosen holds
        await at.shows("[treatise]", "[sparing]")
        await at.press("escape")
        await at.until(lambda: not isinstance(at.app.screen, Rows))


async def test_the_fingerings_are_in_the_list_too(tmp_path: Path, with_demo: Path) -> None:
    async with sitting(tmp_path, copy_of=with_demo) as at:
        await on_the_stand(at)
        await suggest(at, "5")
        assert set(kinds(at)) <= {"fingering", "swap"}


async def test_all_of_a_kind_are_kept_in_two_keys_and_undone_in_one(tmp_path: Path, with_demo: Path) -> None:
    async with sitting(tmp_path, copy_of=with_demo) as at:
        await take_up(at)
        await suggest(at, "1")
        waiting = kinds(at)
        marked = Counter(mark["at"] for mark in on_disk(at))
        alone = (mark["at"] for mark in on_disk(at) if mark["kind"] == "ornament" and marked[mark["at"]] == 1)
        ornament = next(alone)
        await at.press("g")
        await at.write(ornament.split(".")[0])
        while at.app.session.pointed != ornament:
            before = at.app.session.pointed
            await at.press("right")
            await at.until(lambda: at.app.session.pointed != before)  # noqa: B023  awaited here
        await at.press("K")
        await at.shows("Keep every suggested", f"{waiting['ornament']} ornaments", "all ")
        await at.press("enter")
        await at.shows(f"{waiting['ornament']} ornaments kept.")
        assert kinds(at, "kept") == {"ornament": waiting["ornament"]}
        assert kinds(at) == waiting - Counter(ornament=waiting["ornament"])
        await at.press("u")
        await at.until(lambda: kinds(at) == waiting)
        await at.press("K")
        await at.shows("Keep every suggested")
        await at.press("up", "enter")  # the list goes round: all of them
        await at.shows(f"{waiting.total()} suggestions kept.")
        assert kinds(at) == Counter()


async def test_struck_and_kept_ones_stay_so(tmp_path: Path, with_demo: Path) -> None:
    async with sitting(tmp_path, copy_of=with_demo) as at:
        await take_up(at)
        await suggest(at, "4")
        first, second = [mark["at"] for mark in on_disk(at)][:2]
        assert at.app.session.opened is not None
        pencil = at.app.session.opened.pencil
        pencil.strike(pencil.prep.at(first)[0].id)
        pencil.keep(pencil.prep.at(second)[0].id)
        await at.press("P")
        await at.shows("Suggest for the whole piece")
        await at.press("1")
        await at.until(lambda: kinds(at)["ornament"] > 0, WAIT_S)
        assert [mark["state"] for mark in at_note(at, first) if mark["kind"] == "reminder"] == ["struck"]
        assert [mark.get("state", "kept") for mark in at_note(at, second) if mark["kind"] == "reminder"] == ["kept"]


async def test_nothing_on_the_stand(tmp_path: Path) -> None:
    async with sitting(tmp_path) as at:
        await at.press("2")
        await at.goes("stand")
        for key in ("P", "F"):
            await at.press(key)
            await at.shows("Nothing is on the stand")
        await at.press("J", "L")  # nothing to show or to hear, and nothing goes wrong
        assert at.app.place is at.app.screen


async def test_the_level_comes_and_goes_by_a_key(tmp_path: Path, with_demo: Path) -> None:
    async with sitting(tmp_path, size=(120, 46), copy_of=with_demo) as at:
        await on_the_stand(at)

        def styles() -> set[str]:
            page = at.app.screen.query_one(MusicView).page
            assert page is not None
            return {style for row in range(page.canvas.height) for _, style in page.canvas.cells(row)}

        await at.until(lambda: "band-name" in styles())
        assert styles() & {"band-dark", "band-middle", "band-bright"}
        await at.press("L")
        await at.until(lambda: not any(style.startswith("band") for style in styles()))
        await at.press("p")
        await at.goes("pencil")
        await at.press("L")
        await at.until(lambda: "band-name" in styles())


async def test_as_printed_or_as_decided(tmp_path: Path, with_demo: Path) -> None:
    async with sitting(tmp_path, copy_of=with_demo) as at:
        await on_the_stand(at)
        assert at.app.session.take().interpretation is not None
        await at.press("J")
        await at.shows("as printed")
        assert at.app.session.take().interpretation is None
        await at.press("p")
        await at.goes("pencil")
        await at.press("J")
        await at.shows("Heard as it is decided.")
        assert at.app.session.take().interpretation is not None
        await at.press("space")
        await at.until(lambda: at.app.sounding.wanted)
        loads = len([call for call in at.player.calls if call[0] == "load"])
        await at.press("J")  # heard at once
        await at.until(lambda: len([call for call in at.player.calls if call[0] == "load"]) == loads + 1)

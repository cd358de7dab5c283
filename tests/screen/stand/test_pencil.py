"""The pencil: every kind of mark put, edited, struck, restored, undone and redone by its keys, on the disk at once.

The file is read with Python's own tomllib, so that what the screen says is checked against what was written.
"""

import re
from pathlib import Path
from typing import Any

from coach.screen.widgets.music import MusicView
from tests.screen.sitting import Sitting, sitting
from tests.screen.stand.marks import at_note, do, on_disk, take_up

# Keys (what begins with "=" is typed into the line that is asked for), and what must then stand at the first note.
KINDS: dict[str, tuple[list[str], dict[str, Any]]] = {
    "full breath": (["b"], {"kind": "breath", "size": "full"}),
    "catch breath": (["b", "b"], {"kind": "breath", "size": "catch"}),
    "left finger": (["l"], {"kind": "fingering", "choice": "L"}),
    "right finger": (["r"], {"kind": "fingering", "choice": "R"}),
    "fingering": (["f", "=long A flat"], {"kind": "fingering", "choice": "long A flat"}),
    "swap": (["w", "=L>R 1"], {"kind": "swap", "from": "L", "to": "R", "when": "1"}),
    "reminder": (["a"], {"kind": "reminder", "text": "flat"}),
    "plain name": (["a", "a"], {"kind": "reminder", "text": "Ab"}),
    "ossia": (["o", "=Ab4:1/2 Bb4:1"], {"kind": "ornament", "notes": "Ab4:1/2 Bb4:1"}),
    "dynamic": (["d", "=mf"], {"kind": "dynamic", "sign": "mf"}),
    "hairpin": (
        ["greater_than_sign", "right", "right", "enter"],
        {"kind": "dynamic", "sign": "diminuendo", "to": "1.3"},
    ),
    "typed hairpin": (["d", "=<", "right", "enter"], {"kind": "dynamic", "sign": "crescendo", "to": "1.2"}),
    "alteration": (["v", "=Ab4 C5"], {"kind": "alteration", "to": ["Ab4", "C5"]}),
    "phrase": (["h", "right", "h", "right", "enter"], {"kind": "phrase", "to": "1.3", "goal": "1.2"}),
    "fermata": (["t", "=fermata 3"], {"kind": "pace", "shape": "fermata", "length": "3"}),
    "rit.": (["t", "=rit.", "right", "enter"], {"kind": "pace", "shape": "rit.", "to": "1.2"}),
    "comment": (["c", "=sing it"], {"kind": "comment", "text": "sing it"}),
}


async def test_each_kind_by_its_keys(tmp_path: Path, with_demo: Path) -> None:
    async with sitting(tmp_path, copy_of=with_demo) as at:
        await take_up(at)
        for keys, wanted in KINDS.values():
            await at.press("home")
            await do(at, keys)
            await at.until(lambda: stands(at, wanted, "kept"))  # noqa: B023  awaited here
            await at.shows("✓", "(kept, yours)")
            await at.press("x")
            await at.until(lambda: stands(at, wanted, "struck"))  # noqa: B023
            await at.shows("✗", "(struck, yours)")
            await at.press("k")
            await at.until(lambda: stands(at, wanted, "kept"))  # noqa: B023
            steps = max(sum(key in ("b", "a") for key in keys), 1)  # each of these presses is a change of its own
            await at.press("u", "u", *["u"] * steps)
            await at.until(lambda: on_disk(at) == [])
            await at.shows("Taken back, gone: ")
            assert re.search(r"gone: (A♭4|[^A-Z])", at.text), at.text  # the sentence goes on
            await at.press(*["U"] * steps)
            await at.until(lambda: stands(at, wanted, "kept"))  # noqa: B023
            await at.press("ctrl+r")
            await at.until(lambda: stands(at, wanted, "struck"))  # noqa: B023
            await at.press("ctrl+r", "ctrl+r")
            await at.shows("There is nothing to make again")
            assert stands(at, wanted, "kept")
            await at.press("u", "u", *["u"] * steps)
            await at.until(lambda: on_disk(at) == [])
            await at.press("u")
            await at.shows("There is nothing to take back")


def stands(at: Sitting, wanted: dict[str, Any], state: str) -> bool:
    """Whether one mark stands at the first note in the file, and says this."""
    return [wanted.items() <= mark.items() and mark["state"] == state for mark in at_note(at, "1.1")] == [True]


async def test_a_key_pressed_again_goes_on(tmp_path: Path, with_demo: Path) -> None:
    async with sitting(tmp_path, copy_of=with_demo) as at:
        await take_up(at)

        async def gives(key: str, what: str, *wanted: str) -> None:
            await at.press(key)
            await at.until(lambda: (mark := at_note(at, "1.1")[-1]) and (mark[what], mark["state"]) == wanted)
            assert len({mark["kind"] for mark in on_disk(at)}) == len(on_disk(at))

        await gives("b", "size", "full", "kept")
        await gives("b", "size", "catch", "kept")
        await gives("b", "size", "catch", "struck")
        await gives("b", "size", "full", "kept")
        await gives("l", "choice", "L", "kept")
        await gives("l", "choice", "L", "struck")
        await gives("l", "choice", "L", "kept")
        await gives("r", "choice", "R", "kept")  # the other hand takes its place
        await at.shows("✓ fingering R (kept, yours)", "Written.")
        await at.press("x")
        await at.shows("✗ fingering R (struck, yours)", "Struck; k restores it.")


async def test_marks_are_edited(tmp_path: Path, with_demo: Path) -> None:
    async with sitting(tmp_path, copy_of=with_demo) as at:
        await take_up(at)
        await do(at, ["c", "=sing", "enter", "=sing it", "right", "less_than_sign", "right", "enter"])
        await at.until(lambda: [mark["kind"] for mark in on_disk(at)] == ["comment", "dynamic"])
        assert at_note(at, "1.1")[0]["text"] == "sing it"
        await at.shows("crescendo ends here")
        await do(at, ["enter", "right", "enter"])  # the end is drawn anew
        await at.until(lambda: at_note(at, "1.2")[0]["to"] == "1.4")
        assert len(on_disk(at)) == 2
        await at.press("left", "left", "enter", "left", "left", "left", "enter")  # before its beginning
        await at.shows("runs backwards")
        assert at_note(at, "1.2")[0]["to"] == "1.4"
        await at.press("escape")
        await at.shows("Nothing was drawn")
        await at.press("escape")
        await at.goes("stand")


async def test_a_stretch_may_be_drawn_backwards_and_its_goal_lies_in_it(tmp_path: Path, with_demo: Path) -> None:
    async with sitting(tmp_path, copy_of=with_demo) as at:
        await take_up(at)
        await at.press("right", "right", "less_than_sign", "left", "left")
        await at.shows("▽─", "crescendo: enter at its last note")
        await at.press("enter")
        await at.until(lambda: [(m["at"], m["to"]) for m in on_disk(at)] == [("1.1", "1.3")])
        await at.press("h", "right", "right", "h", "left")
        await at.shows("▽", "◆", "phrase: enter at its last note")
        await at.press("enter")
        await at.shows("goal lies outside the phrase")
        assert len(on_disk(at)) == 1
        await at.press("right", "right", "enter")
        await at.until(lambda: [(m["at"], m["to"], m["goal"]) for m in on_disk(at)[:1]] == [("1.1", "1.4", "1.3")])


async def test_a_mistake_keeps_what_was_typed(tmp_path: Path, with_demo: Path) -> None:
    async with sitting(tmp_path, copy_of=with_demo) as at:
        await take_up(at)
        await at.press("w")
        await at.write("L>R 9")
        await at.shows("not inside the note", "L>R 9", "Change of fingering on A♭4")
        for key in ("end", "backspace", "1", "enter"):
            await at.press(key)
        await at.until(lambda: [mark["when"] for mark in on_disk(at)] == ["1"])
        await at.press("v")
        await at.write("")
        await at.press("w", "escape")
        await at.until(lambda: at.app.screen is at.app.place)
        assert len(on_disk(at)) == 1
        await at.press("x", "x")
        await at.shows("struck already")
        await at.press("right", "x")
        await at.shows("There is no mark at this note")


async def test_several_marks_at_a_note(tmp_path: Path, with_demo: Path) -> None:
    async with sitting(tmp_path, copy_of=with_demo) as at:
        await take_up(at)
        await do(at, ["b", "l", "c", "=sing"])
        await at.shows('✓ full breath   ✓ fingering L   ▸ ✓ "sing" (kept, yours)')
        await at.press("up")
        await at.shows("▸ ✓ fingering L")
        await at.press("tab", "tab", "x")  # round to the breath, the first of the file's order
        await at.shows("▸ ✗ full breath (struck, yours)")
        assert [mark["state"] for mark in on_disk(at)] == ["struck", "kept", "kept"]
        await at.press("left_square_bracket")  # no key of the pencil
        await at.press("down")
        await at.shows("▸ ✓ fingering L")


async def test_the_cursor_steps_through_everything_printed(tmp_path: Path, with_demo: Path) -> None:
    """Notes, rests and graces of the demo as its own file has them, read with the standard library's ElementTree."""
    from xml.etree import ElementTree

    import coach

    score = Path(coach.__file__).parent.parent / "content" / "pieces" / "demo.musicxml"
    printed = [note for note in ElementTree.parse(score).iter("note") if note.find("chord") is None]  # noqa: S314
    async with sitting(tmp_path, copy_of=with_demo) as at:
        await take_up(at)
        seen = [cursor(at)]
        for note in printed[1:]:
            await at.press("right")
            seen.append(cursor(at))
            step = note.find("pitch/step")
            where = at.text.split("\n")[1].removeprefix(" ▽ ").removeprefix("grace note ")
            assert where.startswith("rest" if step is None else step.text or "?"), (seen[-1], where)
            assert where.startswith("rest") or ("grace note" in at.text.split("\n")[1]) == (
                note.find("grace") is not None
            )
            assert seen[-1] in page_notes(at)
        assert len(set(seen)) == len(printed)
        await at.press("right")
        assert cursor(at) == seen[-1]
        await at.press("home")
        assert cursor(at) == "1.1"
        await at.press("pagedown", "pagedown", "pageup")
        assert cursor(at) == "2.1"
        await at.press("end")
        assert cursor(at) == "30.1"
        await at.press("g")
        await at.write("8")
        await at.shows("C5, beat 1 of measure 8")


def cursor(at: Sitting) -> str:
    return at.music.pointing.note


def page_notes(at: Sitting) -> set[str]:
    assert at.music.page is not None
    return set(at.music.page.notes)


async def test_a_click_points_at_the_nearest_note(tmp_path: Path, with_demo: Path) -> None:
    async with sitting(tmp_path, copy_of=with_demo) as at:
        await take_up(at)
        assert at.music.page is not None
        places = dict(at.music.page.notes)
        for name, place in places.items():
            await at.pilot.click(MusicView, offset=(place.column, place.row))
            await at.until(lambda: cursor(at) == name)  # noqa: B023  awaited here
        await at.pilot.click(MusicView, offset=(places["1.4"].column + 1, places["1.1"].marker_row + 1))
        await at.until(lambda: cursor(at) == "1.4")
        await at.press("b")
        await at.until(lambda: [mark["at"] for mark in on_disk(at)] == ["1.4"])


async def test_the_same_at_like_places(tmp_path: Path, with_demo: Path) -> None:
    """Like places of a fingering are those with the same neighbours, whatever their lengths (prepare/like.py); here
    they are counted again from the names of the notes alone."""
    async with sitting(tmp_path, copy_of=with_demo) as at:
        await take_up(at)
        await at.press("right", "right", "right", "l")  # E flat between F and D flat
        opened = at.app.session.opened
        assert opened is not None
        struck_once = [n for n in opened.piece.part.notes() if n.tie not in ("stop", "continue")]
        assert not any(n.graces for n in struck_once[:60] if n.measure in ("1", "7"))
        names = [n.pitch.name if n.pitch else "r" for n in struck_once]
        wanted = [
            struck_once[k].id
            for k in range(1, len(names) - 1)
            if names[k - 1 : k + 2] == ["F5", "Eb5", "Db5"]
            and not struck_once[k].graces
            and not struck_once[k + 1].graces
        ]
        assert len(wanted) > 2 and wanted[0] == "1.4"
        await at.shows(f"{len(wanted) - 1} like places: y puts it there too")
        await at.press("y")
        await at.shows("where else?", f"at all {len(wanted) - 1} like places")
        await at.press("enter")
        await at.shows(f"Written at {len(wanted) - 1} more places")
        assert [mark["at"] for mark in on_disk(at)] == wanted
        await at.press("y")
        await at.shows("no other place like this")
        await at.press("u")
        await at.until(lambda: [mark["at"] for mark in on_disk(at)] == ["1.4"])


async def test_the_list_of_all_marks(tmp_path: Path, with_demo: Path) -> None:
    async with sitting(tmp_path, copy_of=with_demo) as at:
        await take_up(at)
        await at.press("i")
        await at.shows("There are no marks yet")
        await do(at, ["b", "pagedown", "l", "x", "pagedown", "c", "=low air", "i"])
        await at.shows("2 kept, 1 struck", "full breath after A♭4", "✗ fingering L", '"low air" at C5')
        await at.press("up", "enter")
        await at.shows("beat 1 of measure 2", "✗ fingering L (struck, yours)")
        await at.press("p")
        await at.goes("stand")
        await at.shows("measure 2 of 30")
        await at.press("i", "down", "down", "enter")
        await at.shows("measure 3 of 30", '["low air"]')  # the measure in words tells it
        await at.press("p")
        await at.shows("C5, beat 1 of measure 3")

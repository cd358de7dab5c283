"""The pencil and its file edited by hand, at every size, and in use: twelve marks in two minutes, engraved, drilled."""

from pathlib import Path

import pytest

from coach.screen.view.glyphs import ASCII, UNICODE, Glyphs
from tests.screen.sitting import Sitting, sitting
from tests.screen.stand.marks import Hands, at_note, on_disk, take_up

PREP = """schema = "coach.prepfile/1"
piece = "{piece}"

[[mark]]
id = "good"
kind = "comment"
at = "2.1"
text = "kept as it was"

[[mark]]
id = "teachers"
kind = "breath"
at = "1.1"
size = "full"
origin = "teacher"

[[mark]]
id = "computed"
kind = "fingering"
at = "1.1"
choice = "L"
origin = "computed"
state = "suggested"
because = "the next key lies under the right hand"

[[mark]]
id = "bad"
kind = "breath"
at = "1.2"
size = "enormous"

[[mark]]
id = "lost"
kind = "comment"
at = "99.1"
text = "over the hills"
"""


def with_prep(home: Path, text: str) -> Path:
    """Write a prep file by hand for the demo in a home; returns its path."""
    from coach.lesson.desk import Desk
    from coach.lesson.stand import pieces
    from tests.screen.sitting import paths_in

    desk = Desk.open(paths_in(home))
    (demo,) = pieces(desk)
    path = desk.paths.preps / f"{demo.id}.toml"
    desk.close()
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(text.format(piece=demo.id), "utf-8")
    return path


@pytest.fixture
def edited(tmp_path: Path, with_demo: Path) -> Path:
    """A home whose prep file was edited by hand, with a mistake in it."""
    import shutil

    shutil.copytree(with_demo, tmp_path / "home")
    with_prep(tmp_path / "home", PREP)
    return tmp_path / "home"


async def test_a_mistake_in_the_file_is_told_and_the_rest_kept(edited: Path) -> None:
    async with sitting(edited, size=(120, 40)) as at:
        await at.shows("'enormous'; it may be full or catch", "finds no note in the score as it is now")
        await at.until(lambda: at.app.session.opened is not None)
        await at.press("2")
        await at.shows("measure 1 of 30")
        await at.press("n")
        await at.shows("The marks:", "'enormous'", "comment at 99.1")
        fault, _ = at.app.session.opened.faults  # type: ignore[union-attr]
        table = PREP.split("\n").index('id = "bad"')  # the line before it, counted from 1: where its table begins
        assert f"line {table}" in fault
        await at.press("escape", "i")
        await at.shows("kept as it was", "over the hills", "finds no note in the score as it is now; it is not lost")
        await at.press("escape", "p")
        await at.goes("pencil")
        await at.press("right", "r")
        await at.until(lambda: len(at_note(at, "1.2")) >= 1)
        text = next((edited / "data" / "preps").glob("*.toml")).read_text("utf-8")
        assert "enormous" in text and "over the hills" in text  # nothing of the player's is lost


async def test_whose_marks_they_are_is_said(edited: Path) -> None:
    async with sitting(edited, size=(120, 40)) as at:
        await take_up_quietly(at)
        await at.shows("full breath (kept, your teacher's)", "? fingering L (computed)")
        await at.press("down")
        await at.shows("▸ ? fingering L (suggested, computed)", "the next key lies under the right hand")
        await at.press("k")
        await at.shows("▸ ✓ fingering L (kept, computed)")
        await at.press("x")
        await at.shows("▸ ✗ fingering L (struck, computed)")
        await at.press("up", "x")
        await at.shows("▸ ✗ full breath (struck, your teacher's)")
        assert {mark["id"]: mark["state"] for mark in at_note(at, "1.1")} == {
            "teachers": "struck",
            "computed": "struck",
        }


async def test_a_suggestion_is_kept_by_its_own_key(edited: Path) -> None:
    async with sitting(edited, size=(120, 40)) as at:
        await take_up_quietly(at)
        await at.press("l")
        await at.until(lambda: [m["state"] for m in at_note(at, "1.1") if m["kind"] == "fingering"] == ["kept"])
        await at.press("b")  # a catch breath of the player's in place of the teacher's full one
        await at.until(
            lambda: (
                {(m["origin"], m["size"], m["state"]) for m in at_note(at, "1.1") if m["kind"] == "breath"}
                == {("teacher", "full", "struck"), ("player", "catch", "kept")}
            )
        )
        await at.shows("catch breath (kept, yours)", "Written.")


async def take_up_quietly(at: Sitting) -> None:
    await at.until(lambda: at.app.session.opened is not None)
    await at.press("2")
    await at.shows("measure 1 of 30")
    await at.press("p")
    await at.goes("pencil")
    await at.shows("A♭4, beat 1 of measure 1")


async def test_what_cannot_be_saved_is_told_and_stays_on_the_page(tmp_path: Path, with_demo: Path) -> None:
    async with sitting(tmp_path, copy_of=with_demo, size=(120, 40)) as at:
        await take_up(at)
        at.app.desk.paths.preps.write_text("a file where the folder should be")
        await at.press("b")
        await at.shows("demo-", ".toml cannot be read")
        assert [mark.kind for mark in at.app.session.marks] == ["breath"]
        at.app.desk.paths.preps.unlink()
        await at.press("l")
        await at.until(lambda: [mark["kind"] for mark in at_note(at, "1.1")] == ["breath", "fingering"])


@pytest.mark.parametrize(
    ("size", "glyphs", "colour"),
    [
        ((80, 24), UNICODE, True),
        ((60, 20), UNICODE, False),
        ((120, 40), UNICODE, False),
        ((80, 24), ASCII, False),
        ((60, 20), ASCII, True),
    ],
)
async def test_the_pencil_at_every_size(
    tmp_path: Path,
    with_demo: Path,
    monkeypatch: pytest.MonkeyPatch,
    size: tuple[int, int],
    glyphs: Glyphs,
    colour: bool,
) -> None:
    if not colour:
        monkeypatch.setenv("NO_COLOR", "1")
    async with sitting(tmp_path, copy_of=with_demo, size=size, glyphs=glyphs) as at:
        await at.until(lambda: at.app.session.opened is not None)
        await at.press("2")
        await at.shows("measure 1 of 30")
        before = at.music.size, at.music.region
        await take_up_quietly(at) if at.app.place is None else await at.press("p")
        await at.goes("pencil")
        await at.until(lambda: bool(at.music.page))
        assert (at.music.size, at.music.region) == before  # the music stays where it is, and as large
        await at.press("l", "right", "b", "h", "right")
        await at.shows("phrase: h where it leads", "? keys")
        lines = at.text.split("\n")
        assert len(lines) <= size[1]
        assert all(len(line) <= size[0] for line in lines)
        place = at.music.page.notes["1.3"]  # type: ignore[union-attr]
        row = at.music.region.y + place.marker_row
        assert lines[row][place.column] == glyphs.pencil
        strip = at.music.render_line(place.row)
        under = next(s for s in strip.crop(place.column, place.column + 1))
        assert under.style is not None and under.style.reverse  # seen without colour too
        if glyphs is ASCII:
            drawn = "\n".join(lines[1:]).replace("Slow Étude in D flat", "")
            assert drawn.isascii(), drawn


TWELVE: list[tuple[str, list[str]]] = [
    ("breath", ["right", "right", "right", "right", "b"]),
    ("fingering", ["right", "l"]),
    ("reminder", ["right", "a"]),
    ("dynamic", ["d", "=mf"]),
    ("comment", ["c", "=long line"]),
    ("dynamic", ["pagedown", "less_than_sign", "right", "right", "enter"]),
    ("pace", ["t", "=tenuto"]),
    ("phrase", ["pagedown", "h", "right", "h", "right", "enter"]),
    ("swap", ["pagedown", "w", "=L>R 1"]),
    ("alteration", ["right", "v", "=Gb5"]),
    ("ornament", ["pagedown", "o", "=G4:1/2 Ab4:1/2 G4:1/2"]),
    ("pace", ["pagedown", "t", "=rit.", "right", "right", "enter"]),
]
A_KEY_A_SECOND = 120  # the issue gives a teacher two minutes


async def test_twelve_marks_of_all_kinds_in_two_minutes(tmp_path: Path, with_demo: Path) -> None:
    async with sitting(tmp_path, copy_of=with_demo) as at:
        await take_up(at)
        hands = Hands(at)
        for number, (_, keys) in enumerate(TWELVE, 1):
            for key in keys:
                await (hands.type(key[1:]) if key.startswith("=") else hands.press(key))
            await at.until(lambda: len(on_disk(at)) == number)  # noqa: B023  awaited here
        assert sorted(mark["kind"] for mark in on_disk(at)) == sorted(kind for kind, _ in TWELVE)
        assert {mark["kind"] for mark in on_disk(at)} >= {
            *("phrase", "pace", "breath", "fingering", "swap"),
            *("reminder", "ornament", "dynamic", "alteration", "comment"),
        }
        print(f"twelve marks of all kinds: {hands.pressed} key presses")
        assert hands.pressed <= A_KEY_A_SECOND
        written = on_disk(at)
    async with sitting(tmp_path) as at:  # the next day
        await take_up_quietly(at)
        assert at.app.session.opened is not None
        assert not at.app.session.opened.faults
        assert [mark.id for mark in at.app.session.opened.pencil.prep.marks] == [mark["id"] for mark in written]


async def test_the_pencil_is_put_down_where_one_was(tmp_path: Path, with_demo: Path) -> None:
    async with sitting(tmp_path, copy_of=with_demo) as at:
        await take_up(at)
        await at.press("pagedown", "right", "l", "escape")
        await at.goes("stand")
        await at.shows("measure 2 of 30")
        await at.press("w")
        await at.shows("[fingering L]")
        await at.press("escape")
        await at.until(lambda: at.app.screen is at.app.place)
        await at.press("p")
        await at.shows("G♭5, beat 2 of measure 2", "fingering L")
        for key, place in (("1", "today"), ("3", "drill"), ("2", "stand")):
            await at.press(key)
            await at.goes(place)
            await at.press("2", "p")
            await at.goes("pencil")
        await at.press("2")
        await at.goes("stand")


async def test_the_pencil_comes_down_on_the_note_that_sounds(tmp_path: Path, with_demo: Path) -> None:
    async with sitting(tmp_path, copy_of=with_demo) as at:
        await at.until(lambda: at.app.session.opened is not None)
        await at.press("2")
        await at.shows("measure 1 of 30")
        await at.press("space")
        await at.shows("count-in")
        at.clock.now_s += 0.1 + 9 * 60 / 50 / 3 + 1.3 * 60 / 50  # the count-in, then into the second beat
        await at.until(lambda: at.music.lit == "1.2")
        await at.press("p")
        await at.shows("F5, beat 2 of measure 1", "playing")
        await at.press("space")
        await at.until(lambda: "playing" not in at.text)


async def test_the_engraving_shows_what_stands_and_not_what_is_struck(tmp_path: Path, with_demo: Path) -> None:
    """With the real engraver: marks that are the player's, a teacher's or suggested are drawn in styles of their own, a
    struck one not at all; the cursor lies on the dots of the head."""
    import shutil

    from coach.lesson.engraving import engraving

    shutil.copytree(with_demo, tmp_path / "home")
    with_prep(tmp_path / "home", PREP)
    async with sitting(tmp_path / "home", engraving=engraving) as at:
        await take_up_quietly(at)
        await at.until(lambda: at.music.engraved and styles(at) >= {"teacher", "suggested"}, 60)
        place = at.music.page.notes["1.1"]  # type: ignore[union-attr]
        assert place.name  # the cells of the head
        row, column, _ = place.name[0]
        (under,) = at.music.render_line(row).crop(column, column + 1)
        assert under.style is not None and under.style.reverse
        assert "\u2800" < under.text <= "\u28ff"  # dots of braille
        await at.press("down", "k")  # the computed fingering is kept
        await at.until(lambda: "pencil" in styles(at) and "suggested" not in styles(at), 60)
        await at.press("x", "up", "x")
        await at.until(lambda: not styles(at) & {"pencil", "teacher", "suggested"}, 60)
        await at.press("right", "c")
        await at.write("sing")
        await at.until(lambda: "sing" in at.music.page.canvas.text(), 60)  # type: ignore[union-attr]
        await at.press("escape")
        await at.goes("stand")
        assert "sing" in at.text


def styles(at: Sitting) -> set[str]:
    """The styles of all that is drawn."""
    page = at.music.page
    assert page is not None
    return {run.style for row in range(page.canvas.height) for run in page.canvas.runs(row)}


async def test_drill_tells_the_marks_of_its_spot(tmp_path: Path, with_demo: Path) -> None:
    async with sitting(tmp_path, copy_of=with_demo) as at:
        await take_up(at)
        await at.press("g")
        await at.write("12")
        await at.shows("measure 12")
        await at.press("l", "3")  # the spot of the held low F
        await at.goes("drill")
        await at.shows("the held low F")
        await at.press("w")
        await at.shows("[fingering ", " L];")  # on two lines

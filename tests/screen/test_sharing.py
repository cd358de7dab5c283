"""A share added on the screens, and texts of scores that a terminal would obey."""

import unicodedata
from pathlib import Path

from coach.config import Settings
from coach.lesson.desk import Desk
from coach.lesson.sharing import write_share
from coach.lesson.stand import add, pieces
from coach.prepare.mark import Breath, Comment, Mark
from tests.files.test_shown import EVIL, SCORE
from tests.lesson.marks import marks_of, pencil
from tests.lesson.pages import PLAIN, score
from tests.screen.sitting import Sitting, paths_in, sitting


def lesson(folder: Path, *marks: Mark) -> Path:
    """A share of the teacher's with these marks."""
    desk = Desk(paths_in(folder / "teacher"), Settings(output="none"))
    piece = add(desk, score(folder, *PLAIN), measures="2-4")
    pencil(desk, piece, *marks)
    file = folder / "lesson.coach"
    write_share(desk, piece.id, str(file))
    desk.close()
    return file


async def add_file(at: Sitting, file: Path) -> None:
    await at.until(lambda: at.app.session.opened is not None)
    await at.press("2", "o")
    await at.shows("Add a score")
    await at.press("end", "up", "enter")
    await at.shows("a path, or corpus:")
    await at.write(str(file))


async def test_a_share_is_added_like_a_score(tmp_path: Path, with_demo: Path) -> None:
    mark = Mark("t1", "2.1", Breath())
    file = lesson(tmp_path, mark, Mark("t2", "3.1", Comment("sing")))
    async with sitting(tmp_path / "home", copy_of=with_demo) as at:
        await add_file(at, file)
        await at.shows("Study", "2 marks of your teacher's.", "cut 2-4")
        desk = at.app.desk
        piece = pieces(desk)[0]
        assert piece.title == "Study" and [one.id for one in marks_of(desk, piece)] == ["t1", "t2"]


async def test_a_damaged_share_is_told(tmp_path: Path, with_demo: Path) -> None:
    file = lesson(tmp_path)
    file.write_bytes(file.read_bytes()[:-30])
    async with sitting(tmp_path / "home", copy_of=with_demo) as at:
        await add_file(at, file)
        await at.says("breaks off or is damaged")
        assert len(pieces(at.app.desk)) == 1


async def test_no_text_of_a_score_is_obeyed(tmp_path: Path, with_demo: Path) -> None:
    """ECMA-48 for controls, Unicode Standard Annex 9 for what turns the direction."""
    file = tmp_path / "evil.musicxml"
    file.write_text(SCORE.format(encoding="UTF-8", evil=EVIL), "utf-8")
    async with sitting(tmp_path / "home", copy_of=with_demo) as at:
        await add_file(at, file)
        await at.shows("Title 31m")
        seen = [at.text]
        for key, words in (
            ("o", "Pieces on the stand"),
            ("escape", "Title"),
            ("n", "not understood"),
            ("escape", "Title"),
        ):
            await at.press(key)
            await at.shows(words)
            seen.append(at.text)
        for key, place in zip("13452", ("today", "drill", "progress", "setup", "stand"), strict=True):
            await at.press(key)
            await at.goes(place)
            seen.append(at.text)
        letters = set("".join(seen)) - {"\n"}
        assert {c for c in letters if unicodedata.category(c) == "Cc" or c in "\u202a\u202b\u202c\u202d\u202e"} == set()

"""Sharing as two people do it, each with a home of their own: files and commands only.

What a terminal obeys: ECMA-48 (controls of C0 and C1), Unicode Standard Annex 9 (turns of the direction).
"""

import unicodedata
import zipfile
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from coach.lesson.desk import Desk
from coach.lesson.stand import find
from coach.prepare.mark import Breath, Comment, Fingering, Mark
from tests.cli.conftest import Coach, sentence, silence
from tests.cli.test_documents import fits
from tests.files.test_shown import EVIL, SCORE
from tests.lesson.marks import marks_of, pencil, rub_out, strike

MARKS = (
    Mark("t1", "2.1", Fingering("L")),
    Mark("t2", "4.1", Breath()),
    Mark("t3", "9.1", Comment("from nothing")),
)


class People:
    """A teacher and a student at their own computers."""

    def __init__(self, folder: Path, coach: Coach, monkeypatch: pytest.MonkeyPatch) -> None:
        self.folder, self.coach, self._monkeypatch = folder, coach, monkeypatch
        self.file = folder / "lesson.coach"

    def at(self, who: str) -> Coach:
        """The program at somebody's computer."""
        home = self.folder / who
        if not home.exists():
            silence(home)
        self._monkeypatch.setenv("COACH_HOME", str(home))
        return self.coach


@pytest.fixture
def people(tmp_path: Path, coach: Coach, monkeypatch: pytest.MonkeyPatch) -> People:
    return People(tmp_path, coach, monkeypatch)


def pencilled(*marks: Mark) -> None:
    desk = Desk.open()
    pencil(desk, find(desk, "Slow"), *marks)
    desk.close()


def marks() -> list[Mark]:
    desk = Desk.open()
    try:
        return marks_of(desk, find(desk, "Slow"))
    finally:
        desk.close()


def test_a_lesson(people: People) -> None:
    """Taught, marked, shared; taken, struck, added to; changed by the teacher and taken again."""
    assert people.at("teacher")("demo").status == 0
    pencilled(*MARKS)
    done = people.coach("share", "Slow", people.file)
    assert (done.status, done.err) == (0, "") and "holds the score and 3 marks." in done.out

    done = people.at("student")("add", people.file, "--by", "2099-01-01")
    assert (done.status, done.err) == (0, "") and "\n3 marks of your teacher's.\n" in done.out
    from_teacher = [replace(mark, origin="teacher") for mark in MARKS]
    assert marks() == from_teacher
    done = people.coach("rep", "Slow", "11-13", "--tempo", "30", "clean")
    assert done.status == 0
    own = Mark("s1", "5.1", Comment("count"))
    desk = Desk.open()
    strike(desk, find(desk, "Slow"), "t1")
    desk.close()
    pencilled(own)

    people.at("teacher")
    desk = Desk.open()
    rub_out(desk, find(desk, "Slow"), "t3")
    desk.close()
    pencilled(Mark("t4", "6.1", Breath("catch")))
    assert people.coach("share", "Slow", people.file).status == 0

    done = people.at("student")("add", people.file)
    assert "\n3 marks of your teacher's, 1 new, 1 taken back.\n" in done.out
    assert marks() == [
        replace(from_teacher[0], state="struck"),
        from_teacher[1],
        own,
        Mark("t4", "6.1", Breath("catch"), "teacher"),
    ]
    (piece,) = people.coach("pieces", "--json").document["pieces"]
    assert piece["by"] == "2099-01-01"
    assert "clean" in people.coach("log", "export").out


def test_the_document_of_share(people: People) -> None:
    people.at("teacher")("demo")
    pencilled(*MARKS)
    document = people.coach("share", "Slow", people.file, "--json").document
    assert document.pop("schema") == "coach.shared/1"
    fits(document, {"file": str, "marks": int})
    assert document == {"file": str(people.file), "marks": 3}
    taken = people.at("student")("add", people.file, "--json").document
    assert taken["schema"] == "coach.piece/1" and taken["piece"]["title"] == "Slow Étude in D flat"


def test_the_same_marks_make_the_same_file(people: People) -> None:
    people.at("teacher")("demo")
    pencilled(*MARKS)
    people.coach("share", "Slow", people.file)
    first = people.file.read_bytes()
    people.coach("share", "Slow", people.file)
    assert people.file.read_bytes() == first


def test_what_cannot_be_shared(people: People) -> None:
    people.at("teacher")("demo")
    assert "no piece on the stand" in sentence(people.coach("share", "Quick", people.file)).replace("No file and ", "")
    assert "cannot be written" in sentence(people.coach("share", "Slow", people.folder / "none" / "a.coach"))
    other = people.folder / "letter.txt"
    other.write_text("Dear colleague", "utf-8")
    assert "is there already and is no share" in sentence(people.coach("share", "Slow", other))
    assert other.read_text("utf-8") == "Dear colleague" and not people.file.exists()


def test_a_share_where_a_score_is_wanted(people: People) -> None:
    people.at("teacher")("demo")
    people.coach("share", "Slow", people.file)
    assert "is a share" in sentence(people.at("student")("play", people.file))


@pytest.mark.parametrize("name", ["../../evil.txt", "/tmp/evil.txt", "share.json.exe"])
def test_names_inside_that_point_elsewhere(people: People, name: str) -> None:
    people.at("teacher")("demo")
    people.coach("share", "Slow", people.file)
    with zipfile.ZipFile(people.file, "a") as archive:
        archive.writestr(name, "evil")
    text = sentence(people.at("student")("add", people.file))
    assert name in text and "refused" in text
    assert people.coach("pieces", "--json").document["pieces"] == []
    assert not list(people.folder.rglob("evil*"))


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.data())
def test_any_file_is_taken_or_told_in_one_sentence(people: People, data: st.DataObject) -> None:
    if not people.file.exists():
        people.at("teacher")("demo")
        pencilled(*MARKS)
        people.coach("share", "Slow", people.file)
    whole = people.file.read_bytes()
    at = data.draw(st.integers(0, len(whole) - 1))
    tail = whole[at + data.draw(st.integers(0, 4)) :] if data.draw(st.booleans()) else b""
    changed = people.folder / "changed.coach"
    changed.write_bytes(whole[:at] + data.draw(st.binary(max_size=4)) + tail)
    done = people.at("student")("add", changed)
    if done.status != 0:
        assert str(changed) in sentence(done)


def shown_plainly(text: str) -> bool:
    """Whether nothing in an output but ends of lines is a control or turns the direction."""
    letters = set(text) - {"\n"}
    turning = {"LRE", "RLE", "LRO", "RLO", "PDF", "LRI", "RLI", "FSI", "PDI"}
    return not any(unicodedata.category(c) == "Cc" or unicodedata.bidirectional(c) in turning for c in letters)


@pytest.mark.parametrize("evil", [EVIL, "&#155;2J&#x202E;"])
def test_no_text_of_a_score_is_obeyed(people: People, evil: str) -> None:
    coach = people.at("student")
    file = people.folder / "evil.musicxml"
    file.write_text(SCORE.format(encoding="UTF-8", evil=evil), "utf-8")
    for arguments in (
        ["add", file],
        ["add", file, "--json"],
        ["pieces"],
        ["prepare", file],
        ["prepare", file, "--json"],
        ["progress", "Title"],
        ["rep", "Title", "1", "--tempo", "60", "clean"],
        ["today", "--minutes", "30"],
    ):
        done = coach(*arguments)
        assert (done.out or done.status) and shown_plainly(done.out) and shown_plainly(done.err), (arguments, done)
        assert done.status == 0 or shown_plainly(sentence(done))


def test_no_name_of_a_file_is_obeyed(people: People) -> None:
    file = people.folder / "a\x1b[2J\x9b31m.musicxml"
    assert shown_plainly(sentence(people.at("student")("add", file)))
    file.write_text(SCORE.format(encoding="UTF-8", evil="").replace("work-title", "work-number"), "utf-8")
    done = people.coach("add", file)
    assert done.status == 0 and "a[2J31m" in done.out and shown_plainly(done.out)

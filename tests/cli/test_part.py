"""coach part: the marked part as a file, and the way back with coach add."""

import os
from pathlib import Path
from typing import Any

import pytest
from lxml import etree

from coach.lesson.desk import Desk
from coach.lesson.marking import open_pencil, prep_of
from coach.lesson.stand import find, open_piece
from coach.prepare.mark import Breath, Comment, Fingering
from coach.prepare.prep import Prep
from tests.cli.conftest import WEBER, Coach, sentence
from tests.files.marked.schema import faults, load_schema
from tests.files.scores import note, score

FULL = note("C5") + note("D5") + note("E5") + note("F5")


def prep(piece: str) -> Prep:
    """The marks of a piece on the stand."""
    desk = Desk.open()
    known = find(desk, piece)
    return prep_of(desk, known, open_piece(desk, known))


def mark(piece: str) -> None:
    """Three marks, one of them struck."""
    desk = Desk.open()
    known = find(desk, piece)
    pencil = open_pencil(desk, known, open_piece(desk, known))
    pencil.put(Breath(), "1.1")
    pencil.put(Fingering("L"), "1.2")
    pencil.strike(pencil.put(Comment("no"), "1.3").id)


@pytest.fixture
def page(tmp_path: Path) -> Path:
    path = tmp_path / "page.musicxml"
    path.write_text(score(FULL, FULL, top="<movement-title>Page</movement-title>"), "utf-8")
    return path


def test_a_score_that_was_never_added_has_no_marks(coach: Coach, tmp_path: Path, home: Path) -> None:
    file = tmp_path / "weber.musicxml"
    done = coach("part", WEBER, "--musicxml", file)
    assert (done.status, done.err) == (0, f"Written: {file}\n")
    assert done.out.endswith("with 0 marks.\n")
    assert faults(load_schema(tmp_path), file.read_bytes()) == []
    assert not (home / "data").exists()


def test_the_marks_of_a_piece_go_into_its_part(coach: Coach, page: Path, tmp_path: Path) -> None:
    coach("add", page)
    mark("page")
    file = tmp_path / "marked.musicxml"
    document = coach("part", "page", "--musicxml", file, "--json").document
    assert document == {
        "schema": "coach.part/1",
        "title": "Page",
        "part": "Clarinet",
        "marks": 2,
        "files": {"musicxml": str(file)},
    }
    root = etree.parse(file).getroot()
    assert [one.text for one in root.iter("breath-mark", "fingering")] == ["comma", "L"]
    assert list(root.iter("words")) == []
    again = tmp_path / "again.musicxml"
    coach("part", page, "--musicxml", again)  # the file that was added names the same piece
    assert again.read_bytes() == file.read_bytes()


def test_a_marked_part_is_added_with_its_marks(
    coach: Coach, page: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    coach("add", page)
    mark("page")
    sent = prep("page")
    file = tmp_path / "marked.mxl"
    coach("part", "page", "--musicxml", file)
    monkeypatch.setenv("COACH_HOME", str(tmp_path / "elsewhere"))
    added = coach("add", file)
    assert added.status == 0 and "It came with 3 marks." in added.out
    assert {(one.id, one.at, one.content, one.state) for one in prep("page").marks} == {
        (one.id, one.at, one.content, one.state) for one in sent.marks
    }
    assert "marks" not in coach("add", file).out  # they are there
    desk = Desk.open()
    known = find(desk, "page")
    open_pencil(desk, known, open_piece(desk, known)).put(Comment("mine"), "2.1")
    assert "The piece has marks already; those in the file are not taken." in coach("add", file).out
    assert len(prep("page").marks) == 4


def test_a_marked_part_keeps_its_marks_on_the_way_through(coach: Coach, page: Path, tmp_path: Path) -> None:
    coach("add", page)
    mark("page")
    first, second = tmp_path / "first.musicxml", tmp_path / "second.musicxml"
    coach("part", "page", "--musicxml", first)
    coach("pieces", "--remove", "page")
    assert coach("part", first, "--musicxml", second, "--json").document["marks"] == 2
    texts = [one.text for one in etree.parse(second).getroot().iter("breath-mark", "fingering")]
    assert texts == ["comma", "L"]


def test_nothing_to_write_is_told(coach: Coach) -> None:
    assert sentence(coach("part", WEBER)).startswith("There is nothing to write; give --musicxml FILE")


def test_the_score_itself_is_never_written_over(coach: Coach, page: Path, tmp_path: Path) -> None:
    before = page.read_bytes()
    coach("add", page)
    link = tmp_path / "link.musicxml"
    os.link(page, link)
    for source, file in ((page, page), ("page", page), ("page", link), (page, f"{page.parent}/./{page.name}")):
        assert "is the score itself" in sentence(coach("part", source, "--musicxml", file))
    assert page.read_bytes() == before


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (["nothing.musicxml", "--musicxml", "out.xml"], "does not exist"),
        ([WEBER, "--part", "9", "--musicxml", "out.xml"], "9"),
        ([WEBER, "--musicxml", "no/such/folder/out.xml"], "cannot be written"),
        ([WEBER, "--musicxml", "."], "cannot be written"),
    ],
)
def test_what_cannot_be_done_is_told_and_writes_nothing(
    arguments: list[str], told: str, coach: Coach, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = tmp_path / "here"
    folder.mkdir()
    monkeypatch.chdir(folder)
    assert told in sentence(coach("part", *arguments))
    assert list(folder.iterdir()) == []


def test_a_broken_prep_inside_is_told_and_the_piece_is_added(coach: Coach, page: Path, tmp_path: Path) -> None:
    file = tmp_path / "marked.musicxml"
    coach("part", page, "--musicxml", file)
    tree: Any = etree.parse(file)
    tree.find("identification/miscellaneous/miscellaneous-field[@name='coach.prep']").text = "schema = 7"
    tree.write(file)
    done = coach("add", file)
    assert done.status == 0 and "Its marks are not taken: " in done.out
    assert prep("page").marks == ()

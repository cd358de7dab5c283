"""coach part --pdf and --html: files to print, and one sentence for what is in the way."""

import json
from pathlib import Path

import pypdfium2
import pytest

from coach.cli.main import main
from coach.lesson.desk import Desk
from coach.lesson.marking import open_pencil
from coach.lesson.stand import find, open_piece
from coach.prepare.mark import Breath, Comment
from tests.files.scores import note, score

DEMO = "content/pieces/demo.musicxml"


@pytest.fixture(autouse=True)
def _home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COACH_HOME", str(tmp_path / "home"))


def test_both_files_are_written(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    pdf, html = tmp_path / "part.pdf", tmp_path / "part.html"
    assert main(["part", DEMO, "--pdf", str(pdf), "--html", str(html), "--paper", "letter", "--json"]) == 0
    said = capsys.readouterr()
    document = json.loads(said.out)
    assert document["schema"] == "coach.part/1"
    assert document["files"] == {"pdf": str(pdf), "html": str(html)}
    width, height = pypdfium2.PdfDocument(pdf)[0].get_size()
    assert (width / 72, height / 72) == pytest.approx((8.5, 11), abs=0.02)
    assert html.read_text("utf-8").startswith("<!DOCTYPE html>")
    assert not (tmp_path / "home").exists() or not any((tmp_path / "home").rglob("*.toml"))


def test_the_marks_of_the_stand_are_printed_at_its_tempo(tmp_path: Path) -> None:
    assert main(["add", DEMO, "--tempo", "44"]) == 0
    desk = Desk.open()
    known = find(desk, "slow")
    piece = open_piece(desk, known)
    pencil = open_pencil(desk, known, piece)
    pencil.put(Breath(), "2.4")
    pencil.put(Comment("Wait for the pianist to look up before the phrase begins."), "5.1")
    assert main(["part", known.id, "--pdf", str(tmp_path / "part.pdf")]) == 0
    document = pypdfium2.PdfDocument(tmp_path / "part.pdf")
    text = " ".join(page.get_textpage().get_text_range() for page in document)
    for words in ("dotted quarter = 44", "breath", "Wait for the pianist", "measure 5, beat 1"):
        assert words in text, words


def test_a_score_without_a_title_is_printed_as_it_is_called_on_the_stand(tmp_path: Path) -> None:
    """Not by the hash that its copy on the stand is named by; and a place between beats is told in fractions."""
    source = tmp_path / "morning.musicxml"
    source.write_text(
        score(
            note("C5", "half", 4) + note("D5", "eighth", 1) + note("E5", "eighth", 1) + note("F5", duration=2),
            divisions=2,
        ),
        "utf-8",
    )
    assert main(["add", str(source)]) == 0
    desk = Desk.open()
    known = find(desk, "morning")
    open_pencil(desk, known, open_piece(desk, known)).put(Comment("Wait."), "1.3")
    pdf, html = tmp_path / "part.pdf", tmp_path / "part.html"
    assert main(["part", known.id, "--pdf", str(pdf), "--html", str(html)]) == 0
    text = " ".join(page.get_textpage().get_text_range() for page in pypdfium2.PdfDocument(pdf))
    for said in (text, html.read_text("utf-8")):
        assert "morning" in said and "measure 1, beat 3 and 1/2" in said
        assert known.score.partition(".")[0] not in said


@pytest.mark.parametrize(
    ("options", "sentence"),
    [
        ([], "There is nothing to write; give --musicxml FILE, --pdf FILE or --html FILE."),
        (["--pdf", "one", "--html", "./one"], "Two kinds of file cannot have one name; give each its own."),
        (["--pdf", DEMO], f"{DEMO} is the score itself, which stays as it is; choose another name."),
    ],
)
def test_one_sentence_for_what_is_in_the_way(
    options: list[str], sentence: str, capsys: pytest.CaptureFixture[str]
) -> None:
    before = Path(DEMO).read_bytes()
    assert main(["part", DEMO, *options]) == 1
    assert capsys.readouterr().err == f"coach: {sentence}\n"
    assert Path(DEMO).read_bytes() == before


def test_a_paper_that_is_not_known_is_wrong_usage() -> None:
    with pytest.raises(SystemExit) as left:
        main(["part", DEMO, "--pdf", "x.pdf", "--paper", "a3"])
    assert left.value.code == 2

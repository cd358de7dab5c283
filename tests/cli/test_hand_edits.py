"""Prep files edited by hand, as the commands tell them: file, line and remedy, and the good part is used."""

from pathlib import Path

import pytest

from tests.cli.conftest import Coach
from tests.files.scores import note, score

HEAD = 'schema = "coach.prepfile/1"\n'
GOOD = '[[mark]]\nkind = "breath"\nat = "1.1"\n'
SLIP = '[[mark]]\nkind = "breth"\nat = "1.2"\n'


@pytest.fixture
def by_hand(coach: Coach, home: Path, tmp_path: Path) -> Path:
    """A prep file with a slip in its second line, and a good mark."""
    page = tmp_path / "page.musicxml"
    page.write_text(
        score(note("C5") + note("D5") + note("E5") + note("F5"), top="<movement-title>Page</movement-title>")
    )
    assert coach("add", page).status == 0
    name = coach("pieces", "--json").document["pieces"][0]["id"]
    preps = home / "data" / "preps"
    preps.mkdir(parents=True)
    file: Path = preps / f"{name}.toml"
    file.write_text(HEAD + SLIP + GOOD)
    return file


@pytest.mark.parametrize(
    "arguments",
    [
        ["prepare", "page"],
        ["prepare", "page", "--json"],
        ["show", "page"],
        ["render", "page", "--midi"],
        ["part", "page", "--musicxml"],
        ["share", "page"],
    ],
)
def test_a_slip_is_told_with_file_line_and_remedy(
    arguments: list[str], coach: Coach, by_hand: Path, tmp_path: Path
) -> None:
    file = [tmp_path / "out.musicxml"] if arguments[0] in ("part", "render", "share") else []
    done = coach(*arguments, *file)
    assert done.status == 0
    said = [line for line in done.err.splitlines() if line.startswith("coach: ")]
    assert len(said) == 1 and f"{by_hand}, line 2: kind is 'breth'" in said[0] and "correct it" in said[0]
    if "--json" in arguments:
        assert [mark["at"] for mark in done.document["marks"] if mark["origin"] == "player"] == ["1.1"]


def test_a_stretch_that_runs_backwards_is_told_once(coach: Coach, by_hand: Path, tmp_path: Path) -> None:
    by_hand.write_text(HEAD + '[[mark]]\nkind = "phrase"\nat = "1.3"\nto = "1.1"\n')
    done = coach("part", "page", "--html", tmp_path / "out.html")
    said = [line for line in done.err.splitlines() if not line.startswith("Written")]
    assert done.status == 0 and len(said) == 1
    assert "phrase at 1.3 runs backwards, to 1.1" in said[0] and "begin it at the earlier note" in said[0]


def test_a_mark_without_a_note_is_told(coach: Coach, by_hand: Path) -> None:
    by_hand.write_text(HEAD + GOOD.replace("1.1", "99.9"))
    done = coach("prepare", "page")
    assert "breath at 99.9" in done.err and "Without a place" in done.out


def test_a_mark_without_a_place_is_not_told_by_the_note_that_has_its_id_now(coach: Coach, by_hand: Path) -> None:
    by_hand.write_text(HEAD + GOOD.replace("[[mark]]", "[[unplaced]]") + 'over = [["1", "G5:4"]]\n')
    assert "Without a place in this score: full breath after note 1.1\n" in coach("prepare", "page").out

"""The prep file: its bytes, its round trip, and what happens to a hand's slips in it.

Every text that is written is read by tomllib too (TOML 1.0, the standard library), apart from our own reading of it.
"""

from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings

from coach.errors import StoreError
from coach.files.prep import Parsed, parse_prep, prep_path, prep_text, read_prep, write_prep
from coach.music.part import Part
from coach.prepare.mark import (
    Breath,
    Mark,
)
from coach.prepare.prep import Prep
from tests.files.prep_golden import FULL, GOLDEN, HAND, PART, body, written
from tests.prepare.factory import prep_over, preps


def test_the_bytes_of_the_file() -> None:
    text = written(FULL, PART)
    assert body(text) == GOLDEN
    assert all(line.startswith("#:") or not line for line in text[: text.index("schema =")].split("\n"))


def test_the_head_names_every_kind_and_field() -> None:
    head = prep_text(Prep(), PART)
    for word in ("phrase", "pace", "breath", "fingering", "swap", "reminder", "ornament", "dynamic", "alteration"):
        assert f"\n#:   {word} " in head
    assert all(name in head for name in ("goal", "shape", "length", "size", "choice", "when", "level_db", "because"))


@settings(max_examples=150, suppress_health_check=[HealthCheck.too_slow], deadline=None)
@given(preps())
def test_any_prep_is_read_back_as_it_was(made: tuple[Prep, Part]) -> None:
    prep, of = made
    text = written(prep, of)
    parsed = parse_prep(text, "study.toml")
    assert parsed.faults == () and not parsed.broken
    assert parsed.prep == prep
    assert prep_text(prep, of, text) == text


@settings(max_examples=60, suppress_health_check=[HealthCheck.too_slow], deadline=None)
@given(preps(), preps())
def test_whatever_the_file_held_before_the_prep_is_what_is_written(
    made: tuple[Prep, Part], before: tuple[Prep, Part]
) -> None:
    (prep, of), old = made, prep_text(*before)
    text = written(prep, of, old)
    assert parse_prep(text, "x").prep == prep


def test_what_a_hand_wrote_stays() -> None:
    prep = parse_prep(HAND, "x").prep
    assert prep == FULL
    changed = replace(prep, marks=tuple(replace(mark, state="struck") for mark in prep.marks))
    text = written(changed, PART, HAND)
    assert parse_prep(text, "x").prep == changed
    for words in (
        "# ask about this one\n",
        "[[mark]]  # here\n",
        'colour_of_pencil = "red"',
        "# my own head\n",
        'owner = "me"',
    ):
        assert text.count(words) == 1
    assert written(changed, PART, text) == text


def test_words_about_a_mark_outlive_it() -> None:
    gone = replace(FULL, marks=tuple(mark for mark in FULL.marks if mark.id != "m3"))
    text = written(gone, PART, HAND)
    assert "m3" not in text and "# ask about this one\n" in text
    assert "# ask about this one\n" in written(gone, PART, text)


def test_a_mark_written_by_hand_needs_no_id() -> None:
    hand = GOLDEN + '\n[[mark]]\nkind = "breath"\nat = "1.1"\n\n[[mark]]\nkind = "breath"\nat = "1.1"\nsize = "catch"\n'
    parsed = parse_prep(hand, "x")
    assert parsed.faults == ()
    mine = [mark for mark in parsed.prep.marks if mark.kind == "breath" and mark.at == "1.1"]
    assert [mark.content for mark in mine] == [Breath(), Breath("catch")]
    assert len({mark.id for mark in parsed.prep.marks}) == len(parsed.prep.marks) == len(FULL.marks) + 2
    assert parse_prep(written(parsed.prep, PART, hand), "x").prep == parsed.prep


def test_a_file_edited_meanwhile_is_joined(tmp_path: Path) -> None:
    file = tmp_path / "preps" / "study.toml"
    first = write_prep(file, FULL, PART)
    assert read_prep(file).prep == FULL and not first.joined
    file.write_text(file.read_text("utf-8").replace('size = "catch"', 'size = "full"') + "# mine\n", "utf-8")
    mine = replace(FULL, marks=FULL.marks[:-1])
    after = write_prep(file, mine, PART, first)
    assert after.joined
    found = read_prep(file)
    assert found.prep == after.prep and "# mine" in file.read_text("utf-8")
    assert {mark.id for mark in found.prep.marks} == {mark.id for mark in mine.marks}
    assert [mark.content for mark in found.prep.marks if mark.id == "m3"] == [Breath("full")]
    assert not write_prep(file, after.prep, PART, after).joined


def test_without_having_read_it_nothing_in_a_file_is_lost(tmp_path: Path) -> None:
    file = tmp_path / "study.toml"
    write_prep(file, FULL, PART)
    write_prep(file, prep_over(PART, Mark("new", "1.1", Breath()), score="0123abcd"), PART)
    assert {mark.id for mark in read_prep(file).prep.marks} == {mark.id for mark in FULL.marks} | {"new"}


def test_no_file_is_an_empty_prep(tmp_path: Path) -> None:
    assert read_prep(tmp_path / "none.toml") == Parsed(Prep())


def test_a_file_that_cannot_be_written(tmp_path: Path) -> None:
    (tmp_path / "preps").write_text("a file where the folder should be")
    with pytest.raises(StoreError, match="cannot be"):
        write_prep(tmp_path / "preps" / "study.toml", FULL, PART)


@pytest.mark.parametrize("piece", ["../../x", "a/b", "..", "C:\\x", "two words", "étude", "con.aux"])
def test_a_piece_cannot_choose_the_folder_of_its_file(piece: str, tmp_path: Path) -> None:
    path = prep_path(tmp_path, piece)
    assert path.parent == tmp_path and path.resolve().parent == tmp_path.resolve() and ":" not in path.name
    assert path.suffix == ".toml" and "\\" not in path.name

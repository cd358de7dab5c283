"""A marked part read back: the same piece, the same marks, whatever other programs leave of ours."""

import zipfile
from dataclasses import replace
from pathlib import Path
from random import Random

import pytest
from lxml import etree

from coach.errors import ScoreError, StoreError
from coach.files.marked.compressed import compressed
from coach.files.marked.embedded import carried_prep, embedded_prep, marks_in, unmarked
from coach.files.marked.writing import marked_musicxml
from coach.files.score import part_names, read_score
from coach.music.piece import Piece
from coach.prepare.mark import Breath, Comment, Mark, Reminder
from coach.prepare.prep import Prep
from tests.files.marked.chance import random_prep
from tests.files.scores import note, score

WEBER = "corpus:weber/concertino_clarinet"
FULL = note("C5") + note("D5") + note("E5") + note("F5")
MARKS = (Mark("a", "1.1", Breath()), Mark("b", "1.2", Comment("long")), Mark("c", "1.3", Reminder("natural")))


def bare(piece: Piece) -> Piece:
    return replace(piece, score_hash="")


@pytest.fixture
def source(tmp_path: Path) -> Path:
    path = tmp_path / "étude.musicxml"
    path.write_text(score(FULL, FULL, top="<movement-title>Étude</movement-title>"), "utf-8")
    return path


@pytest.fixture
def marked(source: Path) -> Path:
    path = source.with_name("marked.musicxml")
    path.write_bytes(marked_musicxml(source, Prep(marks=MARKS)))
    return path


def test_the_same_piece_and_the_same_marks_are_read(source: Path, marked: Path) -> None:
    assert bare(read_score(marked)) == bare(read_score(source))
    prep = embedded_prep(marked)
    assert prep is not None and set(prep.marks) == set(MARKS)
    assert embedded_prep(source) is None


def test_a_marked_part_has_a_declaration_and_no_document_type(marked: Path) -> None:
    data = marked.read_bytes()
    assert data.startswith(b"<?xml version='1.0' encoding='UTF-8'?>\n<score-partwise")
    assert b"<!" not in data


def test_nothing_of_the_original_is_lost(source: Path, marked: Path) -> None:
    """Every element, attribute and text of the original stands in the marked part, in its order."""

    def told(root: etree._Element) -> list[tuple[object, ...]]:
        elements = root.iter(etree.Element)
        return [(one.tag, sorted(one.attrib.items()), (one.text or "").strip()) for one in elements]

    after = iter(told(etree.parse(marked).getroot()))
    assert all(any(entry == other for other in after) for entry in told(etree.parse(source).getroot()))


def test_marking_a_marked_part_marks_it_once(source: Path, marked: Path) -> None:
    again = marked_musicxml(marked, Prep(marks=MARKS))
    assert again == marked.read_bytes() == marked_musicxml(source, Prep(marks=MARKS))


def test_the_tree_without_marks_is_the_tree_before(source: Path) -> None:
    """Of the Weber, with forty marks, to the last character."""
    piece = read_score(WEBER)
    plain = marked_musicxml(WEBER, Prep())
    full = etree.fromstring(marked_musicxml(WEBER, random_prep(piece.part, Random(1), 40)))
    assert marks_in(full) is not None
    assert etree.tostring(unmarked(full), method="c14n") == etree.tostring(
        unmarked(etree.fromstring(plain)), method="c14n"
    )
    assert marks_in(full) is None


def test_without_our_field_what_is_there_is_read(marked: Path) -> None:
    """Another program has kept the signs and thrown the fields away: then the signs are the score's."""
    root = etree.parse(marked).getroot()
    identification = root.find("identification")
    assert identification is not None
    root.remove(identification)
    marked.write_bytes(etree.tostring(root))
    piece = read_score(marked)
    assert piece.part.measures[0].notes[0].breath == "comma"
    assert [words.text for words in piece.part.words] == ["long"]
    assert embedded_prep(marked) is None


def test_without_our_ids_what_is_there_is_read(marked: Path) -> None:
    root = etree.parse(marked).getroot()
    for element in root.iter(etree.Element):
        if (element.get("id") or "").startswith("coach-"):
            del element.attrib["id"]
    marked.write_bytes(etree.tostring(root))
    assert read_score(marked).part.measures[0].notes[0].breath == "comma"
    prep = embedded_prep(marked)
    assert prep is not None and set(prep.marks) == set(MARKS)


def test_ids_like_ours_alone_prove_nothing(tmp_path: Path) -> None:
    path = tmp_path / "score.musicxml"
    held = '<articulations id="coach-1-x"><breath-mark/></articulations>'
    path.write_text(score(note("C5", "whole", 4, notations=held)), "utf-8")
    assert read_score(path).part.measures[0].notes[0].breath == "comma"


def test_the_part_that_was_marked_is_the_part_that_is_read(tmp_path: Path) -> None:
    """Without a word the clarinet is practised; the marks are the piano's, and so is the marked part."""
    names = part_names(WEBER)
    assert len(names) == 2
    piano = read_score(WEBER, part="2")
    assert piano.part.name != read_score(WEBER).part.name
    path = tmp_path / "piano.musicxml"
    first = next(piano.part.pitched()).id
    path.write_bytes(marked_musicxml(WEBER, Prep(marks=(Mark("a", first, Breath()),)), part="2"))
    assert bare(read_score(path)) == bare(piano)
    assert read_score(path, part="1").part.name == read_score(WEBER).part.name
    assert part_names(path) == names


def test_compressed_musicxml_carries_the_marks_too(marked: Path) -> None:
    path = marked.with_suffix(".mxl")
    path.write_bytes(compressed(marked.read_bytes()))
    assert zipfile.ZipFile(path).namelist() == ["META-INF/container.xml", "score.musicxml"]
    assert bare(read_score(path)) == bare(read_score(marked))
    assert embedded_prep(path) == embedded_prep(marked)
    assert path.read_bytes() == compressed(marked.read_bytes())


def _with_field(marked: Path, text: str) -> Path:
    root = etree.parse(marked).getroot()
    (field,) = (one for one in root.iter("miscellaneous-field") if one.get("name") == "coach.prep")
    field.text = text
    marked.write_bytes(etree.tostring(root))
    return marked


def test_a_field_that_is_no_prep_is_told_and_the_piece_is_read(source: Path, marked: Path) -> None:
    path = _with_field(marked, "schema = 7")
    assert bare(read_score(path)) == bare(read_score(source))
    with pytest.raises(StoreError, match=r"marked\.musicxml, its marks") as caught:
        embedded_prep(path)
    assert "\n" not in str(caught.value) and str(caught.value).endswith(".")


def test_a_mistake_in_a_mark_leaves_the_others(marked: Path) -> None:
    text = str(etree.parse(marked).findtext("identification/miscellaneous/miscellaneous-field"))
    parsed = carried_prep(_with_field(marked, text.replace('size = "full"', 'size = "huge"')))
    assert parsed is not None
    assert {mark.id for mark in parsed.prep.marks} == {"b", "c"}
    assert len(parsed.faults) == 1 and "its marks, line" in parsed.faults[0]


def test_other_formats_carry_nothing(tmp_path: Path) -> None:
    path = tmp_path / "tune.abc"
    path.write_text("X:1\nM:4/4\nL:1/4\nK:C\nCDEF|\n", "utf-8")
    assert embedded_prep(path) is None
    with pytest.raises(ScoreError):
        embedded_prep(tmp_path / "missing.musicxml")

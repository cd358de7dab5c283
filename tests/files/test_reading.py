"""Readings kept on disk: the same piece comes back, and whatever is wrong with a file, the score is read again."""

import json
import subprocess
import sys
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coach.files.codec import Damaged, pack, unpack
from coach.files.score import read_score
from coach.files.source import corpus_folder
from coach.music.note import Note
from coach.music.piece import Notice
from coach.music.pitch import Pitch
from tests.files.scores import note, score

SUITE = corpus_folder().parent / "musicxml" / "lilypondTestSuite"
GOOD = score(note() * 4, note("C5", "whole", 4))


def kept(folder: Path) -> list[Path]:
    return sorted(folder.iterdir())


@pytest.mark.parametrize(
    "name", ["24a-GraceNotes.xml", "32a-Notations.xml", "43a-PianoStaff.xml", "72c-TransposingInstruments-Change.xml"]
)
def test_a_reading_comes_back_as_it_was(tmp_path: Path, name: str) -> None:
    first = read_score(SUITE / name, cache=tmp_path / "cache")
    (reading,) = kept(tmp_path / "cache")
    stamp = reading.stat().st_mtime_ns
    again = read_score(SUITE / name, cache=tmp_path / "cache")
    assert again == first == read_score(SUITE / name)
    assert reading.stat().st_mtime_ns == stamp  # it was not read and kept anew


def test_the_whole_weber_piece_comes_back(tmp_path: Path) -> None:
    first = read_score("corpus:weber/concertino_clarinet", cache=tmp_path)
    assert read_score("corpus:weber/concertino_clarinet", cache=tmp_path) == first


def test_other_content_or_another_part_is_another_reading(tmp_path: Path) -> None:
    path, cache = tmp_path / "a.musicxml", tmp_path / "cache"
    path.write_text(GOOD)
    read_score(path, cache=cache)
    read_score(path, part="1", cache=cache)
    read_score(path, part="Clarinet", cache=cache)
    path.write_text(GOOD.replace("<step>C", "<step>D"))
    changed = read_score(path, cache=cache)
    assert len(kept(cache)) == 4
    assert {one.pitch.name for one in changed.part.pitched() if one.pitch is not None} == {"D5"}


def test_a_title_that_the_file_lacks_is_its_name(tmp_path: Path) -> None:
    cache = tmp_path / "cache"
    for name in ("Etude 1", "Etude 2"):
        (tmp_path / f"{name}.musicxml").write_text(GOOD)
        assert read_score(tmp_path / f"{name}.musicxml", cache=cache).title == name
    assert len(kept(cache)) == 1


@pytest.mark.parametrize("damage", [b"", b"\0" * 100, b"{}", b"null\n[]", "cut", "other", "sealed nonsense"])
def test_a_damaged_reading_is_read_anew(tmp_path: Path, damage: bytes | str) -> None:
    import hashlib

    path, cache = tmp_path / "a.musicxml", tmp_path / "cache"
    path.write_text(GOOD)
    first = read_score(path, cache=cache)
    (reading,) = kept(cache)
    whole = reading.read_bytes()
    nonsense = b'["Piece",["Part",1]]'
    damaged = {
        "cut": whole[:-10],
        "other": whole.replace(b"Clarinet", b"Bassoon!"),
        "sealed nonsense": hashlib.sha256(nonsense).hexdigest().encode() + b"\n" + nonsense,
    }
    reading.write_bytes(damage if isinstance(damage, bytes) else damaged[damage])
    assert read_score(path, cache=cache) == first
    assert reading.read_bytes() == whole


def test_where_nothing_can_be_kept_nothing_is(tmp_path: Path) -> None:
    path = tmp_path / "a.musicxml"
    path.write_text(GOOD)
    blocked = tmp_path / "blocked"
    blocked.write_text("a file where the folder should be")
    assert read_score(path, cache=blocked / "cache").part.name == "Clarinet"
    assert blocked.read_text() == "a file where the folder should be"


def test_a_full_disk_leaves_nothing_half_written(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    path, cache = tmp_path / "a.musicxml", tmp_path / "cache"
    path.write_text(GOOD)
    monkeypatch.setattr("os.replace", full)
    assert read_score(path, cache=cache).part.name == "Clarinet"
    assert kept(cache) == []


PLAIN = st.none() | st.booleans() | st.integers() | st.text() | st.fractions()
PITCHES = st.builds(Pitch, st.sampled_from("CDEFGAB"), st.integers(-2, 2), st.integers(0, 9))


@given(st.tuples(PLAIN, PITCHES, st.builds(Notice, st.text(), st.text(), st.integers(1, 99))))
def test_what_is_packed_comes_back(value: tuple[object, ...]) -> None:
    assert unpack(json.loads(json.dumps(pack(value)))) == value


@given(st.recursive(st.none() | st.integers() | st.text(), lambda inner: st.lists(inner, max_size=4)))
def test_nonsense_is_damaged_and_nothing_else(value: object) -> None:
    try:
        unpack(["Piece", value])
    except Damaged:
        return
    pytest.fail("nonsense made a piece")


def test_true_and_one_stay_apart(tmp_path: Path) -> None:
    piece = read_score("corpus:webern/webern_dormi_jesu_op_16_no_2")
    odd = Note("x", None, Fraction(0), Fraction(1), "1", Fraction(1), fermata=True, staff=1)
    measure = replace(piece.part.measures[0], notes=(odd, replace(odd, id="y", fermata=False)))
    part = replace(piece.part, measures=(measure,))
    back = unpack(json.loads(json.dumps(pack(replace(piece, part=part)))))
    assert [(one.fermata, one.staff) for one in back.part.measures[0].notes] == [(True, 1), (False, 1)]
    assert type(back.part.measures[0].notes[0].fermata) is bool


LOADED = """
import sys
from pathlib import Path
from coach.files.score import read_score
read_score(sys.argv[1], cache=Path(sys.argv[2]))
print(sorted({"music21", "lxml", "numpy", "textual", "rtmidi", "sqlite3", "pickle"} & set(sys.modules)))
"""


def test_reading_never_imports_music21_and_reopening_no_xml(tmp_path: Path) -> None:
    def loaded() -> str:
        command = [sys.executable, "-c", LOADED, "corpus:weber/concertino_clarinet", str(tmp_path)]
        return subprocess.run(command, capture_output=True, text=True, check=True, timeout=120).stdout.strip()

    assert loaded() == "['lxml']"
    assert loaded() == "[]"

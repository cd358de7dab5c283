"""What is kept of an engraving gives the same drawing, and never anything worse than making it again."""

import hashlib
import zlib
from pathlib import Path

import pytest

from coach.files.engraving import kept
from coach.files.engraving.client import Engraving
from coach.files.engraving.kept import Shelf, engraver_of
from coach.files.score import read_score, written_score

DEMO = Path(__file__).parents[3] / "content" / "pieces" / "demo.musicxml"


@pytest.fixture
def shelf(tmp_path: Path) -> Shelf:
    """Folders as they are when the piece has been opened once: read, not yet engraved."""
    read_score(DEMO, cache=tmp_path / "readings")
    return Shelf(tmp_path / "readings", tmp_path / "engraving")


@pytest.fixture
def made(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Grows by one whenever a score is read and turned into MEI."""
    calls: list[str] = []
    real = written_score

    def counted(source: Path, *, part: str | None = None) -> object:
        calls.append(str(source))
        return real(source, part=part)

    monkeypatch.setattr(kept, "written_score", counted)
    return calls


def drawing(shelf: Shelf | None) -> str:
    """The demo's first system as verovio draws it."""
    return engraver_of(DEMO, None, shelf).lay(None, 60).svg(0)


def test_the_kept_part_is_drawn_alike(shelf: Shelf, made: list[str]) -> None:
    fresh = drawing(None)
    assert drawing(shelf) == fresh and len(made) == 2
    assert drawing(shelf) == fresh and len(made) == 2


@pytest.mark.parametrize("damage", [b"", b"\n", b"\xff\xfe\x00", b"0" * 64 + b"\nnothing"])
def test_a_damaged_file_is_made_again(shelf: Shelf, made: list[str], damage: bytes) -> None:
    fresh = drawing(shelf)
    (file,) = shelf.engraving.iterdir()
    whole = file.read_bytes()
    file.write_bytes(damage)
    assert drawing(shelf) == fresh and len(made) == 2
    assert drawing(shelf) == fresh and len(made) == 2  # kept anew
    for k in range(0, len(whole), max(len(whole) // 20, 1)):  # a bit turned anywhere
        file.write_bytes(whole[:k] + bytes([whole[k] ^ 1]) + whole[k + 1 :])
        assert drawing(shelf) == fresh


def test_sealed_nonsense_is_made_again(shelf: Shelf, made: list[str]) -> None:
    fresh = drawing(shelf)
    (file,) = shelf.engraving.iterdir()
    for body in (b"not deflated", zlib.compress(b"<mei>"), zlib.compress(b"")):
        file.write_bytes(hashlib.sha256(body).hexdigest().encode() + b"\n" + body)
        assert drawing(shelf) == fresh


def test_another_part_another_version_another_score_are_other_files(
    shelf: Shelf, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    drawing(shelf)
    engraver_of(DEMO, "1", shelf)
    changed = tmp_path / "changed.musicxml"
    changed.write_bytes(DEMO.read_bytes() + b"\n")
    engraver_of(changed, None, shelf)
    for name, value in (("READER_VERSION", -1), ("MEI_VERSION", -1), ("version", lambda: "0.0")):
        monkeypatch.setattr(kept, name, value)
        drawing(shelf)
    assert len(list(shelf.engraving.iterdir())) == 6


def test_where_nothing_can_be_kept_it_is_drawn_all_the_same(tmp_path: Path) -> None:
    blocked = tmp_path / "a file"
    blocked.write_bytes(b"")
    assert drawing(Shelf(blocked, blocked)) == drawing(None)


def test_the_process_keeps_and_finds(shelf: Shelf) -> None:
    def first() -> str | None:
        engraving = Engraving(shelf.readings, shelf.engraving)
        try:
            return engraving.svg(engraving.lay(DEMO, None, "", 60), 0)
        finally:
            engraving.close()

    assert not shelf.engraving.exists()
    fresh = first()
    assert len(list(shelf.engraving.iterdir())) == 1
    assert first() == fresh == drawing(None)

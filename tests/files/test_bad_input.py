"""Bad files: each gets one sentence that names the file and the remedy, and never a traceback."""

import io
import sys
import zipfile
from pathlib import Path

import pytest

from coach.errors import ScoreError
from coach.files.score import part_names, read_score, score_bytes
from tests.files.scores import note, score

GOOD = score(note() * 4, note("C5", "whole", 4))
CONTAINER = '<container><rootfiles><rootfile full-path="{}"/></rootfiles></container>'


def refused(path: Path | str, part: str | None = None) -> str:
    with pytest.raises(ScoreError) as caught:
        read_score(path, part=part)
    sentence = str(caught.value)
    assert "\n" not in sentence and sentence.endswith(".") and sentence.count(". ") == 0
    assert Path(str(path)).name in sentence or not str(path)
    assert len(sentence) < 500
    return sentence


def file(folder: Path, content: str | bytes, name: str = "score.musicxml") -> Path:
    path = folder / name
    path.write_bytes(content if isinstance(content, bytes) else content.encode())
    return path


def archive(folder: Path, entries: dict[str, bytes], name: str = "score.mxl") -> Path:
    path = folder / name
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as packed:
        for entry, content in entries.items():
            packed.writestr(entry, content)
    return path


def test_nothing_there(tmp_path: Path) -> None:
    assert "does not exist" in refused(tmp_path / "none.xml")
    assert "is a folder" in refused(tmp_path)
    assert "is empty" in refused(file(tmp_path, b" \n"))
    assert "name of a file" in refused("")
    with pytest.raises(ScoreError, match="name of a file"):
        read_score("a\0b")


def test_a_file_that_may_not_be_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def forbid(*_: object, **__: object) -> None:
        raise PermissionError(13, "Permission denied")  # the superuser, who may run this, is never refused

    path = file(tmp_path, GOOD)
    with monkeypatch.context() as patched:
        patched.setattr("builtins.open", forbid)
        sentence = refused(path)
    assert "may not be read" in sentence


def test_a_disk_that_fails(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def fail(*_: object, **__: object) -> None:
        raise OSError(5, "Input/output error")

    path = file(tmp_path, GOOD)
    with monkeypatch.context() as patched:
        patched.setattr("builtins.open", fail)
        sentence = refused(path)
    assert "cannot be opened (Input/output error)" in sentence


@pytest.mark.skipif(not Path("/dev/zero").exists(), reason="no devices with names here")
def test_a_device_is_no_score() -> None:
    assert "no ordinary file" in refused("/dev/zero")


def test_no_score_in_it(tmp_path: Path) -> None:
    assert "holds no MusicXML" in refused(file(tmp_path, "Dear diary, no music today."))
    assert "holds no MusicXML" in refused(file(tmp_path, bytes(range(256)) * 40))
    assert "no MusicXML score (its root is <html>)" in refused(file(tmp_path, "<html><body/></html>"))
    assert "it holds no notes" in refused(file(tmp_path, score(note("R", "whole", 4))))
    assert "it holds no notes" in refused(file(tmp_path, "<score-partwise/>"))
    assert "it holds no notes" in refused(file(tmp_path, "<score-timewise><measure/></score-timewise>"))


def test_truncated_xml_names_its_line(tmp_path: Path) -> None:
    cut = GOOD.replace("<measure", "\n<measure")
    assert "at line 3" in refused(file(tmp_path, cut[: cut.index("</note>", cut.index('number="2"'))]))


@pytest.mark.parametrize("encoding", ["utf-8", "utf-16"])
def test_an_entity_bomb_is_refused(tmp_path: Path, encoding: str) -> None:
    """The "billion laughs" of XML 1.0 entities."""
    layers = "".join(f'<!ENTITY a{k} "{f"&a{k - 1};" * 10}">' for k in range(1, 10))
    bomb = f'<?xml version="1.0" encoding="{encoding}"?><!DOCTYPE score-partwise [<!ENTITY a0 "ha">{layers}]>'
    bomb += "<score-partwise><work><work-title>&a9;</work-title></work></score-partwise>"
    assert "declares XML entities" in refused(file(tmp_path, bomb.encode(encoding)))


def test_nothing_outside_the_file_is_read(tmp_path: Path) -> None:
    secret = file(tmp_path, "secret", "secret.txt")
    outside = f'<!DOCTYPE score-partwise [<!ENTITY x SYSTEM "{secret.as_uri()}">]><score-partwise>&x;</score-partwise>'
    assert "declares XML entities" in refused(file(tmp_path, outside))
    external = f'<!DOCTYPE score-partwise SYSTEM "{secret.as_uri()}">' + GOOD.partition("?>")[2]
    assert read_score(file(tmp_path, external)).part.name == "Clarinet"


def test_deep_nesting_is_refused(tmp_path: Path) -> None:
    deep = "<score-partwise>" + "<part>" * 5000 + "</part>" * 5000 + "</score-partwise>"
    assert "damaged at line 1" in refused(file(tmp_path, deep))


def test_places_that_break_the_rules_are_named(tmp_path: Path) -> None:
    good = note("C5", "whole", 4)
    for broken, said in (
        (good.replace("<step>C", "<step>H"), "a step from A to G"),
        (good.replace("<octave>5", "<octave>five"), "'five' is not a whole number"),
        (good.replace("<octave>5", "<octave>500"), "outside everything"),
        (good.replace("<duration>4", "<duration>1e9"), "'1e9' is not a number"),
        (good.replace("<duration>4", "<duration>-4"), "cannot be negative"),
        (good.replace("<type>whole</type>", "").replace("<duration>4</duration>", ""), "neither a type nor a duration"),
        (good + "<backup/>", "it has no duration"),
        ("<attributes><divisions>0</divisions></attributes>" + good, "more than 0"),
        ("<attributes><time><beats>x</beats><beat-type>4</beat-type></time></attributes>" + good, "upper number"),
        ("<attributes><time><beats>4</beats><beat-type>0</beat-type></time></attributes>" + good, "lower number"),
        ("<attributes><key><fifths>99999</fifths></key></attributes>" + good, "no key has"),
    ):
        sentence = refused(file(tmp_path, score(broken)))
        assert "is no valid MusicXML at line 1" in sentence and said in sentence


def test_a_part_that_is_not_there_lists_the_parts(tmp_path: Path) -> None:
    path = file(tmp_path, GOOD)
    for wanted in ("2", "0", "Oboe", "-1", "99999999999999999999"):
        sentence = refused(path, wanted)
        assert f"has no part '{wanted}'" in sentence and "1 Clarinet" in sentence


def test_archives(tmp_path: Path) -> None:
    good = {"META-INF/container.xml": CONTAINER.format("a.xml").encode(), "a.xml": GOOD.encode()}
    assert read_score(archive(tmp_path, good)).part.name == "Clarinet"
    assert read_score(archive(tmp_path, {"a.xml": GOOD.encode()})).part.name == "Clarinet"  # no container
    assert read_score(archive(tmp_path, good, "named.xml")).part.name == "Clarinet"  # by content, not by name
    assert "without a score" in refused(archive(tmp_path, {"readme.txt": b"x"}))
    named = CONTAINER.format("b.xml").encode()
    assert "does not hold it" in refused(archive(tmp_path, {"META-INF/container.xml": named, "a.xml": GOOD.encode()}))
    whole = archive(tmp_path, good).read_bytes()
    assert "damaged archive" in refused(file(tmp_path, whole[: len(whole) // 2], "cut.mxl"))
    assert "damaged archive" in refused(file(tmp_path, b"PK\x03\x04" + bytes(100), "zeros.mxl"))


@pytest.mark.parametrize("outside", ["../a.xml", "/etc/a.xml", "x/../../a.xml", "..\\a.xml", "C:\\a.xml"])
def test_an_archive_that_names_a_path_outside_itself(tmp_path: Path, outside: str) -> None:
    container = CONTAINER.format(outside).encode()
    assert "outside itself" in refused(archive(tmp_path, {"META-INF/container.xml": container, "a.xml": GOOD.encode()}))
    assert "outside itself" in refused(archive(tmp_path, {outside: GOOD.encode()}))


def test_an_archive_that_expands_without_end(tmp_path: Path) -> None:
    """300 MB of spaces in 300 kB: refused while streaming, whatever the archive says of its size."""
    path = tmp_path / "bomb.mxl"
    with (
        zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as packed,
        packed.open("a.xml", "w", force_zip64=True) as entry,
    ):
        for _ in range(300):
            entry.write(b" " * (1 << 20))
    assert path.stat().st_size < 1 << 20
    assert "expands to more than a score can hold" in refused(path)


def test_an_archive_of_too_many_entries(tmp_path: Path) -> None:
    assert "entries" in refused(archive(tmp_path, {f"{k}.xml": b"" for k in range(5000)}))


def test_an_encrypted_archive(tmp_path: Path) -> None:
    packed = bytearray(archive(tmp_path, {"a.xml": GOOD.encode()}).read_bytes())
    for mark, place in ((b"PK\x03\x04", 6), (b"PK\x01\x02", 8)):
        packed[packed.index(mark) + place] |= 1
    assert "damaged archive" in refused(file(tmp_path, bytes(packed), "locked.mxl"))


@pytest.mark.parametrize("name", ["x/../../weber", "/etc/passwd", "weber/none", "", "..\\weber"])
def test_corpus_names_stay_in_the_corpus(name: str) -> None:
    with pytest.raises(ScoreError, match="corpus"):
        read_score(f"corpus:{name}")


@pytest.mark.parametrize(
    ("name", "content"),
    [
        ("a.mid", b"MThd\0\0\0\6\0\1\0\1"),
        ("a.mid", b"no midi"),
        ("a.abc", b"\xff\xfe\0"),
        ("a.krn", b"**kern\n*clefX\n!!"),
    ],
)
def test_other_formats_that_are_damaged(tmp_path: Path, name: str, content: bytes) -> None:
    refused(file(tmp_path, content, name))


def test_the_other_doors_refuse_alike(tmp_path: Path) -> None:
    with pytest.raises(ScoreError, match="does not exist"):
        score_bytes(tmp_path / "none.mxl")
    with pytest.raises(ScoreError, match="no MusicXML"):
        part_names(file(tmp_path, "text"))
    with pytest.raises(ScoreError, match="no MusicXML score"):
        part_names(file(tmp_path, "<html/>"))
    assert score_bytes(file(tmp_path, GOOD, "Score.MusicXML")) == (GOOD.encode(), ".musicxml")


def test_nothing_is_printed(tmp_path: Path, capfd: pytest.CaptureFixture[str]) -> None:
    refused(file(tmp_path, b"no midi", "a.mid"))
    read_score("corpus:ryansMammoth/7thRegimentReel")
    captured = capfd.readouterr()
    assert (captured.out, captured.err) == ("", "")
    assert isinstance(sys.stdout, io.TextIOBase)

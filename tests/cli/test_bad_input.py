"""Bad input, as the command line meets it: one sentence that names the thing and the remedy, status 1, nothing lost.

The list is that of issue 2, "Bad input and faults".
"""

import io
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest

from coach.paths import content
from tests.cli.conftest import Coach, sentence

SCORE = content("pieces", "demo.musicxml")
DEMO = SCORE.read_bytes()
CONTAINER = '<?xml version="1.0"?><container><rootfiles><rootfile full-path="{}"/></rootfiles></container>'
NO_NOTES = """<?xml version="1.0"?>
<score-partwise version="4.0"><part-list><score-part id="P1"><part-name>Clarinet</part-name></score-part></part-list>
<part id="P1"><measure number="1"><attributes><divisions>1</divisions></attributes>
<note><rest/><duration>4</duration></note></measure></part></score-partwise>
"""
# W3C, XML 1.0 section 4.4, makes such documents well-formed: nine entities of ten each make a thousand million words.
ENTITY_BOMB = (
    '<?xml version="1.0"?><!DOCTYPE score-partwise [<!ENTITY a "ha">'
    + "".join(f'<!ENTITY {b} "{f"&{a};" * 10}">' for a, b in zip("abcdefghi", "bcdefghij", strict=True))
    + "]><score-partwise><work><work-title>&j;</work-title></work></score-partwise>"
)


def archive(entries: dict[str, bytes], root: str = "score.xml") -> bytes:
    """An .mxl with these entries."""
    whole = io.BytesIO()
    with zipfile.ZipFile(whole, "w", zipfile.ZIP_DEFLATED) as packed:
        packed.writestr("META-INF/container.xml", CONTAINER.format(root))
        for name, data in entries.items():
            packed.writestr(name, data)
    return whole.getvalue()


FILES: dict[str, tuple[str, Callable[[], bytes]]] = {
    "empty": ("empty.musicxml", lambda: b""),
    "text": ("letter.musicxml", lambda: b"Dear colleague, here is the part.\n"),
    "truncated": ("half.musicxml", lambda: DEMO[: len(DEMO) // 2]),
    "entity bomb": ("laughs.musicxml", ENTITY_BOMB.encode),
    "a bomb in an archive": ("bomb.mxl", lambda: archive({"score.xml": b"<a>" + b" " * (64 << 20)})),
    "a path outside": ("escape.mxl", lambda: archive({"../../score.xml": DEMO}, "../../score.xml")),
    "no score inside": ("hollow.mxl", lambda: archive({"notes.txt": b"x"})),
    "a broken archive": ("torn.mxl", lambda: archive({"score.xml": DEMO})[:900]),
    "no notes": ("rests.musicxml", NO_NOTES.encode),
    "other XML": ("page.xml", lambda: b"<html><body/></html>"),
    "bytes": ("noise.mid", lambda: bytes(range(256)) * 20),
    "a broken MIDI file": ("half.mid", lambda: b"MThd\0\0\0\6\0\1\0\1\0\x60MTrk\0\0\1\0\0\x90"),
    "words as ABC": ("words.abc", lambda: b"this is no tune"),
}


@pytest.mark.parametrize("kind", FILES)
@pytest.mark.parametrize("command", ["add", "prepare"])
def test_a_bad_score_is_told_in_one_sentence(kind: str, command: str, coach: Coach, home: Path, tmp_path: Path) -> None:
    name, data = FILES[kind]
    file = tmp_path / name
    file.write_bytes(data())
    assert name in sentence(coach(command, file))
    assert coach("pieces", "--json").document["pieces"] == []
    assert not (tmp_path.parent / "score.xml").exists()
    assert not (home / "data" / "scores").exists()


@pytest.mark.parametrize(
    ("source", "words"),
    [
        ("nowhere.musicxml", "does not exist"),
        ("/", "folder"),
        ("corpus:weber/nothing", "corpus"),
        ("corpus:../../../etc/passwd", "corpus"),
        ("the fugue", "coach pieces"),
        ("", "name"),
    ],
)
def test_a_source_that_is_not_there_is_told(source: str, words: str, coach: Coach) -> None:
    assert words in sentence(coach("prepare", source))


@pytest.mark.parametrize(
    ("options", "words"),
    [
        (["--part", "Bassoon"], "Bassoon"),
        (["--part", "7"], "7"),
        (["--part", "0"], "0"),
        (["--measures", "20-10"], "backwards"),
        (["--measures", "1-999"], "999"),
        (["--measures", "-"], "range"),
        (["--measures", "5-"], "range"),
        (["--tempo", "0"], "0"),
        (["--tempo", "10000"], "10000"),
        (["--tempo", "-60"], "-60"),
        (["--tempo", "nan"], "nan"),
        (["--tempo", "1/0"], "1/0"),
        (["--tempo", "brisk"], "brisk"),
        (["--tempo", "lark=60"], "lark"),
    ],
)
def test_an_option_that_makes_no_sense_is_told(options: list[str], words: str, coach: Coach) -> None:
    argument = f"{options[0]}={options[1]}"  # a value may begin with a dash
    assert words in sentence(coach("add", SCORE, argument))
    assert coach("pieces", "--json").document["pieces"] == []
    assert words in sentence(coach("render", SCORE, argument, "--json"))


@pytest.mark.parametrize("tempo", ["0", "10000", "-1", "inf", "fast"])
def test_a_rep_at_an_impossible_tempo_is_not_logged(tempo: str, coach: Coach) -> None:
    coach("demo")
    before = coach("log", "export").out
    sentence(coach("rep", "demo", "octaves", f"--tempo={tempo}", "clean"))
    sentence(coach("rep", "demo", "run", f"--tempo={tempo}", "clean"))
    assert coach("log", "export").out == before


@pytest.mark.parametrize(
    ("option", "words"),
    [
        (["--what", "mood"], "'mood'; it may be notes, rhythm, fingers, tone, breath, tuning or dynamics."),
        (["--where", "99"], "99"),
        (["--where", "3"], "'3'"),
    ],
)
def test_a_slip_that_makes_no_sense_is_not_logged(option: list[str], words: str, coach: Coach) -> None:
    coach("demo")
    before = coach("log", "export").out
    assert words in sentence(coach("rep", "demo", "octaves", "--tempo", "40", "slip", *option))
    assert coach("log", "export").out == before


@pytest.mark.parametrize("option", ["--what=tone", "--where=18"])
@pytest.mark.parametrize("spot", ["octaves", "run"])
def test_a_clean_rep_that_names_a_slip_is_not_logged(option: str, spot: str, coach: Coach) -> None:
    coach("demo")
    before = coach("log", "export").out
    assert "log a slip" in sentence(coach("rep", "demo", spot, "--tempo", "40", "clean", option))
    assert coach("log", "export").out == before


def test_nothing_to_render_is_told(coach: Coach) -> None:
    coach("demo")
    assert "--midi" in sentence(coach("render", "demo"))


def test_repeats_within_a_range_are_told(coach: Coach) -> None:
    assert "--repeats" in sentence(coach("render", SCORE, "--measures", "1-4", "--repeats", "--json"))


@pytest.mark.parametrize("option", ["--wav", "--midi"])
def test_a_file_that_cannot_be_written_is_told(option: str, coach: Coach, tmp_path: Path) -> None:
    coach("demo")
    for place in (tmp_path, tmp_path / "no" / "such" / "folder" / "x"):
        assert str(place) in sentence(coach("render", "demo", "--measures", "1", option, place))


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "export"),
        ("hello\n", "line 1"),
        ('{"schema": "coach.log/1"}\n{"uuid": "x"}\n', "line 2"),
        ('{"schema": "coach.log/99"}\n', "newer"),
        ('{"schema": "coach.log/1"}\nnonsense\n', "line 2"),
    ],
)
def test_a_bad_import_is_told_and_nothing_of_it_is_taken(text: str, words: str, coach: Coach, tmp_path: Path) -> None:
    coach("demo")
    before = coach("log", "export").out
    file = tmp_path / "log.jsonl"
    file.write_text(text)
    said = sentence(coach("log", "import", file))
    assert words in said and str(file) in said
    assert coach("log", "export").out == before


def test_an_import_that_is_no_text_is_told(coach: Coach, tmp_path: Path) -> None:
    file = tmp_path / "log.jsonl"
    file.write_bytes(b"\xff\xfe\x00")
    assert "UTF-8" in sentence(coach("log", "import", file))
    assert "nowhere" in sentence(coach("log", "import", tmp_path / "nowhere"))

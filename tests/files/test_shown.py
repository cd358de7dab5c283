"""No text of a score reaches a terminal with what a terminal obeys, wherever it stood in the file and however written.

U+009B is the C1 control that begins a sequence as ESC [ does (ECMA-48), which XML 1.0 allows (section 2.2); U+202E
overrides the direction (Unicode Standard Annex 9). ESC itself is no character of XML, but of the other formats.
"""

from collections.abc import Iterator
from dataclasses import fields, is_dataclass
from pathlib import Path

import pytest

from coach.errors import ScoreError
from coach.files.score import part_names, read_score, written_score

CSI, OVERRIDE, ESC = "\x9b", "\u202e", "\x1b"
EVIL = f"{CSI}31m{OVERRIDE}"
SCORE = """<?xml version="1.0" encoding="{encoding}"?>
<score-partwise version="4.0"><work><work-title>Title {evil}</work-title></work>
<identification><creator type="composer">Composer {evil}</creator><rights>Rights {evil}</rights></identification>
<part-list><score-part id="P1{evil}"><part-name>Clarinet {evil}</part-name>
<score-instrument id="I1"><instrument-name>Clarinet {evil}</instrument-name></score-instrument></score-part></part-list>
<part id="P1{evil}"><measure number="1{evil}"><attributes><divisions>1</divisions>
<time><beats>4</beats><beat-type>4</beat-type></time></attributes>
<direction><direction-type><words>Words {evil}</words></direction-type></direction>
<direction><direction-type><rehearsal>A{evil}</rehearsal></direction-type></direction>
<direction><direction-type><words>Adagio {evil}</words></direction-type><sound tempo="60"/></direction>
<direction><direction-type><metronome><beat-unit>quarter</beat-unit><per-minute>c. 60 {evil}</per-minute></metronome>
</direction-type></direction>
<direction><direction-type><dynamics><other-dynamics>loud {evil}</other-dynamics></dynamics></direction-type>
</direction>
<note><pitch><step>C</step><octave>5</octave></pitch><duration>4</duration><voice>1{evil}</voice><type>whole</type>
<accidental>sharp{evil}</accidental><notations>
<technical><fingering>1{evil}</fingering><other-technical smufl="x{evil}">L{evil}</other-technical></technical>
<articulations><breath-mark>tick{evil}</breath-mark><other-articulation>x{evil}</other-articulation></articulations>
<ornaments><trill-mark odd="{evil}"/><accidental-mark>flat{evil}</accidental-mark>
<other-ornament>shake {evil}</other-ornament></ornaments></notations>
<lyric><text>la {evil}</text></lyric></note>
<barline location="right"><bar-style>light-heavy{evil}</bar-style><ending number="1{evil}" type="start">x{evil}</ending>
</barline></measure></part></score-partwise>
"""


def texts(value: object) -> Iterator[str]:
    """Every text in a piece."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, tuple):
        for item in value:
            yield from texts(item)
    elif is_dataclass(value):
        for field in fields(value):
            yield from texts(getattr(value, field.name))


def obeyed(text: str) -> bool:
    return any(letter < " " or "\x7f" <= letter <= "\x9f" or letter == OVERRIDE for letter in text)


@pytest.mark.parametrize(
    ("encoding", "evil"),
    [
        ("UTF-8", EVIL),
        ("UTF-8", CSI),
        ("UTF-8", OVERRIDE),
        ("UTF-8", "\x7f"),
        ("UTF-8", "&#155;31m&#x202E;"),
        ("UTF-16", EVIL),
        ("ISO-8859-1", f"{CSI}31m"),
        ("US-ASCII", "&#x9b;&#10;&#9;"),
    ],
)
def test_a_score_in_musicxml(tmp_path: Path, encoding: str, evil: str) -> None:
    path = tmp_path / "a.musicxml"
    path.write_bytes(SCORE.format(encoding=encoding, evil=evil).encode(encoding))
    piece = read_score(path)
    found = list(texts(piece))
    assert {"Title", "Composer", "Rights", "Clarinet", "loud"} <= {text.split()[0] for text in found if text}
    assert [text for text in found if obeyed(text)] == []
    assert not any(map(obeyed, part_names(path)))
    in_tree = "".join(map(str, written_score(path).root.itertext()))
    assert not obeyed(in_tree.translate({9: None, 10: None}))


def test_a_damaged_part_of_it_is_told_without_them(tmp_path: Path) -> None:
    path = tmp_path / "a.musicxml"
    text = SCORE.format(encoding="UTF-8", evil=EVIL)
    for good, bad in (
        ("<duration>4</duration>", f"<duration>4{EVIL}x</duration>"),
        ("<step>C</step>", f"<step>{EVIL}H</step>"),
        ("</work>", f"</w{EVIL}>"),
        ("<score-partwise", f"<score{EVIL}-partwise"),
    ):
        path.write_text(text.replace(good, bad), "utf-8")
        with pytest.raises(ScoreError) as caught:
            read_score(path)
        assert not obeyed(str(caught.value)), good


@pytest.mark.parametrize("evil", [f"{ESC}[31m", EVIL, f"{ESC}]0;owned\x07"])
def test_a_tune_in_abc(tmp_path: Path, evil: str) -> None:
    path = tmp_path / "a.abc"
    path.write_text(f"X:1\nT:Tune {evil}\nC:Somebody {evil}\nM:4/4\nL:1/4\nK:C\nCDEF|\n", "utf-8")
    piece = read_score(path)
    assert piece.title.startswith("Tune") and [text for text in texts(piece) if obeyed(text)] == []


@pytest.mark.parametrize("evil", [f"{ESC}[31m", "\x9b31m"])
def test_a_midi_file(tmp_path: Path, evil: str) -> None:
    """Standard MIDI File 1.0: a track name (03), a text (01), an instrument name (04), a lyric (05), a marker (06)."""
    name = evil.encode("latin-1")
    metas = b"".join(b"\0\xff" + bytes([kind, len(name) + 8]) + b"Clarinet" + name for kind in (3, 1, 4, 5, 6))
    events = metas + b"\0\x90\x48\x40\x60\x80\x48\x40\0\xff\x2f\0"
    path = tmp_path / "a.mid"
    path.write_bytes(b"MThd\0\0\0\6\0\0\0\1\0\x60MTrk" + len(events).to_bytes(4, "big") + events)
    assert [text for text in texts(read_score(path)) if obeyed(text)] == []


def test_a_title_from_the_name_of_the_file(tmp_path: Path) -> None:
    path = tmp_path / f"a{CSI}31m{OVERRIDE}b.musicxml"
    path.write_text(SCORE.format(encoding="UTF-8", evil="").replace("work-title", "work-number"), "utf-8")
    assert read_score(path).title == "a31mb"

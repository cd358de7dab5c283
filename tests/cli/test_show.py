"""coach show: the engraved lines, the characters and the words.

Dots are decoded here by the Unicode standard's own numbering of braille patterns (chapter 21, Braille Patterns: bit n-1
of the code is dot n, dots 1-2-3-7 the left column, 4-5-6-8 the right). Notes are compared with music21's reading.
"""

import os
import re
import subprocess
import sys
import warnings
from pathlib import Path

import music21
import pytest

from tests.cli.conftest import WEBER, Coach, command, sentence

DOT = {1: (0, 0), 2: (0, 1), 3: (0, 2), 7: (0, 3), 4: (1, 0), 5: (1, 1), 6: (1, 2), 8: (1, 3)}
BRAILLE = re.compile("[\u2800-\u28ff]")
ESCAPE = re.compile("\x1b\\[([0-9;]*)m")


def dots(lines: list[str]) -> set[tuple[int, int]]:
    """The raised dots of some lines, as (column, row)."""
    found = set()
    for row, line in enumerate(lines):
        for column, character in enumerate(line):
            if BRAILLE.match(character):
                bits = ord(character) - 0x2800
                found |= {(2 * column + x, 4 * row + y) for n, (x, y) in DOT.items() if bits >> (n - 1) & 1}
    return found


def staves(lines: list[str]) -> list[int]:
    """The dot rows of the top lines of five that are four dots apart, each mostly drawn."""
    found, width = dots(lines), 2 * max(map(len, lines))
    rows = [y for y in range(4 * len(lines)) if sum((x, y) in found for x in range(width)) > 0.45 * width]
    return [y for y in rows if {y + 4, y + 8, y + 12, y + 16} <= set(rows) and y - 4 not in rows]


@pytest.fixture(scope="module")
def weber_measures() -> dict[int, "music21.stream.Measure"]:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # music21 warns of the file's rounded lengths
        score = music21.corpus.parse("weber/concertino_clarinet")
    part = next(p for p in score.parts if "larinet" in (p.partName or ""))
    return {m.number: m for m in part.getElementsByClass(music21.stream.Measure)}


@pytest.mark.parametrize("width", [60, 80, 120])
def test_every_line_has_one_staff_and_every_measure_a_number(coach: Coach, width: int) -> None:
    done = coach("show", WEBER, "--measures", "100-110", "--width", width)
    assert done.status == 0 and not done.err and "\x1b" not in done.out
    lines = done.out.splitlines()
    assert all(len(line) <= width for line in lines[1:])
    numbers = [k for k, line in enumerate(lines) if re.match(r"[ ═]*\[?\d+\s?(\[|═)", line)]
    named = re.findall(r"\b(1[01]\d)\b", "\n".join(lines[k] for k in numbers))
    wanted = [str(n) for n in range(100, 111)]
    assert list(dict.fromkeys(named))[: len(wanted)] == wanted  # a divided measure twice, and the last line is whole
    for start, stop in zip(numbers, [*numbers[1:], len(lines)], strict=True):
        assert len(staves(lines[start:stop])) == 1


def test_a_wider_terminal_holds_more_measures_in_a_line(coach: Coach) -> None:
    narrow = coach("show", "corpus:bach/bwv66.6", "--part", "1", "--width", 60).out
    wide = coach("show", "corpus:bach/bwv66.6", "--part", "1", "--width", 160).out
    assert len(staves(wide.splitlines())) < len(staves(narrow.splitlines()))
    assert max(map(len, narrow.splitlines()[1:])) <= 60 < max(map(len, wide.splitlines()[1:])) <= 160


def test_words_name_the_notes_that_music21_reads(
    coach: Coach, weber_measures: dict[int, "music21.stream.Measure"]
) -> None:
    done = coach("show", WEBER, "--measures", "100-110", "--plain", "--ascii")
    lines = done.out.splitlines()[1:]
    assert len(lines) == 11 and done.out.isascii()
    for number, line in zip(range(100, 111), lines, strict=True):
        assert line.startswith(f"Measure {number}, beat 1: ")
        graces = re.sub(r"graces? [A-G#b0-9 ]+ to ", "", line)
        said = re.findall(r": ([A-G][#b]*\d|rest)\b", graces)
        notes = [n for n in weber_measures[number].flatten().notesAndRests if not n.duration.isGrace]
        assert said == [
            n.nameWithOctave.replace("-", "b") if isinstance(n, music21.note.Note) else "rest" for n in notes
        ]


def test_characters_where_there_is_no_braille(coach: Coach) -> None:
    done = coach("show", WEBER, "--measures", "100-101", "--ascii")
    assert done.status == 0 and done.out.isascii()
    assert "C4      D4  E4" in done.out and "Bb4" in done.out


@pytest.fixture
def marked(coach: Coach, home: Path) -> str:
    """The demo piece on the stand, with three marks written into its file by hand, one of them struck."""
    piece = coach("add", str(Path(__file__).parents[2] / "content" / "pieces" / "demo.musicxml"), "--json")
    name = coach("pieces", "--json").document["pieces"][0]["id"]
    preps = home / "data" / "preps"
    preps.mkdir(parents=True)
    (preps / f"{name}.toml").write_text(
        'schema = "coach.prepfile/1"\n\n'
        '[[mark]]\nat = "1.1"\nkind = "breath"\nsize = "full"\n\n'
        '[[mark]]\nat = "1.2"\nkind = "comment"\ntext = "lean on it"\n\n'
        '[[mark]]\nat = "1.1"\nkind = "fingering"\nchoice = "L"\nstate = "struck"\n'
    )
    assert piece.status == 0
    return str(name)


def test_marks_are_engraved_and_told(coach: Coach, marked: str) -> None:
    bare = coach("show", str(Path(__file__).parents[2] / "content" / "pieces" / "demo.musicxml"), "--measures", "1-2")
    shown = coach("show", marked, "--measures", "1-2")
    assert "lean on it" in shown.out and "lean on it" not in bare.out
    assert "fingering" not in shown.out
    told = coach("show", marked, "--measures", "1-2", "--plain").out.splitlines()
    assert re.search(r"\[full breath after it\]; .*\[\"lean on it\"\]", told[1])
    assert "fingering" not in told[1] and "[" not in told[2]
    characters = coach("show", marked, "--measures", "1-2", "--ascii").out
    assert re.search(r"^ +1  full breath after [A-G]\w+, beat 1", characters, re.MULTILINE)


def test_struck_marks_are_told_when_asked(coach: Coach, marked: str) -> None:
    assert "fingering L, struck" in coach("show", marked, "--measures", "1-2", "--plain", "--struck").out
    assert re.search(r"^ +1  fingering L on .*, struck$", coach("show", marked, "--struck").out, re.MULTILINE)


def test_a_width_that_makes_no_sense(coach: Coach) -> None:
    for width in ("0", "39", "401", "wide", "٤٤", "-80"):
        done = coach("show", WEBER, f"--width={width}")
        assert done.status == 2 and "40 to 400 columns" in done.err


def test_a_source_and_measures_that_are_not_there(coach: Coach) -> None:
    assert "coach pieces" in sentence(coach("show", "nothing of the kind"))
    assert "9999" in sentence(coach("show", WEBER, "--measures", "9999"))


def test_a_part_that_cannot_be_engraved_is_drawn_in_characters(coach: Coach, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(
        "coach.files.engraving.client._spawned",
        lambda: subprocess.Popen([os.environ.get("COMSPEC", "false")], stdin=-1, stdout=-1, text=True),
    )
    done = coach("show", WEBER, "--measures", "100-101")
    assert done.status == 0 and "characters" in done.err and len(done.err.splitlines()) == 1
    assert "B♭4" in done.out and not BRAILLE.search(done.out)


@pytest.mark.skipif(sys.platform == "win32", reason="pseudo-terminals are Unix's")
@pytest.mark.parametrize("no_color", [False, True])
def test_a_terminal_gets_dim_lines_and_colours_only_as_allowed(home: Path, no_color: bool) -> None:
    import pty

    main, end = pty.openpty()
    env = {
        **os.environ,
        "COACH_HOME": str(home),
        "TERM": "xterm-256color",
        "PYTHONIOENCODING": "utf-8",
        "COLUMNS": "80",
    }
    env.pop("NO_COLOR", None)
    if no_color:
        env["NO_COLOR"] = "1"
    process = subprocess.Popen(command("show", WEBER, "--measures", "100-101"), stdout=end, stdin=end, env=env)
    os.close(end)
    out = b""
    while True:
        try:
            data = os.read(main, 65536)
        except OSError:  # the other end is closed
            break
        if not data:
            break
        out += data
    os.close(main)
    assert process.wait(60) == 0
    text = out.decode()
    codes = {code for found in ESCAPE.findall(text) for code in found.split(";")}
    assert "2" in codes and "1" in codes  # dim lines, strong heads
    coloured = {code for code in codes if code.isdigit() and 30 <= int(code) <= 107}
    assert bool(coloured) is not no_color
    plain = ESCAPE.sub("", text).splitlines()
    assert len(staves(plain)) == len({k for k, line in enumerate(plain) if "═" in line})

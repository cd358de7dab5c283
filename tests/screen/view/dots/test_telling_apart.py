"""Signs are told apart from their dots alone: by themselves, and read back from a drawn staff with its lines."""

from itertools import combinations
from pathlib import Path

import pytest

from coach.music.engraved import EngravedSystem
from coach.screen.view.dots.bitmaps import Bitmap, all_bitmaps
from tests.files.scores import FOUR_FOUR, note, score
from tests.screen.view.dots.drawn import drawn, engraved
from tests.screen.view.dots.readback import Dots, dots_in, staves

COLUMNS = 120
# Codes of SMuFL 1.4, by the words of MusicXML 4.0 where it has them.
ACCIDENTALS = {"sharp": 0xE262, "natural": 0xE261, "flat": 0xE260, "double-sharp": 0xE263, "flat-flat": 0xE264}
RESTS = {
    "whole": 0xE4E3,
    "half": 0xE4E4,
    "quarter": 0xE4E5,
    "eighth": 0xE4E6,
    "16th": 0xE4E7,
    "32nd": 0xE4E8,
    "64th": 0xE4E9,
}
FLAGS_UP = {"eighth": 0xE240, "16th": 0xE242, "32nd": 0xE244, "64th": 0xE246}
FLAGS_DOWN = {"eighth": 0xE241, "16th": 0xE243, "32nd": 0xE245, "64th": 0xE247}
HEADS = {"half": 0xE0A3, "quarter": 0xE0A4, "whole": 0xE0A2}
CLEFS = {"G2": 0xE050, "F4": 0xE062, "C3": 0xE05C}
DIGITS = {str(digit): 0xE080 + digit for digit in range(2, 10)}
FAMILIES = (ACCIDENTALS, RESTS, FLAGS_UP, FLAGS_DOWN, HEADS, CLEFS, DIGITS)
QUARTERS = {"whole": 4, "half": 2, "quarter": 1, "eighth": 1 / 2, "16th": 1 / 4, "32nd": 1 / 8, "64th": 1 / 16}


def apart(one: Dots, other: Dots, slack: int = 2) -> int:
    """The least number of dots in which two signs differ, one moved against the other by up to `slack` dots."""
    return min(
        len(one ^ {(x + dx, y + dy) for x, y in other})
        for dx in range(-slack, slack + 1)
        for dy in range(-slack, slack + 1)
    )


@pytest.mark.parametrize("small", [False, True], ids=["full", "small"])
@pytest.mark.parametrize("family", FAMILIES, ids=lambda family: "-".join(family))
def test_signs_of_a_family_differ_in_many_dots(family: dict[str, int], small: bool) -> None:
    """However they are aligned, two of them differ in four dots at least, noteheads in three, graces' forms in two."""
    pictures = {name: all_bitmaps().get((code, small)) for name, code in family.items()}
    there = {name: picture for name, picture in pictures.items() if picture is not None}
    assert small or len(there) == len(family)
    for one, other in combinations(there, 2):
        differing = apart(there[one].ink, there[other].ink)
        assert differing >= (2 if small else 3 if family is HEADS else 4), (
            f"{one} and {other} differ in {differing} dots"
        )


def nearest_picture(dots: Dots, place: tuple[float, float], lines: set[int], family: dict[str, int]) -> str:
    """The sign whose picture fits the dots at a place best: its dots are there, and no others around that are not the
    staff's. A place is good to two dots."""
    costs = {}
    heights = [y for code in family.values() for _, y in all_bitmaps()[code, False].ink]
    rows = range(min(heights) - 1, max(heights) + 2)
    for name, code in family.items():
        picture = all_bitmaps()[code, False]
        costs[name] = min(
            _cost(dots, (round(place[0]) + dx, round(place[1]) + dy), lines, picture, rows)
            for dx in range(-3, 3)
            for dy in (-1, 0, 1)
        )
    return min(costs, key=costs.__getitem__)


def _cost(dots: Dots, at: tuple[int, int], lines: set[int], picture: Bitmap, rows: range) -> int:
    ink = {(at[0] + x, at[1] + y) for x, y in picture.ink}
    left, right = min(x for x, _ in ink), max(x for x, _ in ink)
    window = {
        (x, at[1] + y)
        for x in range(left - 1, right + 2)
        for y in rows
        if at[1] + y not in lines and (x, at[1] + y) in dots
    }
    return len(ink - dots) + len(window - ink)


def read(system: EngravedSystem, dots: Dots, family: dict[str, int], what: str) -> list[tuple[str, str]]:
    """(the sign that is meant, the one that is read) for every sign of a family in a system."""
    ((top, space),) = staves(dots)
    lines = {top + k * space for k in range(5)}
    names = {code: name for name, code in family.items()}
    return [
        (names[s.code], nearest_picture(dots, (s.points[0] * space, top + s.points[1] * space), lines, family))
        for s in system.shapes
        if s.what == what and s.code in names
    ]


def signs_in(text: str, folder: Path, family: dict[str, int], what: str) -> list[tuple[str, str]]:
    """The same for all systems of a score."""
    path = folder / "score.musicxml"
    path.write_text(text, encoding="utf-8")
    piece, systems = engraved(str(path), COLUMNS)
    return [pair for system in systems for pair in read(system, dots_in(drawn(piece, system, COLUMNS)), family, what)]


def test_accidentals_are_read_on_lines_and_in_spaces(tmp_path: Path) -> None:
    """Each of the five at every height from low E to altissimo G, on ledger lines too."""
    heights = [f"{step}{octave}" for octave in (3, 4, 5, 6) for step in "CDEFGAB"][2:26]
    alters = {"sharp": "#", "natural": "", "flat": "b", "double-sharp": "##", "flat-flat": "bb"}
    notes = [
        note(f"{height[0]}{alter}{height[1]}", "half", 2, inside=f"<accidental>{sign}</accidental>")
        for height in heights
        for sign, alter in alters.items()
    ]
    measures = ["".join(notes[k : k + 2]) for k in range(0, len(notes), 2)]
    pairs = signs_in(score(*measures), tmp_path, ACCIDENTALS, "accid")
    assert len(pairs) == len(heights) * len(alters)
    assert [(meant, seen) for meant, seen in pairs if meant != seen] == []


def test_rests_are_read(tmp_path: Path) -> None:
    """Rests from the whole to the 64th."""
    lengths = {kind: round(16 * length_q) for kind, length_q in QUARTERS.items()}
    measures = [note("R", kind, length) * (64 // length) for kind, length in lengths.items()] + [
        note("C5", "whole", 64)
    ]
    pairs = signs_in(score(*measures, divisions=16), tmp_path, RESTS, "rest")
    assert {meant for meant, _ in pairs} == set(RESTS)
    assert [(meant, seen) for meant, seen in pairs if meant != seen] == []


@pytest.mark.parametrize(("pitch", "family"), [("F4", FLAGS_UP), ("E5", FLAGS_DOWN)])
def test_flags_are_read(pitch: str, family: dict[str, int], tmp_path: Path) -> None:
    """Single notes between rests, stems up and down."""
    lengths = {kind: round(16 * QUARTERS[kind]) for kind in family}
    measures = [
        (note(pitch, kind, length) + note("R", kind, length)) * (64 // length // 2) for kind, length in lengths.items()
    ]
    pairs = signs_in(score(*measures, divisions=16), tmp_path, family, "flag")
    assert {meant for meant, _ in pairs} == set(family)
    assert [(meant, seen) for meant, seen in pairs if meant != seen] == []


@pytest.mark.parametrize("clef", CLEFS)
def test_clefs_are_read(clef: str, tmp_path: Path) -> None:
    text = score(note("C5", "whole", 4)).replace(
        "<sign>G</sign><line>2</line>", f"<sign>{clef[0]}</sign><line>{clef[1]}</line>"
    )
    assert signs_in(text, tmp_path, CLEFS, "clef") == [(clef, clef)]


@pytest.mark.parametrize("digit", DIGITS)
def test_metres_are_read(digit: str, tmp_path: Path) -> None:
    head = FOUR_FOUR.replace("<beats>4</beats>", f"<beats>{digit}</beats>")
    text = score(note("C5", "quarter", 1) * int(digit), head=head)
    assert signs_in(text, tmp_path, DIGITS, "meterSig") == [(digit, digit), ("4", "4")]

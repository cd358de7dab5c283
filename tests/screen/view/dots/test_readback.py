"""The engraving read back: from the braille characters alone, staff lines and noteheads stand where the score has them.

What ought to be read comes from music21's reading of the same file (its pitches and its clefs), and from ours too.
"""

from functools import cache
from typing import Any

import pytest

from coach.files.source import locate
from coach.music.metre import Clef
from coach.music.part import Part
from tests.screen.view.dots.drawn import DEMO, drawn, engraved
from tests.screen.view.dots.readback import dots_in, heads, staves, step_of

# Weber: low E to altissimo, ledger lines, dense sixteenths, graces. Recorder: high on ledger lines. Then brass and
# strings, with the wide leaps and the sixteenths that the other wind parts of the corpus lack.
PARTS = (
    ("corpus:weber/concertino_clarinet", 0, 1175),
    (DEMO, 0, 135),
    ("corpus:bach/bwv175.7", 0, 97),
    ("corpus:bach/bwv248.23-2", 0, 68),
    ("corpus:bach/bwv41.6", 0, 48),
    ("corpus:haydn/opus1no1/movement1", 0, 150),
)
_LETTER = {"G": 33, "F": 25, "C": 29}  # the note a clef names, counted as music21 counts: C4 is 29


def test_what_is_read_is_unicode_braille() -> None:
    """Unicode 15, chapter 21.1: U+2801 is dot 1, at the top left; U+2880 dot 8, at the bottom right."""
    assert dots_in("\u2801") == {(0, 0)}
    assert dots_in("x\u2880\n\u2840") == {(3, 3), (0, 7)}


def test_a_head_that_is_not_there_is_not_read() -> None:
    """Two beams one over the other, a stem and a staff hold no notehead."""
    beams = {(x, y) for x in range(20) for y in (2, 3, 5, 6)} | {(4, y) for y in range(-6, 7)}
    staff = {(x, 4 * k - 20) for x in range(40) for k in range(5)}
    assert heads(frozenset(beams | staff)) == []
    assert staves(frozenset(beams | staff)) == [(-20, 4)]


@pytest.mark.parametrize("columns", [80, 120])
@pytest.mark.parametrize(("source", "number", "least"), PARTS)
def test_noteheads_stand_where_the_score_has_them(source: str, number: int, least: int, columns: int) -> None:
    """Every head that is read stands at a height that the score demands, in its order, and hardly one is missed."""
    piece, systems = engraved(source, columns, str(number + 1))
    read: list[float] = []
    for system in systems:
        dots = dots_in(drawn(piece, system, columns))
        (staff,) = staves(dots)
        assert staff[1] == 4
        read += [step_of(head, staff) for head in heads(dots) if not head.kind.startswith("small")]
    wanted = steps_by_music21(source)[number]
    assert wanted == steps_by_our_reader(piece.part)
    assert len(wanted) >= least
    right = longest_common(read, wanted)
    assert right == len(read), f"{len(read) - right} of {len(read)} heads stand at a wrong height"
    assert right >= 0.995 * len(wanted), f"{right} of {len(wanted)} heads were read"


def test_graces_are_read_too() -> None:
    """The graces of the Weber part, small heads, at the heights that music21 has them."""
    piece, systems = engraved("corpus:weber/concertino_clarinet", 120, "1")
    read: list[float] = []
    for system in systems:
        dots = dots_in(drawn(piece, system, 120))
        (staff,) = staves(dots)
        read += [step_of(head, staff) for head in heads(dots) if head.kind.startswith("small")]
    wanted = steps_by_music21("corpus:weber/concertino_clarinet", graces=True)[0]
    right = longest_common(read, wanted)
    assert len(wanted) > 25
    assert right == len(read)
    assert right >= len(wanted) - 1


@cache
def steps_by_music21(source: str, graces: bool = False) -> list[list[int]]:
    """Steps above the bottom line of every note of each part, as music21 reads them."""
    return [_steps(part, graces) for part in _parsed(source).parts]


@cache
def _parsed(source: str) -> Any:
    import warnings

    from music21 import converter

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # it warns of rounded lengths; only heights are compared
        return converter.parse(locate(source), forceSource=True)


def _steps(part: Any, graces: bool) -> list[int]:
    found: list[int] = []
    for one in part.recurse().notes:
        if bool(one.duration.isGrace) == graces:
            lowest = int(one.getContextByClass("Clef").lowestLine)
            found += [int(pitch.diatonicNoteNum) - lowest for pitch in one.pitches]
    return found


def steps_by_our_reader(part: Part) -> list[int]:
    """The same by our reader, in a part of one voice without chords."""
    return [
        note.pitch.diatonic + 1 - _lowest(measure.clef)
        for measure in part.measures
        for note in measure.notes
        if note.pitch is not None
    ]


def _lowest(clef: Clef) -> int:
    """The note on the bottom line, counted from C4 as 29."""
    return _LETTER[clef.sign] - 2 * (clef.line - 1) + 7 * clef.octaves


def longest_common(read: list[float], wanted: list[int]) -> int:
    """The length of the longest sequence that both hold in order."""
    row = [0] * (len(wanted) + 1)
    for one in read:
        diagonal = 0
        for k, other in enumerate(wanted, 1):
            diagonal, row[k] = row[k], diagonal + 1 if one == other else max(row[k], row[k - 1])
    return row[-1]

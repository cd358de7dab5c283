"""Whole scores laid out: nothing is lost, nothing stands twice, and the measures are where the notes are."""

from functools import cache

import pytest

from coach.errors import ScoreError
from coach.files.engraving.engraver import Engraver, Layout
from coach.files.engraving.mei import measure_elements, part_mei
from coach.files.score import written_score
from coach.music.engraved import EngravedSystem
from coach.music.piece import Piece
from tests.files.engraving.corpus import DEMO, SUITE, VARIED, WIND

# Files whose part holds notes that are not drawn: slashes and rhythms in place of notes, and heads of the kind "none".
UNDRAWN = {"22a-Noteheads", "22b-Staff-Notestyles", "71e-TabStaves"}


@cache
def laid(source: str, width: float) -> tuple[Piece, Layout, tuple[EngravedSystem, ...]]:
    score = written_score(source)
    layout = Engraver(score.piece, part_mei(score)).lay(None, width)
    return score.piece, layout, tuple(layout.system(k) for k in range(len(layout.systems)))


# Wind parts for terminals of 60, 80 and 120 columns, the others for 80.
CASES = [(f"corpus:{name}", 39.75) for name in VARIED] + [
    (source, width) for source in (DEMO, *(f"corpus:{name}" for name in WIND)) for width in (29.75, 39.75, 59.75)
]


@pytest.mark.parametrize(("source", "width"), CASES)
def test_every_note_stands_in_one_system(source: str, width: float) -> None:
    piece, layout, systems = laid(source, width)
    check_systems(piece, layout, systems)
    check_notes(piece, systems)


def test_the_test_suite_is_engraved() -> None:
    """Every score of MusicXML's test suite that holds notes."""
    count = 0
    for path in sorted(path for path in SUITE.iterdir() if path.suffix in (".xml", ".mxl")):
        try:
            piece, layout, systems = laid(str(path), 59.75)
        except ScoreError as error:
            assert "holds no notes" in str(error), path.name
            continue
        check_systems(piece, layout, systems)
        if path.stem not in UNDRAWN:
            check_notes(piece, systems)
        count += 1
    assert count == 126


def check_systems(piece: Piece, layout: Layout, systems: tuple[EngravedSystem, ...]) -> None:
    """Measures follow one another over the systems, and lie side by side in each."""
    count = len(piece.part.measures)
    assert layout.systems[0][0] == 0 and layout.systems[-1][1] == count - 1
    for (_, last), (first, _) in zip(layout.systems, layout.systems[1:], strict=False):
        assert first in (last, last + 1)
    for system in systems:
        assert sorted(system.measures) == list(range(system.first, system.last + 1))
        bounds = [system.measures[k] for k in sorted(system.measures)]
        assert all(one.left <= one.right for one in bounds)
        assert all(
            one == other or one.right <= other.left + 0.01 for one, other in zip(bounds, bounds[1:], strict=False)
        )


def check_notes(piece: Piece, systems: tuple[EngravedSystem, ...]) -> None:
    """Every note stands in one system, inside its measure; the notes of a measure from left to right in time."""
    where = [(name, system) for system in systems for name in system.heads]
    names = [name for name, _ in where]
    assert len(set(names)) == len(names)
    found = dict(where)
    for k, measure in enumerate(piece.part.measures):
        notes = [note for note in measure.notes if note.pitch is not None]
        assert all(note.id in found for note in notes), f"a note of measure {measure.id} is missing"
        before = (-1, 0.0)
        for note in notes:
            system = found[note.id]
            x, _ = system.heads[note.id]
            assert system.measures[k].left - 0.1 <= x <= system.measures[k].right + 0.1
            assert (system.number, x) > before
            before = (system.number, x)


def test_a_rest_over_several_measures_holds_them_all() -> None:
    """The suite's 02d: rests of 2, 3, 2 and 2 measures, then a note in measure 10 (read in the file)."""
    _, _, systems = laid(str(SUITE / "02d-Rests-Multimeasure-TimeSignatures.xml"), 59.75)
    places = [system.measures[k] for system in systems for k in sorted(system.measures)]
    assert [places.count(one) for one in dict.fromkeys(places)] == [2, 3, 2, 2, 1]


def test_measures_of_the_page_are_those_of_the_part() -> None:
    """In every score of the corpus that names a wind instrument."""
    for name in WIND:
        score = written_score(f"corpus:{name}")
        count = len(score.piece.part.measures)
        places = measure_elements(part_mei(score), count)
        assert [k for place in places for k in range(place.first, place.last + 1)] == list(range(count))

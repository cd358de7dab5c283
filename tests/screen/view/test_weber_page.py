"""The clarinet part of the Weber Concertino that ships with music21, drawn whole."""

from collections import Counter

import music21
import pytest

from coach.files.score import read_score
from coach.music.piece import Piece
from coach.screen.view.glyphs import UNICODE
from coach.screen.view.heights import Heights, bottom_line
from coach.screen.view.layout import Layout
from coach.screen.view.page import LEAST_SYSTEM, Look, draw_page
from coach.screen.view.slots import slots
from coach.screen.view.staff import occupied
from coach.screen.view.system import System, break_systems


@pytest.fixture(scope="module")
def weber() -> Piece:
    return read_score("corpus:weber/concertino_clarinet")


@pytest.fixture(scope="module", params=[60, 80, 120])
def systems(weber: Piece, request: pytest.FixtureRequest) -> tuple[int, tuple[System, ...]]:
    return request.param, break_systems(weber, weber.whole(), request.param, UNICODE)


def test_every_note_is_drawn_once_and_inside(weber: Piece, systems: tuple[int, tuple[System, ...]]) -> None:
    width, broken = systems
    seen: Counter[str] = Counter()
    for system in broken:
        page = draw_page(weber, [system], Look(-1), (width, 19), UNICODE)
        seen.update(page.notes.keys())
        assert all(0 < place.column < width and 0 <= place.row < 19 for place in page.notes.values())
    graces = {g.id for note in weber.part.notes() for g in (*note.graces, *note.after_graces)}
    assert seen == Counter({*(note.id for note in weber.part.pitched()), *graces})


def test_columns_never_run_back(systems: tuple[int, tuple[System, ...]]) -> None:
    width, broken = systems
    for system in broken:
        layout = Layout(system, width)
        columns = [placed.column for placed in layout.placed]
        assert columns == sorted(set(columns))
        assert layout.right < width


def test_heights_are_those_of_music21(weber: Piece) -> None:
    """music21 counts staff positions (diatonicNoteNum) on its own."""
    for system in break_systems(weber, weber.whole(), 80, UNICODE):
        layout = Layout(system, 80)
        heights = Heights(occupied(layout), bottom_line(system.segments[0].measure.clef), 40)
        placed = [p.slot.pitch for p in layout.placed if p.slot.pitch is not None]
        for pitch in placed:
            other = music21.pitch.Pitch(pitch.name.replace("b", "-"))
            above_e4 = other.diatonicNoteNum - music21.pitch.Pitch("E4").diatonicNoteNum
            assert heights.lines[4] - heights.row(pitch.diatonic) == above_e4


def test_signs_are_those_that_the_engraver_printed(weber: Piece) -> None:
    """The file's own <accidental> elements say which notes bear a sign; the rule must want none beyond them."""
    missing = []
    for measure in weber.part.measures:
        for slot in slots(measure, UNICODE):
            printed = slot.grace.accidental if slot.grace else slot.note.accidental
            if slot.sign and not printed:
                missing.append((slot.id, slot.name))
            assert not printed or slot.sign, slot.id
    assert missing == []


def test_the_same_measures_always_stand_together(weber: Piece) -> None:
    assert break_systems(weber, weber.whole(), 80, UNICODE) == break_systems(weber, weber.whole(), 80, UNICODE)
    assert LEAST_SYSTEM <= 19  # a system fits into the Stand of a terminal of 24 rows

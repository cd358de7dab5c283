"""The clarinet part of the Weber Concertino that ships with music21, drawn whole."""

from collections import Counter
from itertools import pairwise

import music21
import pytest

from coach.files.score import read_score
from coach.music.piece import Piece
from coach.screen.view.glyphs import UNICODE
from coach.screen.view.heights import Heights, bottom_line
from coach.screen.view.layout import Layout
from coach.screen.view.page import Look, draw_page, rows_wanted, systems_on_page
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
    assert seen == Counter({*(note.id for note in weber.part.notes()), *graces})


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
        heights = Heights(occupied(system, 80), bottom_line(system.segments[0].measure.clef), 40)
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


@pytest.mark.parametrize("size", [(80, 19), (120, 35)])  # the music's room on the Stand at 80 by 24 and 120 by 40
def test_the_staff_is_even_and_pages_are_full(weber: Piece, size: tuple[int, int]) -> None:
    """Five lines at one distance: two rows, a line and a space each, but for a few crowded measures at 80 columns,
    where it is one. A page takes what fits and no more."""
    distances: Counter[int] = Counter()
    broken = break_systems(weber, weber.whole(), size[0], UNICODE)
    begins = 0
    while begins < len(broken):
        shown = systems_on_page(broken, 0, begins, size)
        assert shown == broken[begins : begins + len(shown)]
        rows = [rows_wanted(system, size[0]) for system in broken[begins : begins + len(shown) + 1]]
        assert sum(rows[: len(shown)]) <= size[1] or len(shown) == 1
        assert len(rows) == len(shown) or sum(rows) > size[1]
        page = draw_page(weber, shown, Look(-1), size, UNICODE).canvas.text().split("\n")
        lines = [k for k, row in enumerate(page) if row[3:].count("─") > 0.4 * size[0] and row[0] in "─G"]
        assert len(lines) == 5 * len(shown)
        for k in range(0, len(lines), 5):
            (distance,) = {low - high for high, low in pairwise(lines[k : k + 5])}
            distances[distance] += 1
        begins += len(shown)
    assert distances[1] + distances[2] == len(broken)
    assert distances[1] <= (0.1 * len(broken) if size[0] == 80 else 0)

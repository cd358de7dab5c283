"""Levels. That louder marks are louder is what the marks mean; the size of a step is a default of this program."""

from fractions import Fraction
from itertools import pairwise

import pytest

from coach.music.part import Hairpin
from coach.prepare.dynamics.colouring import colour
from coach.prepare.dynamics.level import levels
from coach.prepare.dynamics.steps import LEVEL_DB, STEP_DB
from coach.sound.timeline import Event
from tests.sound.hand import bars, n, piece, played, solo


def swell(kind: str, start: int, end: int, niente: bool = False) -> Hairpin:
    return Hairpin(kind, Fraction(start), Fraction(end), niente)


FOUR = bars([n("C5", 1)] * 4, [n("C5", 1)] * 4)


def test_the_printed_order_of_dynamics_is_the_order_of_levels() -> None:
    order = ["pppp", "ppp", "pp", "p", "mp", "mf", "f", "ff", "fff", "ffff"]
    assert all(LEVEL_DB[softer] < LEVEL_DB[louder] for softer, louder in pairwise(order))


def test_a_dynamic_holds_until_the_next() -> None:
    notes = solo(played(piece(FOUR, dynamics=[(0, "p"), (5, "f")])))
    assert {notes[at].level_db for at in ("1.1", "1.2", "1.3", "1.4", "2.1")} == {LEVEL_DB["p"] - LEVEL_DB["f"]}
    assert {notes[at].level_db for at in ("2.2", "2.4")} == {0.0}


def test_a_hairpin_moves_evenly_to_the_dynamic_at_its_end() -> None:
    found = levels(piece(FOUR, dynamics=[(0, "p"), (4, "f")], hairpins=[swell("crescendo", 0, 4)]).part)
    assert [found.at(Fraction(q)) for q in range(5)] == pytest.approx([-8, -5, -2, 1, 4])
    assert found.until(Fraction(4)) == pytest.approx(4)


def test_a_hairpin_to_nowhere_goes_one_step_and_stays() -> None:
    found = levels(piece(FOUR, dynamics=[(0, "f")], hairpins=[swell("diminuendo", 2, 4)]).part)
    assert found.at(Fraction(3)) == pytest.approx(LEVEL_DB["f"] - STEP_DB / 2)
    assert found.at(Fraction(7)) == pytest.approx(LEVEL_DB["f"] - STEP_DB)


def test_a_sudden_piano_after_a_crescendo_stays_sudden() -> None:
    found = levels(piece(FOUR, dynamics=[(0, "mf"), (4, "p")], hairpins=[swell("crescendo", 0, 4)]).part)
    assert found.until(Fraction(4)) == pytest.approx(LEVEL_DB["mf"] + STEP_DB)
    assert found.at(Fraction(4)) == LEVEL_DB["p"]


def test_two_hairpins_in_a_row_swell_and_fade() -> None:
    both = [swell("crescendo", 0, 2), swell("diminuendo", 2, 4)]
    found = levels(piece(FOUR, dynamics=[(0, "p"), (4, "p")], hairpins=both).part)
    assert found.at(Fraction(2)) == pytest.approx(LEVEL_DB["p"] + STEP_DB)
    assert found.until(Fraction(4)) == pytest.approx(LEVEL_DB["p"])


def test_a_hairpin_to_nothing_fades_far_below_the_softest_dynamic() -> None:
    found = levels(piece(FOUR, dynamics=[(0, "p")], hairpins=[swell("diminuendo", 4, 8, True)]).part)
    assert found.until(Fraction(8)) < LEVEL_DB["ppp"]


def test_accents_are_louder_than_their_neighbours_and_sforzato_leaves_the_level() -> None:
    measures = bars([n("C5", 1), n("C5", 1, articulations=("accent",)), n("C5", 1), n("C5", 1)])
    notes = solo(played(piece(measures, dynamics=[(0, "mf"), (2, "sfz")])))
    assert notes["1.2"].level_db > notes["1.1"].level_db < notes["1.3"].level_db
    assert notes["1.4"].level_db == notes["1.1"].level_db


def test_fortepiano_begins_loud_and_ends_soft() -> None:
    notes = solo(played(piece(bars([n("C5", 2), n("C5", 2)]), dynamics=[(0, "fp")])))
    assert notes["1.1"].end_level_db is not None
    assert notes["1.1"].level_db - notes["1.1"].end_level_db == pytest.approx(LEVEL_DB["f"] - LEVEL_DB["p"])
    assert notes["1.2"].level_db == notes["1.1"].end_level_db


def test_nothing_is_louder_than_the_loudest_note_which_is_at_zero() -> None:
    measures = bars([n("C5", 1), n("C5", 1, articulations=("strong-accent",)), n("C5", 1), n("C5", 1)])
    for marks in ([(0, "pp"), (2, "f")], [(0, "p")], []):
        found = [note.level_db for note in played(piece(measures, dynamics=marks)).notes]
        assert max(found) == pytest.approx(0.0)


def test_a_long_note_under_a_hairpin_swells() -> None:
    one = bars([n("C5", 4)], [n("C5", 4)])
    notes = solo(played(piece(one, dynamics=[(0, "p"), (4, "f")], hairpins=[swell("crescendo", 0, 4)])))
    assert notes["1.1"].level_db == pytest.approx(-12) and notes["1.1"].end_level_db == pytest.approx(0)
    assert notes["2.1"].end_level_db is None


def test_a_long_note_that_swells_and_fades_turns_at_its_peak() -> None:
    one = bars([n("C5", 4)], [n("C5", 4)])
    both = [swell("crescendo", 0, 3), swell("diminuendo", 3, 4)]
    note = solo(played(piece(one, dynamics=[(0, "p"), (4, "p")], hairpins=both)))["1.1"]
    assert [share for share, _ in note.event.curve] == [0.0, 0.75, 1.0]
    assert [db for _, db in note.event.curve] == pytest.approx([-STEP_DB, 0.0, -STEP_DB])


@pytest.mark.parametrize(("share", "level_db"), [(0, -12), (0.2, -6), (0.4, 0), (0.7, -2), (1, -4)])
def test_the_level_along_a_note(share: float, level_db: float) -> None:
    event = Event(0, 1, "note", level_db=-12.0, end_level_db=-4.0, middle_level_db=0.0, middle_share=0.4)
    assert event.level_at(share) == pytest.approx(level_db)


def test_a_level_that_stays_is_one_point() -> None:
    assert solo(played(piece(FOUR)))["1.1"].event.curve == ((0.0, 0.0),)


def test_dynamics_noted_at_notes_alone_count_too() -> None:
    measures = bars([n("C5", 2, dynamic="pp"), n("C5", 2, dynamic="f")])
    notes = solo(played(piece(measures)))
    assert notes["1.1"].level_db == pytest.approx(LEVEL_DB["pp"] - LEVEL_DB["f"])


def test_louder_is_brighter() -> None:
    order = [colour(LEVEL_DB[mark]) for mark in ("pp", "p", "mp", "mf", "f", "ff")]
    assert order == sorted(order) and len(set(order)) == len(order) and 0 <= order[0] and order[-1] <= 1


def test_an_accent_lifts_the_turn_of_a_swell_too() -> None:
    measures = bars([n("C5", 4, articulations=("accent",))], [n("C5", 4)])
    both = [swell("crescendo", 0, 3), swell("diminuendo", 3, 4)]
    note = solo(played(piece(measures, dynamics=[(0, "p"), (4, "p")], hairpins=both)))["1.1"]
    assert [db for _, db in note.event.curve] == pytest.approx([-STEP_DB, 0.0, -STEP_DB])

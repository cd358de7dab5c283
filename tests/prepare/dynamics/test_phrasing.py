"""Phrases: a swell to the goal and a taper at the end are common practice; how far is a default of this program."""

import math
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from coach.music.part import Part
from coach.prepare.dynamics.level import levels
from coach.prepare.dynamics.line import dynamic_line
from coach.prepare.dynamics.phrasing import PEAK_DB, TAPER_DB
from coach.prepare.mark import Mark, Phrase
from tests.prepare.dynamics.test_marks import parts, printed
from tests.prepare.factory import part

F = Fraction
LINE = part("C5:1 D5:1 E5:1 F5:1", "G5:1 F5:1 E5:1 D5:1", "C5:1 D5:1 E5:1 F5:1")


def phrase(at: str, to: str, goal: str = "", state: str = "kept") -> Mark:
    return Mark(f"{at}{to}", at, Phrase(to, goal), state=state)


def test_a_phrase_grows_to_its_goal_and_tapers_at_its_end() -> None:
    of = printed(LINE, (0, "p"), (8, "f"))
    plain, shaped = levels(of), levels(of, (), [phrase("1.1", "2.4", "2.1")])
    gain = [shaped.at(F(q)) - plain.at(F(q)) for q in range(9)]
    assert gain[0] == 0 and gain[4] == pytest.approx(PEAK_DB) and gain[8] == 0
    assert gain[:5] == sorted(gain[:5]) and gain[4:8] == sorted(gain[4:8], reverse=True)
    assert shaped.until(F(8)) - plain.until(F(8)) == pytest.approx(-TAPER_DB)


def test_a_phrase_without_a_goal_only_tapers() -> None:
    shaped = levels(printed(LINE, (0, "p"), (8, "f")), (), [phrase("1.1", "1.4")])
    assert [shaped.at(F(q)) for q in range(4)] == [shaped.at(F(4))] * 4
    assert shaped.until(F(4)) == pytest.approx(shaped.at(F(4)) - TAPER_DB)


def test_in_the_loudest_dynamic_the_goal_is_the_loudest() -> None:
    line = dynamic_line(LINE, (), [phrase("1.1", "2.4", "2.1")])
    level = {one.at: one.level_db for one in line}
    assert level["2.1"] == max(level.values()) == pytest.approx(0)
    assert level["1.1"] == pytest.approx(-PEAK_DB)


def test_a_struck_phrase_and_one_that_stands_nowhere_shape_nothing() -> None:
    for mark in (
        phrase("1.1", "2.4", "2.1", "struck"),
        phrase("2.1", "1.1"),
        phrase("1.1", "9.9"),
        phrase("9.9", "1.1"),
    ):
        assert dynamic_line(LINE, (), [mark]) == dynamic_line(LINE)


@settings(deadline=None)
@given(parts(), st.data())
def test_phrases_add_little_and_lead_nowhere_above_the_loudest(of: Part, data: st.DataObject) -> None:
    ids = st.sampled_from([note.id for note in of.notes()])
    marks = [phrase(*data.draw(st.tuples(ids, ids, ids))) for _ in range(data.draw(st.integers(0, 4)))]
    plain, shaped = levels(of), levels(of, (), marks)
    for note in of.pitched():
        moved = shaped.at(note.onset_q) - plain.at(note.onset_q)
        assert math.isfinite(moved) and -2 * PEAK_DB - TAPER_DB <= moved <= PEAK_DB
        assert shaped.at(note.onset_q) <= max(shaped.loudest_db, plain.at(note.onset_q)) + 1e-9

"""Marked dynamics. What a mark says is its contract (`coach.prepare.mark.Dynamic`, docs of `level`); sizes of steps are
a default of this program, so that the checks compare levels with the table and not with the world."""

import math
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from coach.music.part import DynamicMark, Hairpin, Part
from coach.prepare.dynamics.level import Levels, levels
from coach.prepare.dynamics.line import dynamic_line
from coach.prepare.dynamics.steps import ATTACKS, LEVEL_DB, STEP_DB
from coach.prepare.mark import SIGNS, Dynamic, Mark
from tests.prepare.factory import PARTS, part

F = Fraction
FOUR = part("C5:1 D5:1 E5:1 F5:1", "G5:1 F5:1 E5:1 D5:1", "C5:1 D5:1 E5:1 F5:1")


def printed(of: Part, *dynamics: tuple[float, str], hairpins: tuple[tuple[str, int, int], ...] = ()) -> Part:
    return replace(
        of,
        dynamics=tuple(DynamicMark(F(at), mark) for at, mark in dynamics),
        hairpins=tuple(Hairpin(kind, F(start), F(end)) for kind, start, end in hairpins),
    )


def own(at: str, sign: str = "", to: str = "", state: str = "kept", **more: float) -> Mark:
    return Mark(f"{at}{sign}{to}{state}", at, Dynamic(sign, to, **more), state=state)


def hint(at: str, sign: str = "", to: str = "", **more: float) -> Mark:
    return replace(own(at, sign, to, "suggested", **more), origin="computed")


def at(found: Levels, q: float) -> float:
    return found.at(F(q))


def test_a_sign_overrides_what_is_printed_at_its_note_and_holds_until_the_next_one() -> None:
    of = printed(FOUR, (0, "p"), (4, "f"), (8, "pp"))
    found = levels(of, [own("2.1", "mp")])
    assert [at(found, q) for q in (0, 4, 7, 8)] == [LEVEL_DB["p"], LEVEL_DB["mp"], LEVEL_DB["mp"], LEVEL_DB["pp"]]


def test_a_struck_mark_counts_for_nothing() -> None:
    of = printed(FOUR, (0, "p"))
    assert at(levels(of, [own("1.2", "ff", state="struck")]), 2) == LEVEL_DB["p"]


def test_a_suggestion_counts_until_it_is_struck_and_gives_way_to_what_is_decided() -> None:
    of = printed(FOUR, (0, "p"))
    assert at(levels(of, [hint("1.2", "mf")]), 1) == LEVEL_DB["mf"]
    assert at(levels(of, [hint("1.2", "mf"), own("1.2", "mp")]), 1) == LEVEL_DB["mp"]
    within = levels(of, [own("1.1", "f", "2.4"), hint("1.3", "pp", "1.4")])
    assert [at(within, q) for q in (0, 2, 7, 8)] == [LEVEL_DB["f"]] * 3 + [LEVEL_DB["p"]]


def test_the_players_word_comes_before_the_teachers() -> None:
    teacher = replace(own("1.1", "ff"), origin="teacher")
    assert at(levels(FOUR, [teacher, own("1.1", "p")]), 0) == LEVEL_DB["p"]


def test_a_level_counts_from_its_note_to_the_next_dynamic() -> None:
    found = levels(printed(FOUR, (0, "f"), (8, "p")), [own("1.3", level_db=-6.0)])
    assert found.loudest_db == LEVEL_DB["f"]
    assert [at(found, q) - found.loudest_db for q in (1, 2, 7)] == [0, -6, -6]
    assert at(found, 8) == LEVEL_DB["p"]


def test_a_level_with_an_end_counts_up_to_the_end_of_that_note() -> None:
    found = levels(printed(FOUR, (0, "f")), [own("1.2", to="1.3", level_db=-9.0)])
    assert [at(found, q) - LEVEL_DB["f"] for q in (0, 1, 2, 3)] == [0, -9, -9, 0]
    assert found.until(F(3)) - LEVEL_DB["f"] == -9


def test_a_hairpin_of_ones_own_reaches_its_level_at_the_end_of_its_last_note() -> None:
    found = levels(printed(FOUR, (0, "p"), (8, "f")), [own("1.1", "crescendo", "1.4", level_db=-4.0)])
    assert [at(found, q) for q in (0, 1, 2, 3)] == pytest.approx([-8, -6, -4, -2])
    assert found.until(F(4)) == pytest.approx(0) and at(found, 4) == LEVEL_DB["p"]


def test_a_hairpin_of_ones_own_without_a_level_goes_where_a_printed_one_would() -> None:
    plain = levels(printed(FOUR, (0, "p"), (8, "f"), hairpins=(("crescendo", 4, 8),)))
    marked = levels(printed(FOUR, (0, "p"), (8, "f")), [own("2.1", "crescendo", "2.4")])
    assert [at(marked, q) for q in range(12)] == [at(plain, q) for q in range(12)]


def test_a_hairpin_of_ones_own_stands_in_place_of_those_under_it() -> None:
    of = printed(FOUR, (0, "f"), hairpins=(("crescendo", 1, 2), ("crescendo", 2, 4)))
    found = levels(of, [own("1.1", "diminuendo", "1.4")])
    assert [at(found, q) for q in range(5)] == pytest.approx([4, 3, 2, 1, 0])


def test_a_swell_and_its_answer_meet() -> None:
    marks = [own("1.1", "crescendo", "1.4", level_db=-2.0), own("2.1", "diminuendo", "2.4", level_db=-10.0)]
    found = levels(printed(FOUR, (0, "mp"), (8, "f")), marks)
    assert found.until(F(4)) == at(found, 4) == LEVEL_DB["f"] - 2


def test_a_colour_alone_changes_the_colour_of_its_note_and_no_level() -> None:
    of = printed(FOUR, (0, "p"))
    before, after = dynamic_line(of), dynamic_line(of, [own("1.2", colour=0.9)])
    assert [one.level_db for one in after] == [one.level_db for one in before]
    assert [one.at for one, other in zip(before, after, strict=True) if one.colour != other.colour] == ["1.2"]
    upto = dynamic_line(of, [own("1.2", to="1.4", colour=0.9)])
    assert [one.at for one in upto if one.colour == 0.9] == ["1.2", "1.3", "1.4"]


def test_an_attack_leaves_the_level_of_the_notes_after_it() -> None:
    found = dynamic_line(printed(FOUR, (0, "p")), [own("1.2", "sfz")])
    assert found[1].level_db > found[0].level_db == found[2].level_db


@pytest.mark.parametrize(
    "mark",
    [
        own("1.3", "crescendo", "1.1"),
        own("1.3", "diminuendo", "1.2", level_db=-9.0),
        own("9.9", "ff"),
        own("2.1", to="1.1", level_db=-3.0),
    ],
)
def test_what_goes_backwards_or_stands_nowhere_is_left_out(mark: Mark) -> None:
    of = printed(FOUR, (0, "p"))
    assert dynamic_line(of, [mark]) == dynamic_line(of)


# MusicXML 4.0's dynamics element has these and `other-dynamics` for any other text.
NAMES = st.sampled_from((*LEVEL_DB, *ATTACKS, "other-dynamics", "sfffz", "molto"))
PLACES = st.fractions(0, 30, max_denominator=4)
HAIRPINS = st.builds(Hairpin, st.sampled_from(("crescendo", "diminuendo")), PLACES, PLACES, st.booleans())


@st.composite
def parts(draw: st.DrawFn) -> Part:
    """Parts with dynamics of all kinds anywhere, and hairpins nested, overlapping, empty and backwards."""
    dynamics = draw(st.lists(st.builds(DynamicMark, PLACES, NAMES), max_size=5))
    return replace(draw(PARTS), dynamics=tuple(dynamics), hairpins=tuple(draw(st.lists(HAIRPINS, max_size=5))))


@st.composite
def marked(draw: st.DrawFn) -> tuple[Part, list[Mark]]:
    of = draw(parts())
    ids = st.sampled_from([note.id for note in of.notes()] + ["9.9"])
    content = st.builds(
        Dynamic,
        st.sampled_from(("", *SIGNS)),
        st.just("") | ids,
        st.none() | st.floats(-120, 24),
        st.none() | st.floats(0, 1),
    )
    mark = st.builds(
        Mark,
        st.just("m"),
        ids,
        content,
        st.sampled_from(("computed", "player", "teacher")),
        st.sampled_from(("suggested", "kept", "struck")),
    )
    return of, draw(st.lists(mark, max_size=6))


@settings(deadline=None)
@given(marked())
def test_levels_are_finite_and_never_above_the_loudest_whatever_is_said(case: tuple[Part, list[Mark]]) -> None:
    of, marks = case
    line = dynamic_line(of, marks)
    assert [one.at for one in line] == [note.id for note in of.pitched()]
    for one in line:
        assert math.isfinite(one.level_db) and math.isfinite(one.end_level_db)
        assert max(one.level_db, one.end_level_db) <= 0 and 0 <= one.colour <= 1
        assert one.because.endswith(".") and one.because[0].isupper() or one.because[:2] in ("pp", "ff", "sf", "pf")


@settings(deadline=None)
@given(marked(), st.sampled_from([sign for sign in SIGNS if sign in LEVEL_DB]), st.data())
def test_a_sign_of_the_players_wins_at_its_note(case: tuple[Part, list[Mark]], sign: str, data: st.DataObject) -> None:
    of, marks = case
    places = [note for note in of.pitched()]
    if not places:
        return
    note = data.draw(st.sampled_from(places))
    others = [mark for mark in marks if mark.origin == "computed" and mark.state == "suggested"]
    assert levels(of, [*others, own(note.id, sign)]).at(note.onset_q) == LEVEL_DB[sign]


@settings(deadline=None)
@given(PARTS, st.lists(st.tuples(PLACES, st.sampled_from(list(LEVEL_DB))), max_size=6))
def test_without_hairpins_the_last_dynamic_printed_holds(of: Part, dynamics: list[tuple[Fraction, str]]) -> None:
    found = levels(replace(of, dynamics=tuple(DynamicMark(*each) for each in dynamics)))
    for note in of.pitched():
        before = [place for place, _ in dynamics if place <= note.onset_q]
        standing = [mark for place, mark in dynamics if before and place == max(before)]
        expected = LEVEL_DB[standing[-1]] if standing else LEVEL_DB["mf"]
        assert found.at(note.onset_q) == expected


@settings(deadline=None)
@given(parts(), st.booleans(), st.data())
def test_the_level_goes_one_way_inside_a_hairpin(of: Part, rising: bool, data: st.DataObject) -> None:
    start, end = sorted((data.draw(PLACES), data.draw(PLACES)))
    alone = replace(of, hairpins=(Hairpin("crescendo" if rising else "diminuendo", start, end),))
    found = levels(alone)
    inside = [F(k, 8) for k in range(240) if start <= F(k, 8) < end]
    stops = [mark.onset_q for mark in alone.dynamics if start < mark.onset_q]
    course = [found.at(place) for place in inside if all(place < stop for stop in stops)]
    assert all((later - earlier) * (1 if rising else -1) >= -1e-9 for earlier, later in pairwise(course))


@settings(deadline=None)
@given(marked(), st.fractions(0, 30, max_denominator=8), st.fractions(F(1, 8), 8, max_denominator=8))
def test_a_note_turns_only_between_its_ends_and_where_the_level_is(
    case: tuple[Part, list[Mark]], start: Fraction, length: Fraction
) -> None:
    course = levels(*case).passing(None, start, start + length)
    if course.turn is not None:
        share, level_db = course.turn
        assert 0 < share < 1
        assert level_db == pytest.approx(levels(*case).until(start + length * F(share).limit_denominator(10**6)))


def test_a_chain_of_hairpins_stays_within_what_dynamics_there_are() -> None:
    many = printed(part(*["C5:1"] * 60), hairpins=tuple(("crescendo", k, k + 1) for k in range(50)))
    found = levels(many)
    assert at(found, 59) == LEVEL_DB["ffffff"] and at(found, 1) == pytest.approx(STEP_DB)


def test_a_suggestion_does_not_move_what_levels_relate_to_and_a_decision_does() -> None:
    of = printed(FOUR, (0, "mf"))
    assert levels(of, [hint("2.1", "ff")]).loudest_db == LEVEL_DB["mf"]
    assert levels(of, [own("2.1", "ff")]).loudest_db == LEVEL_DB["ff"]

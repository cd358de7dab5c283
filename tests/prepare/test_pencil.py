"""The pencil: what is put, changed, struck and restored, and what computing anew leaves alone."""

from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from coach.errors import RequestError
from coach.prepare.mark import KINDS, Breath, Comment, Fingering, Mark
from coach.prepare.over import places
from coach.prepare.pencil import find, in_order, keep, newly_struck, put, replace_mark, strike, take_computed
from coach.prepare.prep import Prep
from tests.prepare.factory import marks_at, part, prep_over, preps

UNHURRIED = settings(deadline=None, suppress_health_check=[HealthCheck.too_slow])  # other work may slow a case down
PART = part("C5:1 D5:1 E5:1", "F5:1 G5:1")


def test_marks_stand_by_place_then_kind() -> None:
    prep = prep_over(PART)
    for mark in (Mark("a", "2.1", Breath()), Mark("b", "1.2", Comment("x")), Mark("c", "1.2", Breath("catch"))):
        prep = put(prep, mark)
    assert [mark.id for mark in prep.marks] == ["c", "b", "a"]


@UNHURRIED
@given(preps())
def test_the_order_is_that_of_the_part(made: tuple[Prep, object]) -> None:
    prep, _ = made
    known, kinds = places(prep.over), list(KINDS)
    keys = [(known[mark.at], kinds.index(mark.kind)) for mark in prep.marks]
    assert keys == sorted(keys)


def test_the_newer_fingering_strikes_the_older() -> None:
    before = put(prep_over(PART), Mark("old", "1.2", Fingering("L")))
    after = put(before, Mark("new", "1.2", Fingering("R")))
    assert [(mark.id, mark.state) for mark in after.marks] == [("old", "struck"), ("new", "kept")]
    assert [mark.id for mark in newly_struck(before, after)] == ["old"]
    back = keep(after, "old")
    assert {mark.id: mark.state for mark in back.marks} == {"old": "kept", "new": "struck"}


@pytest.mark.parametrize("origin", ["computed", "teacher"])
def test_a_change_strikes_what_is_not_the_players_and_stands_beside_it(origin: str) -> None:
    theirs = Mark("t", "1.2", Breath(), origin, "suggested" if origin == "computed" else "kept", "long phrase")
    prep = prep_over(PART, theirs)
    changed = replace_mark(prep, Mark("mine", "1.2", Breath("catch")), "t")
    assert changed.marks == (replace(theirs, state="struck"), Mark("mine", "1.2", Breath("catch")))
    with pytest.raises(RequestError, match="id of its own"):
        replace_mark(prep, replace(theirs, content=Breath("catch")))


def test_a_change_of_the_players_own_stays_one_mark() -> None:
    prep = prep_over(PART, Mark("m", "1.2", Breath()))
    assert replace_mark(prep, Mark("m", "1.2", Breath("catch"))).marks == (Mark("m", "1.2", Breath("catch")),)


def test_strike_and_keep_are_each_others_way_back() -> None:
    prep = prep_over(PART, Mark("m", "1.2", Breath()))
    assert strike(prep, "m").shown == ()
    assert keep(strike(prep, "m"), "m") == prep


@pytest.mark.parametrize("act", [strike, keep, find])
def test_a_mark_that_is_not_there(act: object) -> None:
    with pytest.raises(RequestError, match="no mark gone"):
        act(prep_over(PART), "gone")  # type: ignore[operator]


def test_an_id_is_given_once() -> None:
    with pytest.raises(RequestError, match="already"):
        put(prep_over(PART, Mark("m", "1.2", Breath())), Mark("m", "1.1", Breath()))


def test_computing_anew_replaces_what_nobody_decided_on() -> None:
    prep = prep_over(PART, Mark("c1", "1.1", Breath(), "computed", "suggested"))
    fresh = take_computed(prep, [Mark("c2", "1.3", Breath())])
    assert fresh.marks == (Mark("c2", "1.3", Breath(), "computed", "suggested"),)


def test_computing_anew_revives_nothing_that_was_struck() -> None:
    prep = prep_over(
        PART,
        Mark("c1", "1.1", Breath(), "computed", "struck"),
        Mark("c2", "1.2", Fingering("L"), "computed", "struck"),
        Mark("c3", "1.3", Fingering("L"), "computed", "struck"),
    )
    computed = [
        Mark("n1", "1.1", Breath("catch")),  # no breath there, of whatever size
        Mark("n2", "1.2", Fingering("L")),
        Mark("c3", "1.3", Fingering("R")),  # the same id
        Mark("n4", "1.2", Fingering("R")),  # another fingering was not decided against
    ]
    after = take_computed(prep, computed)
    assert [mark.id for mark in after.shown] == ["n4"]
    assert set(prep.marks) <= set(after.marks)


@UNHURRIED
@given(preps(), st.data())
def test_computing_anew_touches_no_decision(made: tuple[Prep, object], data: st.DataObject) -> None:
    prep, _ = made
    computed = data.draw(marks_at(st.sampled_from(tuple(places(prep.over)))))
    after = take_computed(prep, computed)
    decided = [mark for mark in prep.marks if mark.origin != "computed" or mark.state != "suggested"]
    assert [mark for mark in after.marks if mark in decided] == decided
    assert take_computed(after, computed) == after
    fresh = [mark for mark in after.marks if mark not in decided]
    assert all((mark.origin, mark.state) == ("computed", "suggested") for mark in fresh)
    standing = [(mark.kind, mark.at) for mark in after.shown if mark.kind == "fingering"]
    assert len(standing) == len(set(standing))


@UNHURRIED
@given(preps(), st.data())
def test_nothing_that_is_put_or_struck_takes_a_mark_away(made: tuple[Prep, object], data: st.DataObject) -> None:
    prep, _ = made
    ids = {mark.id for mark in (*prep.marks, *prep.unplaced)}
    for mark in data.draw(marks_at(st.sampled_from(tuple(places(prep.over))), 4)):
        if mark.id not in ids:
            prep, ids = put(prep, mark), ids | {mark.id}
    for name in data.draw(st.lists(st.sampled_from(sorted(ids)), max_size=4)) if ids else []:
        prep = data.draw(st.sampled_from((strike, keep)))(prep, name)
    assert {mark.id for mark in (*prep.marks, *prep.unplaced)} == ids
    assert in_order(prep.marks, prep.over) == prep.marks

"""A teacher's prep taken in, and a file that was edited meanwhile."""

from dataclasses import replace

from hypothesis import given
from hypothesis import strategies as st

from coach.prepare.mark import Breath, Comment, Fingering, Mark
from coach.prepare.merge import for_sharing, merge, rebase
from coach.prepare.over import places
from coach.prepare.pencil import keep, replace_mark, strike
from coach.prepare.prep import Prep
from tests.prepare.factory import marks_at, part, prep_over, preps

PART = part("C5:1 D5:1 E5:1", "F5:1 G5:1")


def teachers(*marks: Mark) -> Prep:
    return for_sharing(prep_over(PART, *marks))


def test_what_is_shared_is_what_was_decided_for() -> None:
    prep = prep_over(
        PART,
        Mark("own", "1.1", Breath()),
        Mark("struck", "1.2", Breath(), state="struck"),
        Mark("open", "1.3", Breath(), "computed", "suggested"),
        Mark("chosen", "2.1", Breath(), "computed", "kept"),
        Mark("taught", "2.2", Breath(), "teacher"),
    )
    shared = for_sharing(replace(prep, unplaced=(Mark("lost", "9.1", Breath()),), settings=(("a", "b"),)))
    assert [mark.id for mark in shared.marks] == ["own", "chosen", "taught"]
    assert {(mark.origin, mark.state) for mark in shared.marks} == {("teacher", "kept")}
    assert (shared.piece, shared.unplaced, shared.settings) == ("", (), ())
    assert (shared.title, shared.over, shared.score_hash) == (prep.title, prep.over, prep.score_hash)


def test_new_ones_come_changed_ones_change_and_those_taken_back_go() -> None:
    mine = merge(
        prep_over(PART, Mark("mine", "1.1", Comment("x"))),
        teachers(Mark("a", "1.2", Breath()), Mark("b", "1.3", Breath())),
    )
    after = merge(mine, teachers(Mark("a", "1.2", Breath("catch")), Mark("c", "2.1", Breath())))
    assert {mark.id: mark.content for mark in after.marks} == {
        "mine": Comment("x"),
        "a": Breath("catch"),
        "c": Breath(),
    }


def test_what_i_struck_stays_struck_and_what_i_put_in_its_place_stays() -> None:
    mine = merge(prep_over(PART), teachers(Mark("a", "1.2", Breath()), Mark("b", "1.3", Breath())))
    mine = replace_mark(strike(mine, "a"), Mark("my-b", "1.3", Breath("catch")), "b")
    after = merge(mine, teachers(Mark("a", "1.2", Breath("catch")), Mark("b", "1.3", Comment("y"))))
    states = {mark.id: (mark.state, mark.origin) for mark in after.marks}
    assert states == {"a": ("struck", "teacher"), "b": ("struck", "teacher"), "my-b": ("kept", "player")}
    assert keep(after, "a").at("1.2") == (Mark("a", "1.2", Breath("catch"), "teacher", "kept"),)


def test_a_teachers_fingering_comes_in_struck_beside_mine_and_strikes_a_suggestion() -> None:
    mine = prep_over(PART, Mark("m", "1.1", Fingering("L")), Mark("c", "1.2", Fingering("L"), "computed", "suggested"))
    after = merge(mine, teachers(Mark("t1", "1.1", Fingering("R")), Mark("t2", "1.2", Fingering("R"))))
    states = {mark.id: mark.state for mark in after.marks}
    assert states == {"m": "kept", "t1": "struck", "c": "struck", "t2": "kept"}


def test_whatever_the_file_says_its_marks_are_the_teachers() -> None:
    theirs = prep_over(PART, Mark("x", "1.1", Breath(), "player"), Mark("y", "1.2", Breath(), "computed", "suggested"))
    assert [(mark.id, mark.origin) for mark in merge(prep_over(PART), theirs).marks] == [("x", "teacher")]


@given(preps(), st.data())
def test_merging_touches_nothing_of_mine_and_does_nothing_twice(made: tuple[Prep, object], data: st.DataObject) -> None:
    mine, _ = made
    theirs = replace(mine, marks=data.draw(marks_at(st.sampled_from(tuple(places(mine.over))))), unplaced=())
    after = merge(mine, for_sharing(theirs))
    own = [mark for mark in mine.marks if mark.origin == "player" or (mark.origin, mark.state) == ("computed", "kept")]
    assert [mark for mark in after.marks if mark in own] == own
    assert {mark.id for mark in mine.marks if mark.origin != "teacher"} <= {mark.id for mark in after.marks}
    assert merge(after, for_sharing(theirs)) == after
    sent = {mark.id for mark in for_sharing(theirs).marks}
    assert {mark.id for mark in after.marks if mark.origin == "teacher"} <= sent


def test_both_sides_of_an_edit_are_kept() -> None:
    a, b, c = Mark("a", "1.1", Breath()), Mark("b", "1.2", Breath()), Mark("c", "1.3", Breath())
    base = prep_over(PART, a, b, c)
    theirs = prep_over(PART, replace(a, content=Breath("catch")), c, Mark("hand", "2.1", Comment("by hand")))
    mine = prep_over(PART, a, b, replace(c, state="struck"), Mark("new", "2.2", Breath()))
    after = {mark.id: mark for mark in rebase(base, theirs, mine).marks}
    assert set(after) == {"a", "c", "hand", "new"}  # b was taken out by hand
    assert after["a"].content == Breath("catch") and after["c"].struck


def test_where_both_sides_changed_a_mark_neither_is_lost() -> None:
    base = prep_over(PART, Mark("a", "1.1", Comment("one")))
    theirs, mine = (prep_over(PART, Mark("a", "1.1", Comment(text))) for text in ("by hand", "on the screen"))
    after = rebase(base, theirs, mine)
    assert [(mark.id, mark.content, mark.state) for mark in after.marks] == [
        ("a", Comment("on the screen"), "kept"),
        ("a-2", Comment("by hand"), "struck"),
    ]
    gone = rebase(base, theirs, prep_over(PART))
    assert [mark.content for mark in gone.marks] == [Comment("by hand")]


@given(preps())
def test_without_a_second_hand_a_change_is_itself(made: tuple[Prep, object]) -> None:
    prep, _ = made
    empty = replace(prep, marks=(), unplaced=(), unplaced_over=())
    for base, theirs, mine in ((empty, empty, prep), (prep, prep, prep), (empty, prep, empty), (empty, prep, prep)):
        after = rebase(base, theirs, mine)
        assert (set(after.marks), set(after.unplaced)) == (set(prep.marks), set(prep.unplaced))

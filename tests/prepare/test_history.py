"""Undo and redo, against a plain model: all states in a list, and a finger on one."""

from hypothesis import given
from hypothesis import strategies as st

from coach.prepare.history import KEPT_STEPS, History
from coach.prepare.prep import Prep

STEPS = st.lists(st.sampled_from(("undo", "redo")) | st.integers(0, 3), max_size=40)


@given(STEPS)
def test_it_does_as_a_list_with_a_finger(steps: list[str | int]) -> None:
    history, states, finger = History(Prep()), [Prep()], 0
    for step in steps:
        if step == "undo":
            history, finger = history.undo(), max(0, finger - 1)
        elif step == "redo":
            history, finger = history.redo(), min(len(states) - 1, finger + 1)
        elif Prep(title=str(step)) != states[finger]:
            history = history.did(Prep(title=str(step)))
            states, finger = [*states[: finger + 1], Prep(title=str(step))], finger + 1
        assert history.now == states[finger]
        assert (bool(history.past), bool(history.undone)) == (finger > 0, finger < len(states) - 1)


@given(STEPS)
def test_redo_is_the_way_back_from_undo(steps: list[str | int]) -> None:
    history = History(Prep())
    for step in steps:
        if isinstance(step, int):
            history = history.did(Prep(title=str(step)))
    if history.past:
        assert history.undo().redo() == history


def test_no_change_is_no_step() -> None:
    history = History(Prep(title="a"))
    assert history.did(Prep(title="a")) is history
    assert history.undo() is history and history.redo() is history


def test_it_does_not_grow_for_ever() -> None:
    history = History(Prep())
    for k in range(KEPT_STEPS + 10):
        history = history.did(Prep(title=str(k)))
    assert len(history.past) == KEPT_STEPS


def test_a_change_to_every_step_outlives_an_undo() -> None:
    history = History(Prep()).did(Prep(title="a")).each(lambda prep: Prep(title=prep.title + "!"))
    assert (history.now.title, history.undo().now.title) == ("a!", "!")

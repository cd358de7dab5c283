"""Repeats, endings and jumps followed. How they are followed is common practice (any theory primer), no standard."""

from fractions import Fraction
from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from coach.music.measure import Measure
from coach.music.metre import Clef, Key, Metre
from coach.music.route import route

BAR = Fraction(4)


def measures(*signs: dict[str, Any]) -> list[Measure]:
    return [
        Measure(str(k + 1), str(k + 1), k * BAR, BAR, Metre(4, 4), Key(), Clef(), (), **sign)
        for k, sign in enumerate(signs)
    ]


def played(*signs: dict[str, Any]) -> str:
    """The played measures as their numbers in a row."""
    return " ".join(str(k + 1) for k in route(measures(*signs)))


NONE: dict[str, Any] = {}
BACK = {"repeat_end": 2}
START = {"repeat_start": True}


def jump(*names: str, **more: Any) -> dict[str, Any]:
    return {"jumps": names, **more}


def ending(*numbers: int, **more: Any) -> dict[str, Any]:
    return {"endings": numbers, **more}


def test_without_signs() -> None:
    assert played(NONE, NONE, NONE) == "1 2 3"
    assert played() == ""


def test_repeats() -> None:
    assert played(NONE, BACK, NONE) == "1 2 1 2 3"
    assert played(NONE, START, BACK, NONE) == "1 2 3 2 3 4"
    assert played(NONE, {"repeat_end": 3}) == "1 2 1 2 1 2"
    assert played(BACK, BACK) == "1 1 2 2"
    assert played(NONE, {**START, **BACK}, NONE) == "1 2 2 3"


def test_endings() -> None:
    assert played(NONE, ending(1, **BACK), ending(2), NONE) == "1 2 1 3 4"
    assert played(START, ending(1, 2, repeat_end=3), ending(3), NONE) == "1 2 1 2 1 3 4"
    assert played(START, ending(1), ending(1, **BACK), ending(2), ending(2), NONE) == "1 2 3 1 4 5 6"
    assert played(NONE, ending(1, **BACK), ending(2, **BACK), NONE) == "1 2 1 3 4"  # both closed by a repeat sign
    assert played(START, ending(1, **BACK), ending(2), START, BACK) == "1 2 1 3 4 5 4 5"


def test_da_capo() -> None:
    assert played(NONE, jump("fine"), NONE, jump("dacapo")) == "1 2 3 4 1 2"
    assert played(NONE, BACK, jump("fine"), jump("dacapo")) == "1 2 1 2 3 4 1 2 3"  # repeats are not taken again
    assert played(NONE, jump("dacapo")) == "1 2 1 2"
    assert played(START, ending(1, **BACK), ending(2), jump("dacapo")) == "1 2 1 3 4 1 3 4"  # the last ending


def test_dal_segno_and_coda() -> None:
    assert played(NONE, jump("segno"), jump("tocoda"), jump("dalsegno"), jump("coda"), NONE) == "1 2 3 4 2 3 5 6"
    assert played(NONE, jump("segno"), jump("coda"), jump("dalsegno"), jump("coda")) == "1 2 3 4 2 3 5"
    assert played(NONE, jump("segno"), jump("dalsegno", "fine")) == "1 2 3 2 3"
    assert played(NONE, jump("dalsegno")) == "1 2 1 2"  # no sign to go to


SIGNS = st.fixed_dictionaries(
    {
        "repeat_start": st.booleans(),
        "repeat_end": st.sampled_from([0, 0, 0, 2, 3]),
        "endings": st.sampled_from([(), (), (), (1,), (2,), (1, 2), (3,)]),
        "jumps": st.lists(
            st.sampled_from(["segno", "coda", "tocoda", "fine", "dacapo", "dalsegno"]), max_size=2, unique=True
        ).map(tuple),
    }
)


@given(st.lists(SIGNS, max_size=14))
def test_a_route_always_ends_and_starts_at_the_start(signs: list[dict[str, Any]]) -> None:
    found = route(measures(*signs))
    assert len(found) <= 8 * max(len(signs), 1)
    assert all(0 <= k < len(signs) for k in found)
    if signs and not signs[0]["endings"]:
        assert found[0] == 0


@given(st.lists(st.sampled_from([{}, START, BACK]), max_size=12))
def test_repeats_alone_play_every_measure(signs: list[dict[str, Any]]) -> None:
    assert set(route(measures(*signs))) == set(range(len(signs)))

"""The language between player and sound process says everything exactly."""

from dataclasses import astuple

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coach.sound import codec
from coach.sound.timeline import Event, Timeline

numbers = st.floats(-1e6, 1e6, allow_nan=False)
events = st.builds(
    Event,
    at_s=numbers,
    length_s=numbers,
    kind=st.sampled_from(["note", "click"]),
    line=st.integers(0, 20),
    midi=st.integers(0, 127),
    level_db=numbers,
    below_rate=st.none() | numbers,
    bar=st.integers(-3, 500),
    where=st.text(),
    end_level_db=st.none() | numbers,
)


@given(st.lists(events, max_size=250), numbers, st.none() | st.tuples(st.integers(1, 9), st.integers(0, 9)))
def test_a_timeline_comes_out_as_it_went_in(
    items: list[Event], length_s: float, silence: tuple[int, int] | None
) -> None:
    timeline = Timeline(tuple(items), length_s, 1.5, 0.1, 7)
    lines = list(codec.timeline_lines(timeline, loop=True, rate=0.6, silence=silence, turn=4))
    assert all(line.endswith(b"\n") and line.count(b"\n") == 1 for line in lines)
    *parts, last = (codec.order(line) for line in lines)
    assert {part["do"] for part in parts} <= {"events"}
    assert [event for part in parts for event in codec.events(part["rows"])] == items
    assert last["do"] == "load" and Timeline(timeline.events, *last["shape"]) == timeline
    assert (last["loop"], last["rate"], last["turn"]) == (True, 0.6, 4)
    assert last["silence"] == (list(silence) if silence else None)


def test_the_lines_of_a_long_timeline_stay_short() -> None:
    """Reading a line must not hold the sound up: far less than the 10 ms of a period (some 100 kB of JSON)."""
    event = Event(1234.56789, 0.12345, "note", 3, 61, -12.3456789, 0.123456, False, True, "", None, 100, "123.45")
    timeline = Timeline((event,) * 5000, 1.0)
    lines = list(codec.timeline_lines(timeline, loop=False, rate=1.0, silence=None, turn=1))
    assert max(map(len, lines)) < 12_000


@given(
    st.builds(
        codec.Report, numbers, st.integers(0), st.booleans(), numbers, st.integers(0), st.text(), st.tuples(st.text())
    )
)
def test_a_report_comes_out_as_it_went_in(report: codec.Report) -> None:
    assert astuple(codec.report(report.line())) == astuple(report)


@pytest.mark.parametrize("text", [b"", b"[1, 2", b'{"do": "x"}', b"[1]", b"null"])
def test_what_is_no_report_is_told_by_a_value_error(text: bytes) -> None:
    with pytest.raises(ValueError):
        codec.report(text)

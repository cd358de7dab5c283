"""Ladders that fall: growing lengths at one tempo, then slower from rung to rung."""

from datetime import UTC, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coach.practice.entry import Entry
from coach.practice.ladder import (
    MOST_LENGTHS,
    NOTCHES,
    PER_CENT,
    PRESETS,
    Attempt,
    Footing,
    Ladder,
    Scale,
    attempts,
    climb,
    falling_ladder,
    step,
)
from coach.practice.rep import Rep

AT = datetime(2026, 3, 2, 9, tzinfo=UTC)
THREE = falling_ladder(50, "dotted quarter", 3)  # the metronome's marks from 50 down: 48, 46, 44, 42, 40


def clean(per_minute: float | None = None, length: tuple[int, int] | None = None) -> Attempt:
    return Attempt(True, per_minute, length=length)


def slip(per_minute: float | None = None, length: tuple[int, int] | None = None) -> Attempt:
    return Attempt(False, per_minute, length=length)


def test_its_rungs_are_the_lengths_then_the_marks_down_to_four_fifths() -> None:
    """80 per cent of 50 are 40; the marks between are those of the usual metronome, two apart there."""
    assert THREE.rungs == (50, 50, 50, 48, 46, 44, 42, 40)
    assert [THREE.length_at(level) for level in range(8)] == [1, 2, 3, 3, 3, 3, 3, 3]
    assert (THREE.start_level, THREE.top) == (0, 7)


def test_rungs_in_per_cent() -> None:
    """Each rung a tenth under the one before in ratio: 110/1.1 = 100, /1.1 = 90.9; 88 is the target."""
    ladder = Ladder(110, 88, PRESETS[0], Scale(PER_CENT, 10), falls=True)
    assert ladder.rungs == pytest.approx((110, 100, 90.90909, 88))


def test_clean_ones_lead_to_longer_then_to_slower() -> None:
    found = climb(THREE, [clean(50, (1, 3))] * 3)
    assert (found.level, found.per_minute, found.streak) == (1, 50, 0)
    found = climb(THREE, [*[clean(50, (1, 3))] * 3, *[clean(50, (2, 3))] * 3, *[clean(50)] * 3])
    assert (found.level, found.per_minute) == (3, 48)
    found = climb(THREE, [clean(40)] * 3)
    assert found.arrived and found.per_minute == 40


def test_a_slip_leads_back_to_faster_then_to_shorter() -> None:
    assert climb(THREE, [*[clean(50)] * 3, slip(48)]).per_minute == 50
    found = climb(THREE, [slip(50)])
    assert (found.level, THREE.length_at(found.level)) == (1, 2)
    assert climb(THREE, [slip(50, (1, 3))]).level == 0


def test_past_the_ends_it_counts_one_way() -> None:
    """Faster than the start is easier: a clean rep there says nothing, a slip does; slower than the target the
    reverse."""
    assert climb(THREE, [clean(60)]).history == ()
    assert climb(THREE, [slip(60)]).history[0].level == 2
    assert climb(THREE, [slip(30)]).history == ()
    assert climb(THREE, [clean(30)]).history[0].level == THREE.top
    assert climb(THREE, [clean(60, (1, 3))]).history == ()
    assert climb(THREE, [slip(45, (1, 3))]).history == ()
    assert climb(THREE, [Attempt(True, 50, complete=False)]).history == ()


def test_a_tempo_between_rungs_counts_on_the_nearest() -> None:
    assert climb(THREE, [clean(46.9)]).history[0].per_minute == 46
    assert climb(THREE, [clean(47.1)]).history[0].per_minute == 48


def test_it_is_read_back_from_its_entry_and_old_entries_are_read_as_before() -> None:
    entry = THREE.to_entry("e", AT, "UTC", "etude", "s")
    read = Ladder.from_entry(entry)
    assert (read.falls, read.lengths, read.rungs) == (True, 3, THREE.rungs)
    rising = Ladder(42, 72).to_entry("e", AT, "UTC", "etude", "s")
    assert "falls" not in rising.body and "lengths" not in rising.body
    assert not Ladder.from_entry(rising).falls


def test_a_rep_carries_its_length_and_old_ones_none() -> None:
    rep = Rep("u", AT, "UTC", "etude", "", "s", "", "", "1", "4", 50, "quarter", "clean", length=(2, 3))
    assert Rep.from_entry(rep.to_entry()) == rep
    assert [one.length for one in attempts(THREE, [rep])] == [(2, 3)]
    entry = Rep("u", AT, "UTC", "etude", "", "s", "", "", "1", "4", 50, "quarter", "clean").to_entry()
    assert "length" not in entry.body and Rep.from_entry(entry).length is None
    for wrong in ([3, 2], [0, 2], [1], "1/2", [True, 2], [1.0, 2]):
        with pytest.raises(ValueError, match="length is"):
            Rep.from_entry(Entry("u", AT, "UTC", "rep", "etude", {**entry.body, "length": wrong}))


@pytest.mark.parametrize("wrong", [{"start": 39, "target": 40}, {"lengths": 0}, {"lengths": MOST_LENGTHS + 1}])
def test_what_cannot_be_climbed(wrong: dict[str, int]) -> None:
    with pytest.raises(ValueError, match="a ladder"):
        Ladder(**{"start": 50, "target": 40, "falls": True, **wrong})  # type: ignore[arg-type]


@given(
    start=st.floats(20, 240),
    share=st.floats(0.5, 1),
    lengths=st.integers(1, 6),
    scale=st.sampled_from([Scale(), Scale(NOTCHES, 3), Scale(PER_CENT, 5)]),
    outcomes=st.lists(st.booleans(), max_size=60),
)
def test_it_never_rises_and_moves_as_a_rising_one_does(
    start: float, share: float, lengths: int, scale: Scale, outcomes: list[bool]
) -> None:
    """The same staircase as upwards (Levitt 1971): on its own rungs each attempt steps as `step` says."""
    ladder = Ladder(start, start * share, PRESETS[0], scale, falls=True, lengths=lengths)
    assert list(ladder.rungs) == sorted(ladder.rungs, reverse=True)
    assert (ladder.rungs[0], ladder.rungs[-1]) == pytest.approx((start, start * share))
    footing, played = Footing(0), []
    for outcome in outcomes:
        number = ladder.length_at(footing.level)
        length = (number, lengths) if number < lengths else None
        played.append(Attempt(outcome, ladder.rungs[footing.level], length=length))
        footing = step(ladder, footing, outcome)
    found = climb(ladder, played)
    assert (found.level, found.streak, found.arrived) == (footing.level, footing.streak, footing.arrived)

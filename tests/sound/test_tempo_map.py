"""Seconds from quarters. Lengths at quarter = 120 are those of the handbook's facts, section 2.2 (derived values)."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coach.errors import RequestError
from coach.music.rhythm import Value
from coach.music.tempo import Tempo, TempoMark
from coach.sound.tempo_map import from_steps, tempo_map
from tests.sound.hand import quarter

places = st.fractions(min_value=-8, max_value=400, max_denominator=96)
speeds = st.fractions(min_value=4, max_value=400, max_denominator=12)


def mark(at_q: int, tempo: Tempo | None) -> TempoMark:
    return TempoMark(Fraction(at_q), tempo)


def test_a_quarter_at_120_lasts_half_a_second_and_a_dotted_one_three_quarters() -> None:
    clock = tempo_map((), quarter(120))
    assert clock.at_s(Fraction(1)) == Fraction(1, 2)
    assert clock.at_s(Fraction(3, 2)) == Fraction(3, 4)
    # Appoggiatura before a dotted quarter: two thirds and one third of it.
    assert (clock.at_s(Fraction(1)), clock.at_s(Fraction(3, 2)) - clock.at_s(Fraction(1))) == (
        Fraction(1, 2),
        Fraction(1, 4),
    )


def test_the_beat_unit_counts() -> None:
    assert tempo_map((), Tempo(Fraction(60), Value("quarter", 1))).at_s(Fraction(3, 2)) == 1  # 6/8
    assert tempo_map((), Tempo(Fraction(60), Value("half"))).at_s(Fraction(4)) == 2  # 2/2
    assert tempo_map((), Tempo(Fraction(72), Value("eighth"))).at_s(Fraction(36)) == 60


def test_tempo_changes_follow_in_proportion() -> None:
    marks = (mark(0, quarter(72)), mark(8, quarter(60)), mark(12, Tempo(Fraction(80), Value("half"))))
    clock = tempo_map(marks, quarter(36))
    assert [clock.speed(Fraction(q)) for q in (0, 8, 12)] == [36, 30, 80]
    assert clock.at_s(Fraction(8)) == Fraction(8 * 60, 36)
    assert clock.at_s(Fraction(13)) == Fraction(8 * 60, 36) + Fraction(4 * 60, 30) + Fraction(60, 80)


def test_words_without_a_number_change_nothing() -> None:
    clock = tempo_map((mark(0, None), mark(4, quarter(90)), mark(8, None)), quarter(90))
    assert clock.speeds == (Fraction(90),)


def test_the_first_number_holds_from_the_start() -> None:
    clock = tempo_map((mark(4, quarter(100)), mark(8, quarter(50))), quarter(80))
    assert [clock.speed(Fraction(q)) for q in (0, 5, 9)] == [80, 80, 40]


@pytest.mark.parametrize("per_minute", [0, -5, 10_000])
def test_a_slip_of_the_keyboard_is_no_tempo(per_minute: int) -> None:
    with pytest.raises(RequestError, match=rf"A tempo of {per_minute} cannot be played; choose one from 1 to 1000"):
        tempo_map((), quarter(per_minute))


@given(st.dictionaries(st.integers(0, 200), speeds, min_size=1), places)
def test_the_inverse_is_exact(steps: dict[int, Fraction], at_q: Fraction) -> None:
    clock = from_steps((Fraction(at), speed) for at, speed in sorted(steps.items()))
    assert clock.at_q(clock.at_s(at_q)) == at_q


@given(st.dictionaries(st.integers(0, 200), speeds, min_size=1), places, places)
def test_time_runs_forward_and_adds_up_by_small_steps(
    steps: dict[int, Fraction], one: Fraction, other: Fraction
) -> None:
    clock = from_steps((Fraction(at), speed) for at, speed in sorted(steps.items()))
    low, high = sorted((one, other))
    # Brute force: the sum over the stretches between whole quarters, each at the speed in force at its start.
    cuts = sorted({low, high, *(Fraction(k) for k in range(-8, 401) if low < k < high)})
    summed = sum(((b - a) * 60 / clock.speed(a) for a, b in zip(cuts, cuts[1:], strict=False)), Fraction(0))
    assert clock.at_s(high) - clock.at_s(low) == summed

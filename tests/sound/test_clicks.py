"""Clicks: trade practice throughout (the first beat accented, compound metres in threes, a pickup counted into), and
the end of the metronome's scale at 40 from the handbook's facts, section 6."""

from dataclasses import replace
from fractions import Fraction

import pytest

from coach.config import ClickSettings
from coach.music.metre import Metre
from coach.music.piece import Piece
from coach.music.rhythm import Value
from coach.music.tempo import Tempo
from coach.sound.compile import perform, timeline
from coach.sound.performance import Performance
from coach.sound.timeline import Event
from tests.sound.hand import QUIET, bars, measure, n, piece, played, quarter

PLAIN = ClickSettings(count_in=0)


def heard(performance: Performance, rate: float = 1.0) -> list[tuple[float, str]]:
    """(seconds, click) of what sounds at a rate."""
    return [(round(click.at_s, 9), click.click) for click in audible(performance, rate)]


def audible(performance: Performance, rate: float = 1.0) -> list[Event]:
    return [click for click in performance.clicks if click.below_rate is None or rate < click.below_rate]


def full(metre: Metre, count: int = 1) -> Piece:
    return piece(bars(*([n("C5", metre.length_q)] for _ in range(count)), metre=metre))


@pytest.mark.parametrize(
    ("metre", "tempo", "beats"),
    [
        (Metre(4, 4), quarter(60), [0, 1, 2, 3]),
        (Metre(3, 8), Tempo(Fraction(60), Value("eighth")), [0, 1, 2]),
        (Metre(2, 2), Tempo(Fraction(60), Value("half")), [0, 1]),
        (Metre(6, 8), Tempo(Fraction(60), Value("quarter", 1)), [0, 1]),
        (Metre(9, 8), Tempo(Fraction(60), Value("quarter", 1)), [0, 1, 2]),
        (Metre(12, 8), Tempo(Fraction(60), Value("quarter", 1)), [0, 1, 2, 3]),
        (Metre(6, 4), Tempo(Fraction(60), Value("half", 1)), [0, 1]),
        (Metre(4, 8, (2, 2)), Tempo(Fraction(120), Value("eighth")), [0, 1]),
    ],
)
def test_each_beat_clicks_and_the_first_is_accented(metre: Metre, tempo: Tempo, beats: list[int]) -> None:
    found = heard(played(full(metre, 2), tempo, PLAIN))
    length = float(metre.length_q * 60 / tempo.quarters_per_minute)
    expected = [(bar * length + beat, "beat" if beat else "accent") for bar in range(2) for beat in beats]
    assert found == expected


@pytest.mark.parametrize(
    ("metre", "subdivision", "places"),
    [
        (Metre(2, 4), 2, [0, "1/2", 1, "3/2"]),
        (Metre(2, 4), 3, [0, "1/3", "2/3", 1, "4/3", "5/3"]),
        (Metre(2, 4), 4, [0, "1/4", "1/2", "3/4", 1, "5/4", "3/2", "7/4"]),
        (Metre(6, 8), 2, [0, "1/2", 1, "3/2", 2, "5/2"]),
        (Metre(6, 8), 3, [0, "1/2", 1, "3/2", 2, "5/2"]),
        (Metre(5, 8, (3, 2)), 2, [0, "1/2", 1, "3/2", 2]),
    ],
)
def test_beats_are_divided(metre: Metre, subdivision: int, places: list[int | str]) -> None:
    found = heard(played(full(metre), quarter(60), replace(PLAIN, subdivision=subdivision)))
    assert [at_s for at_s, _ in found] == pytest.approx([float(Fraction(place)) for place in places])
    beats = set(metre.beat_onsets_q())
    assert [at_s for at_s, click in found if click != "part"] == [float(beat) for beat in sorted(beats)]


def test_only_chosen_beats_click() -> None:
    found = heard(played(full(Metre(4, 4), 2), quarter(60), replace(PLAIN, beats=(2, 4))))
    assert found == [(1, "beat"), (3, "beat"), (5, "beat"), (7, "beat")]


def test_chosen_beats_of_a_pickup_are_those_of_the_full_measure() -> None:
    of = piece(bars([n("C5", 1)], [n("C5", 3)], metre=Metre(3, 4), pickup=True))
    assert heard(played(of, quarter(60), replace(PLAIN, beats=(3,)))) == [(0, "beat"), (3, "beat")]


def test_a_pickup_clicks_on_the_beats_it_covers() -> None:
    of = piece(bars([n("C5", "3/2")], [n("C5", 4)], pickup=True))
    assert heard(played(of, quarter(60), PLAIN)) == [
        (0.5, "beat"),
        (1.5, "accent"),
        (2.5, "beat"),
        (3.5, "beat"),
        (4.5, "beat"),
    ]


def test_a_short_last_measure_counts_from_its_start_and_a_long_one_goes_on() -> None:
    of = piece(bars([n("C5", 3)], [n("C5", 5)], [n("C5", 2)], metre=Metre(3, 4)))
    assert [at_s for at_s, click in heard(played(of, quarter(60), PLAIN)) if click == "accent"] == [0, 3, 8]
    assert len(heard(played(of, quarter(60), PLAIN))) == 10


def test_the_second_half_of_a_measure_split_by_a_repeat_has_no_accent() -> None:
    metre = Metre(3, 4)
    first = measure("1", [n("C5", 2)], metre)
    halves = (bars([n("C5", 3)], metre=metre)[0], replace(first, onset_q=Fraction(3), id="2", number="2"))
    rest = measure("X1", [n("C5", 1)], metre, onset_q=5, implicit=True)
    found = heard(played(piece((*halves, rest)), quarter(60), PLAIN))
    assert [click for _, click in found] == ["accent", "beat", "beat", "accent", "beat", "beat"]


def test_without_a_metre_the_click_goes_in_quarters() -> None:
    of = piece(bars([n("C5", 5)], metre=None))
    assert [click for _, click in heard(played(of, quarter(60), PLAIN))] == ["accent", "beat", "beat", "beat", "beat"]


def test_below_forty_the_half_beat_clicks_too() -> None:
    perf = played(full(Metre(2, 4)), quarter(60), PLAIN)
    assert [at_s for at_s, _ in heard(perf, 40 / 60)] == [0, 1]  # exactly 40: the last mark of the scale
    assert heard(perf, 39 / 60) == [(0, "accent"), (0.5, "part"), (1, "beat"), (1.5, "part")]


def test_below_forty_a_compound_beat_divides_in_three() -> None:
    perf = played(full(Metre(6, 8)), Tempo(Fraction(60), Value("quarter", 1)), PLAIN)
    assert [at_s for at_s, _ in heard(perf, 0.5)] == pytest.approx([0, 1 / 3, 2 / 3, 1, 4 / 3, 5 / 3])
    assert len(heard(perf, 40 / 60)) == 2


def test_unequal_beats_divide_together_once_the_longest_is_below_forty() -> None:
    perf = played(full(Metre(5, 8, (3, 2))), Tempo(Fraction(120), Value("eighth")), PLAIN)
    assert [at_s for at_s, _ in heard(perf)] == [0, 1.5]  # the beat of three eighths is at 40
    assert [at_s for at_s, _ in heard(perf, 0.99)] == [0, 0.5, 1, 1.5, 2]


def test_below_forty_counts_where_the_tempo_changes() -> None:
    of = piece(bars([n("C5", 4)], [n("C5", 4)]), tempos=[(0, quarter(80)), (4, quarter(50))])
    found = [click.where for click in audible(played(of, quarter(80), PLAIN), 0.7) if click.click == "part"]
    assert found == ["2"] * 4  # 56 in the first measure, 35 in the second


@pytest.mark.parametrize("measures", [1, 2])
def test_a_count_in_is_full_measures(measures: int) -> None:
    perf = played(full(Metre(3, 4)), quarter(60), replace(PLAIN, count_in=measures))
    before = [click for click in audible(perf) if click.at_s < 0]
    assert [click.at_s for click in before] == list(range(-3 * measures, 0))
    assert [click.click for click in before] == ["accent", "beat", "beat"] * measures
    assert perf.count_in_s == 3 * measures
    assert sorted({click.bar for click in before}) == list(range(-measures, 0))


def test_a_count_in_before_a_pickup_leads_into_it() -> None:
    of = piece(bars([n("C5", 1)], [n("C5", 3)], metre=Metre(3, 4), pickup=True))
    perf = played(of, quarter(60), replace(PLAIN, count_in=1))
    assert heard(perf)[:6] == [(-5, "accent"), (-4, "beat"), (-3, "beat"), (-2, "accent"), (-1, "beat"), (0, "beat")]
    assert [click.bar for click in audible(perf)][:6] == [-2, -2, -2, -1, -1, 0]


def test_an_offbeat_pickup_is_counted_into_to_its_own_beat() -> None:
    of = piece(bars([n("C5", "1/2")], [n("C5", 3)], metre=Metre(3, 4), pickup=True))
    found = heard(played(of, quarter(60), replace(PLAIN, count_in=1)))
    assert found[:7] == [
        (-5.5, "accent"),
        (-4.5, "beat"),
        (-3.5, "beat"),
        (-2.5, "accent"),
        (-1.5, "beat"),
        (-0.5, "beat"),
        (0.5, "accent"),
    ]


def test_a_count_in_sounds_with_the_click_off_and_on_all_its_beats() -> None:
    found = heard(played(full(Metre(3, 4)), quarter(60), replace(QUIET, count_in=1, beats=(2,))))
    assert found == [(-3, "accent"), (-2, "beat"), (-1, "beat")]


def test_a_count_in_goes_at_the_tempo_of_the_measure_it_leads_to() -> None:
    of = piece(bars([n("C5", 4)], [n("C5", 4)]), tempos=[(0, quarter(60)), (4, quarter(120))])
    perf = perform(of, of.span("2", "2"), tempo=quarter(60), click=replace(PLAIN, count_in=1))
    assert perf.count_in_s == 2.0 and perf.length_s == 2.0


def test_the_beat_goes_on_between_laps() -> None:
    perf = played(full(Metre(3, 4), 2), quarter(60), PLAIN, rest_measures=1)
    rest = [(click.at_s, click.click, click.bar) for click in audible(perf) if click.at_s >= perf.length_s]
    assert rest == [(6, "accent", 2), (7, "beat", 2), (8, "beat", 2)]
    assert (perf.rest_s, perf.bars) == (3.0, 3)


def test_a_rest_before_a_pickup_leads_into_it() -> None:
    of = piece(bars([n("C5", 1)], [n("C5", 3)], [n("C5", 2)], metre=Metre(3, 4), pickup=True))
    perf = played(of, quarter(60), PLAIN, rest_measures=1)
    rest = [(click.at_s, click.click) for click in audible(perf) if click.at_s >= perf.length_s]
    # The last measure lacks the beat that the pickup has: it is completed, a measure is counted, the pickup is beat 3.
    assert rest == [(6, "beat"), (7, "accent"), (8, "beat")]
    assert perf.rest_s == 3.0


def test_a_rest_with_the_click_off_is_silent_but_for_the_count_in() -> None:
    perf = played(full(Metre(3, 4)), quarter(60), replace(QUIET, count_in=1), rest_measures=2)
    assert [click.at_s for click in audible(perf) if click.at_s >= 0] == [6, 7, 8]
    assert played(full(Metre(3, 4)), quarter(60), QUIET, rest_measures=2).clicks == ()


def test_clicks_follow_tempo_changes_inside_a_measure() -> None:
    of = piece(bars([n("C5", 4)]), tempos=[(0, quarter(60)), (2, quarter(120))])
    assert [at_s for at_s, _ in heard(played(of, quarter(60), PLAIN))] == [0, 1, 2, 2.5]


def test_the_timeline_is_in_order_and_numbers_its_measures() -> None:
    made = timeline(played(full(Metre(4, 4), 3), quarter(60), replace(PLAIN, count_in=2), rest_measures=1))
    assert [event.at_s for event in made.events] == sorted(event.at_s for event in made.events)
    assert {event.bar for event in made.events} == {-2, -1, 0, 1, 2, 3}
    assert (made.length_s, made.count_in_s, made.rest_s, made.bars) == (12.0, 8.0, 4.0, 4)
    assert {event.where for event in made.events if event.bar == 1} == {"2", "2.1"}


def test_the_level_of_the_click_is_left_to_the_output() -> None:
    assert {click.level_db for click in played(full(Metre(4, 4)), click=replace(PLAIN, level_db=-6.0)).clicks} == {0.0}

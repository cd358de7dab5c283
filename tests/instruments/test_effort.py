"""The cost of one change, against published numbers: a flute cost of the same form, measured trill speeds."""

from dataclasses import replace
from itertools import pairwise

import pytest

from coach.instruments.costs import DEFAULT
from coach.instruments.effort import Room, weight
from coach.instruments.hands import Asked
from coach.music.pitch import parse_pitch
from tests.instruments.passages import clarinet

# Median trills a second by the number of keys that move, 1 to 11: facts of Libricky and Hajic 2025 (arXiv:2507.04963),
# aggregated in the handbook (facts.md, section 2.1). Five tenor-saxophone players.
TRILLS = (4.78, 3.56, 2.72, 2.04, 2.03, 1.89, 1.74, 1.71, 1.50, 1.57, 1.53)


def test_the_flute_example_has_the_same_form() -> None:
    """0.15 pressed + 0.10 released + 0.75 sliding; their example, 2 pressed, 4 released, gives 0.70 (facts.md, 10)."""
    flute = replace(DEFAULT, press=0.15, lift=0.10, slide=0.75, flatten=1.0, contrary=0.0)
    assert Asked(pressed=2, lifted=4).effort(flute, 0.0) == pytest.approx(0.70)
    assert Asked(pressed=1, slid=1, slide_ease=1).sliding(flute) == pytest.approx(0.75)


def test_predicted_time_follows_measured_trills() -> None:
    """The time for n keys together, relative to one, within a quarter of what was measured for each n."""
    predicted = [Asked(pressed=n).effort(DEFAULT, 0.0) for n in range(1, 12)]
    for n, (speed, cost) in enumerate(zip(TRILLS, predicted, strict=True), 1):
        assert cost / predicted[0] == pytest.approx(TRILLS[0] / speed, rel=0.25), n
    assert all(a < b for a, b in pairwise(predicted))


def change(old: str, new: str, time_s: float = 0.25, gap_s: float = 0.0, joined: bool = True) -> float:
    """The weight of a change between two fingerings such as "C5/R"."""
    planner = clarinet()
    pair = []
    for text in (old, new):
        name, choice = text.split("/")
        one = planner.chart.fingering(parse_pitch(name).midi, choice)
        assert one
        pair.append(one)
    return weight(planner.efforts.of(pair[0], pair[1]), Room(time_s, gap_s, joined), planner.costs)


def test_more_fingers_against_each_other_cost_more() -> None:
    """Examples of the handbook (section G): where nothing foreign can sound a change is cheap."""
    assert change("F5/std", "F#5/fork") < change("F5/std", "F#5/std")
    assert change("B4/L+rc", "C5/R") < change("B4/L", "C5/L")
    assert change("F4/std", "F#4/side") < change("F4/std", "F#4/L1")
    assert change("A4/rhdown", "B4/L") < change("A4/std", "B4/L")
    assert change("C5/L", "D#5/R") < change("C5/R", "D#5/R")


def test_time_silence_and_the_tongue_make_a_change_lighter() -> None:
    pair = ("A4/std", "B4/L")
    assert change(*pair, time_s=0.5) == pytest.approx(change(*pair, time_s=0.25) / 2)
    assert change(*pair, joined=False) < change(*pair)
    assert change(*pair, gap_s=0.2, joined=False) < change(*pair, joined=False)
    assert change(*pair, gap_s=1.0, joined=False) == 0


def test_no_change_costs_nothing() -> None:
    assert change("C5/R", "C5/R") == 0


def test_a_slide_is_counted_by_its_ease() -> None:
    """Straight down is the easiest way, aslant the hardest (handbook, slide table)."""
    assert change("D#5/R", "C5/R") < change("C5/R", "D#5/R") < change("C5/R", "C#5/R")
    efforts = clarinet().efforts
    chart = clarinet().chart
    old, new = chart.fingering(75, "R"), chart.fingering(72, "R")
    assert old and new and efforts.of(old, new).asked.slid == 1

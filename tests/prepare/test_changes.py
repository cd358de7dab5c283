"""The hardest changes of a part against a count by brute force, and the fingers named against the handbook.

What is awkward is common practice of the trade: the way over the break with many fingers, contrary motion, slides of a
little finger; never one finger alone. The fingerings named are those of the handbook's tables.
"""

from collections import Counter
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from coach.files.charts import chart_for
from coach.files.score import read_score
from coach.instruments.chart import Player
from coach.instruments.effort import weight
from coach.instruments.planning import Planner
from coach.paths import content
from coach.prepare.changes import EASY, HardChange, charged, hard_changes
from coach.prepare.fingering import Hands, fingered, hands_of
from coach.prepare.prep import Prep
from tests.instruments.passages import clarinet, steps

TWELFTH_LOWER = "G#3 F#3:2 E#3 G#3 F#3 E#3"  # the passage of the issue: a swap on the held F sharp


def hands(text: str, tempo: float = 60, joined: bool = True) -> Hands:
    return fingered(clarinet(), steps(text, tempo, joined))


def hardest(text: str, tempo: float = 60, joined: bool = True) -> tuple[HardChange, ...]:
    return hard_changes(hands(text, tempo, joined))


def brute(planned: Hands) -> dict[object, tuple[int, float, int]]:
    """By the two fingerings of a change: slides and weight at its hardest place, and how often it comes; reckoned from
    the weights of the changes, without the tables of the search."""
    search, times = planned.search, Counter[object]()
    found: dict[object, tuple[int, float]] = {}
    costs = search.planner.costs
    for n, (one, other) in enumerate(pairwise(planned.plan.chosen)):
        a, b = one.way, other.way
        if a is None or b is None or one.step.gap_s >= costs.silence_s:
            continue
        moving = {search.planner.chart.finger_of(key) for key in a.end.controls ^ b.start.controls}
        room, effort = search.room(n), search.planner.efforts.of(a.end, b.start)
        if len(moving) < 2 and n not in planned.plan.slides:
            continue
        key = frozenset((each.midi, form(each.choice)) for each in (a.end, b.start))
        worth = (effort.asked.slid if one.step.joined else 0, round(weight(effort, room, costs), 3))
        found[key] = max(worth, found.get(key, (0, 0.0)))
        times[key] += 1
    return {key: (*worth, times[key]) for key, worth in found.items() if worth[0] or worth[1] >= EASY}


def form(choice: str) -> str:
    """The choice without what makes no other form of it: the hand, a companion key ("+rc"), the right hand at rest."""
    form = choice.split("+")[0]
    return "" if form in ("L", "R", "std", "rhdown") else form


NAMES = [f"{step}{octave}" for octave in (3, 4, 5, 6) for step in ("C", "C#", "D", "E", "F", "F#", "G", "G#", "A", "B")]
NOTE = st.tuples(st.sampled_from(NAMES[3:]), st.sampled_from(["", "'", ","]), st.sampled_from(["", ":2", ":1/4"]))


@settings(max_examples=60, deadline=None)
@given(st.lists(NOTE, min_size=2, max_size=14), st.sampled_from([50, 120, 240]))
def test_the_list_is_that_of_a_recount(notes: list[tuple[str, str, str]], tempo: float) -> None:
    planned = hands(" ".join("".join(note) for note in notes), tempo)
    found = [one for one in hard_changes(planned, 1000) if not one.swap]
    expected = sorted(brute(planned).values(), key=lambda row: (-row[0], -row[1]))
    assert len(found) == len(expected)
    for one, (slides, charge, _) in zip(found, expected, strict=True):
        assert one.slides == slides and one.charge == pytest.approx(charge, abs=0.0015)
    assert sorted(one.times for one in found) == sorted(times for _, _, times in expected)


def test_what_is_charged_adds_up_to_what_the_plan_costs() -> None:
    """Every change here is made by two fingers or more, so nothing is left out but what the notes themselves cost."""
    planned = hands("A4 B4 F5 A4 D6 C6 A4 C5", 120)
    costs = planned.search.planner.costs
    notes = sum(one.way.cost(one.step.length_s, costs) for one in planned.plan.chosen if one.way)
    rows = list(charged(planned))
    assert len(rows) == 7
    assert sum(row.charge for row in rows) + notes == pytest.approx(planned.plan.cost, abs=0.01)


def test_half_the_time_is_charged_twice() -> None:
    """Costs are divided by time (design 4.1)."""
    (slow,), (fast,) = hardest("A4 B4", 120), hardest("A4 B4", 240)
    assert fast.charge == pytest.approx(2 * slow.charge, abs=0.002)
    assert slow.names == ("A4", "B4")


def test_like_changes_count_once_there_and_back_at_the_fastest_place() -> None:
    (one,) = hardest("A4:1/2 B4:1/2 A4:1/4 B4:1/4 A4:1/2", 60)
    assert one.times == 4 and (one.at, one.to) in {("1", "2"), ("2", "3"), ("3", "4")}
    assert one.charge == max(row.charge for row in charged(hands("A4:1/2 B4:1/2 A4:1/4 B4:1/4 A4:1/2", 60)))


def test_the_hand_that_takes_the_little_finger_key_makes_no_other_change() -> None:
    """B4 by the left and by the right, as the player marked it: one change at two places. B flat 5 by the side key and
    with both index fingers (the handbook's "side" and "1-1") are two."""
    (one,) = hardest("A4:1/4 B4,=L:1/4 A4:1/4 B4=R:1/4")
    assert one.times == 2
    assert len(hardest("D6:1/8 Bb5,=side:1/8 D6:1/8 Bb5=1-1:1/8")) == 2


def test_a_slide_comes_before_all_else() -> None:
    """C sharp and D sharp at the bottom, all by the right hand as the player marked it: a slide, though the break that
    comes first is charged more."""
    found = hardest("A4:1/8 B4:1/8 A4:1/8 B4:1/8 C5=R D#5=R", 60)
    assert found[0].slides == 1 and found[0].names == ("C5", "D#5")
    assert found[1].names == ("A4", "B4") and "from key to key" in found[0].because


def test_the_swap_is_among_them_with_its_two_fingerings() -> None:
    (swap,) = (one for one in hardest(TWELFTH_LOWER) if one.swap)
    assert (swap.at, swap.to, swap.keys) == ("1", "1", ("L", "R"))  # F sharp: left, then right while it is held
    assert "add the right" in swap.because and "let the left" in swap.because


def test_swaps_are_not_crowded_out() -> None:
    text = f"{TWELFTH_LOWER}, A4:1/8 B4:1/8 F5:1/8 A4:1/8 D6:1/8 C6:1/8 A4:1/8 C5:1/8"
    found = hard_changes(hands(text), 2)
    assert len(found) == 2 and [one.swap for one in found].count(True) == 1
    assert not hard_changes(hands(text), 10)[0].swap


def test_one_finger_alone_and_what_silence_hides_are_no_hard_changes() -> None:
    """C4 D4 E4 F4 lift one finger each; before B4 is half a second of rest."""
    assert hardest("C4:1/8 D4:1/8 E4:1/8 F4:1/8") == ()
    assert hardest("A4,:1/8 B4:1/8") == ()


def test_slow_changes_are_none() -> None:
    assert hardest("A4:4 B4:4 A4:4") == ()


def test_the_fingers_named_are_those_of_the_handbook() -> None:
    """C6 is the thumb with the register key; D6 leaves the left index open and puts down the left middle and ring, the
    right index and the E flat key (handbook, the tables of the clarion and the altissimo)."""
    (one,) = hardest("C6:1/8 D6:1/8")
    assert one.because.startswith("Left ring, right index, left middle and right little down, into another register")


def test_only_what_is_allowed_stands_for_a_change() -> None:
    """The hardest place is passed over, but counted."""
    planned = hands("A4:1/4 B4:1/4 A4:1/8 B4:1/8", 60)
    (one,) = hard_changes(planned, 10, lambda at, to: at == "0")
    assert (one.at, one.to, one.times) == ("0", "1", 3)
    assert hard_changes(planned, 10, lambda at, to: False) == ()


def test_notes_that_the_chart_lacks_are_passed_over() -> None:
    (one,) = hardest("C3 A4:1/4 B4:1/4 C3")
    assert one.names == ("A4", "B4")


def test_the_demo_lists_what_is_awkward(tmp_path_factory: pytest.TempPathFactory) -> None:
    """At a dotted quarter = 50: the swap on the held low F; C to D flat over the altissimo break; the little fingers
    against the forked G flat and A flat; the throat notes up to the clarion. Nothing that one finger does."""
    part = read_score(str(content("pieces") / "demo.musicxml"), part=None, cache=tmp_path_factory.mktemp("cache")).part
    planner = Planner(chart_for("clarinet in B-flat").for_player(Player()))
    planned = hands_of(planner, part, 0.8, Prep())
    found = hard_changes(planned, 40)
    pairs = {frozenset(one.names) for one in found}
    assert {"F3"} in pairs
    for awkward in ("C6 Db6", "Gb5 Ab5", "Bb4 F5", "A4 Eb5"):
        assert frozenset(awkward.split()) in pairs
    assert hard_changes(planned, 40) == found  # the same again
    assert [one.charge for one in found] == sorted((one.charge for one in found), reverse=True)


def test_another_instrument_has_its_own() -> None:
    """On the alto saxophone low B to low C sharp is a slide or a roll of the left little finger; no clarinet is wired
    in."""
    saxophone = Planner(chart_for("alto saxophone").for_player(Player()))
    planned = fingered(saxophone, steps("D5:1/8 C5:1/8 D5:1/8 B3:1/8 C#4:1/8", 120))
    found = hard_changes(planned)
    assert frozenset({"D5", "C5"}) in {frozenset(one.names) for one in found}
    assert any("left little" in one.because for one in found if set(one.names) == {"B3", "C#4"})

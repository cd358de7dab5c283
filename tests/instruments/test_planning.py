"""The planner: exact against all plans tried one by one, slides at their least against a search of the test's own."""

from dataclasses import fields, replace
from itertools import pairwise, product
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from coach.files.charts import chart_for
from coach.instruments.chart import Chart, Player
from coach.instruments.costs import Costs
from coach.instruments.effort import Room, weight
from coach.instruments.passage import Step
from coach.instruments.planning import Planner
from coach.instruments.ways import nearby
from tests.instruments.passages import choices, clarinet, plan, steps

NUMBERS = [one.name for one in fields(Costs) if one.type is float and not one.name.endswith("_s")]


def cheapest(planner: Planner, passage: list[Step]) -> tuple[int, int]:
    """(slides, thousandths of cost) of the best of all plans, each tried, with sums of the test's own."""
    costs = planner.costs
    near = nearby(planner.hands.model, passage, costs)
    ways = [planner.ways.of(step, one) for step, one in zip(passage, near, strict=True)]
    best = (99, 0)
    for row in product(*ways):
        slides, cost = (
            0,
            sum(round(way.cost(step.length_s, costs) * 1000) for way, step in zip(row, passage, strict=True)),
        )
        for (a, b), (x, y) in zip(pairwise(passage), pairwise(row), strict=True):
            effort = planner.efforts.of(x.end, y.start)
            room = Room(min(a.length_s, b.length_s), a.gap_s, a.joined)
            slides += effort.asked.slid if a.joined and a.gap_s < costs.silence_s else 0
            cost += round(weight(effort, room, costs) * 1000)
        best = min(best, (slides, cost))
    return best


tables = st.fixed_dictionaries({name: st.floats(0, 2 if name == "flatten" else 10) for name in NUMBERS}).map(
    lambda table: Costs(**table)  # type: ignore[arg-type]
)
notes = st.builds(
    Step,
    st.just("n"),
    st.sampled_from([52, 53, 54, 55, 56, 61, 63, 69, 70, 71, 72, 73, 74, 75, 80, 82, 85, 87]),
    st.sampled_from([0.1, 0.2, 0.5, 1.5]),
    st.booleans(),
    st.sampled_from([0.0, 0.0, 0.0, 0.2, 0.8]),
)


@pytest.mark.timeout(280)
@settings(max_examples=500, deadline=None)
@given(tables, st.lists(notes, min_size=1, max_size=8), st.booleans(), st.integers(0, 10_000))
def test_the_plan_is_the_best_of_all_plans_for_any_table(
    table: Costs, passage: list[Step], lever: bool, seed: int
) -> None:
    planner = Planner(clarinet(lever).chart, table, clarinet(lever).hands)
    shortened = list(passage)
    while _many(planner, shortened) > 2_000:
        shortened.pop(Random(seed).randrange(len(shortened)))
    found = planner.plan(shortened)
    slides, cost = cheapest(planner, shortened)
    assert (len(found.slides), round(found.cost * 1000)) == (slides, cost)


def _many(planner: Planner, passage: list[Step]) -> int:
    count = 1
    for step in passage:
        count *= len(planner.ways.of(step))
    return count


def test_ordinary_hands_break_true_ties() -> None:
    """The sum of ranks is the least among plans equal in slides and cost."""
    planner = clarinet()
    passage = steps("B4 C#5 B4 C5 B4")
    search = planner.search(passage)
    assert [one.choice for one in search.best().chosen][:2] == ["L", "R"]
    totals = [search.total(2, n) for n in range(len(search.ways[2]))]
    assert min(totals) == min(search.after[0]) == min(search.before[-1])


def fewest_slides(chart: Chart, line: list[int]) -> int:
    """The fewest slurred moves of a little finger from key to key, by a search that knows nothing of ours but the
    chart: it looks at what each finger presses in each fingering."""
    little = {one.id for one in chart.fingers if one.name == "little"}

    def held(controls: frozenset[str], finger: str) -> frozenset[str]:
        return frozenset(one for one in controls if chart.finger_of(one) == finger)

    def slid(a: frozenset[str], b: frozenset[str]) -> int:
        pairs = [(held(a, finger), held(b, finger)) for finger in little]
        return sum(1 for x, y in pairs if x and y and not x & y)

    trills = {"trill", "throat-extension"}
    reached: dict[frozenset[str], int] = {}
    for midi in line:
        forms = [one.controls for one in chart.fingerings(midi) if one.rank < 9 and not set(one.uses) <= trills]
        reached = {form: min((n + slid(old, form) for old, n in reached.items()), default=0) for form in forms}
    return min(reached.values())


def scales() -> dict[str, list[int]]:
    """All major, minor, chromatic and whole-tone scales E3 to C7 and their thirds, up and down."""
    patterns = {
        "major": (0, 2, 4, 5, 7, 9, 11),
        "natural minor": (0, 2, 3, 5, 7, 8, 10),
        "harmonic minor": (0, 2, 3, 5, 7, 8, 11),
        "melodic minor": (0, 2, 3, 5, 7, 9, 11),
        "chromatic": tuple(range(12)),
        "whole-tone": (0, 2, 4, 6, 8, 10),
    }
    found = {}
    for (name, degrees), tonic in product(patterns.items(), range(12)):
        line = [midi for midi in range(52, 97) if (midi - tonic) % 12 in degrees]
        thirds = [midi for a, b in zip(line, line[2:], strict=False) for midi in (a, b)]
        found[f"{name} {tonic}"] = line + line[-2::-1]
        found[f"{name} {tonic} in thirds"] = thirds + thirds[::-1]
    return found


@pytest.mark.parametrize("lever", [False, True])
@pytest.mark.parametrize("length_s", [0.08, 0.2, 0.5])
def test_no_avoidable_slide_in_any_scale(lever: bool, length_s: float) -> None:
    planner = clarinet(lever)
    for name, line in scales().items():
        found = planner.plan([Step(str(n), midi, length_s) for n, midi in enumerate(line)])
        swaps = sum(one.way.swaps for one in found.chosen if one.way)
        assert len(found.slides) + swaps <= fewest_slides(planner.chart, line), name


def test_the_saxophone_slides_no_more_than_it_must() -> None:
    """Another instrument by its data alone: its little fingers have rollers, and slides that nothing avoids."""
    planner = Planner(chart_for("alto saxophone").for_player(Player()))
    passage = [Step(str(n), midi, 0.2) for n, midi in enumerate((61, 68, 61, 59, 68))]
    assert [one.choice for one in planner.plan(passage).chosen] == ["std", "cs", "std", "std", "b"]
    for name, line in scales().items():
        inside = [midi for midi in line if planner.chart.lowest <= midi <= planner.chart.highest]
        found = planner.plan([Step(str(n), midi, 0.2) for n, midi in enumerate(inside)])
        assert len(found.slides) == fewest_slides(planner.chart, inside), name


def test_the_passage_of_the_seed_document() -> None:
    """Between D sharp and C sharp, D sharp is right and C sharp left; the held C sharp is swapped; B sharp alternates
    (common practice of the trade, as stated in the seed document)."""
    assert choices("D#5 C#5") == ["R", "L"]
    assert choices("D#5 C#5:2 B#4 D#5 C#5 B#4") == ["R", "L>R", "L", "R", "L", "R"]
    assert choices("G#3 F#3:2 E#3 G#3 F#3 E#3") == ["R", "L>R", "L", "R", "L", "R"]
    assert plan("G#3 F#3:2 E#3 G#3 F#3 E#3").chosen[1].when_q == 1


def test_the_swap_stands_on_the_longest_note() -> None:
    assert choices("G#3 F#3 E#3:3 G#3") == ["R", "L", "R>L", "R"]
    assert choices("G#3 F#3:3 E#3 G#3") == ["R", "L>R", "L", "R"]


def test_the_hand_is_decided_many_notes_ahead() -> None:
    """Eleven alternating notes before a D sharp: the last is left, so the first is left too."""
    line = " ".join(["C5 C#5"] * 5)
    assert choices(f"{line} C5 D#5", 200)[::2] == ["L"] * 5 + ["L"]
    assert choices(f"{line} C5 D5 E5", 200)[0] == "R"


def test_too_fast_for_a_swap_the_least_bad_slide_is_named() -> None:
    """From A flat straight down to F is the easiest of slides (handbook, slide table)."""
    found = plan("C#4 F3 G#3", 300)
    assert found.slides and not any(one.way and one.way.swaps for one in found.chosen)
    assert plan("C#4 F3 G#3", 120).slides == ()
    assert plan("C#4 F3 G#3", 300, joined=False).slides == ()


def test_the_lever_frees_the_hands() -> None:
    assert plan("C#4 F3 G#3", 300, lever=True).slides == ()
    assert choices("G#3 F#3:2 E#3 G#3 F#3 E#3", lever=True).count("L>R") == 0


def test_a_rest_frees_the_hands() -> None:
    assert choices("C#4 F3, G#3", 300) == ["std", "R", "R"]


def test_marks_of_the_player_are_kept_and_the_rest_fits_them() -> None:
    assert choices("B4 C#5=L D5") == ["R", "L", "std"]
    assert choices("C5 B4=R C5") == ["L", "R+lc", "L"]
    found = plan("C5=sideways D5")
    assert [one.says for one in found.problems] == [
        "C5 has no fingering 'sideways'; choose one of R, L, throat34, both"
    ]
    assert [one.choice for one in found.chosen] == ["R", "std"]


def test_a_swap_that_the_player_marked_is_kept() -> None:
    assert choices("C5=R>L:2 D5") == ["R>L", "std"]


def test_what_lies_outside_is_named_and_the_rest_is_planned() -> None:
    found = plan("C#5 D#5 C3 C#5 D#5 E7")
    assert [one.choice for one in found.chosen] == ["L", "R", "", "L", "R", ""]
    assert [(one.at, one.says.split(";")[0]) for one in found.problems] == [
        (2, "C3 lies below the range of the Boehm clarinet"),
        (5, "E7 lies above the range of the Boehm clarinet"),
    ]
    search = clarinet().search(steps("C#5 D#5 C3 C3 C#5 D#5 E7"))
    for n in (0, 1, 4, 5):
        assert min(search.total(n, k) for k in range(len(search.ways[n]))) == min(search.after[0])
    quarter = replace(steps("C5")[0], midi=72.5, name="C5 a quarter-tone up")
    found = clarinet().plan([quarter, *steps("C5")])
    assert "quarter-tone" in found.problems[0].says and found.chosen[1].choice == "R"


def test_nothing_and_one_note_can_be_planned() -> None:
    assert clarinet().plan([]).chosen == ()
    assert choices("C3") == [""]
    assert choices("Bb4:8") == ["std"]


def test_what_a_player_forbids_and_prefers_counts() -> None:
    chart = chart_for("clarinet in B-flat")
    forbidding = Planner(chart.for_player(Player(forbidden=frozenset({(78, "fork")}))))
    preferring = Planner(chart.for_player(Player(preferred=frozenset({(82, "sliver")}))))
    assert [one.choice for one in forbidding.plan(steps("F5 F#5 F5")).chosen] == ["std"] * 3
    assert [one.choice for one in preferring.plan(steps("A5 A#5 B5")).chosen] == ["std", "sliver", "std"]


def test_time_grows_with_the_notes() -> None:
    """Twice the notes are twice the cells: what is kept grows linearly (the bench measures the seconds)."""
    planner = clarinet()
    figure = steps("C5 B4 C#5 D#5 E5 A4", 240)
    small, large = planner.search(figure * 50), planner.search(figure * 100)
    assert sum(map(len, large.after)) == 2 * sum(map(len, small.after))


def test_the_same_figure_is_fingered_the_same() -> None:
    figure = "D5 C#5 B4 C#5 D5 E5 "
    rows = choices(figure * 6, 240)
    assert rows[6:12] == rows[12:18] == rows[18:24] == rows[24:30]

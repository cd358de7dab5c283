"""The fingerings of a part: what the player decided stands, and what is worth a mark is what a teacher would write.

What a teacher would write is common practice of the trade: take neighbouring little-finger notes with opposite hands,
beginning from those that have one hand only (D sharp and low G sharp right, G sharp and low C sharp left; B. Pimentel
on the use of both little fingers, and the handbook's rules alternate, forced-first and swap).
"""

from fractions import Fraction
from itertools import count
from pathlib import Path

import pytest

from coach.files.charts import chart_for
from coach.files.score import read_score
from coach.instruments.chart import Player
from coach.instruments.planning import Planner
from coach.music.part import Part
from coach.paths import content
from coach.prepare.fingering import Hands, content_of, decided, hands_of, marks_from
from coach.prepare.mark import Breath, Fingering, Mark, Swap
from coach.prepare.over import written_over
from coach.prepare.pencil import take_computed
from coach.prepare.prep import Prep

PLANNER = Planner(chart_for("clarinet in B-flat").for_player(Player()))
QUARTER_S = 0.8  # the demo's tempo: a dotted quarter at 50


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Part:
    return read_score(str(content("pieces") / "demo.musicxml"), part=None, cache=tmp_path_factory.mktemp("cache")).part


def hands(part: Part, *marks: Mark) -> Hands:
    return hands_of(PLANNER, part, QUARTER_S, Prep(marks=marks, over=written_over(part)))


def pencilled(part: Part, *marks: Mark) -> dict[str, str]:
    """What the page would say, by note."""
    planned = hands(part, *marks)
    return {note.at: note.sign for note in planned.notes if note.matters}


def test_the_page_says_what_a_teacher_would(demo: Part) -> None:
    page = pencilled(demo)
    assert (page["1.5"], page["7.5"], page["30.1"]) == ("L", "L", "L")  # D flat after E flat, which is right alone
    assert page["3.1"] == "R"  # C before A flat, which is left alone
    assert (page["16.3"], page["16.4"]) == ("L", "R")  # E flat, D flat, C: right, left, right
    assert (page["11.4"], page["12.1"]) == ("L", "L>R")  # G flat, A flat (right alone), held F, D flat (left alone)
    for note in hands(demo).notes:
        if not note.alternatives:
            assert not note.matters  # notes with one ordinary fingering stay bare


def test_nothing_slides_in_the_demo(demo: Part) -> None:
    assert hands(demo).plan.slides == ()


def test_the_swap_has_its_place_on_the_page(demo: Part) -> None:
    held = hands(demo).at("12.1")
    assert held is not None
    mark = content_of(held)
    assert isinstance(mark, Swap) and (mark.start, mark.end) == ("L", "R")
    # 9/8: the beat is a dotted quarter, the F three quarters long
    assert mark.when_q % 1.5 == 0 and 0 < mark.when_q < 3


def test_the_players_own_marks_are_kept_and_planned_around(demo: Part) -> None:
    own = Mark("own", "11.4", Fingering("R"))
    planned = hands(demo, own)
    note = planned.at("11.4")
    assert note is not None and note.own and not note.matters and note.sign == "R"
    assert planned.plan.slides  # from G flat to A flat, both right: that is what they asked for
    computed = marks_from(planned, Prep(marks=(own,)), lambda: "x")
    assert all(mark.at != "11.4" for mark in computed)


def test_a_struck_or_only_suggested_mark_decides_nothing(demo: Part) -> None:
    marks = (
        Mark("a", "11.4", Fingering("R"), state="struck"),
        Mark("b", "11.4", Fingering("R"), "computed", "suggested"),
    )
    assert decided(Prep(marks=marks), {}) == {}
    kept = Mark("c", "11.4", Fingering("R"), "computed", "kept")
    assert decided(Prep(marks=(kept,)), {}) == {"11.4": "R"}


def test_a_swap_of_the_players_counts_before_a_fingering_there() -> None:
    marks = (Mark("a", "2.2", Fingering("R")), Mark("b", "2.2", Swap("L", "R", Fraction(1))))
    assert decided(Prep(marks=marks), {"2.2": "1.5"}) == {"1.5": "L>R"}


def test_a_breath_frees_the_hands(demo: Part) -> None:
    bound = hands(demo, Mark("own", "11.4", Fingering("R")))
    free = hands(demo, Mark("own", "11.4", Fingering("R")), Mark("b", "11.4", Breath()))
    assert len(free.plan.slides) < len(bound.plan.slides)


def test_a_tied_note_is_fingered_with_its_chain(demo: Part) -> None:
    tied = next(note for note in demo.pitched() if note.tie == "stop")
    planned = hands(demo)
    found = planned.at(tied.id)
    assert found is not None and found.at != tied.id


def test_what_was_suggested_keeps_its_id_and_what_was_struck_stays_so(demo: Part) -> None:
    ids = map(str, count())
    over = written_over(demo)
    first = take_computed(Prep(over=over), marks_from(hands(demo), Prep(), lambda: next(ids)))
    again = take_computed(first, marks_from(hands(demo), first, lambda: next(ids)))
    assert again == first and first.marks
    struck = Prep(
        marks=tuple(Mark(m.id, m.at, m.content, m.origin, "struck") if m.at == "1.5" else m for m in first.marks),
        over=over,
    )
    later = take_computed(struck, marks_from(hands(demo), struck, lambda: next(ids)))
    assert [mark.state for mark in later.at("1.5")] == ["struck"]


def test_reasons_are_sentences(demo: Part) -> None:
    planned = hands(demo)
    for note in planned.notes:
        reason = planned.because(note)
        assert reason[:1].isupper() or reason[:1].isdigit()
        assert reason.endswith(".") and "\n" not in reason


def test_a_note_outside_is_named_and_the_rest_planned(tmp_path: Path) -> None:
    score = tmp_path / "low.abc"
    score.write_text("X:1\nT:low\nM:4/4\nL:1/4\nK:C\nC,, C D E |\n")
    part = read_score(str(score), part=None, cache=tmp_path).part
    planned = hands_of(PLANNER, part, 0.5, Prep())
    assert [problem.at for problem in planned.plan.problems] == [0]
    assert [note.chosen.way is not None for note in planned.notes] == [False, True, True, True]
    assert not planned.notes[0].matters and planned.because(planned.notes[0]) == ""

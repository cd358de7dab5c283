"""The rules of the trade (handbook, clarinet.md section D), each in a passage of our own where it must show. Where
teachers differ (section F) the check takes either side."""

import re
from random import Random

import pytest

from coach.files.score import read_score
from coach.instruments.reasons import reasons
from coach.instruments.remedies import remedies
from coach.prepare.hands import steps_of
from tests.instruments.passages import choices, clarinet, plan, steps

SPEEDS = (60, 120, 240)


def hands(text: str, tempo: float = 120) -> str:
    """The hand of each little-finger note, a dot for the others."""
    return "".join(one[0] if one[:1] in ("L", "R") and one != "L1" else "." for one in choices(text, tempo))


@pytest.mark.parametrize("tempo", SPEEDS)
@pytest.mark.parametrize(
    ("rule", "text", "expected"),
    [
        ("alternate", "B4 C#5 B4 C#5", "LRLR"),
        ("alternate, C and B", "C5 B4 C5 B4", "RLRL"),
        ("forced-first, forwards", "D#5 C#5 C5 B4", "RLRL"),
        ("forced-first, backwards", "B4 C5 C#5 D#5", "LRLR"),
        ("forced-first, both ways", "B4 C#5 D#5 C#5 B4", "RLRLR"),
        ("eflat-right", "C5 Eb5", "LR"),
        ("eflat-right below", "F3 Ab3", "LR"),
        ("gsharp-left", "C5 G#5", "R."),
        ("gsharp-left after", "G#5 B4", ".R"),
        ("gsharp-left below", "C#4 F#3", ".R"),
        ("orthodox-default", "D5 C5 D5", ".R."),
        ("orthodox-default", "D5 B4 D5", ".L."),
        ("sharp-keys", "A4 B4 C#5 D5", ".LR."),
        ("sharp-keys below", "D4 E3 F#3 G3", ".LR."),
        ("flat keys", "C5 Db5 Eb5 F5 Eb5 Db5 C5", "RLR.RLR"),
        ("far ahead", "C5 B4 C5 B4 C5 Eb5", "LRLRLR"),
        ("the lower twelfth", "F3 E3 F3 E3 F3 Ab3", "LRLRLR"),
    ],
)
def test_hands(rule: str, text: str, expected: str, tempo: float) -> None:
    assert hands(text, tempo) == expected, rule


@pytest.mark.parametrize("tempo", SPEEDS)
@pytest.mark.parametrize(
    ("rule", "text", "at", "allowed"),
    [
        ("keep-c-down", "C5 B4 C5", 1, {"L+rc"}),
        ("keep-c-down, other hand", "C5 B4 C5 Eb5", 1, {"R+lc"}),
        ("not before E flat", "C5 B4 Eb5", 1, {"L"}),
        ("fork-b-fs", "F5 F#5 G5", 1, {"fork"}),
        ("fork-b-fs down", "G5 F#5 F5", 1, {"fork"}),
        ("fork-b-fs low", "A#3 B3 A#3", 1, {"fork"}),
        ("fork-b-fs in scales", "E5 F#5 G5", 1, {"std"}),
        ("fork-b-fs in scales, low", "C4 B3 A3", 1, {"std"}),
        ("side-fs4", "F4 F#4 F4", 1, {"side"}),
        ("side-fs4, from E", "E4 F#4 G4", 1, {"L1"}),
        ("eb-choice, side by default", "G5 Bb5 C6", 1, {"side"}),
        ("eb-choice, side in scales", "C4 D4 Eb4 F4", 2, {"side", "sliver"}),
        ("eb-choice, one-and-one with R1 down", "F5 Bb5 D6", 1, {"1-1"}),
        ("eb-choice, one-and-one with R1 down", "D5 F5 Bb5 D6", 2, {"1-1"}),
        ("sliver-not-after-l3", "G5 Bb5 G5", 1, {"side"}),
        ("side-not-after-r1", "E5 A#5 E5", 1, {"1-1", "1-2"}),
        ("rh-down", "G4 A4 B4", 1, {"rhdown", "rhdown+rc"}),
        ("rh-down from above", "B4 A4 B4", 1, {"rhdown", "rhdown+rc"}),
        ("rh-down, A sharp", "B4 Bb4 B4", 1, {"rhdown", "rhdown+rc"}),
        ("no right hand with no break", "F4 A4 F4", 1, {"std"}),
        ("rh-not-e4", "B4 G4 E4", 2, {"std"}),
        ("altissimo-eflat", "C#6 D6 E6", 1, {"std"}),
        ("dsharp6-neighbour", "D6 D#6 D6", 1, {"sliver"}),
        ("dsharp6-neighbour", "C#6 D#6 C#6", 1, {"std"}),
        ("C#6 next to C6", "C6 C#6 C6", 1, {"side", "std"}),
        ("bb-trill3", "A4:1/2 Bb4:1/2 A4:1/2 Bb4:1/2 A4:1/2", 1, {"trill3", "std"}),
        ("altissimo-vent", "A5 C#6 E6", 1, {"std"}),
    ],
)
def test_forms(rule: str, text: str, at: int, allowed: set[str], tempo: float) -> None:
    assert choices(text, tempo)[at] in allowed, rule


def test_quick_alternation_is_fingered_as_a_trill() -> None:
    """bb-trill3, and the sliver beside D and A (eb-choice): in quick alternations the forms of the trill table."""
    assert choices("A4 Bb4 A4 Bb4 A4 Bb4", 480) == ["std", "trill3"] * 3
    assert choices("A5 Bb5 A5 Bb5 A5 Bb5", 480) == ["std", "sliver"] * 3
    assert choices("A4 Bb4 A4 Bb4 A4", 60)[1] == "std"


def test_one_and_one_is_not_for_slow_notes() -> None:
    """The best tone counts on long notes (economy): one-and-one is out of tune on many instruments."""
    assert choices("F5:4 Bb5:8 F5:4")[1] == "side"


def test_right_fingers_are_never_down_under_e4() -> None:
    """The bridge would make it D sharp (rh-not-e4); no fingering of E4 in the chart has them down."""
    for one in clarinet().chart.fingerings(64):
        assert not one.controls & {"R1", "R2", "R3"}


def test_index_rolls_and_is_no_slide() -> None:
    assert plan("F4 A4 E4 G#4 E4", 240).slides == ()


def test_the_trill_is_taken_from_the_table_and_fits_what_follows() -> None:
    """E-F with the right F key held under it (handbook, section C), let go before an A flat; E flat to F flat right."""
    trill = plan("E3~F3:2 G#3").chosen[0]
    assert trill.way and trill.way.trill and trill.way.trill.move == {"L_EB"}
    assert "R_FC" not in trill.way.end.controls and plan("E3~F3:2 G#3").slides == ()
    assert choices("Eb5~E5:4 Db5 Eb5") == ["R", "L", "R"]


def test_a_swap_wants_a_quarter_of_a_second() -> None:
    """The working limit of rule swap-time."""
    assert plan("C#4 F3 G#3", 60 / 0.26).slides == ()
    assert len(plan("C#4 F3 G#3", 60 / 0.24).slides) == 1


def test_reasons_name_who_forces_the_hand() -> None:
    search = clarinet().search(steps("C5 B4 C5 Eb5", 100))
    assert reasons(search, search.best()) == (
        "left, so that the hands take turns to the E flat three notes later, which has only a right-hand key",
        "right, so that the hands take turns to the E flat two notes later, which has only a right-hand key",
        "left, because the E flat after it has only a right-hand key",
        "",
    )


def test_reasons_for_a_swap_tell_both_halves() -> None:
    search = clarinet().search(steps("Db4 F3:2 Ab3", 100))
    (_, said, _) = reasons(search, search.best())
    assert said == (
        "right, because the D flat before it has only a left-hand key; then left, because the A flat after it has only "
        "a right-hand key; change while the note is held"
    )


def test_reasons_for_a_swap_reach_the_note_that_forces_it() -> None:
    search = clarinet().search(steps("G#3 F#3:2 E#3 G#3 F#3 E#3"))
    assert reasons(search, search.best())[1] == (
        "left, because the G sharp before it has only a right-hand key; then right, so that the hands take turns to "
        "the G sharp two notes later, which has only a right-hand key; change while the note is held"
    )


def test_a_reason_is_given_where_there_was_a_choice_only() -> None:
    search = clarinet().search(steps("D5 F5 F#5 G5 A5", 200))
    told = reasons(search, search.best())
    assert told[0] == told[1] == told[3] == told[4] == ""
    assert told[2] == "fork, so that no finger goes down while another comes up from the F"


def test_a_reason_holds_on_replanning() -> None:
    """Each "because X has only a right-hand key" is true of the chart, and the other hand there costs a slide."""
    search = clarinet().search(steps("C5 C#5 D#5 C#5 C5 D5 B4 G#5 C5 Db5 Eb5", 300))
    found = search.best()
    told = [n for n, said in enumerate(reasons(search, found)) if "has only" in said]
    assert len(told) >= 6
    for n in told:
        mine = found.chosen[n].choice[0]
        others = [k for k, way in enumerate(search.ways[n]) if way.choice[0] != mine and not way.swaps]
        assert min(len(search.through(n, k).slides) for k in others) > len(found.slides)


NUMBERS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")
CLAIM = re.compile(r"(?:(\w+) notes (later|earlier), which|(after|before) it) has only a (left|right)-hand key")


def test_claims_about_the_chart_are_true_wherever_they_are_made() -> None:
    """In 300 random passages: the note that is named lies where it is said to, and every fingering that the chart has
    for it presses a key of that hand's little finger."""
    chance, chart, made = Random(7), clarinet().chart, 0
    names = ["E3", "F3", "F#3", "G#3", "C#4", "A4", "B4", "C5", "C#5", "D5", "D#5", "G#5"]
    for _ in range(300):
        search = clarinet().search(steps(" ".join(chance.choices(names, k=9)), chance.choice((60, 240, 480))))
        for n, said in enumerate(reasons(search, search.best())):
            for count, way, beside, hand in CLAIM.findall(said):
                made += 1
                off = NUMBERS.index(count) if count else 1
                far = n + off if (way or beside) in ("later", "after") else n - off
                finger = {"left": "L4", "right": "R4"}[hand]
                for one in chart.fingerings(int(search.steps[far].midi)):
                    assert any(chart.finger_of(key) == finger for key in one.controls), (said, far)
    assert made > 400


def test_remedies_work_when_taken() -> None:
    passage = steps("C#4 F3 G#3", 300)
    found = plan("C#4 F3 G#3", 300)
    known = {one.kind: one for one in remedies(clarinet(), passage, found, {"left lever": clarinet(True)})}
    assert set(known) == {"slower", "tongue", "key"}
    slow = known["slower"]
    assert slow.swap == 1 and plan("C#4 F3 G#3", 300 / slow.times).slides == ()
    assert len(plan("C#4 F3 G#3", 300 / (slow.times - 0.01)).slides) == 1
    assert plan("C#4 F3' G#3", 300).slides == () and plan("C#4 F3 G#3", 300, lever=True).slides == ()
    assert remedies(clarinet(), steps("C5 D5"), plan("C5 D5")) == ()


def test_the_demo_piece_is_fingered_as_its_readme_says() -> None:
    """Measure 12: F begins left (A flat before it is right), the hands change, D flat follows (content/README.md)."""
    part = read_score("content/pieces/demo.musicxml").part
    found = clarinet().plan(steps_of(part, 60 / 75))
    by_id = {one.step.id: one for one in found.chosen}
    assert found.slides == () and not found.problems
    assert [by_id[name].choice for name in ("11.4", "11.5", "12.1")] == ["L", "R", "L>R"]
    assert [one.step.id for one in found.chosen if one.way and one.way.swaps] == ["12.1"]
    when_q = by_id["12.1"].when_q
    assert when_q is not None and 0 < when_q < by_id["12.1"].step.length_q and when_q % by_id["12.1"].step.beat_q == 0


def test_the_weber_part_needs_no_slide_and_no_swap() -> None:
    part = read_score("corpus:weber/concertino_clarinet").part
    found = clarinet().plan(steps_of(part, 60 / 110))
    assert found.slides == () and not found.problems
    assert not [one.step.id for one in found.chosen if one.way and one.way.swaps]

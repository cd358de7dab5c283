"""The ladder's track, the strip of states, a spot's curve, and what they say in words."""

from datetime import UTC, datetime

from coach.practice.ladder import Attempt, Climb, Ladder, climb, falling_ladder, preset
from coach.practice.rep import Rep
from coach.practice.standing import HOLDS, NEARLY, NEEDS_WORK, UNKNOWN, MeasureStanding
from coach.screen.view.curve import draw_curve
from coach.screen.view.glyphs import ASCII, UNICODE
from coach.screen.view.strip import draw_strip, legend, measure_words
from coach.screen.view.track import draw_track, outcome_words, rung_labels, rung_names, shown_levels, standing_words

STEADY = preset("steady")
LADDER = Ladder(44, 60, STEADY)


def climbed(outcomes: str) -> Climb:
    """Where c (clean) and s (slip) lead from 44 towards 60."""
    return climb(LADDER, [Attempt(outcome == "c") for outcome in outcomes])


def test_the_track_shows_where_the_ladder_has_been() -> None:
    # Three clean at 44 go up to 46; the slip there goes back; the marks are those of the metronome.
    text = draw_track(LADDER.rungs, climbed("cccs"), (14, 11), UNICODE).text().split("\n")
    assert text[0] == "   60◆"
    assert text[-1] == "   40"
    assert text[7] == "   46     ✗"
    assert text[8] == "▸  44  ✓✓✓"
    assert draw_track(LADDER.rungs, climbed("cccs"), (14, 11), ASCII).text().isascii()


def test_a_long_ladder_keeps_the_goal_and_the_present_rung() -> None:
    for here in range(40):
        levels = shown_levels(40, here, 10)
        assert levels[0] == 39
        assert here in levels
        assert list(levels) == sorted(set(levels), reverse=True)
        assert len(levels) == 10


def test_what_a_rep_did_in_words() -> None:
    def said(before: str, outcome: str) -> str:
        tempo = climbed(before).per_minute
        return outcome_words(climbed(before), climbed(before + outcome), outcome == "c", tempo, STEADY, UNICODE)

    assert said("", "c") == "✓ clean at 44: 1 of 3 in a row"
    assert said("c", "c") == "✓ clean at 44: 2 of 3 in a row"
    assert said("cc", "c") == "✓ clean at 44: up to 46"
    assert said("ccc", "s") == "✗ slip at 46: down to 44"
    assert said("ss", "s") == "✗ slip at 40: stay at 40"
    top = "ccc" * 8  # eight rungs from 44 to 60
    assert said(top + "cc", "c") == "✓ clean at 60: 60 is the goal, and it is reached"
    assert standing_words(climbed(top + "ccc"), STEADY, 60) == "60: the goal is reached. Come back to it another day."
    assert standing_words(climbed("c"), STEADY, 60) == "44, goal 60: 1 of 3 clean in a row"


MEASURES = tuple(
    MeasureStanding(str(k), state, *((52.4, 48.0, 57.0, 50.0) if state == NEARLY else ()))
    for k, state in enumerate((HOLDS, NEARLY, NEEDS_WORK, UNKNOWN, UNKNOWN), 1)
)


def test_the_strip_of_states() -> None:
    names = [measure.measure for measure in MEASURES]
    assert draw_strip(MEASURES, names, 1, 80, UNICODE).text().split("\n") == [" 1 [2] 3  4  5", " ✓  ~  ✗  ·  ·"]
    narrow = draw_strip(MEASURES, names, 4, 9, UNICODE).text().split("\n")
    assert narrow == [" 1  2  3", " ✓  ~  ✗", " 4 [5]", " ·  ·"]
    words = [text for text, _ in legend(MEASURES, UNICODE)]
    assert words == ["✓ holds: 1", "~ nearly holds: 1", "✗ needs work: 1", "· unknown: 2"]
    assert measure_words(MEASURES[1], "2") == (
        "measure 2: nearly holds; clean up to 50; four times in five at about 52, it is estimated (between 48 and 57)"
    )
    assert measure_words(MEASURES[3], "4") == "measure 4: unknown"


def rep(per_minute: float, outcome: str, beat: str = "quarter") -> Rep:
    at = datetime(2026, 3, 1, tzinfo=UTC)
    return Rep("u", at, "+00:00", "p", "h", "s", "1.1", "1.2", "1", "1", per_minute, beat, outcome)


def test_the_curve_of_a_spot() -> None:
    reps = [rep(40, "clean"), rep(50, "slip"), rep(100, "clean", "eighth")]  # the last is 50 quarters a minute
    lines = draw_curve(reps, 60, "quarter", (12, 5), UNICODE).text().split("\n")
    assert lines == ["   60◆ ─────", "", "        ✗✓", "", "   40  ✓"]


def test_a_curve_without_reps_is_empty() -> None:
    assert draw_curve([], 60, "quarter", (30, 6), UNICODE).text().strip() == ""


def test_a_ladder_that_falls_names_its_lengths_and_then_its_tempi() -> None:
    falling = falling_ladder(50, "dotted quarter", 2)
    names, labels = rung_names(falling), rung_labels(falling)
    assert names == ("length 1 of 2", "all at 50", "all at 48", "all at 46", "all at 44", "all at 42", "all at 40")
    assert labels == ("1/2", "50", "48", "46", "44", "42", "40")
    assert rung_names(LADDER) == rung_labels(LADDER) == ()
    assert rung_names(falling_ladder(50, "quarter", 1))[0] == "50"
    begun = climb(falling, [])
    further = climb(falling, [Attempt(True, 50, length=(1, 2))] * 3)
    assert standing_words(begun, STEADY, 40, names) == "length 1 of 2, goal all at 40: 0 of 3 clean in a row"
    assert outcome_words(begun, further, True, 50, STEADY, UNICODE, names) == "✓ clean at 50: on to all at 50"
    assert outcome_words(further, begun, False, 50, STEADY, UNICODE, names) == "✗ slip at 50: back to length 1 of 2"
    drawn = draw_track(falling.rungs, further, (14, 7), UNICODE, labels).text().split("\n")
    assert drawn[0].split() == ["40◆"] and drawn[-1].split() == ["1/2", "✓✓✓"]

"""The player's air from the settings, and plans around what is decided. Litres by the arithmetic beside the checks."""

from dataclasses import replace
from pathlib import Path

import pytest

from coach.config import AirSettings
from coach.errors import RequestError
from coach.files.score import read_score
from coach.lesson.breathing import air_of, breath_places, breaths_of, usable_litres, with_breaths
from coach.lesson.desk import Desk
from coach.lesson.preparing import Choices, interpretation_of, plan_of, wished, with_suggestions
from coach.lesson.stand import performance_tempo
from coach.music.piece import Piece
from coach.paths import content
from coach.prepare.interpretation import Interpretation
from coach.prepare.mark import Breath, Mark
from coach.prepare.over import written_over
from coach.prepare.prep import Prep
from tests.lesson.pages import Bar, score

FOUR = (2, 2, 2, 2)
USUAL = air_of(AirSettings())


def page(folder: Path, *bars: Bar) -> Piece:
    return read_score(score(folder, *bars))


def prep(piece: Piece, *marks: Mark) -> Prep:
    return Prep(over=written_over(piece.part), marks=marks)


def test_litres_are_those_set_then_those_of_the_body_then_a_default() -> None:
    """NHANES III (Hankinson et al. 1999) for a woman of 30 years and 165 cm: -0.3560 + 0.01870 A - 0.000382 A^2 +
    0.00014815 H^2 litres, of which 60 per cent are usable."""
    assert usable_litres(AirSettings()) == (2.5, "a default; measure yours in Setup")
    body = AirSettings(sex="female", age=30, height_cm=165, equation="NHANES III")
    litres, told = usable_litres(body)
    whole = -0.3560 + 0.01870 * 30 - 0.000382 * 30**2 + 0.00014815 * 165**2
    assert litres == pytest.approx(0.6 * whole, abs=2e-3) and told == f"60% of {whole:.1f} litres by NHANES III"
    assert usable_litres(replace(body, litres=3.1)) == (3.1, "as set")


def test_a_body_that_the_equation_does_not_know_is_told() -> None:
    with pytest.raises(RequestError, match="The lungs cannot be reckoned"):
        usable_litres(AirSettings(sex="male", age=1, height_cm=30))


def test_the_settings_flows_stay_where_none_is_asked_for() -> None:
    own = AirSettings(flows=(0.11, 0.14, 0.17, 0.21, 0.26, 0.31), registers=(1, 1.1, 1.2, 1.3), reserve=0.2)
    assert air_of(own).flows == own.flows and air_of(own).registers == own.registers and air_of(own).reserve == 0.2
    assert air_of(own, flows="mf=0.5, ff=0.6").flows == (0.11, 0.14, 0.17, 0.5, 0.26, 0.6)


def test_a_breath_on_a_tie_or_in_a_rest_counts_for_the_note_before(tmp_path: Path) -> None:
    """A mark at the rest of measure 2 is a breath after the third note; the plan takes it there."""
    piece = page(tmp_path, Bar(FOUR, "4/4", ("quarter", 60, False)), Bar((2, 2, 2, -2)), *[Bar(FOUR)] * 3)
    assert breath_places(piece.part)["2.r1"] == "2.3" and breath_places(piece.part)["2.2"] == "2.2"
    kept = prep(piece, Mark("a", "2.r1", Breath("catch")))
    plan = breaths_of(piece, kept, Interpretation(), USUAL, tempo=performance_tempo(piece))
    (one,) = [one for one in plan.here.breaths if one.at == "2.3"]
    assert (one.size, one.decided, one.steals_s) == ("catch", True, 0.0)


def test_a_fermata_costs_the_air_that_it_lasts(tmp_path: Path) -> None:
    """A fermata holds 1 3/4 times its length (a default of the clock): a whole note at quarter = 60 is 7 s, and at 0.20
    L/s 1.4 L of the 2.5."""
    file = Path(score(tmp_path, Bar((8,), "4/4", ("quarter", 60, False)), Bar(FOUR)))
    held = "<notations><fermata/></notations></note>"
    file.write_text(file.read_text().replace("</note>", held, 1))
    piece = read_score(str(file))
    plan = breaths_of(piece, prep(piece), Interpretation(), USUAL, tempo=performance_tempo(piece))
    assert plan.here.air[0].end == pytest.approx(2.5 - 1.75 * 4 * 0.2, abs=1e-3)


def test_the_times_of_a_slow_breath_are_fewer_nominal_seconds(desk: Desk) -> None:
    """0.6 s at 60 per cent of the tempo are 0.36 s of the performance."""
    piece = read_score(str(content("pieces", "demo.musicxml")))
    taken = interpretation_of(desk, piece, Prep(), tempo=performance_tempo(piece), share=0.6)
    times = taken.times
    assert (times.full_s, times.catch_s, times.keep_share, times.keep_s) == pytest.approx((0.36, 0.18, 0.5, 0.15))
    usual = interpretation_of(desk, piece, Prep(), tempo=performance_tempo(piece))
    assert set(usual.breaths) < set(taken.breaths)


def test_known_plans_are_taken_over(desk: Desk) -> None:
    piece = read_score(str(content("pieces", "demo.musicxml")))
    tempo = performance_tempo(piece)
    first = plan_of(desk, piece, Prep(), tempo=tempo)
    taken = interpretation_of(desk, piece, Prep(), tempo=tempo)
    again = breaths_of(piece, Prep(), taken, first.air, tempo=tempo, share=0.6, known=first)
    assert again == plan_of(desk, piece, Prep(), tempo=tempo, share=0.6)
    assert again.performance is first.performance
    assert with_breaths(taken, again).breaths == {one.at: one.size for one in again.here.breaths}


def test_what_is_suggested_of_breaths_is_the_plan_of_the_performance(desk: Desk) -> None:
    piece = read_score(str(content("pieces", "demo.musicxml")))
    tempo = performance_tempo(piece)
    found = wished(desk, piece, Prep(), Choices(), ("breath",), tempo=tempo)
    plan = plan_of(desk, piece, Prep(), tempo=tempo, share=0.6)
    assert [(one.at, one.content) for one in found] == [(b.at, Breath(b.size)) for b in plan.performance.breaths]
    before = prep(piece)
    after = with_suggestions(before, found, ("breath",), Choices())
    assert plan_of(desk, piece, after, tempo=tempo).performance == plan.performance, "suggestions decide nothing"
    keeping = Prep(over=before.over, marks=tuple(Mark(m.id, m.at, m.content, m.origin, "kept") for m in after.marks))
    slower = plan_of(desk, piece, keeping, tempo=tempo, share=0.6)
    assert {mark.at for mark in keeping.marks} <= {one.at for one in slower.here.breaths}
    assert all(one.decided for one in slower.performance.breaths)

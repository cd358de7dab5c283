"""Whole stretches of practice come out as their scenario says; what is expected is written there, with its reason."""

from dataclasses import fields
from datetime import timedelta
from pathlib import Path

import pytest

from coach.lesson.drilling import climb, ladder_of
from coach.lesson.progress import progress
from coach.lesson.today import spots_by_need, today
from coach.music.piece import parse_measures
from coach.paths import scenarios
from coach.practice.share import share_of
from coach.practice.standing import HOLDS
from coach.practice.today import Need
from tests.scenarios.script import Act, Expect, PlayerScript, Script, SpotSkill, read_script
from tests.scenarios.stage import Stage

FILES = sorted(Path(str(scenarios())).glob("*.toml"))


# The scenario of the ladder's theory needs some two thousand reps.
LONG = {"plateau"}
PARAMETERS = [pytest.param(file, id=file.stem, marks=[pytest.mark.slow] * (file.stem in LONG)) for file in FILES]


@pytest.mark.parametrize("file", PARAMETERS)
def test_a_scenario_comes_out_as_it_says(file: Path, tmp_path: Path) -> None:
    script = read_script(file)
    stage = Stage(script, tmp_path)
    checked = 0
    for day in range(1, script.days + 1):
        stage.live(day)
        for expect in (expect for expect in script.expect if expect.day == day):
            check(stage, expect)
            checked += 1
        stage.sleep()
    assert checked == len(script.expect)


def test_there_are_scenarios() -> None:
    assert len(FILES) >= 4


def test_the_same_scenario_gives_the_same_reps(tmp_path: Path) -> None:
    """Nothing but the seed decides."""
    told = []
    for name in ("one", "other"):
        stage = Stage(read_script(FILES[0]), tmp_path / name)
        stage.live(1)
        told.append([(rep.at, rep.first, rep.per_minute, rep.outcome) for rep in stage.desk.record().reps])
    assert told[0] == told[1] and told[0]


@pytest.mark.parametrize("line", ["clean = 1", "[[expect]]\nday = 900\nbecause = 'x'", "[[act]]\nday = 1"])
def test_a_scenario_with_a_mistake_is_refused(line: str, tmp_path: Path) -> None:
    file = tmp_path / "wrong.toml"
    text = FILES[0].read_text("utf-8")
    file.write_text(f"{line}\n{text}" if line.startswith("clean") else f"{text}\n{line}\n")
    with pytest.raises(ValueError, match="unknown|missing|does not come"):
        read_script(file)


def test_the_layout_is_told() -> None:
    """scenarios/README.md names every key."""
    text = scenarios("README.md").read_text("utf-8")
    kinds = (Script, PlayerScript, SpotSkill, Act, Expect)
    untold = {f.name for kind in kinds for f in fields(kind) if f"`{f.name}`" not in text}
    assert untold == {"player", "act", "expect"}  # told as headings of tables


def check(stage: Stage, expect: Expect) -> None:
    """Fail unless it is so."""
    if expect.spot:
        check_spot(stage, expect)
    elif expect.measures:
        span = stage.page.span(*parse_measures(expect.measures))
        ids = {measure.id for measure in stage.page.measures(span)}
        states = {one.state for one in progress(stage.desk, stage.piece, stage.page).measures if one.measure in ids}
        assert states <= set(expect.state), expect.because
    else:
        check_plan(stage, expect)


def check_spot(stage: Stage, expect: Expect) -> None:
    spot = stage.spot(expect.spot)
    need = need_of(stage, spot.uuid)
    here = climb(stage.desk, stage.piece, stage.page, spot)
    share = share_of(stage.desk.record().reps_of(spot.uuid))
    target = ladder_of(stage.desk, stage.piece, stage.page, spot).target
    assert share.attempts >= expect.reps, expect.because
    if expect.state:
        assert need.state in expect.state, expect.because
    if expect.share is not None:
        assert share.of_complete is not None
        assert expect.share[0] <= share.of_complete <= expect.share[1], expect.because
    if expect.rung is not None:
        assert expect.rung[0] <= here.per_minute / target <= expect.rung[1], expect.because
    if expect.arrived is not None:
        assert here.arrived == expect.arrived, expect.because
    if expect.near is not None:
        assert need.hold is not None
        true = stage.player.true_hold(spot.name)
        assert stage.share_of_start(spot, need.hold) == pytest.approx(true, rel=expect.near), expect.because


def check_plan(stage: Stage, expect: Expect) -> None:
    tomorrow = stage.at.date() + timedelta(days=1)
    items = today(stage.desk, stage.script.minutes, tomorrow).items
    if expect.first_tomorrow:
        assert next(item.name for item in items if item.kind == "spot") == expect.first_tomorrow, expect.because
    if expect.kinds:
        assert {item.kind for item in items} == set(expect.kinds), expect.because
    if expect.all_reps is not None:
        assert len(stage.desk.record().reps) == expect.all_reps, expect.because
    if expect.still_fails is not None:
        failing = {need.spot.name for need in spots_by_need(stage.desk) if need.state != HOLDS}
        assert failing == set(expect.still_fails), expect.because
    if expect.chance is not None:
        now = progress(stage.desk, stage.piece, stage.page).whole_piece.now
        assert now is not None and expect.chance[0] <= now <= expect.chance[1], expect.because


def need_of(stage: Stage, uuid: str) -> Need:
    (found,) = (need for need in spots_by_need(stage.desk) if need.spot.uuid == uuid)
    return found

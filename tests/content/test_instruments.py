"""The instrument charts as data: what every chart must have, whatever the instrument."""

import re
import tomllib
from pathlib import Path
from typing import Any

import pytest

import coach.instruments
from coach.files.charts import chart_faults, load_chart
from coach.instruments.chart import Chart
from coach.instruments.sounding import HoleModel
from coach.paths import content

FILES = sorted(
    (one for one in content("instruments").iterdir() if one.name.endswith(".toml")), key=lambda one: one.name
)
CHARTS = [load_chart(file) for file in FILES]
TEXTS = [file.read_text("utf-8") for file in FILES]
EVERY = pytest.mark.parametrize("chart", CHARTS, ids=lambda chart: chart.name)


def documents() -> list[dict[str, Any]]:
    return [tomllib.loads(text) for text in TEXTS]


@pytest.mark.parametrize("text", TEXTS, ids=[file.name for file in FILES])
def test_no_mistakes(text: str) -> None:
    assert chart_faults(text, "x") == ()


def test_the_clarinet_is_not_alone() -> None:
    assert [chart.name for chart in CHARTS] == ["alto saxophone", "Boehm clarinet"]


@EVERY
def test_every_pitch_has_one_ordinary_fingering(chart: Chart) -> None:
    for midi in range(chart.lowest, chart.highest + 1):
        assert [one.rank for one in chart.fingerings(midi)].count(1) == 1, midi


@EVERY
def test_within_a_pitch_no_two_fingerings_are_the_same(chart: Chart) -> None:
    for midi in range(chart.lowest, chart.highest + 1):
        held = [one.controls for one in chart.fingerings(midi)]
        assert len(set(held)) == len(held)


@EVERY
def test_everything_is_of_use(chart: Chart) -> None:
    """No control, hole, word or source that nothing needs."""
    used = set().union(*(one.controls for one in chart.all_fingerings), *(one.hold | one.move for one in chart.trills))
    assert {one.id for one in chart.controls} == used
    assert {word for word, _ in chart.uses} == {use for one in chart.all_fingerings for use in one.uses}
    everything = (
        chart.controls, chart.holes, chart.rules, chart.all_fingerings, chart.trills, chart.slides, chart.advice,
    )  # fmt: skip
    named = {name for entries in everything for one in entries for name in one.source}
    assert {one.id for one in chart.sources} == named


@EVERY
def test_every_control_moves_a_hole_or_a_rule(chart: Chart) -> None:
    for control in chart.controls:
        moving = any(control.id in hole.moved_by for hole in chart.holes)
        assert moving or any(control.id in rule.down for rule in chart.rules), control.id


@EVERY
def test_the_lowest_note_comes_from_the_bell(chart: Chart) -> None:
    model = HoleModel(chart)
    for one in chart.fingerings(chart.lowest):
        assert model.sound(one.controls).midi == chart.lowest
        open_tone_holes = [hole.id for hole in chart.holes if hole.id in model.open_holes(one.controls) and hole.low]
        assert open_tone_holes == [chart.holes[-1].id]


@EVERY
def test_advice_is_one_sentence(chart: Chart) -> None:
    for one in chart.advice:
        assert re.fullmatch(r"[A-Z][^\n]*\.", one.says) and len(one.says) <= 120, one.id
        assert not one.disputed.endswith("."), one.id


def test_what_is_from_memory_says_so() -> None:
    """The saxophone's facts are all from memory: the head of its file says so, and so does every entry."""
    assert "from memory" in TEXTS[0].partition("schema =")[0]
    assert {one.id for one in CHARTS[0].sources} == {"M"}


def test_nothing_but_the_schema_is_in_the_files() -> None:
    for document in documents():
        assert document["schema"] == "coach.chart/1"
        assert set(document) <= {
            "schema", "name", "instruments", "lowest", "highest", "registers", "other_slides", "uses", "option",
            "source", "finger", "control", "hole", "rule", "slide", "advice", "fingering", "trill",
        }  # fmt: skip


def test_the_schema_is_described() -> None:
    """content/README.md names every table and every field that the charts use."""
    described = content("README.md").read_text("utf-8").partition("## instruments")[2].partition("## pictures")[0]
    words = set(re.findall(r"[a-z_]+", described))
    for document in documents():
        assert {key for key in document} <= words
        for kind, entries in document.items():
            if isinstance(entries, list) and isinstance(entries[0], dict):
                assert {key for one in entries for key in one} <= words, kind


def test_no_instrument_is_wired_into_the_code() -> None:
    """Room `instruments` names no control and no hole of any chart."""
    names = {one.id for chart in CHARTS for one in chart.controls} | {one.id for chart in CHARTS for one in chart.holes}
    names -= {name for name in names if len(name) == 1}
    for path in sorted(Path(coach.instruments.__file__).parent.glob("*.py")):
        assert set(re.findall(r"\"([A-Za-z0-9_]+)\"", path.read_text("utf-8"))) & names == set(), path.name

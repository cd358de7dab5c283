"""The charts that travel with the program, and their hole models, made once for all tests."""

from functools import cache

from coach.files.charts import chart_for
from coach.instruments.chart import Chart, Player
from coach.instruments.fingering import Fingering
from coach.instruments.sounding import HoleModel
from coach.music.pitch import parse_pitch

LEVER = Player(frozenset({"left-eflat-lever"}))


@cache
def clarinet() -> Chart:
    """The Boehm clarinet, whatever a player may have fitted."""
    return chart_for("clarinet in B-flat")


@cache
def saxophone() -> Chart:
    """The alto saxophone."""
    return chart_for("alto saxophone")


@cache
def model(chart: Chart) -> HoleModel:
    """The hole model of a chart."""
    return HoleModel(chart)


def midi(name: str) -> int:
    """A pitch by its name."""
    return parse_pitch(name).midi


def fingering(text: str, chart: Chart | None = None) -> Fingering:
    """A fingering by pitch and choice, such as "C5 R"."""
    name, choice = text.split(" ", 1)
    found = (chart or clarinet()).fingering(midi(name), choice)
    assert found is not None, text
    return found

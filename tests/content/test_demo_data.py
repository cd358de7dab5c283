"""The demo piece's data file: its keys, and that it agrees with the score."""

import tomllib
from functools import cache
from typing import Any

from coach.paths import content
from tests.content.reading import part, raw


@cache
def data() -> dict[str, Any]:
    return tomllib.loads(content("pieces", "demo.toml").read_text(encoding="utf-8"))


def test_data_file_has_these_keys_and_no_others() -> None:
    shape = {key: type(value) for key, value in data().items()}
    expected = {
        "format": int,
        "title": str,
        "score": str,
        "instrument": str,
        "tempo": dict,
        "setting": dict,
        "spot": list,
    }
    assert shape == expected
    assert data()["format"] == 1
    assert {key: type(value) for key, value in data()["tempo"].items()} == {"beat": str, "per_minute": int}
    assert {key: type(value) for key, value in data()["setting"].items()} == {"text": str, "days_ahead": int}
    for spot in data()["spot"]:
        assert {key: type(value) for key, value in spot.items()} == dict.fromkeys(("name", "from", "to", "why"), str)


def test_data_file_agrees_with_the_score() -> None:
    assert content("pieces", data()["score"]).is_file()
    assert data()["title"] == raw().findtext("work/work-title")
    assert data()["instrument"] == raw().findtext("part-list/score-part/part-name")
    mark = part().recurse().getElementsByClass("MetronomeMark").first()
    assert data()["tempo"]["beat"] == mark.referent.fullName.lower()
    assert data()["tempo"]["per_minute"] == mark.number


def test_setting_is_the_audition_four_weeks_ahead() -> None:
    assert data()["setting"] == {
        "text": "an audition for a seat in a town orchestra, four weeks ahead",
        "days_ahead": 28,
    }


def test_spots_lie_in_the_piece() -> None:
    spots = data()["spot"]
    numbers = [m.get("number") for m in raw().iter("measure")]
    assert 2 <= len(spots) <= 4
    assert len({spot["name"] for spot in spots}) == len(spots)
    for spot in spots:
        assert numbers.index(spot["from"]) <= numbers.index(spot["to"])
        assert spot["why"]

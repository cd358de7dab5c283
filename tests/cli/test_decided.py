"""`coach render` as it is decided: marks of the stand, suggestions, styles, and the page alone."""

from pathlib import Path
from typing import Any

import pytest

from coach.lesson.desk import Desk
from coach.lesson.marking import open_pencil
from coach.lesson.stand import open_piece, pieces
from coach.music.pitch import parse_pitch
from coach.paths import content
from coach.prepare.mark import Alteration, Content
from tests.cli.conftest import Coach, sentence


def marked(*marks: tuple[str, Content]) -> None:
    """Pencil marks into the one piece on the stand."""
    desk = Desk.open()
    (known,) = pieces(desk)
    pencil = open_pencil(desk, known, open_piece(desk, known))
    for at, decision in marks:
        pencil.put(decision, at)
    desk.close()


def heard(coach: Coach, *options: object) -> list[dict[str, Any]]:
    """The notes of a render of the demo piece on the stand."""
    done = coach("render", "demo", "--json", *options)
    assert done.status == 0, done.err
    notes: list[dict[str, Any]] = done.document["notes"]
    return notes


def test_two_like_places_are_played_a_fifth_lower_and_only_they(coach: Coach) -> None:
    """The tied F5 of measures 1 and 7 becomes a B flat: seven half tones lower, at the same time, as long."""
    coach("demo")
    before = heard(coach)
    lower = Alteration((parse_pitch("Bb4"),))
    marked(("1.2", lower), ("7.2", lower))
    now = heard(coach)
    assert len(now) == len(before)
    for old, new in zip(before, now, strict=True):
        assert old["midi"] - new["midi"] == (7 if old["at"] in ("1.2", "7.2") else 0)
        assert [old[key] for key in ("at", "onset", "duration", "at_s")] == [
            new[key] for key in ("at", "onset", "duration", "at_s")
        ]


def test_plain_is_the_page_alone(coach: Coach) -> None:
    coach("demo")
    before = heard(coach, "--plain")
    marked(("1.2", Alteration((parse_pitch("Bb4"),))))
    assert heard(coach, "--plain") == before


def test_a_style_is_asked_for_one_run(coach: Coach) -> None:
    """Lyrical graces come before the beat of their note, at 34 and a half quarters; treatise ones begin on it."""
    coach("demo")

    def first_grace(*style: str) -> float:
        rows = heard(coach, "--measures", "7-8", *style)
        onset = next(row["onset"] for row in rows if row["at"] == "8.2g1")
        top, _, bottom = onset.partition("/")
        return int(top) / int(bottom or 1)

    assert first_grace("--style", "lyrical") < 34.5
    assert first_grace("--style", "treatise") == 34.5
    assert coach("render", "demo", "--json", "--style", "baroque").status == 2
    assert coach("render", "demo", "--json", "--style", "lyrical", "--plain").status == 2


def test_a_score_that_was_never_added_is_interpreted_too(coach: Coach) -> None:
    done = coach("render", content("pieces", "demo.musicxml"), "--measures", "25", "--json")
    assert len([row for row in done.document["notes"] if row["at"] == "25.1"]) > 8  # a trill, and no held note


def test_with_the_click_the_beat_is_steady(coach: Coach) -> None:
    """Measure 19 has a fermata over a dotted quarter at dotted quarter = 50: 1 3/4 times 1.2 s without the click, 1.2 s
    with it; its next note begins so much later or not."""
    coach("demo")
    times = {}
    for options in ((), ("--click",)):
        rows = {row["at"]: row["at_s"] for row in heard(coach, "--measures", "19", *options)}
        times[options] = rows["19.3"] - rows["19.2"]
    assert times[()] == pytest.approx(1.75 * 1.2, abs=1e-5)
    assert times[("--click",)] == pytest.approx(1.2, abs=1e-5)


def test_marks_that_cannot_be_read_are_told_in_one_sentence(coach: Coach, home: Path) -> None:
    coach("demo")
    marked(("1.2", Alteration((parse_pitch("Bb4"),))))
    (file,) = (home / "data").rglob("*.toml")
    file.write_text("[[mark")
    assert file.name in sentence(coach("render", "demo", "--json"))

"""`coach prepare --breath` and what sounds of it.

Litres are reckoned beside the checks from the documented flows: pp 0.10, p 0.13, mp 0.16, mf 0.20, f 0.25, ff 0.30
litres a second; a full breath takes 0.6 s and fills, a catch breath takes 0.3 s and brings 40 per cent; where nothing
is printed the music is mezzoforte. The demo piece is described in content/README.md.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from coach.lesson.desk import Desk
from coach.lesson.marking import Pencil, open_pencil
from coach.lesson.stand import open_piece, pieces
from coach.paths import content
from coach.prepare.mark import Breath
from tests.cli.conftest import WEBER, Coach, sentence
from tests.lesson.pages import Bar, score

MF = 0.20
DEMO = content("pieces", "demo.musicxml")
SIXTY = ("quarter", 60, False)
QUARTERS = (2, 2, 2, 2)


def breaths(document: dict[str, Any]) -> list[dict[str, Any]]:
    return [row for row in document["marks"] if row["kind"] == "breath"]


def taken(document: dict[str, Any]) -> dict[str, dict[str, Any]]:
    """The breaths that are taken, by the note they follow."""
    return {row["at"]: row for row in breaths(document) if row["state"] != "struck"}


def planned(coach: Coach, source: object, *options: object) -> dict[str, Any]:
    done = coach("prepare", source, "--breath", "--json", *options)
    assert done.status == 0, done.err
    return done.document


@contextmanager
def pencil() -> Iterator[Pencil]:
    """The marks of the one piece on the stand."""
    desk = Desk.open()
    (known,) = pieces(desk)
    yield open_pencil(desk, known, open_piece(desk, known))
    desk.close()


def test_four_quarters_mezzoforte_at_60_spend_eight_tenths_of_a_litre(coach: Coach, tmp_path: Path) -> None:
    """4 notes of 1 s at 0.20 L/s."""
    document = planned(coach, score(tmp_path, Bar(QUARTERS, "4/4", SIXTY)), "--plain")
    left = [2.5, 2.3, 2.1, 1.9, 1.7]
    assert [row["at"] for row in document["air"]] == ["1.1", "1.2", "1.3", "1.4"]
    assert [row["start"] for row in document["air"]] == pytest.approx(left[:-1], abs=1e-4)
    assert [row["end"] for row in document["air"]] == pytest.approx(left[1:], abs=1e-4)
    assert breaths(document) == [] and document["troubles"] == []
    assert document["lungs"]["litres"] == 2.5 and "default" in document["lungs"]["from"]


def test_flows_and_litres_are_those_that_are_asked_for(coach: Coach, tmp_path: Path) -> None:
    """4 s at 0.1 L/s of 2 litres leave 1.6."""
    source = score(tmp_path, Bar(QUARTERS, "4/4", SIXTY))
    document = planned(coach, source, "--plain", "--air-litres", 2, "--air-flow", "p=0.09,mf=0.10")
    assert document["air"][-1]["end"] == pytest.approx(2 - 4 * 0.1, abs=1e-4)
    assert document["lungs"] == {"litres": 2.0, "from": "as asked"}


@pytest.mark.parametrize("percent", [100, 60])
def test_the_air_adds_up_note_by_note(coach: Coach, tmp_path: Path, percent: int) -> None:
    """Every note spends 0.20 L/s for its quarters at 60 times the share, without what the breath takes of it; a full
    breath fills 2.5 L, a catch breath brings 1 L; a rest of at least 0.6 s gives its time free."""
    bars = [Bar(QUARTERS, "4/4", SIXTY), *[Bar(QUARTERS)] * 5, Bar((2, 2, 2, -2)), *[Bar(QUARTERS)] * 5]
    document = planned(coach, score(tmp_path, *bars), "--plain", "--percent", percent)
    after = taken(document)
    seconds = {row["id"]: float(Fraction(row["duration"])) * 100 / percent for row in document["notes"]}
    left = 2.5
    for row in document["air"]:
        breath = after.get(row["at"])
        assert row["start"] == pytest.approx(left, abs=2e-3)
        left -= MF * (seconds[row["at"]] - (breath["steals_s"] if breath else 0))
        assert row["end"] == pytest.approx(left, abs=2e-3) and left > -1e-3
        if breath:
            assert breath["air_before"] == pytest.approx(left, abs=2e-3)
            left = 2.5 if breath["size"] == "full" else min(2.5, left + 0.4 * 2.5)
            assert breath["air_after"] == pytest.approx(left, abs=2e-3)
            need_s = {"full": 0.6, "catch": 0.3}[breath["size"]]
            assert breath["steals_s"] == (0 if breath["at"] == "7.3" else pytest.approx(need_s))
    assert "7.3" in after and len(after) >= 4  # 47 s of notes at 0.20 L/s are 9.4 L: 2.5 and three breaths at least


def test_practice_breaths_come_to_those_of_the_performance(coach: Coach) -> None:
    at_tempo, slower = planned(coach, DEMO), planned(coach, DEMO, "--percent", 60)
    assert not any(row["practice"] for row in breaths(at_tempo))
    assert {row["at"] for row in breaths(slower) if not row["practice"]} == {row["at"] for row in breaths(at_tempo)}
    added = [row for row in breaths(slower) if row["practice"]]
    assert added and all((row["id"], row["state"]) == ("", "suggested") and row["because"] for row in added)
    assert slower["troubles"] == []


def test_a_breath_narrows_as_the_other_kinds_do(coach: Coach) -> None:
    assert {row["kind"] for row in planned(coach, DEMO)["marks"]} == {"breath"}
    both = planned(coach, DEMO, "--reminders")
    assert {row["kind"] for row in both["marks"]} == {"breath", "reminder"}
    without = coach("prepare", DEMO, "--reminders", "--json").document
    assert not breaths(without) and (without["air"], without["troubles"], without["lungs"]) == ([], [], None)
    every = coach("prepare", DEMO, "--json").document
    assert [row["at"] for row in breaths(every)] == [row["at"] for row in planned(coach, DEMO)["marks"]]
    here = planned(coach, DEMO, "--measures", "3-10")
    assert {row["at"].split(".")[0] for row in (*here["marks"], *here["air"])} <= {str(k) for k in range(3, 11)}


def test_breaths_of_the_performance_are_suggested_on_the_stand_and_only_they(coach: Coach) -> None:
    coach("demo")
    slower = planned(coach, "demo", "--percent", 60)
    with pencil() as held:
        saved = [mark for mark in held.prep.marks if mark.kind == "breath"]
    wanted = [row for row in breaths(slower) if not row["practice"]]
    assert [(mark.id, mark.at, mark.because) for mark in saved] == [(r["id"], r["at"], r["because"]) for r in wanted]
    assert {(mark.origin, mark.state) for mark in saved} == {("computed", "suggested")}
    again = planned(coach, "demo")
    assert [row["id"] for row in breaths(again)] == [mark.id for mark in saved]


def test_another_air_is_only_supposed(coach: Coach) -> None:
    """What is on the stand goes by the player's own air."""
    coach("demo")
    before = [row["id"] for row in breaths(planned(coach, "demo"))]
    supposed = coach("prepare", "demo", "--breath", "--air-litres", "1.6")
    assert supposed.status == 0 and "stay as they are" in supposed.err
    with pencil() as held:
        assert [mark.id for mark in held.prep.marks if mark.kind == "breath"] == before


def test_a_source_that_was_never_added_keeps_nothing(coach: Coach, home: Path) -> None:
    planned(coach, DEMO)
    assert not list((home / "data").rglob("*.toml"))


def test_a_player_s_breath_stays_and_the_rest_is_planned_around_it(coach: Coach) -> None:
    """A catch breath after the second note of measure 12, where none is planned."""
    coach("demo")
    assert "12.2" not in taken(planned(coach, "demo"))
    with pencil() as held:
        held.put(Breath("catch"), "12.2")
    row = taken(planned(coach, "demo"))["12.2"]
    assert (row["origin"], row["state"], row["size"], row["practice"]) == ("player", "kept", "catch", False)
    assert row["id"] and row["because"] == "" and row["air_after"] > row["air_before"]
    assert "12.2" in taken(planned(coach, "demo", "--percent", 60))


def test_a_struck_breath_is_not_suggested_again_and_what_cannot_work_is_told(coach: Coach, tmp_path: Path) -> None:
    """32 notes of a second at 0.20 L/s are 6.4 L. Where all breaths are struck again and again none is left, and 2.5 L
    are gone after 12.5 s, in the fourth measure."""
    bars = [Bar(QUARTERS, "4/4", SIXTY), *[Bar(QUARTERS)] * 7]
    coach("add", score(tmp_path, *bars))
    struck: set[str] = set()
    for _ in range(40):
        found = taken(planned(coach, "study", "--plain"))
        assert not struck & set(found)
        planned(coach, "study")
        with pencil() as held:
            for mark in held.prep.shown:
                if mark.kind == "breath":
                    struck.add(mark.at)
                    held.strike(mark.id)
        if not found:
            break
    document = planned(coach, "study", "--plain")
    assert taken(document) == {} and {row["at"] for row in breaths(document)} >= struck
    assert all(row["steals_s"] is None and row["state"] == "struck" for row in breaths(document))
    (trouble,) = document["troubles"]
    assert "out of air in measure 4" in trouble


def test_what_is_told_to_people(coach: Coach) -> None:
    out = coach("prepare", DEMO, "--breath", "--percent", 60).out
    rows = breaths(planned(coach, DEMO, "--percent", 60))
    assert all(row["because"] in out for row in rows)
    lines = [line.strip() for line in out.splitlines()]
    assert sum(line.startswith("practice: ") for line in lines) == sum(row["practice"] for row in rows)
    assert out.count("dizzy") == 1 and "no medical test" in out
    assert "dizzy" not in coach("prepare", DEMO, "--reminders").out


@pytest.mark.parametrize(
    ("option", "value"),
    [
        ("--air-litres", "0"),
        ("--air-litres", "100"),
        ("--air-litres", "-1"),
        ("--air-litres", "nan"),
        ("--air-litres", "much"),
        ("--air-flow", "pp=9"),
        ("--air-flow", "pp=0"),
        ("--air-flow", "loud=0.2"),
        ("--air-flow", "mf"),
        ("--air-reserve", "1"),
        ("--air-reserve", "-0.1"),
        ("--air-reserve", "some"),
    ],
)
def test_figures_that_are_no_person_s_are_told_in_a_sentence(coach: Coach, option: str, value: str) -> None:
    assert value in sentence(coach("prepare", DEMO, "--breath", f"{option}={value}"))


@pytest.mark.parametrize(("source", "percent"), [(DEMO, 100), (DEMO, 60), (WEBER, 100), (WEBER, 60)])
def test_a_note_sounds_as_long_as_its_breath_leaves_it(coach: Coach, source: object, percent: int) -> None:
    """Its sounding length is its place without the seconds that the breath takes, or less where it is played short. The
    place: to the onset of what sounds next, or of the rest; an ornament on the note or into the next one is left out,
    and so are the ends of the fermatas' measures, whose clock the document of render has in itself."""
    rows = taken(planned(coach, source, "--percent", percent))
    document = coach("render", source, "--json", "--percent", percent).document["notes"]
    page = {row["id"]: row for row in planned(coach, source)["notes"]}
    ends = {str(Fraction(row["onset"]) + Fraction(row["duration"])): row["id"] for row in page.values()}
    checked = 0
    for note, after in zip(document, document[1:], strict=False):
        end_q = Fraction(note["onset"]) + Fraction(note["duration"])
        breath = rows.get(ends.get(str(end_q), ""))
        if breath is None or Fraction(after["onset"]) != end_q or note["at"] == after["at"]:
            continue
        place_s = after["at_s"] - note["at_s"]
        assert note["length_s"] <= place_s - breath["steals_s"] + 1e-3, breath
        checked += breath["steals_s"] > 0
        if breath["steals_s"]:
            assert note["length_s"] == pytest.approx(place_s - breath["steals_s"], abs=1e-3), breath
    assert checked >= 3


def test_a_breath_in_a_rest_takes_nothing_and_a_short_rest_leaves_what_is_missing(coach: Coach, tmp_path: Path) -> None:
    """At quarter = 60: a rest of 1 s gives a full breath its 0.6 s; of an eighth's 0.5 s, 0.1 s are missing."""
    bars = [Bar((2, 2, 2, -2), "4/4", SIXTY), Bar((2, 2, 3, -1)), Bar(QUARTERS)]
    coach("add", score(tmp_path, *bars))
    with pencil() as held:
        held.put(Breath("full"), "1.3")
        held.put(Breath("full"), "2.3")
    rows = taken(planned(coach, "study"))
    assert (rows["1.3"]["steals_s"], rows["2.3"]["steals_s"]) == (0.0, 0.1)
    heard = {row["at"]: row["length_s"] for row in coach("render", "study", "--json").document["notes"]}
    assert heard["1.3"] == pytest.approx(1.0) and heard["2.3"] == pytest.approx(1.5 - 0.1)


def test_the_reference_breathes_more_often_in_slow_practice_and_never_when_plain(coach: Coach) -> None:
    slow = taken(planned(coach, DEMO, "--percent", 60))
    practice = next(row for row in slow.values() if row["practice"])

    def heard(*options: object) -> float:
        rows = coach("render", DEMO, "--json", *options).document["notes"]
        length: float = next(row["length_s"] for row in rows if row["at"] == practice["at"])
        return length

    slower, plain = heard("--percent", 60), heard("--percent", 60, "--plain")
    assert plain - slower == pytest.approx(practice["steals_s"], abs=0.051)  # or the tongue's own 0.03 s at 60 per cent
    assert heard() / 0.6 > slower + 0.2

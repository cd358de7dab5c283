"""coach fingering and the fingerings of coach prepare, as a player calls them.

The check values are common practice of the trade, as the issue states them: between a D sharp and a C sharp of the
clarion the D sharp is right and the C sharp left; a C sharp taken left and held into B sharp, D sharp, C sharp, B sharp
is swapped to the right while it is held, and the hands take turns from there. B sharp is the key of C.
"""

from pathlib import Path
from typing import Any

import pytest

from tests.cli.conftest import WEBER, Coach, sentence

TWELFTH_LOWER = "G#3 F#3:2 E#3 G#3 F#3 E#3"
CLARION = "D#5 C#5:2 B#4 D#5 C#5 B#4"
TURNS = ["R", "L>R", "L", "R", "L", "R"]


def notes(coach: Coach, *arguments: object) -> list[dict[str, Any]]:
    done = coach("fingering", *arguments, "--json")
    assert done.status == 0
    found: list[dict[str, Any]] = done.document["notes"]
    return found


@pytest.mark.parametrize("passage", [TWELFTH_LOWER, CLARION])
def test_the_held_note_is_swapped(coach: Coach, passage: str) -> None:
    document = coach("fingering", passage, "--json").document
    assert [note["choice"] for note in document["notes"]] == TURNS
    assert document["slides"] == 0
    held = document["notes"][1]
    assert held["when"] == "1"  # counting two, on the second
    # the keys of section A of the handbook: left F sharp/C sharp, then the right one
    assert set(held["controls"]) - set(held["then"]) == {"L_FS"}
    assert set(held["then"]) - set(held["controls"]) == {"R_FS"}
    assert "L_FC" in document["notes"][2]["controls"]  # B sharp is the key of C, E sharp the key of F


def test_it_prints_the_swap_and_says_why(coach: Coach) -> None:
    done = coach("fingering", TWELFTH_LOWER)
    assert done.status == 0 and done.err == ""
    words = " ".join(done.out.split())
    assert "F#3 L>R" in words and "Boehm clarinet, quarter = 60, slurred" in words
    assert "Left, because the G sharp before it has only a right-hand key; then right" in words
    assert "After 1 quarter add the right F#/C# key, then let the left F#/C# lever go." in words
    assert "No finger slides from key to key under a slur." in words


def test_too_fast_to_swap_it_says_so_and_what_would_help(coach: Coach) -> None:
    done = coach("fingering", TWELFTH_LOWER.replace(":2", ""), "--tempo", "400")
    words = " ".join(done.out.split())
    assert "A finger must slide from key to key, from" in words and "what would help: " in words
    for remedy in ("per cent of this tempo the hands can change", "tongue the", "with a left A-flat/E-flat lever"):
        assert remedy in words
    lever = coach("fingering", TWELFTH_LOWER.replace(":2", ""), "--tempo", "400", "--left-eflat-lever", "--json")
    assert lever.document["slides"] == 0


def test_tongued_notes_are_free(coach: Coach) -> None:
    quick = "D#5:1/4 C5:1/4 G#5:1/4 D#5:1/4"
    slurred = coach("fingering", quick, "--tempo", "120", "--json").document
    assert slurred["slides"] == 1 and slurred["remedies"]
    assert coach("fingering", quick, "--tempo", "120", "--tongued", "--json").document["slides"] == 0


def test_another_instrument_is_data(coach: Coach) -> None:
    done = coach("fingering", "Bb3 B3 C#4 G#4", "--instrument", "Alto Sax.")
    assert done.status == 0 and done.out.startswith("alto saxophone, ")
    assert "There is no fingering chart for zither; there are charts for" in sentence(
        coach("fingering", "C5", "--instrument", "zither")
    )


def test_what_cannot_be_fingered_is_named_and_the_rest_planned(coach: Coach) -> None:
    done = coach("fingering", "D#5 Hq C#5:2 B+4 C8 D5:0", "--json")
    assert done.status == 0
    assert [note["choice"] for note in done.document["notes"]] == ["R", "L", ""]
    lines = done.err.splitlines()
    assert len(lines) == 4 and all(line.startswith("coach: ") and line.endswith(".") for line in lines)
    for told in ("'Hq' is no note", "'B+4' is a quarter-tone", "'D5:0' has no length", "C8 lies above the range"):
        assert told in done.err


@pytest.mark.parametrize("text", ["", "Hq", "r:2"])
def test_nothing_to_finger(coach: Coach, text: str) -> None:
    assert "There is no note to finger" in sentence(coach("fingering", text))


@pytest.mark.parametrize("tempo", ["0", "fast", "nan", "9999"])
def test_a_tempo_that_is_none(coach: Coach, tempo: str) -> None:
    done = coach("fingering", "C5", "--tempo", tempo)
    assert done.status == 2 and "is no tempo; give quarters a minute" in done.err


def test_prepare_suggests_for_a_score_that_was_never_added_and_keeps_nothing(coach: Coach, home: Path) -> None:
    done = coach("prepare", WEBER, "--fingering", "--measures", "10-60", "--json")
    assert done.status == 0
    marks = done.document["marks"]
    assert {mark["kind"] for mark in marks} <= {"fingering", "swap"} and marks
    assert {(mark["origin"], mark["state"]) for mark in marks} == {("computed", "suggested")}
    assert all(mark["because"].endswith(".") for mark in marks)
    low_e = next(mark for mark in marks if mark["at"] == "34.1")  # E before G sharp, which is right alone
    assert (low_e["choice"], low_e["alternatives"], low_e["forced"]) == ("L", ["R"], True)
    assert {path.name for path in home.rglob("*.toml")} == {"settings.toml"}


def test_every_note_has_its_choice(coach: Coach) -> None:
    document = coach("prepare", WEBER, "--measures", "10-36", "--json").document
    sounding = [n["id"] for n in document["notes"] if n["tie"] not in ("stop", "continue")]
    assert [row["at"] for row in document["fingerings"]] == sounding
    assert all(row["choice"] for row in document["fingerings"])
    pressed = {row["at"]: set(row["controls"]) for row in document["fingerings"]}
    written = {n["id"]: n["written"] for n in document["notes"]}
    assert all(not pressed[at] for at in pressed if written[at] == "G4")  # open G: every clarinet chart has it so


def test_prepare_on_the_stand_keeps_what_the_player_decided(coach: Coach) -> None:
    from coach.lesson.desk import Desk
    from coach.lesson.marking import open_pencil
    from coach.lesson.stand import find, open_piece
    from coach.prepare.mark import Fingering

    coach("demo")
    first = coach("prepare", "demo", "--fingering", "--json").document["marks"]
    desk = Desk.open()
    piece = find(desk, "demo")
    pencil = open_pencil(desk, piece, open_piece(desk, piece))
    by_note = {mark.at: mark for mark in pencil.prep.marks}
    pencil.strike(by_note["1.5"].id)
    pencil.keep(by_note["3.1"].id)
    pencil.put(Fingering("R"), "11.4")
    desk.close()
    after = {mark["at"]: mark for mark in coach("prepare", "demo", "--fingering", "--json").document["marks"]}
    assert [after[at]["state"] for at in ("1.5", "3.1", "16.3")] == ["struck", "kept", "suggested"]
    assert {(m["at"], m["id"]) for m in first if m["at"] == "16.3"} == {("16.3", after["16.3"]["id"])}
    marks = coach("prepare", "demo", "--json").document["marks"]
    own = [mark for mark in marks if mark["at"] == "11.4" and mark["kind"] == "fingering"]
    assert [(m["origin"], m["choice"], m["state"]) for m in own if m["state"] != "struck"] == [("player", "R", "kept")]


def test_the_lever_and_the_tempo_of_prepare(coach: Coach) -> None:
    with_lever = coach("prepare", WEBER, "--fingering", "--measures", "34-36", "--left-eflat-lever", "--json")
    choices = {row["at"]: row["alternatives"] for row in with_lever.document["fingerings"]}
    assert "L" in choices["34.2"]  # G sharp has a left key too
    assert coach("prepare", WEBER, "--percent", "5").status == 2
    assert coach("prepare", WEBER, "--percent", "50", "--measures", "34-36").status == 0


def test_prepare_without_a_chart_still_tells_the_rest(coach: Coach) -> None:
    done = coach("prepare", "demo", "--json")
    assert done.status == 1  # not on the stand yet
    coach("demo")
    done = coach("prepare", "demo", "--instrument", "zither", "--json")
    assert done.status == 0 and "no fingering chart for zither" in done.err and done.document["fingerings"] == []
    assert coach("prepare", "demo", "--instrument", "zither", "--fingering").status == 1


def test_prepare_ends_with_the_five_hardest_changes(coach: Coach) -> None:
    """Weber at full tempo: first the throat A to the long B, over the break with nearly all fingers; of a stretch only
    those that stand in it."""
    lines = coach("prepare", WEBER, "--fingering").out.splitlines()
    at = lines.index("The hardest changes:")
    assert len(lines[at + 1 :]) == 5 and " A4-B4 (" in lines[at + 1]
    assert "into another register; if the left thumb is late" in lines[at + 1]
    lines = coach("prepare", WEBER, "--fingering", "--measures", "27-40").out.splitlines()
    told = lines[lines.index("The hardest changes:") + 1 :]
    assert told and all(27 <= int(line.split()[1].rstrip(",")) <= 40 for line in told)
    assert "The hardest changes" not in coach("prepare", WEBER, "--measures", "27-40").out

"""What `coach prepare` computes of ornaments, dynamics and reminders, as a document; shapes are in test_documents."""

from fractions import Fraction
from typing import Any

import pytest

from tests.cli.conftest import Coach


def computed(document: dict[str, Any], kind: str) -> list[dict[str, Any]]:
    return [mark for mark in document["marks"] if mark["kind"] == kind and mark["origin"] == "computed"]


def test_every_note_has_its_level_and_its_colour(coach: Coach) -> None:
    """A row for each pitched note beside the signs; relative to the part's loudest, so none is above 0 dB."""
    coach("demo")
    document = coach("prepare", "demo", "--json").document
    rows = [row for row in computed(document, "dynamic") if not row["sign"]]
    assert [row["at"] for row in rows] == [note["id"] for note in document["notes"] if not note["grace"]]
    assert max(row["level_db"] for row in rows) == 0 and all(0 <= row["colour"] <= 1 for row in rows)
    assert all(row["because"].endswith(".") and row["state"] == "suggested" for row in rows)
    # Printed in the demo: ff in measure 17, pp in measure 12 (read in its file)
    levels = {row["at"]: row["level_db"] for row in rows}
    assert levels["17.1"] > levels["12.1"] + 10


def test_the_notes_of_an_ornament_are_what_sounds(coach: Coach) -> None:
    """The trill of measure 25, a dotted whole (6 quarters), closed by the two graces printed after it; its notes fill
    the note and shrink up to the close, and the countable form fills it too."""
    coach("demo")
    document = coach("prepare", "demo", "--ornaments", "--json").document
    trill = next(mark for mark in document["marks"] if mark["at"] == "25.1")
    assert trill["shake"] and trill["what"] == "trill"
    lengths = [Fraction(note["duration"]) for note in trill["notes"]]
    onsets = [Fraction(note["onset"]) for note in trill["notes"]]
    assert onsets[0] == 0 and sum(lengths) == 6
    assert all(at + length == after for at, length, after in zip(onsets, lengths, onsets[1:], strict=False))
    assert [note["written"] for note in trill["notes"]][-2:] == ["Db5", "Eb5"]
    body = lengths[:-2]
    assert all(before > after for before, after in zip(body, body[1:], strict=False))
    assert sum(Fraction(word.split(":")[1]) for word in trill["ossia"].split()) == 6
    assert trill["alternatives"] and all(other["name"] and other["because"] for other in trill["alternatives"])
    assert all(other["ossia"] != trill["ossia"] or other["shake"] != trill["shake"] for other in trill["alternatives"])


def test_graces_are_taken_from_the_note_before(coach: Coach) -> None:
    """Measure 8 (content/README.md): two graces after a dotted half. Lyrical: the note before is shortened by them and
    the main note begins on its beat, 3 quarters in; treatise: they begin there."""
    coach("demo")
    onsets = {}
    for style in ("lyrical", "treatise"):
        document = coach("prepare", "demo", "--ornaments", "--style", style, "--json").document
        grace = next(mark for mark in document["marks"] if mark["at"] == "8.2")
        assert grace["style"] == style
        onsets[style] = {note["written"]: Fraction(note["onset"]) for note in grace["notes"]}
    assert onsets["lyrical"]["Ab4"] == 3 and onsets["lyrical"]["Db5"] < 3
    assert onsets["treatise"]["Db5"] == 3 and onsets["treatise"]["Ab4"] > 3


@pytest.mark.parametrize(
    ("options", "kinds"),
    [
        (["--ornaments"], {"ornament"}),
        (["--dynamics"], {"dynamic"}),
        (["--reminders"], {"reminder"}),
        (["--fingering", "--reminders"], {"fingering", "swap", "reminder"}),
        ([], {"breath", "fingering", "swap", "ornament", "dynamic", "reminder"}),
        (["--plain"], {"breath", "fingering", "swap", "dynamic", "reminder"}),
        (["--plain", "--ornaments"], set()),
    ],
)
def test_options_narrow(coach: Coach, options: list[str], kinds: set[str]) -> None:
    coach("demo")
    marks = coach("prepare", "demo", *options, "--json").document["marks"]
    assert {mark["kind"] for mark in marks} == kinds


def test_plain_has_the_printed_dynamics_alone(coach: Coach) -> None:
    coach("demo")
    shaped = computed(coach("prepare", "demo", "--dynamics", "--json").document, "dynamic")
    plain = computed(coach("prepare", "demo", "--dynamics", "--plain", "--json").document, "dynamic")
    assert [row["sign"] for row in plain if row["sign"]] == []
    assert [row["sign"] for row in shaped if row["sign"]]
    assert len(plain) == len([row for row in shaped if not row["sign"]])
    assert {row["level_db"] for row in plain} != {row["level_db"] for row in shaped}


def test_reminders_name_the_accidental_and_follow_the_density(coach: Coach) -> None:
    coach("demo")
    counts = {}
    for density in ("sparing", "usual", "full"):
        marks = coach("prepare", "demo", "--reminders", "--density", density, "--json").document["marks"]
        counts[density] = {(mark["at"], mark["text"], mark["of"]) for mark in marks}
        assert all(mark["because"].endswith(".") for mark in marks)
    assert counts["sparing"] < counts["usual"] < counts["full"]
    assert ("13.2", "B", "") in counts["usual"]  # C flat is printed there; its plain name is B

"""Graces: MusicXML 4.0 `grace` (attributes slash, steal-time-previous, steal-time-following, make-time). Which note
they belong to is trade practice; the rule is in `coach.files.musicxml.graces`."""

from fractions import Fraction
from pathlib import Path

from coach.files.score import read_score
from coach.files.source import corpus_folder
from tests.files.scores import line, note, read, said, score

SUITE = corpus_folder().parent / "musicxml" / "lilypondTestSuite"
SLASHED, PLAIN = '<grace slash="yes"/>', "<grace/>"


def grace(pitch: str = "D5", element: str = PLAIN, notations: str = "") -> str:
    return note(pitch, "16th", None, before=element, notations=notations)


def test_graces_belong_to_the_note_they_precede(tmp_path: Path) -> None:
    piece = read(score(note("C5", "half", 2) + grace("D5") + grace("E5", SLASHED) + note("F5", "half", 2)), tmp_path)
    first, second = line(piece)
    assert first.after_graces == ()
    assert [(one.id, one.pitch.name, one.slash) for one in second.graces] == [
        ("1.2g1", "D5", False),
        ("1.2g2", "E5", True),
    ]
    assert [one.id for one in line(piece)] == ["1.1", "1.2"]  # graces do not count


def test_graces_at_the_end_of_a_measure_or_before_a_rest_end_the_note_before(tmp_path: Path) -> None:
    piece = read(
        score(note("C5", "half", 2) + grace() + note("R", "half", 2), note("C5", "whole", 4) + grace()), tmp_path
    )
    notes = line(piece)
    assert [one.id for one in notes[0].after_graces] == ["1.1a1"]
    assert [one.id for one in notes[2].after_graces] == ["2.1a1"]


def test_a_termination_belongs_to_its_trill(tmp_path: Path) -> None:
    trill = "<ornaments><trill-mark/></ornaments>"
    pair = grace("B4") + grace("C5")
    piece = read(score(note("C5", "half", 2, notations=trill) + pair + note("D5", "half", 2)), tmp_path)
    assert [len(one.after_graces) for one in line(piece)] == [2, 0]
    single = score(note("C5", "half", 2, notations=trill) + grace("E5", SLASHED) + note("D5", "half", 2))
    assert [len(one.graces) for one in line(read(single, tmp_path))] == [0, 1]


def test_stolen_time_alone_moves_nothing(tmp_path: Path) -> None:
    stealing = '<grace steal-time-previous="25"/>'
    piece = read(score(note("C5", "half", 2) + grace("D5", stealing) + note("F5", "half", 2)), tmp_path)
    assert [one.steal_previous for one in line(piece)[1].graces] == [25.0]
    ends = '<slur type="stop" number="1"/>'
    begins = note("C5", "half", 2, notations='<slur type="start" number="1"/>')
    piece = read(score(begins + grace("D5", stealing, ends) + note("F5", "half", 2)), tmp_path)
    assert [one.id for one in line(piece)[0].after_graces] == ["1.1a1"]


def test_time_that_is_made_and_stolen(tmp_path: Path) -> None:
    elements = '<grace steal-time-following="33.5" slash="no"/>', '<grace make-time="2"/>'
    piece = read(
        score(grace("D5", elements[0]) + grace("E5", elements[1]) + note("C5", "whole", 16), divisions=4), tmp_path
    )
    first, second = line(piece)[0].graces
    assert (first.steal_following, first.steal_previous, first.slash) == (33.5, None, False)
    assert second.make_time_q == Fraction(1, 2)


def test_graces_after_a_rest_wait_for_the_next_measure(tmp_path: Path) -> None:
    piece = read(score(note("R", "whole", 4) + grace(), note("C5", "whole", 4)), tmp_path)
    assert [one.id for one in line(piece)[1].graces] == ["2.1g1"]


def test_a_grace_that_nothing_follows_is_said(tmp_path: Path) -> None:
    piece = read(score(note("C5", "whole", 4), note("R", "whole", 4) + grace()), tmp_path)
    assert "Grace notes that no note follows are left out." in said(piece)


def test_a_chord_of_graces_is_one(tmp_path: Path) -> None:
    chord = grace("D5") + note("F5", "16th", None, before="<grace/><chord/>")
    piece = read(score(chord + note("C5", "whole", 4)), tmp_path)
    (only,) = line(piece)[0].graces
    assert (only.pitch.name, [pitch.name for pitch in only.chord]) == ("F5", ["D5"])


def test_after_graces_of_the_test_suite() -> None:
    """24d: one measure of half E, three graces, half E, two graces at its end (its own description)."""
    first, second = read_score(SUITE / "24d-AfterGrace.xml").part.measures[0].notes[:2]
    assert [one.pitch.name for one in second.graces] == ["G5", "A5", "A5"]
    assert len(second.after_graces) > 0 and first.after_graces == ()
    assert second.graces[0].steal_previous == 20.0 and second.graces[1].steal_following == 20.0

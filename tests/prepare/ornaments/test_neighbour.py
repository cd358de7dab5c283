"""The neighbours of a note, spelled. Common practice of notation: an accidental holds for its staff position up to the
barline, one over the barline by a tie holds for that note alone; MusicXML 4.0 for accidental-mark and its placement."""

from dataclasses import replace

from coach.music.measure import Change
from coach.music.metre import Key
from coach.music.note import Ornament
from coach.music.part import Part
from coach.prepare.ornaments.neighbour import neighbour
from tests.prepare.ornaments.pages import F, page


def names(of: Part, at: str, measure: int = 0) -> tuple[str, str]:
    """The upper and the lower neighbour of a note."""
    place = of.measures[measure]
    note = next(one for one in place.notes if one.id == at)
    found = [neighbour(place, note, upper=upper) for upper in (True, False)]
    return tuple(one.name if one else "" for one in found)  # type: ignore[return-value]


def test_by_the_key() -> None:
    """F sharp and C sharp in two sharps; B flat, E flat and A flat in three flats; E and B sharp in seven."""
    assert names(page("E5:4", key=2), "1.1") == ("F#5", "D5")
    assert names(page("D5:4", key=2), "1.1") == ("E5", "C#5")
    assert names(page("G4:4", key=-3), "1.1") == ("Ab4", "F4")
    assert names(page("A#4:4", key=7), "1.1") == ("B#4", "G#4")
    assert names(page("C#5:4", key=7), "1.1") == ("D#5", "B#4")


def test_an_earlier_accidental_of_the_measure() -> None:
    assert names(page("F#5:1 G5:1 F5:1 E5:1"), "1.2") == ("A5", "F#5")
    assert names(page("F#5:1 G5:1 F5:1 E5:1"), "1.4") == ("F5", "D5")  # the last one holds
    assert names(page("F#4:1 E5:3"), "1.2") == ("F5", "D5")  # not in another octave
    assert names(page("F#5:4", "E5:4"), "2.1", 1) == ("F5", "D5")  # not over the barline
    assert names(page("E5:1 F#5:3"), "1.1") == ("F5", "D5")  # not before it


def test_accidentals_of_graces_count() -> None:
    assert names(page("F#5:g G5:1 E5:3"), "1.2") == ("F#5", "D5")
    assert names(page("G5:2 F#5:g E5:2"), "1.2") == ("F#5", "D5")


def test_a_tie_over_the_barline_carries_its_accidental_for_that_note_alone() -> None:
    assert names(page("F#5:4~", "F#5:1 E5:3"), "2.2", 1) == ("F5", "D5")
    assert names(page("F#5:2~ F#5:1 E5:1"), "1.3") == ("F#5", "D5")


def test_marks_of_the_ornament_come_first() -> None:
    turn = Ornament("turn", (("above", "flat"), ("below", "sharp")))
    assert names(page("F#5:1 E5:1 D5:2", ornaments={"1.3": turn}), "1.3") == ("Eb5", "C#5")
    trill = Ornament("trill-mark", (("below", "flat"),))
    assert names(page("G5:4", ornaments={"1.1": trill}), "1.1") == ("Ab5", "F5")
    mordent = Ornament("mordent", (("above", "sharp"),))  # it has no other neighbour
    assert names(page("G5:4", ornaments={"1.1": mordent}), "1.1") == ("A5", "F#5")
    strange = Ornament("turn", (("above", "quarter-sharp"),))
    assert names(page("G5:4", ornaments={"1.1": strange}), "1.1") == ("A5", "F5")


def test_a_key_that_changes_inside_the_measure() -> None:
    base = page("F#5:1 E5:1 E5:2")
    changed = replace(base.measures[0], changes=(Change(F(2), Key(-6)),))
    part = replace(base, measures=(changed,))
    assert names(part, "1.2") == ("F#5", "D5")
    assert names(part, "1.3") == ("F5", "Db5")  # six flats: B E A D G C


def test_a_rest_has_none() -> None:
    assert names(page("r:4"), "1.r1") == ("", "")

"""A part as the hands meet it: ties joined, rests and breaths as silence, graces and trills."""

from dataclasses import replace
from fractions import Fraction

import pytest

from coach.instruments.planning import Planner
from coach.music.note import Ornament
from coach.music.part import Part
from coach.music.pitch import parse_pitch
from coach.prepare.fingering import hands_of, marks_from
from coach.prepare.hands import BREATH_S, GRACE_S, page_id, steps_of
from coach.prepare.mark import Alteration, Fingering, Mark
from tests.instruments.clarinet import clarinet
from tests.prepare.factory import part, prep_over


def with_ornament(base: Part, note_id: str, ornament: Ornament) -> Part:
    """The part with an ornament at a note."""
    measures = tuple(
        replace(m, notes=tuple(replace(n, ornaments=(ornament,)) if n.id == note_id else n for n in m.notes))
        for m in base.measures
    )
    return replace(base, measures=measures)


def test_a_chain_of_ties_is_one_step() -> None:
    found = steps_of(part("C5:2 D5:2~", "D5:1 E5:3"), 0.5)
    assert [(one.id, one.midi, one.length_s, one.length_q) for one in found] == [
        ("1.1", 72.0, 1.0, Fraction(2)),
        ("1.2", 74.0, 1.5, Fraction(3)),
        ("2.2", 76.0, 1.5, Fraction(3)),
    ]


def test_rests_are_silence_after_a_note() -> None:
    found = steps_of(part("r:1 C5:1 r:1 r:1/2 D5:1/2"), 0.4)
    assert [(one.gap_s, one.joined) for one in found] == [(0.4 + 0.2, False), (0.0, False)]


def test_a_breath_takes_time_from_its_note() -> None:
    (first, _) = steps_of(part("C5:2 D5:2"), 0.5, breaths=frozenset({"1.1"}))
    assert (first.length_s, first.gap_s, first.joined) == (1.0 - BREATH_S, BREATH_S, False)


def test_a_breath_in_a_rest_takes_only_what_is_missing() -> None:
    """Quarters of 0.5 s: a quarter rest is longer than the breath, a sixteenth's 0.125 s lack the rest of it."""
    for rest, missing in (("r:1", 0.0), ("r:1/4", BREATH_S - 0.125), ("r:1/8 r:1/8", BREATH_S - 0.125)):
        (first, _) = steps_of(part(f"C5:2 {rest} D5:1"), 0.5, breaths=frozenset({"1.1"}))
        assert first.length_s == pytest.approx(1.0 - missing), rest
        assert first.gap_s == pytest.approx(max(BREATH_S, 0.5 if rest == "r:1" else 0)), rest


def test_graces_are_short_steps_of_their_own() -> None:
    found = steps_of(part("C5:1 Db5:g C5:g D5:3"), 0.5)
    assert [(one.id, one.length_s) for one in found[1:3]] == [("1.2g1", GRACE_S), ("1.2g2", GRACE_S)]
    assert found[3].id == "1.2"


def test_the_players_own_fingering_is_kept_with_its_note() -> None:
    found = steps_of(part("C5:2 D5:2"), 0.5, fixed={"1.1": "L"})
    assert [one.fixed for one in found] == ["L", None]


def test_beats_are_counted_from_the_note() -> None:
    found = steps_of(part("C5:1/2 D5:2 E5:3/2"), 0.5)
    assert [one.to_beat_q for one in found] == [0, Fraction(1, 2), Fraction(1, 2)]


def test_the_upper_note_of_a_trill() -> None:
    """By the accidental over it, else an earlier one in the measure, else the key (design, section 4.2)."""
    plain = with_ornament(part("E5:4"), "1.1", Ornament("trill-mark"))
    flat = with_ornament(part("E5:4"), "1.1", Ornament("trill-mark", (("above", "sharp"),)))
    earlier = with_ornament(part("F#5:2 E5:2"), "1.2", Ornament("trill-mark"))
    assert steps_of(plain, 0.5)[0].trill == 77
    assert steps_of(flat, 0.5)[0].trill == 78
    assert steps_of(earlier, 0.5)[1].trill == 78


def altered(*names: str) -> Alteration:
    return Alteration(tuple(map(parse_pitch, names)))


def test_what_is_played_in_a_notes_place_is_planned() -> None:
    """F4 is 65: the whole tied note, four and one quarters of half a second."""
    of = part("C5:4~", "C5:1 E5:3")
    found = steps_of(of, 0.5, alterations={"1.1": altered("F4")})
    assert [(one.id, one.midi, one.length_s) for one in found] == [("1.1", 65, 2.5), ("2.2", 76, 1.5)]


def test_several_notes_in_the_place_of_one_share_its_length_under_ids_of_their_own() -> None:
    of = part("C5:3 E5:1")
    found = steps_of(of, 0.5, alterations={"1.1": altered("F4", "A4", "C5")})
    assert [(one.id, one.name) for one in found] == [
        ("1.1", "F4"),
        ("1.1+1", "A4"),
        ("1.1+2", "C5"),
        ("1.2", "E5"),
    ]
    assert {one.length_q for one in found} == {Fraction(1)}
    assert {page_id(one.id) for one in found} == {"1.1", "1.2"}


def test_a_breath_after_an_altered_note_is_taken_at_its_end() -> None:
    """Of a note of a quarter, half a second, no more than half."""
    found = steps_of(part("C5:2 D5:2"), 0.5, breaths=frozenset({"1.1"}), alterations={"1.1": altered("F4", "G4")})
    assert [one.gap_s for one in found] == [0.0, 0.25, 0.0]


def test_the_fingerings_are_those_of_the_notes_played_and_no_mark_stands_off_the_page() -> None:
    """B4, C#5 and D#5 in a row are taken by the little fingers in turn (the Boehm clarinet, with the left lever); the
    open G4 that is printed asks for none."""
    of = part("G4:1 G4:1 G4:1 G4:1")
    marks = [
        Mark("a", "1.2", altered("B4", "C#5", "D#5", "B4")),
        Mark("b", "1.3", altered("B4"), state="struck"),
        Mark("c", "1.1", Fingering("std")),
    ]
    planned = hands_of(Planner(clarinet()), of, 0.5, prep_over(of, *marks))
    assert [note.chosen.step.name for note in planned.notes] == ["G4", "B4", "C#5", "D#5", "B4", "G4", "G4"]
    assert [note.sign for note in planned.notes[1:5]] in (["L", "R", "L", "R"], ["R", "L", "R", "L"])
    assert any(note.matters and note.at == "1.2+2" for note in planned.notes)
    ids = iter("abcdefgh")
    assert {mark.at for mark in marks_from(planned, prep_over(of), lambda: next(ids))} <= {"1.1", "1.2", "1.3", "1.4"}

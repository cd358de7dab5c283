"""A part as the hands meet it: ties joined, rests and breaths as silence, graces and trills."""

from dataclasses import replace
from fractions import Fraction

from coach.music.note import Ornament
from coach.music.part import Part
from coach.prepare.hands import BREATH_S, GRACE_S, steps_of
from tests.prepare.factory import part


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

"""Turns as exact notes. Sources: C. P. E. Bach 1753, ch. 2, and any table of ornaments (common practice, from memory);
MusicXML 4.0 for the kinds and `slash`; key signatures for the neighbours."""

import pytest

from coach.music.note import Ornament
from tests.prepare.ornaments.pages import all_words, first, page, ways


def turned(text: str, kind: str = "turn", quarter_s: float = 1.0, style: str = "lyrical", **attributes: str) -> str:
    """A turn on the second note."""
    ornament = Ornament(kind, attributes=tuple(attributes.items()))
    return first(page(text, ornaments={"1.2": ornament}), "1.2", style, quarter_s)


def test_a_short_note_is_turned_evenly() -> None:
    """A quarter at 80: four sixteenths of 0.19 s; an eighth at 90: four thirty-seconds."""
    assert turned("A4:1 C5:1 E5:2", quarter_s=0.75) == "D5:1/4 C5:1/4 B4:1/4 C5:1/4"
    assert turned("A4:1 C5:1/2 E5:5/2", quarter_s=2 / 3) == "D5:1/8 C5:1/8 B4:1/8 C5:1/8"


def test_a_longer_one_begins_with_a_triplet_and_is_held() -> None:
    assert turned("A4:1 C5:1 E5:2") == "D5:1/6 C5:1/6 B4:1/6 C5:1/2"
    assert turned("A4:1 C5:2 E5:1") == "D5:1/6 C5:1/6 B4:1/6 C5:3/2"
    assert turned("A4:1 C5:3/2 E5:3/2") == "D5:1/6 C5:1/6 B4:1/6 C5:1"


def test_the_styles_agree() -> None:
    assert turned("A4:1 C5:2 E5:1") == turned("A4:1 C5:2 E5:1", style="treatise")


@pytest.mark.parametrize(
    ("kind", "attributes"), [("inverted-turn", {}), ("turn", {"slash": "yes"}), ("inverted-vertical-turn", {})]
)
def test_from_below(kind: str, attributes: dict[str, str]) -> None:
    assert turned("A4:1 C5:2 E5:1", kind, 1.0, "lyrical", **attributes) == "B4:1/6 C5:1/6 D5:1/6 C5:3/2"


def test_between_two_notes() -> None:
    """The note, then upper, main, lower, main as four quick ones: an eighth and four thirty-seconds of a quarter."""
    assert turned("A4:1 C5:1 E5:2", "delayed-turn") == "C5:1/2 D5:1/8 C5:1/8 B4:1/8 C5:1/8"
    assert turned("A4:1 C5:2 E5:1", "delayed-turn", 0.5) == "C5:1 D5:1/4 C5:1/4 B4:1/4 C5:1/4"
    assert turned("A4:1 C5:2 E5:1", "delayed-inverted-turn", 0.5) == "C5:1 B4:1/4 C5:1/4 D5:1/4 C5:1/4"


def test_on_a_dotted_note_it_stands_before_the_dot() -> None:
    """A dotted quarter: an eighth, a triplet of sixteenths, an eighth."""
    assert turned("A4:1 C5:3/2 D5:1/2 E5:1", "delayed-turn") == "C5:1/2 D5:1/6 C5:1/6 B4:1/6 C5:1/2"
    assert turned("A4:1 C5:3 D5:1", "delayed-turn") == "C5:3/2 D5:1/6 C5:1/6 B4:1/6 C5:1"


def test_before_its_own_repetition_it_leaves_out_its_last_note() -> None:
    assert turned("A4:1 C5:1 C5:2", "delayed-turn") == "C5:1/2 D5:1/6 C5:1/6 B4:1/6"


def test_its_neighbours_are_those_of_the_key_the_measure_and_its_marks() -> None:
    """Three flats have A, B and E flat; a natural and a sharp are printed over and under."""
    flats = page("G4:2 r:2", key=-3, ornaments={"1.1": Ornament("turn")})
    assert first(flats, "1.1") == "Ab4:1/6 G4:1/6 F4:1/6 G4:3/2"
    marks = Ornament("turn", (("above", "natural"), ("below", "sharp")))
    marked = page("G4:2 r:2", key=-3, ornaments={"1.1": marks})
    assert first(marked, "1.1") == "A4:1/6 G4:1/6 F#4:1/6 G4:3/2"
    earlier = page("F#4:2 G4:2", key=-3, ornaments={"1.2": Ornament("turn")})
    assert first(earlier, "1.2") == "Ab4:1/6 G4:1/6 F#4:1/6 G4:3/2"


def test_too_short_for_a_turn_is_played_all_the_same() -> None:
    of = page("A4:1/4 C5:1/16 E5:59/16", ornaments={"1.2": Ornament("turn")})
    found = ways(of, quarter_s=0.4)["1.2"]
    assert [note.pitch.name for note in found[0].content.notes if note.pitch] == ["D5", "C5", "B4", "C5"]
    assert "hardly room" in found[0].because


def test_on_a_tie_it_uses_the_whole_length() -> None:
    of = page("C5:4~", "C5:2 D5:2", ornaments={"2.1": Ornament("delayed-turn")})
    assert first(of, "1.1") == "C5:11/2 D5:1/8 C5:1/8 B4:1/8 C5:1/8"


def test_at_the_end_of_a_tie_it_has_the_neighbours_of_its_first_note() -> None:
    of = page("D#5:1 C5:3~", "C5:2 r:2", ornaments={"2.1": Ornament("turn")})
    assert first(of, "1.2") == "D#5:1/6 C5:1/6 B4:1/6 C5:9/2"


def test_the_highest_note_has_its_neighbour() -> None:
    of = page("C7:4", ornaments={"1.1": Ornament("turn")})
    assert first(of, "1.1").startswith("D7:")


def test_there_is_always_another_way() -> None:
    for kind in ("turn", "inverted-turn", "delayed-turn", "delayed-inverted-turn", "haydn"):
        for text in ("C5:1/4", "C5:1", "C5:3/2", "C5:4"):
            for quarter_s in (0.3, 1.0):
                of = page(text, ornaments={"1.1": Ornament(kind)})
                assert len(all_words(of, "1.1", quarter_s=quarter_s)) > 1


def test_haydns_sign() -> None:
    """From memory: main, upper, main, lower, main."""
    assert turned("A4:1 C5:2 E5:1", "haydn") == "C5:1/8 D5:1/8 C5:1/8 B4:1/8 C5:3/2"

"""What is drawn of ornaments that meet: cut as they are played (the docstring of `Ornament`), the times by hand."""

from fractions import Fraction as F

from hypothesis import given
from hypothesis import strategies as st

from coach.music.pitch import parse_pitch
from coach.prepare.mark import Alteration, Mark, Ornament, OssiaNote, Shake
from coach.prepare.ossia import parse_ossia
from coach.prepare.written_out import MOST_DRAWN, Written, written_out
from tests.prepare.factory import part

PART = part("C5:1 D5:2 E5:1", "F5:2 E5:g F5:g G5:2")


def grid(notes: tuple[Written, ...]) -> list[tuple[str, str, str]]:
    return [(one.pitch.name if one.pitch else "r", str(one.onset_q), str(one.length_q)) for one in notes]


def ornament(text: str) -> Ornament:
    return Ornament(parse_ossia(text), "turn", "lyrical")


def test_graces_cut_the_ornament_of_the_note_before() -> None:
    """The turn of F5 lasts two quarters from 4; the graces begin at 5 1/2."""
    turn = Mark("a", "2.1", ornament("F5:1 G5:1/4 F5:1/4 E5:1/4 F5:1/4"))
    graces = Mark("b", "2.2", ornament("F5:3/2 E5:1/4 F5:1/4 G5:2"))
    joined = written_out(PART, [graces, turn])
    assert len(joined) == 1
    assert grid(joined[0]) == [
        ("F5", "4", "1"),
        ("G5", "5", "1/4"),
        ("F5", "21/4", "1/4"),
        ("E5", "11/2", "1/4"),
        ("F5", "23/4", "1/4"),
        ("G5", "6", "2"),
    ]
    assert [one.mark.id for one in joined[0]] == ["a"] * 3 + ["b"] * 3


def test_those_that_only_touch_or_share_a_note_stay_apart() -> None:
    first, second = Mark("a", "1.1", ornament("C5:1/2 D5:1/2")), Mark("b", "1.2", ornament("@1 D5:1 E5:1"))
    assert [len(one) for one in written_out(PART, [first, second])] == [2, 2]
    again = Mark("c", "1.2", ornament("@1 E5:1 D5:1"))
    assert len(written_out(PART, [second, again])) == 2
    assert written_out(PART, [Mark("d", "9.1", ornament("E5:1"))]) == ()


def test_an_alteration_shares_the_length_of_its_note() -> None:
    mark = Mark("a", "1.2", Alteration((parse_pitch("G4"), parse_pitch("A4"))))
    assert grid(written_out(PART, [mark])[0]) == [("G4", "1", "1"), ("A4", "2", "1")]
    grace = Mark("a", "2.2g1", Alteration((parse_pitch("D5"),)))
    assert grid(written_out(PART, [grace])[0]) == [("D5", "6", "0")]


@given(st.integers(2, 120))
def test_a_long_trill_is_drawn_as_a_held_note_and_its_close(count: int) -> None:
    """Whatever is drawn fills the time of the note: 2 quarters from 1."""
    close = (parse_pitch("C5"), parse_pitch("D5"))
    shake = Shake(parse_pitch("E5"), F(1), F(2), F(2), F(9), "steady", "main", close, F(1, 4))
    body = [OssiaNote(parse_pitch("DE"[k % 2] + "5"), 1 + k * F(3, 2) / count, F(3, 2) / count) for k in range(count)]
    notes = (*body, OssiaNote(close[0], F(5, 2), F(1, 4)), OssiaNote(close[1], F(11, 4), F(1, 4)))
    drawn = written_out(PART, [Mark("a", "1.2", Ornament(notes, "trill", "", shake))])[0]
    assert sum(one.length_q for one in drawn) == 2 and drawn[0].onset_q == 1
    if count + 2 > MOST_DRAWN:
        assert grid(drawn) == [("D5", "1", "3/2"), ("C5", "5/2", "1/4"), ("D5", "11/4", "1/4")]
        assert [one.label for one in drawn] == ["tr 2-9", "", ""]
    else:
        assert len(drawn) == count + 2 and not any(one.label for one in drawn)

"""Lengths and places: the notated value counts (design.md, section 3); a file rounds."""

from fractions import Fraction
from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st

from coach.files.musicxml.position import Position, snap
from tests.files.scores import line, note, read, said, score

THIRD = "<time-modification><actual-notes>3</actual-notes><normal-notes>2</normal-notes></time-modification>"
BACK = "<backup><duration>{}</duration></backup>"
WALTZ = (
    "<attributes><divisions>{divisions}</divisions><time><beats>3</beats><beat-type>4</beat-type></time></attributes>"
)


def test_rounded_triplets_are_exact_and_do_not_shift_the_next_voice(tmp_path: Path) -> None:
    triplet = "".join(note("C5", "eighth", 341, THIRD) for _ in range(3))  # 1023 of 1024 divisions
    first = triplet + note("D5", "half", 2048) + note("E5", "quarter", 1024)
    second = note("C4", "half", 2048, voice="2") + note("D4", "half", 2048, voice="2")
    piece = read(score(first + BACK.format(4095) + second, divisions=1024), tmp_path)
    assert [one.onset_q for one in line(piece)] == [0, Fraction(1, 3), Fraction(2, 3), 1, 3]
    assert [one.onset_q for one in piece.part.measures[0].others] == [0, 2]


def test_a_backup_into_the_middle_finds_the_exact_place(tmp_path: Path) -> None:
    triplet = "".join(note("C5", "eighth", 33, THIRD) for _ in range(3))  # 99 of 100 divisions
    first = triplet * 2 + note("D5", "half", 200)
    second = note("C4", "half", 200, voice="2")
    piece = read(score(first + BACK.format(299) + second, divisions=100), tmp_path)
    assert [one.onset_q for one in piece.part.measures[0].others] == [1]


def test_a_rest_of_a_measure_lasts_the_measure(tmp_path: Path) -> None:
    filled = note("C5", "half", 2, "<dot/>")
    rests = ('<note><rest measure="yes"/><duration>3</duration></note>', note("R", "whole", 3), note("R", "whole", 4))
    piece = read(score(filled, *rests, head=WALTZ), tmp_path)
    assert [one.length_q for one in line(piece)] == [3, 3, 3, 3]


def test_no_type_leaves_the_duration(tmp_path: Path) -> None:
    piece = read(score(note("C5", "", 3) + note("D5", "", 1), divisions=1), tmp_path)
    first, second = line(piece)
    assert [first.length_q, second.length_q] == [3, 1]
    assert first.value is not None and first.value.name == "dotted half"


def test_contradictions_are_settled_by_what_fills_the_measure(tmp_path: Path) -> None:
    bare_triplet = "".join(note("C5", "eighth", 8) for _ in range(3))  # printed without its 3; durations of a third
    piece = read(score(bare_triplet + note("D5", "half", 72, "<dot/>"), divisions=24), tmp_path)
    assert [one.length_q for one in line(piece)] == [Fraction(1, 3)] * 3 + [3]
    assert [one.value and one.value.name for one in line(piece)[:3]] == ["eighth (3 in 2)"] * 3
    assert "the durations fill the measure and stand" in said(piece)
    wrong = read(score(note("C5", "half", 3) + note("D5", "half", 2)), tmp_path)
    assert [one.length_q for one in line(wrong)] == [2, 2]


def test_a_tremolo_between_two_notes_halves_them(tmp_path: Path) -> None:
    """MusicXML 4.0: each note carries the whole value and a time-modification of 2 in the time of 1."""
    ratio = "<time-modification><actual-notes>2</actual-notes><normal-notes>1</normal-notes></time-modification>"
    tremolo = '<ornaments><tremolo type="{}">3</tremolo></ornaments>'
    pair = note("C5", "whole", 2, ratio, tremolo.format("start")) + note(
        "E5", "whole", 2, ratio, tremolo.format("stop")
    )
    first, second = line(read(score(pair), tmp_path))
    assert [first.length_q, second.onset_q] == [2, 2]
    assert (first.ornaments[0].text, dict(first.ornaments[0].attributes)) == ("3", {"type": "start"})


def test_divisions_may_change_inside_a_measure(tmp_path: Path) -> None:
    change = "<attributes><divisions>12</divisions></attributes>"
    first = note("C5", "half", 2) + change + note("D5", "half", 24)
    piece = read(score(first + BACK.format(36) + note("E4", "", 36, voice="2")), tmp_path)
    assert [one.onset_q for one in line(piece)] == [0, 2]
    (beside,) = piece.part.measures[0].others
    assert [beside.onset_q, beside.length_q] == [1, 3]


def test_a_short_voice_is_filled_with_rests(tmp_path: Path) -> None:
    forward = "<forward><duration>2</duration></forward>"
    piece = read(score(note("C5", "quarter", 1) + forward + note("D5", "quarter", 1)), tmp_path)
    assert [one.is_rest for one in line(piece)] == [False, True, False]
    assert [one.onset_q for one in line(piece)] == [0, 1, 3]
    assert [one.length_q for one in line(piece)] == [1, 2, 1]


@given(st.integers(0, 200), st.sampled_from([1, 2, 3, 4, 6, 8, 12, 16]), st.sampled_from([96, 480, 768, 1024, 10080]))
def test_snap_finds_what_was_rounded(numerator: int, denominator: int, divisions: int) -> None:
    exact = Fraction(numerator, denominator)
    assert snap(Fraction(round(exact * divisions), divisions), divisions) == exact


@given(
    st.lists(st.sampled_from([Fraction(1, 3), Fraction(1, 5), Fraction(1, 7), Fraction(1, 4)]), min_size=1, max_size=12)
)
@settings(max_examples=200)
def test_every_place_is_found_again(lengths: list[Fraction]) -> None:
    """Going back by the file's rounded durations leads to the exact onsets that were passed."""
    position = Position(1024)
    passed = [(0, Fraction(0))]
    for length in lengths:
        duration = round(length * 1024)
        position.advance(duration, length)
        passed.append((passed[-1][0] + duration, position.exact))
    for place, exact in reversed(passed):
        position.move(place - passed[-1][0])
        assert position.exact == exact
        position.move(passed[-1][0] - place)

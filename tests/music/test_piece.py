"""Pieces: measures by name, stretches, notes."""

from fractions import Fraction

import pytest

from coach.errors import RequestError
from coach.music.measure import Measure
from coach.music.metre import Clef, Key, Metre
from coach.music.note import Note
from coach.music.part import Part
from coach.music.piece import Piece, Span, parse_measures
from coach.music.pitch import Pitch, Transposition
from coach.music.tempo import Tempo, TempoMark

BAR = Fraction(3)


def measure(k: int, name: str, number: str) -> Measure:
    note = Note(f"{name}.1", Pitch("C", 0, 5), k * BAR, Fraction(2), name, Fraction(1))
    rest = Note(f"{name}.r1", None, k * BAR + 2, Fraction(1), name, Fraction(3))
    return Measure(name, number, k * BAR, BAR, Metre(3, 4), Key(), Clef(), (note, rest))


@pytest.fixture
def piece() -> Piece:
    names = (("0", "0"), ("1", "1"), ("1~2", "1"), ("2", "2"))
    bars = tuple(measure(k, name, number) for k, (name, number) in enumerate(names))
    changes = ((Fraction(6), Transposition(-2, -3)),)
    part = Part("P1", "Clarinet", "Clarinet", Transposition(-1, -2), bars, transposition_changes=changes)
    return Piece(
        "A piece", "", part, tempos=(TempoMark(Fraction(0), None, "Lento"), TempoMark(BAR, Tempo(Fraction(54))))
    )


def test_measures_by_id_or_number(piece: Piece) -> None:
    assert [piece.measure_index(name) for name in ("0", "1", "1~2", "2")] == [0, 1, 2, 3]
    with pytest.raises(RequestError, match="A piece has no measure 7; its measures run from 0 to 2"):
        piece.measure_index("7")


def test_stretches(piece: Piece) -> None:
    assert piece.span("1", "2") == Span(1, 3)
    assert [piece.start_q(Span(1, 3)), piece.end_q(Span(1, 3))] == [3, 12]
    assert [one.id for one in piece.measures(Span(1, 2))] == ["1", "1~2"]
    assert piece.whole() == Span(0, 3)
    with pytest.raises(RequestError, match="run backwards"):
        piece.span("2", "0")


@pytest.mark.parametrize(("text", "range_"), [("5-12", ("5", "12")), ("7", ("7", "7")), (" 1 - 1~2 ", ("1", "1~2"))])
def test_ranges(text: str, range_: tuple[str, str]) -> None:
    assert parse_measures(text) == range_


@pytest.mark.parametrize("text", ["", "-", "5-", "-5", "  "])
def test_what_is_no_range(text: str) -> None:
    with pytest.raises(RequestError, match="write it like 5-12"):
        parse_measures(text)


def test_notes(piece: Piece) -> None:
    assert [note.id for note in piece.part.pitched()] == ["0.1", "1.1", "1~2.1", "2.1"]
    assert len(list(piece.part.notes())) == 8
    assert piece.note("1~2.1").onset_q == 6
    with pytest.raises(RequestError, match=r"has no note 9\.1"):
        piece.note("9.1")
    assert piece.part.end_q == piece.part.measures[-1].end_q == 12


def test_the_first_number_is_the_tempo(piece: Piece) -> None:
    assert piece.first_tempo == Tempo(Fraction(54))


def test_the_transposition_at_an_onset(piece: Piece) -> None:
    assert piece.part.transposition_at(Fraction(5)).semitones == -2
    assert piece.part.transposition_at(Fraction(6)).semitones == -3

"""The texts that marks are written over name the notes as the reader does."""

import pytest

from coach.files.score import read_score
from coach.prepare.over import measure_text, place_key, places, signs, written_over
from tests.prepare.factory import part


def test_a_measure_in_text() -> None:
    of = part("Db5:1 C5:g D5:g Eb5:1/2 r:1")
    assert measure_text(of.measures[0]) == "Db5:1 C5:g D5:g Eb5:1/2 r:1"


@pytest.mark.parametrize("source", ["content/pieces/demo.musicxml", "corpus:weber/concertino_clarinet"])
def test_the_texts_imply_the_ids_and_onsets_that_the_reader_gave(source: str) -> None:
    """Against the reader, which gives ids while it reads the file (a real part with graces, rests and ties)."""
    of = read_score(source).part
    wanted = []
    for measure in of.measures:
        for note in measure.notes:
            at_q = note.onset_q - measure.onset_q
            wanted += [(grace.id, at_q) for grace in note.graces]
            wanted += [(note.id, at_q)]
            wanted += [(grace.id, at_q + note.length_q) for grace in note.after_graces]
    assert [(sign.id, sign.onset_q) for sign in signs(written_over(of))] == wanted


def test_places_run_in_the_order_of_the_part() -> None:
    over = written_over(part("C5:1 r:1", "E5:g D5:1"))
    assert list(places(over)) == ["1.1", "1.r1", "2.1g1", "2.1"]
    strangers = ["10.2", "9.1", "2.1"]
    assert sorted(strangers, key=lambda name: place_key(over, name)) == ["2.1", "9.1", "10.2"]


def test_a_slip_in_a_text_moves_no_other_note() -> None:
    assert [sign.id for sign in signs((("3", "C5:1 D5 E5:x/0 F5:1"),))] == ["3.1", "3.2", "3.3", "3.4"]

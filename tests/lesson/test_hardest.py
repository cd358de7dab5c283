"""The hardest changes of the demo as drills; what is awkward there is told in tests/prepare/test_changes.py."""

from dataclasses import replace

import pytest

from coach.errors import RequestError
from coach.lesson.demo import put_demo
from coach.lesson.desk import Desk
from coach.lesson.drilling import log_rep
from coach.lesson.drills import add_drill, drill_of
from coach.lesson.fingering import Wanted, piece_hands
from coach.lesson.hardest import change_told, hardest, notes_told, offered, often
from coach.lesson.stand import open_piece
from coach.music.note import Grace
from coach.music.piece import Piece
from coach.practice.set_piece import SetPiece
from coach.prepare.changes import hard_changes
from coach.prepare.fingering import Hands
from coach.prepare.prep import Prep


@pytest.fixture
def demo(desk: Desk) -> SetPiece:
    return put_demo(desk)


@pytest.fixture
def page(desk: Desk, demo: SetPiece) -> Piece:
    return open_piece(desk, demo)


@pytest.fixture
def hands(desk: Desk, demo: SetPiece, page: Piece) -> Hands:
    return piece_hands(desk, page, Prep(), tempo=demo.tempo, set_piece=demo, wanted=Wanted())


def graces(page: Piece) -> dict[str, Grace]:
    return {one.id: one for note in page.part.notes() for one in (*note.graces, *note.after_graces)}


def test_a_swap_has_its_drill_and_a_change_has_two(page: Piece, hands: Hands) -> None:
    found = hardest(page, hands)
    assert len(found) == 10
    for one in found:
        small = {one.change.at, one.change.to} & set(graces(page))
        apart = ["back-and-forth"] if small else ["back-and-forth", "in-its-measure"]
        wanted = ["swap"] if one.change.swap else apart
        assert [offer.recipe.id for offer in one.offers] == wanted
    (swap,) = (one for one in found if one.change.swap)
    assert (swap.measure, notes_told(swap.change), swap.offers[0].keys) == ("12", "F3 held", ("L", "R"))


def test_every_one_becomes_a_drill(desk: Desk, demo: SetPiece, page: Piece, hands: Hands) -> None:
    for one in hardest(page, hands, 1000):
        for offer in one.offers:
            spot = add_drill(desk, demo, page, offer.recipe.id, offer.from_note, offer.to_note, offer.keys)
            drill = drill_of(page, spot)
            assert drill is not None and spot.name == offer.name
            names = {note.pitch.name for note in drill.piece.part.pitched() if note.pitch is not None}
            assert names >= set(one.change.names)


def test_the_next_drill_is_the_one_that_is_not_kept(desk: Desk, demo: SetPiece, page: Piece, hands: Hands) -> None:
    found = tuple(one for one in hardest(page, hands) if len(one.offers) == 2)[:1]
    for recipe in ("back-and-forth", "in-its-measure", "in-its-measure"):
        (offer,) = offered(desk, demo, found)
        assert offer.recipe.id == recipe
        add_drill(desk, demo, page, offer.recipe.id, offer.from_note, offer.to_note, offer.keys)


def test_a_change_to_a_grace_is_worked_on_apart(desk: Desk, demo: SetPiece, page: Piece, hands: Hands) -> None:
    """The demo's hardest change of all leads to a grace. It has no place of its own in the measure: its drill is the
    two notes back and forth, with nothing but them."""
    small = graces(page)
    assert any({one.at, one.to} & set(small) for one in hard_changes(hands))
    found = [one for one in hardest(page, hands, 1000) if {one.change.at, one.change.to} & set(small)]
    assert found and all([offer.recipe.id for offer in one.offers] == ["back-and-forth"] for one in found)
    for one in found:
        spot = add_drill(desk, demo, page, "back-and-forth", one.change.at, one.change.to)
        drill = drill_of(page, spot)
        assert drill is not None
        assert {note.pitch.name for note in drill.piece.part.pitched() if note.pitch} == set(one.change.names)
        assert (spot.from_note, spot.to_note) == (one.change.at, one.change.to)
        assert log_rep(desk, demo, page, spot, 30, "clean").drill == "back-and-forth"


def test_only_neighbours_make_a_change(desk: Desk, demo: SetPiece, page: Piece) -> None:
    """Measure 8: C, then graces D flat and C before A flat."""
    for first, last in (("8.1", "8.2g2"), ("8.2g1", "8.2"), ("8.2g2", "8.2g1")):
        with pytest.raises(RequestError):
            add_drill(desk, demo, page, "back-and-forth", first, last)
    for first, last in (("8.1", "8.2g1"), ("8.2g1", "8.2g2"), ("8.2g2", "8.2")):
        assert add_drill(desk, demo, page, "back-and-forth", first, last).first == "8"
        with pytest.raises(RequestError, match="does not fit"):
            add_drill(desk, demo, page, "in-its-measure", first, last)


def test_a_span_holds_both_notes(page: Piece, hands: Hands) -> None:
    found = hardest(page, hands, 1000, page.span("16", "16"))
    assert found and {one.measure for one in found} == {"16"}
    assert all(one.change.to.startswith("16.") for one in found)


def test_what_is_told(page: Piece, hands: Hands) -> None:
    (one,) = (one for one in hardest(page, hands) if one.change.swap)
    thrice = replace(one, change=replace(one.change, times=3))
    assert change_told(one) == f"Measure 12, F3 held: {one.change.because}"
    assert often(thrice.change) == " (3 times)" and change_told(thrice).startswith("Measure 12, F3 held (3 times): ")

"""What is suggested for a piece, and what the reference plays of it. Expected states stand beside each step."""

import pytest

from coach.errors import RequestError
from coach.lesson.demo import put_demo
from coach.lesson.desk import Desk
from coach.lesson.marking import Pencil, open_pencil
from coach.lesson.prepared import Asked, prepared
from coach.lesson.preparing import (
    Choices,
    checked_style,
    choices_of,
    interpretation_of,
    ornament_at,
    ways_of,
    wished,
    with_suggestions,
)
from coach.lesson.stand import open_piece, performance_tempo, resolve
from coach.music.piece import Piece
from coach.practice.set_piece import SetPiece
from coach.prepare.mark import Mark, Ornament, Reminder
from coach.prepare.prep import Prep

KINDS = ("ornament", "dynamic", "reminder")


@pytest.fixture
def demo(desk: Desk) -> SetPiece:
    return put_demo(desk)


@pytest.fixture
def page(desk: Desk, demo: SetPiece) -> Piece:
    return open_piece(desk, demo)


def suggest(desk: Desk, demo: SetPiece, page: Piece, choices: Choices, kinds: tuple[str, ...] = KINDS) -> Pencil:
    pencil = open_pencil(desk, demo, page)
    found = wished(desk, page, pencil.prep, choices, kinds, tempo=demo.tempo, set_piece=demo)
    pencil.take(with_suggestions(pencil.prep, found, kinds, choices))
    return pencil


def by_note(prep: Prep, kind: str) -> dict[str, Mark]:
    return {mark.at: mark for mark in prep.marks if mark.kind == kind}


def test_what_is_suggested_is_kept_in_the_file_with_the_choices(desk: Desk, demo: SetPiece, page: Piece) -> None:
    """content/README.md: graces at 8, 20 and 23, a trill in 25."""
    suggest(desk, demo, page, Choices("treatise", "full"))
    prep = open_pencil(desk, demo, page).prep
    assert set(by_note(prep, "ornament")) == {"8.2", "20.2", "23.2", "25.1"}
    assert {(mark.origin, mark.state) for mark in prep.marks} == {("computed", "suggested")}
    assert choices_of(prep) == Choices("treatise", "full")
    assert all(mark.because.endswith(".") for mark in prep.marks)


def test_computed_anew_nothing_changes(desk: Desk, demo: SetPiece, page: Piece) -> None:
    prep = suggest(desk, demo, page, Choices()).prep
    found = wished(desk, page, prep, Choices(), KINDS, tempo=demo.tempo, set_piece=demo)
    assert with_suggestions(prep, found, KINDS, Choices()) is prep


def test_another_style_changes_what_waits_and_nothing_that_was_decided(desk: Desk, demo: SetPiece, page: Piece) -> None:
    pencil = suggest(desk, demo, page, Choices("lyrical"))
    first = by_note(pencil.prep, "ornament")
    pencil.keep(first["8.2"].id)
    pencil.strike(first["23.2"].id)
    after = by_note(suggest(desk, demo, page, Choices("treatise"), ("ornament",)).prep, "ornament")
    assert after["8.2"].content == first["8.2"].content and after["8.2"].state == "kept"
    trill = after["25.1"].content
    assert isinstance(trill, Ornament) and trill.style == "treatise"
    standing = [mark for mark in open_pencil(desk, demo, page).prep.marks if mark.at == "23.2" and not mark.struck]
    assert [mark.content.style for mark in standing if isinstance(mark.content, Ornament)] in ([], ["treatise"])


def test_a_kind_alone_leaves_the_others_waiting(desk: Desk, demo: SetPiece, page: Piece) -> None:
    before = by_note(suggest(desk, demo, page, Choices()).prep, "ornament")
    after = suggest(desk, demo, page, Choices(density="full"), ("reminder",)).prep
    assert by_note(after, "ornament") == before
    assert len(by_note(after, "reminder")) > 0


def test_the_reference_plays_suggestions_unasked_and_what_was_struck_as_printed(
    desk: Desk, demo: SetPiece, page: Piece
) -> None:
    played = interpretation_of(desk, page, Prep(), tempo=demo.tempo)
    assert set(played.ornaments) == {"8.2", "20.2", "23.2", "25.1"}
    pencil = suggest(desk, demo, page, Choices())
    pencil.strike(by_note(pencil.prep, "ornament")["8.2"].id)
    played = interpretation_of(desk, page, pencil.prep, tempo=demo.tempo, set_piece=demo)
    assert set(played.ornaments) == {"20.2", "23.2", "25.1"}


def test_a_style_that_is_asked_for_counts_for_what_nobody_has_decided(desk: Desk, demo: SetPiece, page: Piece) -> None:
    pencil = suggest(desk, demo, page, Choices("lyrical"))
    kept = by_note(pencil.prep, "ornament")["8.2"]
    pencil.keep(kept.id)
    played = interpretation_of(desk, page, pencil.prep, tempo=demo.tempo, set_piece=demo, style="treatise")
    assert played.ornaments["8.2"] == kept.content and played.ornaments["25.1"].style == "treatise"
    assert ornament_at(pencil.prep.marks, "8.2") == kept.content and ornament_at(pencil.prep.marks, "1.1") is None


def test_the_proposal_is_the_first_of_the_ways(desk: Desk, demo: SetPiece, page: Piece) -> None:
    ways = ways_of(desk, page, "lyrical", tempo=demo.tempo, set_piece=demo)
    found = wished(desk, page, Prep(), Choices("lyrical"), ("ornament",), tempo=demo.tempo, set_piece=demo)
    assert {one.at: one.content for one in found} == {at: each[0].content for at, each in ways.items()}
    assert all(len(each) > 1 for each in ways.values())


def test_a_source_that_was_never_added_keeps_nothing(desk: Desk, page: Piece, demo: SetPiece) -> None:
    done = prepared(desk, page, Asked(), tempo=demo.tempo)
    assert {mark.kind for mark in done.prep.marks} >= {"ornament", "dynamic", "reminder"}
    assert open_pencil(desk, demo, page).prep.marks == ()


def test_plain_suggests_no_ornament_and_takes_none_away(desk: Desk, demo: SetPiece, page: Piece) -> None:
    suggest(desk, demo, page, Choices())
    done = prepared(desk, page, Asked(plain=True), tempo=demo.tempo, set_piece=demo)
    assert not by_note(done.prep, "ornament") and not by_note(done.prep, "dynamic")
    assert len(by_note(open_pencil(desk, demo, page).prep, "ornament")) == 4


def test_what_the_ornament_plays_is_reminded_of_as_it_was_decided(desk: Desk, demo: SetPiece, page: Piece) -> None:
    """The trill of measure 25 has a flat over it in the print, and needs no reminder; typed with F sharp it does."""
    pencil = open_pencil(desk, demo, page)
    found = wished(desk, page, pencil.prep, Choices(), ("reminder",), tempo=demo.tempo, set_piece=demo)
    assert not [one for one in found if one.at == "25.1"]
    pencil.put_typed("ornament", "trill 2 to 9, with F#5", "25.1")
    found = wished(desk, page, pencil.prep, Choices(), ("reminder",), tempo=demo.tempo, set_piece=demo)
    assert [one.content for one in found if one.at == "25.1"] == [Reminder("sharp", "upper")]
    pencil.put_typed("ornament", "turn Gb5:1/2 Ab5:1/2 Gb5:1/2 F5:1/2 Gb5:1/2", "5.1")
    found = wished(desk, page, pencil.prep, Choices("lyrical", "full"), ("reminder",), tempo=demo.tempo)
    assert ("5.1", "upper") in {(one.at, getattr(one.content, "of", "")) for one in found}  # A flat, of the key


def test_settings_of_a_file_that_are_none_are_the_defaults() -> None:
    said = (("ornament_style", "modern"), ("reminder_density", "many"))
    assert choices_of(Prep(settings=said)) == Choices("lyrical", "usual")
    assert checked_style("") == "" and checked_style("treatise") == "treatise"
    with pytest.raises(RequestError, match="lyrical or treatise"):
        checked_style("modern")


def test_a_neighbour_that_is_not_played_is_not_reminded_of(desk: Desk) -> None:
    """A trill of the Concertino plays F natural below G by the key again, after an F sharp; struck, nothing does."""
    _, page = resolve(desk, "corpus:weber/concertino_clarinet")
    tempo = performance_tempo(page)

    def neighbours(prep: Prep) -> set[str]:
        found = wished(desk, page, prep, Choices(), ("ornament", "reminder"), tempo=tempo)
        return {one.at for one in found if isinstance(one.content, Reminder) and one.content.of}

    (at,) = neighbours(Prep())
    found = wished(desk, page, Prep(), Choices(), ("ornament",), tempo=tempo)
    trill = next(one.content for one in found if one.at == at)
    assert neighbours(Prep(marks=(Mark("m", at, trill, "computed", "struck"),))) == set()

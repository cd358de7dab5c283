"""Drills as spots: made, played, logged, climbed, taken back, and silent about the measures they come from."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC
from fractions import Fraction
from pathlib import Path

import pytest

from coach.errors import RequestError
from coach.lesson.demo import put_demo
from coach.lesson.desk import Desk
from coach.lesson.drilling import (
    choose_ladder,
    climb,
    drop_spot,
    find_spot,
    ladder_of,
    log_rep,
    rename_spot,
    spots,
    undo,
    widen_spot,
)
from coach.lesson.drills import add_drill, decided_of, drill_copy, drill_of, drills_at, drills_in, find_recipe, work_of
from coach.lesson.marking import open_pencil
from coach.lesson.playing import Take, perform_take, stretch_tempo
from coach.lesson.preparing import interpretation_of, ways_of
from coach.lesson.progress import progress
from coach.lesson.stand import add, open_piece
from coach.lesson.today import today
from coach.music.piece import Piece, Span
from coach.practice.drills.decided import Decided
from coach.practice.set_piece import SetPiece
from coach.practice.spot import Spot
from coach.prepare.mark import Swap
from coach.prepare.prep import Prep
from tests.lesson.conftest import Clock
from tests.lesson.pages import Bar, score

LOW_F = "12.1"  # the held low F of the demo, dotted half of a measure of nine eighths


@pytest.fixture
def demo(desk: Desk) -> SetPiece:
    return put_demo(desk)


@pytest.fixture
def page(desk: Desk, demo: SetPiece) -> Piece:
    return open_piece(desk, demo)


@pytest.fixture
def swap(desk: Desk, demo: SetPiece, page: Piece) -> Iterator[Spot]:
    yield add_drill(desk, demo, page, "swap", LOW_F, LOW_F, ("L", "R"))


def play(desk: Desk, demo: SetPiece, page: Piece, spot: Spot, outcomes: str) -> None:
    """Log reps at the rung: c clean, s slip."""
    for outcome in outcomes:
        tempo = climb(desk, demo, page, spot).per_minute
        log_rep(desk, demo, page, spot, tempo, {"c": "clean", "s": "slip"}[outcome])


def test_a_drill_is_a_spot_on_its_notes(swap: Spot) -> None:
    assert (swap.drill, swap.from_note, swap.to_note, swap.keys) == ("swap", LOW_F, LOW_F, ("L", "R"))
    assert (swap.first, swap.last, swap.name) == ("12", "12", "swap on F3, measure 12")
    assert swap.why == find_recipe("swap").purpose


def test_the_same_drill_is_the_same_spot(desk: Desk, demo: SetPiece, page: Piece, swap: Spot) -> None:
    assert add_drill(desk, demo, page, "swap", LOW_F, LOW_F, ("L", "R")) == swap
    assert add_drill(desk, demo, page, "swap", LOW_F, LOW_F).uuid != swap.uuid
    renamed = rename_spot(desk, swap, "the low one")
    assert add_drill(desk, demo, page, "swap", LOW_F, LOW_F, ("L", "R")) == renamed
    drop_spot(desk, renamed)
    assert add_drill(desk, demo, page, "swap", LOW_F, LOW_F, ("L", "R")).uuid != swap.uuid


def test_another_program_on_the_same_log_sees_it(desk: Desk, swap: Spot) -> None:
    """It is on the disk when it is confirmed."""
    other = Desk(desk.paths, desk.settings)
    assert other.record().spots[swap.uuid] == swap
    other.close()


def test_its_ladder_goes_up_to_the_tempo_of_the_place(desk: Desk, demo: SetPiece, page: Piece, swap: Spot) -> None:
    """The demo goes at 50 dotted quarters; 60 per cent are 30, and the mark after 30 is 31.5, half of 63."""
    ladder = ladder_of(desk, demo, page, swap)
    assert (ladder.start, ladder.target, ladder.beat) == (30, 50, "dotted quarter")
    play(desk, demo, page, swap, "ccc")
    assert climb(desk, demo, page, swap).per_minute == 31.5
    play(desk, demo, page, swap, "s")
    assert climb(desk, demo, page, swap).per_minute == 30
    choose_ladder(desk, demo, page, swap, "brisk", start=40)
    assert climb(desk, demo, page, swap).per_minute == 40


def test_reps_carry_the_recipe_and_undo_takes_them_back(desk: Desk, demo: SetPiece, page: Piece, swap: Spot) -> None:
    play(desk, demo, page, swap, "cc")
    assert [(rep.drill, rep.spot, rep.from_note, rep.first) for rep in desk.record().reps] == [
        ("swap", swap.uuid, LOW_F, "12")
    ] * 2
    undone = undo(desk, demo.id)
    assert undone is not None and undone.drill == "swap"
    assert len(desk.record().reps_of(swap.uuid)) == 1
    assert climb(desk, demo, page, swap).streak == 1
    assert [entry.kind for entry in desk.log.entries(kinds=["rep", "retraction"])] == ["rep", "rep", "retraction"]


def test_it_says_nothing_of_its_measure(desk: Desk, demo: SetPiece, page: Piece, swap: Spot) -> None:
    """Neither clean nor slipped reps move the measure; reps of the measure do."""
    play(desk, demo, page, swap, "c" * 40)
    states = {one.measure: one.state for one in progress(desk, demo, page).measures}
    assert set(states.values()) == {"unknown"}
    play(desk, demo, page, swap, "sss")
    low = find_spot(desk, demo, "the held low F")
    for _ in range(6):
        log_rep(desk, demo, page, low, 50, "clean")
    assert {one.state for one in progress(desk, demo, page).measures if one.measure in ("11", "12", "13")} == {"holds"}


def test_today_has_it_as_a_spot_of_its_own(desk: Desk, demo: SetPiece, page: Piece, swap: Spot) -> None:
    items = {item.spot: item for item in today(desk, 90).items if item.kind == "spot"}
    assert items[swap.uuid].name == "swap on F3, measure 12" and items[swap.uuid].tempo == 30


def test_a_drill_that_does_not_hold_stands_in_no_runs_way(desk: Desk, demo: SetPiece, page: Piece, swap: Spot) -> None:
    for spot in spots(desk, demo.id):
        if not spot.drill:
            for _ in range(6):
                log_rep(desk, demo, page, spot, float(ladder_of(desk, demo, page, spot).target), "clean")
    play(desk, demo, page, swap, "sss")
    assert {"run", "spot"} <= {item.kind for item in today(desk, 90).items}


def test_it_keeps_to_its_notes(desk: Desk, page: Piece, swap: Spot) -> None:
    with pytest.raises(RequestError, match="is a drill and keeps to its notes"):
        widen_spot(desk, page, swap, "11", "13")


def test_what_is_played_is_the_drill_at_the_tempo_of_the_place(
    desk: Desk, demo: SetPiece, page: Piece, swap: Spot
) -> None:
    """At 50 dotted quarters a minute a beat lasts 1.2 s: the swap fills two measures of three beats, 7.2 s."""
    work = work_of(demo, page, swap)
    assert work.drill is not None and work.span == work.piece.whole()
    assert float(work.tempo.per_minute) == 50
    assert stretch_tempo(work.piece, work.tempo, work.span) == work.tempo
    take = Take(work.piece, Span(0, 1), work.tempo, 50, desk.settings.click)
    played = perform_take(take)
    assert played.length_s == pytest.approx(7.2)
    assert [note.pitch.name for note in played.notes] == ["F3"]
    assert take.rate == 1 and replace(take, per_minute=25).rate == 0.5


def test_a_spot_as_printed_is_played_as_before(desk: Desk, demo: SetPiece, page: Piece) -> None:
    spot = find_spot(desk, demo, "the climb")
    work = work_of(demo, page, spot)
    assert (work.piece, work.tempo, work.drill) == (page, demo.tempo, None)
    assert drill_of(page, spot) is None


def test_what_is_engraved_is_written_once_into_the_cache(desk: Desk, page: Piece, swap: Spot) -> None:
    drill = drill_of(page, swap)
    assert drill is not None
    copy = drill_copy(desk, drill)
    assert copy is not None and copy == drill_copy(desk, drill)
    (file,) = desk.paths.drills.iterdir()
    assert str(file) == copy.source
    desk.paths.drills.joinpath(file.name).unlink()
    assert drill_copy(desk, drill) == copy and file.exists()  # the cache may be deleted


def test_without_a_cache_there_is_nothing_to_engrave(desk: Desk, page: Piece, swap: Spot) -> None:
    drill = drill_of(page, swap)
    assert drill is not None
    desk.paths.drills.parent.mkdir(parents=True, exist_ok=True)
    desk.paths.drills.write_text("in the way")
    assert drill_copy(desk, drill) is None


# --- what is offered


def test_a_held_note_has_its_swap_its_change_and_its_measure(page: Piece) -> None:
    offers = [(one.recipe.id, one.from_note, one.to_note) for one in drills_at(page, Prep(), LOW_F)]
    assert offers == [
        ("swap", "12.1", "12.1"),
        ("back-and-forth", "12.1", "12.2"),
        ("in-its-measure", "12.1", "12.2"),
        ("lead-and-leap", "12.1", "12.2"),  # F3 to Db4, eight semitones
        ("from-the-front", "12.1", "12.2"),
        ("from-the-end", "12.1", "12.2"),
        ("slurred-first", "12.1", "12.2"),
        ("long-tones", "12.1", "12.2"),
        ("tone-at-three", "12.1", "12.1"),
    ]


def test_the_fingerings_come_from_the_swap_that_is_marked(desk: Desk, demo: SetPiece, page: Piece) -> None:
    pencil = open_pencil(desk, demo, page)
    pencil.put(Swap("L", "R", Fraction(3, 2)), LOW_F)
    (offer,) = (one for one in drills_at(page, pencil.prep, LOW_F) if one.recipe.id == "swap")
    assert offer.keys == ("L", "R")
    pencil.strike(pencil.prep.at(LOW_F)[0].id)
    (offer,) = (one for one in drills_at(page, pencil.prep, LOW_F) if one.recipe.id == "swap")
    assert offer.keys == ("", "")


def test_a_range_has_the_drills_of_a_stretch(page: Piece) -> None:
    assert [one.recipe.id for one in drills_in(page, page.span("14", "15"))] == [
        "from-the-front", "from-the-end", "slurred-first", "long-tones", "one-breath",
    ]  # fmt: skip
    assert [one.recipe.id for one in drills_in(page, page.span("14", "18"))] == ["long-tones", "one-breath"]
    assert "one-breath" not in [one.recipe.id for one in drills_in(page, page.span("14", "14"))]
    assert drills_in(page, page.whole()) == ()


def test_every_offer_can_be_kept(desk: Desk, demo: SetPiece, page: Piece) -> None:
    for note in list(page.part.pitched())[::7]:
        for offer in drills_at(page, Prep(), note.id):
            spot = add_drill(desk, demo, page, offer.recipe.id, offer.from_note, offer.to_note, offer.keys)
            assert spot.name == offer.name and work_of(demo, page, spot).drill is not None


# --- what is not there


def test_a_recipe_or_a_note_that_is_not_there(desk: Desk, demo: SetPiece, page: Piece) -> None:
    with pytest.raises(RequestError, match="no recipe 'juggle'.*swap, back-and-forth"):
        add_drill(desk, demo, page, "juggle", LOW_F, LOW_F)
    with pytest.raises(RequestError, match="no note 99.1"):
        add_drill(desk, demo, page, "swap", "99.1", "99.1")
    assert len(spots(desk, demo.id)) == 4


def test_a_score_that_lost_the_notes_says_so(desk: Desk, tmp_path: Path, clock: Clock) -> None:
    """Corrected from the same file, the piece keeps its drill; it cannot be played until its notes are there again."""
    source = score(tmp_path, Bar((2, 2, 2, 2), "4/4", ("quarter", 60, False)), Bar((8,)))
    piece = add(desk, source)
    spot = add_drill(desk, piece, open_piece(desk, piece), "swap", "2.1", "2.1")
    score(tmp_path, Bar((2, 2, 2, 2), "4/4", ("quarter", 60, False)), Bar((-8,)))
    corrected = add(desk, source)
    assert corrected.id == piece.id
    with pytest.raises(RequestError, match="The drill “swap on C5, measure 2” cannot be played: .*no note 2.1"):
        work_of(corrected, open_piece(desk, corrected), spot)


def test_a_recipe_of_a_newer_program_says_so(demo: SetPiece, page: Piece, swap: Spot) -> None:
    with pytest.raises(RequestError, match="cannot be played: There is no recipe 'juggle'"):
        work_of(demo, page, replace(swap, drill="juggle"))


def test_the_log_is_exported_and_read_again(desk: Desk, demo: SetPiece, swap: Spot) -> None:
    entry = swap.to_entry("e", desk.now(), "UTC")
    assert Spot.from_body(demo.id, swap.created.astimezone(UTC), entry.body) == swap


def test_a_swap_is_offered_where_both_hands_have_the_key() -> None:
    """F5 has no little-finger key, low F has one on either side (handbook, table of the little-finger keys)."""
    from coach.config import Settings
    from coach.files.score import read_score
    from coach.lesson.fingering import can_swap
    from coach.paths import content

    page = read_score(str(content("pieces", "demo.musicxml")))
    able = {midi for midi in range(52, 97) if can_swap(Settings(), page, midi)}
    assert able == {52, 53, 54, 71, 72, 73}  # E, F and F sharp below, and a twelfth higher B, C and C sharp
    f5 = page.note("1.2")
    assert f5.pitch is not None and not can_swap(Settings(), page, f5.pitch.midi)
    assert "swap" not in {offer.recipe.id for offer in drills_at(page, Prep(), f5.id, swappable=False)}


# --- drills of what is decided


def decisions(desk: Desk, demo: SetPiece, page: Piece) -> Decided:
    """What is proposed for the demo, with nothing pencilled in."""
    ways = ways_of(desk, page, "lyrical", tempo=demo.tempo, set_piece=demo)
    played = interpretation_of(desk, page, Prep(), tempo=demo.tempo, set_piece=demo)
    return decided_of(page, played, ways)


@pytest.mark.parametrize(
    ("recipe", "first", "last", "name"),
    [
        ("trill-ramp", "25.1", "25.1", "trill on Eb5, measure 25"),
        ("graces-counted", "20.2", "20.2", "graces at F5, measure 20"),
        ("lead-and-leap", "20.1", "20.2", "leap Ab4-F5, measure 20"),
        ("leap-down", "18.1", "18.2", "leap Ab5-Ab4, measure 18"),
        ("long-tones", "6.1", "9.1", "measures 6-9 in long tones"),
    ],
)
def test_drills_of_decisions_are_kept_played_logged_and_climbed(
    desk: Desk, demo: SetPiece, page: Piece, recipe: str, first: str, last: str, name: str
) -> None:
    """Like every drill: a spot of its own; three clean reps go one rung up, from 30 to 31.5; another desk on the same
    log makes the same drill of it."""
    known = decisions(desk, demo, page)
    spot = add_drill(desk, demo, page, recipe, first, last, decided=known)
    assert spot.name == name and add_drill(desk, demo, page, recipe, first, last, decided=known) == spot
    play(desk, demo, page, spot, "ccc")
    assert climb(desk, demo, page, spot).per_minute == 31.5
    assert {rep.drill for rep in desk.record().reps} == {recipe}
    work = work_of(demo, page, spot, known)
    assert work.drill is not None and work.interpretation == work.drill.interpretation
    take = Take(work.piece, work.span, work.tempo, 30, desk.settings.click, interpretation=work.interpretation)
    played = perform_take(take)
    beats = sum(measure.length_q for measure in work.piece.part.measures) / Fraction(3, 2)
    assert played.length_s == pytest.approx(float(beats) * 60 / 50)
    assert drill_copy(desk, work.drill) is not None
    other = Desk(desk.paths, desk.settings)
    assert work_of(demo, page, other.record().spots[spot.uuid], decisions(other, demo, page)) == work
    other.close()


def test_the_note_with_the_trill_has_its_ramp_first(desk: Desk, demo: SetPiece, page: Piece) -> None:
    known = decisions(desk, demo, page)
    assert [one.recipe.id for one in drills_at(page, Prep(), "25.1", decided=known)][:2] == ["trill-ramp", "swap"]
    assert [one.recipe.id for one in drills_at(page, Prep(), "20.2", decided=known)][0] == "graces-counted"
    assert "lead-and-leap" in [one.recipe.id for one in drills_at(page, Prep(), "20.1", decided=known)]
    assert "leap-down" in [one.recipe.id for one in drills_at(page, Prep(), "19.1", decided=known)]


def test_the_ramp_follows_the_trill_that_is_pencilled_in(desk: Desk, demo: SetPiece, page: Piece) -> None:
    """A trill that the player decides otherwise is drilled otherwise, on the same ladder; a struck one as proposed."""
    known = decisions(desk, demo, page)
    spot = add_drill(desk, demo, page, "trill-ramp", "25.1", "25.1", decided=known)
    proposed = known.ornaments["25.1"]
    assert proposed.shake is not None
    slower = replace(proposed, shake=replace(proposed.shake, first=Fraction(1), last=Fraction(4)))
    pencil = open_pencil(desk, demo, page)
    pencil.put(slower, "25.1")
    for struck, wanted in ((False, slower), (True, proposed)):
        if struck:
            (mark,) = (mark for mark in pencil.prep.marks if mark.at == "25.1")
            pencil.strike(mark.id)
        played = interpretation_of(desk, page, pencil.prep, tempo=demo.tempo, set_piece=demo)
        ways = ways_of(desk, page, "lyrical", tempo=demo.tempo, set_piece=demo)
        drill = drill_of(page, spot, decided_of(page, played, ways))
        assert drill is not None and drill.goal is not None
        assert wanted.shake is not None
        assert (drill.goal[1].first, drill.goal[1].last) == (wanted.shake.first, wanted.shake.last)


def test_without_decisions_a_trill_is_told(page: Piece, demo: SetPiece, swap: Spot) -> None:
    with pytest.raises(
        RequestError, match="cannot be played: “The trill.*” does not fit there; choose a note with a t"
    ):
        work_of(demo, page, replace(swap, drill="trill-ramp"))

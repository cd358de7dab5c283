"""Drills of the breath end to end: offered, kept, climbed by length and then slower, logged, and the air in them."""

from dataclasses import replace
from pathlib import Path

import pytest

from coach.instruments.air import Air
from coach.lesson.demo import put_demo
from coach.lesson.desk import Desk
from coach.lesson.drill_air import air_share, drill_air
from coach.lesson.drilling import choose_ladder, climb, growing_length, ladder_of, log_rep, undo
from coach.lesson.drills import add_drill, decided_of, drills_at, drills_in, work_of
from coach.lesson.playing import Take, perform_take
from coach.lesson.preparing import interpretation_of, ways_of
from coach.lesson.progress import progress
from coach.lesson.stand import add, open_piece
from coach.lesson.today import spots_by_need, today
from coach.music.piece import Piece
from coach.practice.drills.decided import Decided
from coach.practice.drills.lengths import breath_phrase
from coach.practice.set_piece import SetPiece
from coach.practice.spot import Spot
from coach.prepare.interpretation import Interpretation
from coach.prepare.prep import Prep
from tests.lesson.pages import Bar, score

AIR = Air()  # 2.5 litres; mezzo forte takes 0.20 litres a second (the design's table of defaults)
WEBER = "corpus:weber/concertino_clarinet"


def known(desk: Desk, of: SetPiece, page: Piece) -> Decided:
    """What is proposed, its breaths among it."""
    ways = ways_of(desk, page, "lyrical", tempo=of.tempo, set_piece=of)
    return decided_of(page, interpretation_of(desk, page, Prep(), tempo=of.tempo, set_piece=of), ways)


@pytest.fixture
def demo(desk: Desk) -> SetPiece:
    return put_demo(desk)


@pytest.fixture
def page(desk: Desk, demo: SetPiece) -> Piece:
    return open_piece(desk, demo)


@pytest.fixture
def decided(desk: Desk, demo: SetPiece, page: Piece) -> Decided:
    return known(desk, demo, page)


@pytest.fixture
def phrase(desk: Desk, demo: SetPiece, page: Piece, decided: Decided) -> Spot:
    """The phrase up to the breath of measure 8, which has two lengths."""
    found = breath_phrase(page.part, decided.breaths, "8.2")
    assert found is not None
    return add_drill(desk, demo, page, "one-breath", found.first, found.at, decided=decided)


def play(desk: Desk, demo: SetPiece, page: Piece, spot: Spot, outcomes: str) -> None:
    for outcome in outcomes:
        tempo = climb(desk, demo, page, spot).per_minute
        log_rep(desk, demo, page, spot, tempo, {"c": "clean", "s": "slip"}[outcome])


# --- offered


def test_the_note_before_a_breath_has_its_breath_and_its_phrase_first(page: Piece, decided: Decided) -> None:
    """Measure 8 ends a theme of eight measures, where every player breathes."""
    assert "8.2" in decided.breaths
    offers = drills_at(page, Prep(), "8.2", decided=decided)
    assert [(one.recipe.id, one.to_note) for one in offers][:2] == [("breath-in-time", "9.1"), ("one-breath", "8.2")]
    inside = [one.recipe.id for one in drills_at(page, Prep(), "7.1", decided=decided)]
    assert inside[-2:] == ["tone-at-three", "one-breath"] and "breath-in-time" not in inside
    assert "one-breath" not in [one.recipe.id for one in drills_at(page, Prep(), "7.1")]  # no breath is known


def test_a_range_is_offered_on_one_breath(page: Piece, decided: Decided) -> None:
    (offer,) = (one for one in drills_in(page, page.span("9", "14"), decided) if one.recipe.id == "one-breath")
    assert (offer.from_note, offer.name) == ("9.1", "on one breath, measures 9-14")


def test_every_breath_of_weber_is_offered_and_kept(desk: Desk) -> None:
    """A clarinet's concertino from music21's corpus: its planned breaths, among them those at its rests."""
    weber = add(desk, WEBER)
    page = open_piece(desk, weber)
    decided = known(desk, weber, page)
    assert len(decided.breaths) > 20
    kept = 0
    for at in list(decided.breaths)[::6]:
        for offer in drills_at(page, Prep(), at, decided=decided):
            if offer.recipe.id in ("breath-in-time", "one-breath", "tone-at-three"):
                spot = add_drill(desk, weber, page, offer.recipe.id, offer.from_note, offer.to_note, decided=decided)
                work = work_of(weber, page, spot, decided)
                assert work.drill is not None
                plan = drill_air(work, page, spot, Interpretation(), AIR, float(work.tempo.per_minute))
                assert plan is not None and all(0 <= one.end <= one.start <= AIR.litres for one in plan.here.air)
                kept += 1
    assert kept >= 12


# --- the ladder and the log


def test_it_climbs_by_length_and_then_slower(desk: Desk, demo: SetPiece, page: Piece, phrase: Spot) -> None:
    """The demo goes at 50 dotted quarters; 80 per cent are 40; the metronome's marks between are 48, 46, 44, 42."""
    ladder = ladder_of(desk, demo, page, phrase)
    assert (ladder.falls, ladder.lengths, ladder.rungs) == (True, 2, (50, 50, 48, 46, 44, 42, 40))
    play(desk, demo, page, phrase, "ccc")
    stands = climb(desk, demo, page, phrase)
    assert (stands.level, stands.per_minute, growing_length(ladder, stands)) == (1, 50, 20)
    play(desk, demo, page, phrase, "ccc")
    assert climb(desk, demo, page, phrase).per_minute == 48
    play(desk, demo, page, phrase, "s")
    assert climb(desk, demo, page, phrase).per_minute == 50
    play(desk, demo, page, phrase, "s")
    assert growing_length(ladder, climb(desk, demo, page, phrase)) == 1
    assert [rep.length for rep in desk.record().reps] == [(1, 2)] * 3 + [None] * 5
    assert {rep.drill for rep in desk.record().reps} == {"one-breath"}


def test_undo_and_another_program_on_the_same_log(desk: Desk, demo: SetPiece, page: Piece, phrase: Spot) -> None:
    play(desk, demo, page, phrase, "ccc")
    undo(desk, demo.id)
    assert climb(desk, demo, page, phrase).streak == 2
    other = Desk(desk.paths, desk.settings)
    assert climb(other, demo, page, phrase) == climb(desk, demo, page, phrase)
    other.close()


def test_another_rule_keeps_its_way_down(desk: Desk, demo: SetPiece, page: Piece, phrase: Spot) -> None:
    choose_ladder(desk, demo, page, phrase, "brisk")
    assert (ladder_of(desk, demo, page, phrase).lengths, ladder_of(desk, demo, page, phrase).rule.name) == (2, "brisk")
    play(desk, demo, page, phrase, "cccc")
    assert climb(desk, demo, page, phrase).per_minute == 48
    choose_ladder(desk, demo, page, phrase, "patient")  # all of it is played by now
    ladder = ladder_of(desk, demo, page, phrase)
    assert (ladder.falls, ladder.lengths, ladder.start, ladder.target) == (True, 1, 48, 40)


def test_slow_is_hard_here_and_says_nothing_of_a_hold_tempo(
    desk: Desk, demo: SetPiece, page: Piece, phrase: Spot
) -> None:
    """Neither of its measures nor of the spot itself; at the end of its ladder it needs a look only."""
    play(desk, demo, page, phrase, "c" * 9 + "sss")
    assert {one.state for one in progress(desk, demo, page).measures} == {"unknown"}
    need = next(one for one in spots_by_need(desk) if one.spot.uuid == phrase.uuid)
    assert (need.falls, need.hold, need.state) == (True, None, "needs work")
    because = next(item.because for item in today(desk, 90).items if item.spot == phrase.uuid)
    assert "on one breath down to 40 is wanted" in because
    play(desk, demo, page, phrase, "c" * 30)
    need = next(one for one in spots_by_need(desk) if one.spot.uuid == phrase.uuid)
    assert need.state == "holds" and need.need == pytest.approx(0.2)


def test_what_is_played_is_the_length_at_hand(desk: Desk, demo: SetPiece, page: Piece, phrase: Spot) -> None:
    """From measure 4 to 5, then to 8; at 40 a beat lasts 1.5 s instead of 1.2."""
    sizes = {
        length: len(work.piece.part.measures)
        for length in (1, 20)
        for work in [work_of(demo, page, phrase, Decided(), length=length)]
    }
    assert sizes == {1: 2, 20: 5}
    work = work_of(demo, page, phrase, Decided(), length=20)
    take = Take(work.piece, work.span, work.tempo, 40, desk.settings.click, interpretation=work.interpretation)
    assert perform_take(take).length_s == pytest.approx(5 * 3 * 1.2) and take.rate == pytest.approx(0.8)


def test_the_breath_in_time_and_the_long_tones_are_logged_too(
    desk: Desk, demo: SetPiece, page: Piece, decided: Decided
) -> None:
    """The breath in time goes up, as it has less time the faster it is; the long tones go down."""
    breath = add_drill(desk, demo, page, "breath-in-time", "8.2", "9.1", decided=decided)
    play(desk, demo, page, breath, "ccc")
    assert climb(desk, demo, page, breath).per_minute == 31.5 and not ladder_of(desk, demo, page, breath).falls
    tone = add_drill(desk, demo, page, "tone-at-three", "8.1", "8.1", decided=decided)
    play(desk, demo, page, tone, "ccc")
    assert climb(desk, demo, page, tone).per_minute == 48
    assert work_of(demo, page, breath, decided).drill is not None


# --- the air


def test_the_air_of_a_phrase_by_hand(desk: Desk, tmp_path: Path) -> None:
    """Three measures of four quarters at 60 are 12 s; at mezzo forte, 0.20 litres a second, 2.4 of 2.5 litres: 4 per
    cent are left. At 48 they are 15 s and 3.0 litres: half a litre short."""
    source = score(tmp_path, Bar((4, 4), "4/4", ("quarter", 60, False)), Bar((4, 4)), Bar((4, 4)))
    of = add(desk, source)
    page = open_piece(desk, of)
    spot = add_drill(desk, of, page, "one-breath", "1.1", "3.2")
    work = work_of(of, page, spot, length=20)
    assert work.drill is not None
    part = work.drill.piece.part
    plan = drill_air(work, page, spot, Interpretation(), AIR, 60)
    assert plan is not None and plan.here.breaths == () and plan.here.short_litres == 0
    shares = [air_share(plan, part, at_q) for at_q in (0.0, 3.0, 6.0, 12.0)]
    assert shares == pytest.approx([1 - seconds * 0.2 / 2.5 for seconds in (0, 3, 6, 12)], abs=1e-4)
    slow = drill_air(work, page, spot, Interpretation(), AIR, 48)
    assert slow is not None and slow.here.short_litres == pytest.approx(0.5, abs=1e-4)
    assert air_share(slow, part, 12.0) == 0


def test_the_air_of_a_phrase_is_that_of_its_dynamics_in_the_piece(
    desk: Desk, demo: SetPiece, page: Piece, phrase: Spot
) -> None:
    """The same notes softer take less (0.10 litres a second at pp, 0.30 at ff)."""
    work = work_of(demo, page, phrase, length=20)
    played = interpretation_of(desk, page, Prep(), tempo=demo.tempo, set_piece=demo)
    ends = []
    for flows in (AIR.flows, tuple(flow / 2 for flow in AIR.flows)):
        plan = drill_air(work, page, phrase, played, replace(AIR, flows=flows), 50)
        assert plan is not None and work.drill is not None
        ends.append(1 - air_share(plan, work.drill.piece.part, float(work.drill.piece.part.end_q)))
    assert ends[1] == pytest.approx(ends[0] / 2, rel=1e-3)


def test_a_breath_fills_up_in_the_counted_silence(desk: Desk, demo: SetPiece, page: Piece, decided: Decided) -> None:
    spot = add_drill(desk, demo, page, "breath-in-time", "8.2", "9.1", decided=decided)
    work = work_of(demo, page, spot, decided)
    plan = drill_air(work, page, spot, Interpretation(), AIR, 50)
    assert plan is not None and work.drill is not None
    part = work.drill.piece.part
    first_rest = next(note for note in part.notes() if note.is_rest)
    assert air_share(plan, part, float(first_rest.onset_q) - 0.01) < 1
    assert air_share(plan, part, float(first_rest.end_q)) == 1


def test_other_drills_show_no_air(desk: Desk, demo: SetPiece, page: Piece) -> None:
    spot = add_drill(desk, demo, page, "slurred-first", "8.1", "8.2")
    assert drill_air(work_of(demo, page, spot), page, spot, Interpretation(), AIR, 50) is None

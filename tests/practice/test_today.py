"""Today's plan: adds up, rests, begins with a warm-up, puts the neediest first, and says why."""

import re
from datetime import datetime, timedelta, timezone
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coach.errors import RequestError
from coach.music.rhythm import Value
from coach.music.tempo import Tempo
from coach.practice.entry import Entry
from coach.practice.ladder import Ladder
from coach.practice.record import Record, fold
from coach.practice.rep import Rep
from coach.practice.set_piece import SetPiece
from coach.practice.share import ago, share_of
from coach.practice.spot import Spot
from coach.practice.today import CAUTION, needs, plan, rests_in
from tests.practice.factory import START, rep

NOW = START + timedelta(hours=1)
PIECE = SetPiece("etude", "Étude", "c0ffee", "c0ffee.mxl", "1", "32", Tempo(Fraction(72), Value("eighth")), START)
OTHER = SetPiece("solo", "Solo", "beef", "beef.mxl", "1", "9", Tempo(Fraction(100)), START + timedelta(minutes=1))


def spot(uuid: str, piece: str = "etude") -> Spot:
    return Spot(uuid, piece, f"spot {uuid}", "1.1", "2.1", "1", "2", START)


def record(spots: str = "abc", reps: list[Rep] | None = None, pieces: tuple[SetPiece, ...] = (PIECE,)) -> Record:
    entries: list[Entry] = [piece.to_entry(f"e-{piece.id}", piece.added, "UTC") for piece in pieces]
    entries += [spot(name).to_entry(f"e-{name}", START, "UTC") for name in spots]
    return fold([*entries, *(one.to_entry() for one in reps or [])])


def practised(name: str, tempo: float, clean: int, slips: int, days: float = 0) -> list[Rep]:
    outcomes = ["clean"] * clean + ["slip"] * slips
    return [
        rep(f"{name}{tempo}{k}", outcome, spot=name, per_minute=tempo, beat="eighth", minute=k, days=-days)
        for k, outcome in enumerate(outcomes)
    ]


HOLDING = practised("a", 72, 12, 0)
NEEDY = practised("b", 54, 3, 9)
MIDDLING = practised("c", 63, 8, 2)


def test_the_neediest_spot_comes_first() -> None:
    found = needs(record("abc", [*HOLDING, *NEEDY, *MIDDLING]), NOW)
    assert [one.spot.uuid for one in found] == ["b", "c", "a"]
    items = [item.spot for item in plan(record("abc", [*HOLDING, *NEEDY, *MIDDLING]), 40, NOW).items if item.spot]
    assert items[0] == "b"
    minutes = {name: items.count(name) for name in "abc"}
    assert minutes["b"] >= minutes["a"]


def test_of_equal_spots_the_longest_unworked_comes_first() -> None:
    reps = [rep("r1", spot="a", minute=-10), rep("r2", spot="b", minute=-20)]
    assert [one.spot.uuid for one in needs(record("abc", reps), NOW)] == ["c", "b", "a"]


@pytest.mark.parametrize(
    ("minutes", "rests"), [(5, 0), (25, 0), (26, 1), (29, 1), (30, 1), (55, 1), (56, 2), (60, 2), (90, 3), (120, 4)]
)
def test_five_minutes_of_rest_in_each_half_hour(minutes: int, rests: int) -> None:
    # Guidance of performing-arts medicine (handbook facts, section 7): five minutes in each 25 to 30.
    assert rests_in(minutes) == rests
    assert sum(item.kind == "rest" for item in plan(record(), minutes, NOW).items) == rests


@given(st.integers(5, 480), st.sampled_from(["", "a", "abc", "abcdefghijkl"]))
def test_a_plan_adds_up_and_never_plays_more_than_25_minutes_without_rest(minutes: int, spots: str) -> None:
    found = plan(record(spots, NEEDY), minutes, NOW)
    assert sum(item.minutes for item in found.items) == minutes
    assert all(item.minutes >= 1 and item.because.endswith(".") for item in found.items)
    stretch = 0
    for item in found.items:
        stretch = 0 if item.kind == "rest" else stretch + item.minutes
        assert stretch <= 25
    assert found.items[0].kind == "warm-up"
    assert found.items[-1].kind != "rest"


def test_rests_fall_between_items_where_they_can() -> None:
    reps = [*HOLDING, *NEEDY, *MIDDLING]
    items = plan(record("abc", reps), 60, NOW).items
    assert min(item.minutes for item in items) >= 3
    around = [(a.spot, b.spot) for a, rest, b in zip(items, items[1:], items[2:], strict=False) if rest.kind == "rest"]
    assert len(around) == 2
    assert all(a != b for a, b in around)


def test_the_warm_up_comes_with_its_caution() -> None:
    first = plan(record(), 30, NOW).items[0]
    assert "long tones and slow scales in the key of the piece" in first.because.lower()
    assert CAUTION in first.because
    assert "Pain means stop" in CAUTION
    assert "clinician" in CAUTION


def test_it_starts_on_the_rung() -> None:
    ladder = Ladder(48, 66, beat="eighth").to_entry("l", START, "UTC", "etude", "b")
    entries = [PIECE.to_entry("e", START, "UTC"), spot("b").to_entry("f", START, "UTC"), ladder]
    up = [one.to_entry() for one in practised("b", 48, 3, 0)]
    (item,) = [item for item in plan(fold([*entries, *up]), 12, NOW).items if item.kind == "spot"]
    assert (item.tempo, item.beat) == (50, "eighth")


def test_a_spot_without_a_ladder_starts_at_the_mark_below_60_per_cent() -> None:
    item = plan(record("b"), 10, NOW).items[1]
    assert (item.tempo, item.beat, item.name) == (42, "eighth", "spot b")


def words(reps: list[Rep], now: datetime = NOW) -> str:
    return next(item.because for item in plan(record("b", reps), 10, now).items if item.kind == "spot")


def test_the_reason_is_made_of_what_was_logged() -> None:
    assert words([]) == "Not tried yet: hear the reference, then look for the tempo at which it holds."
    assert words(practised("b", 54, 1, 1)) == "Clean in 1 of 2 complete reps, too few to judge; last worked today."
    assert words(practised("b", 54, 0, 2)) == (
        "Clean in 0 of 2 complete reps: take it slower, down to where it holds; last worked today."
    )
    assert words(practised("b", 44, 4, 0)) == (  # nobody heard it faster, whatever the estimate
        "Clean in 4 of 4 complete reps; clean up to 44 so far, 72 is wanted; last worked today."
    )
    told = words(practised("b", 54, 3, 9, days=3))
    pattern = r"Clean in 3 of 12 complete reps; holds at about \d+ where 72 is wanted; last worked 3 days ago\."
    assert re.fullmatch(pattern, told)
    assert words(practised("b", 66, 9, 0)) == (
        "Clean in 9 of 9 complete reps; about ready for 72, and not shown there yet; last worked today."
    )
    assert words(practised("b", 72, 12, 0, days=1)).endswith(
        "it holds at 72, and a look keeps it; last worked yesterday."
    )


def test_a_piece_without_spots_is_looked_at() -> None:
    items = plan(record(""), 20, NOW).items
    assert [item.kind for item in items][:2] == ["warm-up", "look"]
    assert (items[1].piece, items[1].tempo, items[1].beat) == ("etude", 72, "eighth")
    assert "reference" in items[1].because


def test_when_every_spot_holds_there_is_a_run() -> None:
    kinds = [item.kind for item in plan(record("a", HOLDING), 20, NOW).items]
    assert "run" in kinds
    assert "run" not in [item.kind for item in plan(record("ab", [*HOLDING, *NEEDY]), 20, NOW).items]


def test_pieces_off_the_stand_are_not_planned() -> None:
    gone = fold(
        [
            PIECE.to_entry("e", START, "UTC"),
            spot("a").to_entry("f", START, "UTC"),
            Entry("g", NOW, "UTC", "piece", "etude", {"removed": True}),
        ]
    )
    assert plan(gone, 30, NOW).items == ()
    assert {item.piece for item in plan(record("ab", pieces=(PIECE, OTHER)), 60, NOW).items} == {"", "etude", "solo"}


@pytest.mark.parametrize("minutes", [-1, 0, 4, 481])
def test_minutes_that_cannot_be_planned_are_refused(minutes: int) -> None:
    with pytest.raises(RequestError, match="5 to 480"):
        plan(record(), minutes, NOW)


def test_the_same_log_gives_the_same_plan() -> None:
    reps = [*HOLDING, *NEEDY, *MIDDLING]
    assert plan(record("abc", reps), 45, NOW) == plan(record("cba", reps[::-1]), 45, NOW)


def test_the_document() -> None:
    document = plan(record("b"), 10, NOW).document()
    assert (document["schema"], document["minutes"]) == ("coach.today/1", 10)
    assert {"kind", "piece", "spot", "minutes", "tempo", "because"} <= set(document["items"][1])
    assert document["items"][1]["spot"] == "b"
    assert document["items"][0]["tempo"] is None


def test_days_are_the_players_days() -> None:
    late, zone = datetime(2026, 3, 14, 23, 30, tzinfo=timezone(timedelta(hours=1))), timezone(timedelta(hours=1))
    assert ago(late, datetime(2026, 3, 15, 0, 30, tzinfo=zone)) == "yesterday"
    assert ago(late, datetime(2026, 3, 14, 23, 59, tzinfo=zone)) == "today"
    assert ago(late, datetime(2026, 3, 13, 12, 0, tzinfo=zone)) == "today"  # a clock that was ahead
    assert ago(None, NOW) == "never"


def test_the_share_is_of_complete_reps() -> None:
    # Duke, Simmons, Cash 2009: the share of complete trials that were correct is what went with retention.
    share = share_of([rep("1"), rep("2", "slip"), rep("3", "slip", complete=False), rep("4", complete=False)])
    assert (share.clean, share.complete, share.attempts, share.of_complete) == (1, 2, 4, 0.5)
    assert share.words == "clean in 1 of 2 complete reps"
    assert share_of([rep("1", complete=False)]).words == "no complete rep yet"
    assert share_of([]).of_complete is None

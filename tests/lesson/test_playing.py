"""What to play and where the sound is, on the silent player by a clock of its own. Times by arithmetic: 60 / tempo."""

from fractions import Fraction
from pathlib import Path

import pytest

from coach.config import ClickSettings
from coach.errors import RequestError
from coach.lesson.desk import Desk
from coach.lesson.playing import MUTE_DB, Playing, Take, open_player, perform_take, stretch_tempo
from coach.lesson.stand import add, open_piece, performance_tempo
from coach.music.piece import Piece
from coach.music.rhythm import Value
from coach.music.tempo import Tempo
from coach.practice.set_piece import SetPiece
from coach.sound.silent import SilentPlayer
from coach.sound.timeline import Timeline
from tests.lesson.pages import Bar, score

WEBER = "corpus:weber/concertino_clarinet"
DOTTED = Value("quarter", 1)


class Seconds:
    """A clock in seconds."""

    def __init__(self) -> None:
        self.now_s = 0.0

    def __call__(self) -> float:
        return self.now_s


@pytest.fixture
def seconds() -> Seconds:
    return Seconds()


@pytest.fixture
def playing(seconds: Seconds) -> Playing:
    return Playing(SilentPlayer(seconds))


def take(sheet: Piece, first: str, last: str, per_minute: float = 60, **more: object) -> Take:
    """A take of the plain piece (quarter = 60) without a count-in unless asked for."""
    click = more.pop("click", ClickSettings(count_in=0))
    return Take(sheet, sheet.span(first, last), Tempo(Fraction(60)), per_minute, click, **more)  # type: ignore[arg-type]


@pytest.fixture
def weber(desk: Desk) -> Piece:
    return open_piece(desk, add(desk, WEBER))


@pytest.mark.parametrize(
    ("measure", "expected"),
    [
        ("1", Tempo(Fraction(60))),
        ("38", Tempo(Fraction(90))),  # quarter = 90 is printed, though the metre is 2/2
        ("60", Tempo(Fraction(110))),
        ("90", Tempo(Fraction(100))),
        ("125", Tempo(Fraction(60))),
        ("147", Tempo(Fraction(100), DOTTED)),
        ("241", Tempo(Fraction(100), DOTTED)),
    ],
)
def test_the_tempo_of_a_stretch_is_that_of_the_page(measure: str, expected: Tempo, weber: Piece) -> None:
    """The tempo marks printed in the Weber file; read there by eye."""
    assert stretch_tempo(weber, performance_tempo(weber), weber.span(measure, measure)) == expected


def test_a_slower_performance_slows_every_section_alike(weber: Piece) -> None:
    """Three quarters of the printed 60 make three quarters of the printed dotted quarter = 100."""
    slow = Tempo(Fraction(45))
    assert stretch_tempo(weber, slow, weber.span("147", "150")) == Tempo(Fraction(75), DOTTED)
    assert stretch_tempo(weber, slow, weber.span("1", "1")) == slow


def test_a_performance_tempo_in_other_beats_keeps_its_beats(weber: Piece) -> None:
    assert stretch_tempo(weber, Tempo(Fraction(120), Value("eighth")), weber.span("2", "3")) == Tempo(
        Fraction(120), Value("eighth")
    )


def test_where_the_metre_changes_and_no_number_stands_the_new_beat_counts(desk: Desk, tmp_path: Path) -> None:
    """From 4/4 to 6/8 at the same speed of the quarter: a dotted quarter lasts half as long again, so 60 becomes 40."""
    source = score(tmp_path, Bar((2, 2, 2, 2), "4/4", ("quarter", 60, False)), Bar((3, 3), "6/8"), Bar((4, 4), "2/2"))
    page = open_piece(desk, add(desk, source))
    here = [stretch_tempo(page, Tempo(Fraction(60)), page.span(name, name)) for name in "123"]
    assert here == [Tempo(Fraction(60)), Tempo(Fraction(40), DOTTED), Tempo(Fraction(30), Value("half"))]


def test_the_rate_of_a_take_is_its_share_of_the_tempo_there(weber: Piece) -> None:
    there = Take(weber, weber.span("147", "148"), Tempo(Fraction(60)), 50, ClickSettings())
    assert there.rate == pytest.approx(0.5)
    assert perform_take(there).length_s == pytest.approx(2 * 2 * 60 / 100)  # nominal: two measures of two beats


def test_the_position_follows_the_notes(piece: SetPiece, sheet: Piece, playing: Playing, seconds: Seconds) -> None:
    playing.start(take(sheet, "2", "3"))
    for at_s, note, measure in ((0.1, "2.1", "2"), (1.5, "2.2", "2"), (4.2, "3.1", "3"), (7.5, "3.4", "3")):
        seconds.now_s = at_s
        now = playing.now()
        assert (now.note_id, now.measure_id, now.playing, now.counting_in) == (note, measure, True, False)
    assert playing.now().share == pytest.approx(7.5 / 8)
    seconds.now_s = 8.2
    assert not playing.now().playing and playing.now().note_id == ""


def test_half_the_tempo_takes_twice_as_long(sheet: Piece, playing: Playing, seconds: Seconds) -> None:
    playing.start(take(sheet, "1", "2", 30))
    seconds.now_s = 9.0
    assert (playing.now().note_id, playing.now().measure_id) == ("2.1", "2")


def test_the_tempo_changes_while_playing(sheet: Piece, playing: Playing, seconds: Seconds) -> None:
    """Two seconds at 60 are two quarters; two more at 120 are four more."""
    playing.start(take(sheet, "1", "4"))
    seconds.now_s = 2.0
    playing.set_per_minute(120)
    seconds.now_s = 4.1
    assert playing.now().note_id == "2.3"
    assert playing.take is not None and playing.take.per_minute == 120


def test_a_tempo_without_a_take_changes_nothing(playing: Playing) -> None:
    playing.set_per_minute(120)
    assert playing.take is None


def test_the_count_in_comes_first(sheet: Piece, playing: Playing, seconds: Seconds) -> None:
    playing.start(take(sheet, "1", "2", click=ClickSettings(count_in=1)))
    seconds.now_s = 3.9
    now = playing.now()
    assert (now.playing, now.counting_in, now.note_id, now.measure_id) == (True, True, "", "")
    seconds.now_s = 4.1
    assert playing.now().note_id == "1.1"


def test_the_count_in_is_counted(sheet: Piece, playing: Playing, seconds: Seconds) -> None:
    """Two measures of four quarters at 60: a beat a second, counted anew in each measure."""
    playing.start(take(sheet, "1", "2", click=ClickSettings(count_in=2, subdivision=2)))
    counted = []
    for second in range(9):
        seconds.now_s = second + 0.6  # behind the half beat, which is not counted
        counted.append(playing.now().count)
    assert counted == [1, 2, 3, 4, 1, 2, 3, 4, 0]


def test_from_a_measure_inside_there_is_no_count_in(sheet: Piece, playing: Playing, seconds: Seconds) -> None:
    playing.start(take(sheet, "1", "3", click=ClickSettings(count_in=2)), from_measure="2")
    seconds.now_s = 0.1
    assert playing.now().note_id == "2.1"


def test_a_loop_counts_its_laps_with_the_rest_between(sheet: Piece, playing: Playing, seconds: Seconds) -> None:
    """Two measures of four seconds and one of rest: a lap lasts twelve seconds."""
    playing.start(take(sheet, "1", "2", loop=True, rest_measures=1))
    seconds.now_s = 8.5
    rest = playing.now()
    assert (rest.playing, rest.counting_in, rest.note_id, rest.lap) == (True, True, "", 0)
    seconds.now_s = 12.1
    assert (playing.now().note_id, playing.now().lap) == ("1.1", 1)
    seconds.now_s = 12 * 7 + 4.1
    assert (playing.now().note_id, playing.now().lap) == ("2.1", 7)


def test_stop_stops(sheet: Piece, playing: Playing, seconds: Seconds) -> None:
    playing.start(take(sheet, "1", "2"))
    seconds.now_s = 1.0
    playing.stop()
    assert not playing.now().playing
    playing.close()
    assert isinstance(playing.player, SilentPlayer) and playing.player.calls[-1] == ("close",)


def test_a_silent_click_is_still_there_to_be_turned_on(sheet: Piece, playing: Playing) -> None:
    player = playing.player
    assert isinstance(player, SilentPlayer)
    playing.start(take(sheet, "1", "2", click=ClickSettings(on=False, count_in=0)))
    assert ("set_gain", "click", MUTE_DB) in player.calls
    loaded = next(call[1] for call in player.calls if call[0] == "load")
    assert isinstance(loaded, Timeline)
    assert sum(event.kind == "click" and event.below_rate is None for event in loaded.events) == 8
    playing.set_click(True, -3.0)
    assert player.calls[-1] == ("set_gain", "click", -3.0)


def test_troubles_are_passed_on_once(playing: Playing) -> None:
    assert isinstance(playing.player, SilentPlayer)
    playing.player.troubles.append("The device is gone.")
    assert playing.troubles() == ("The device is gone.",) and playing.troubles() == ()


@pytest.mark.parametrize("per_minute", [1, 481, 10_000])
def test_a_tempo_far_from_the_music_is_told(per_minute: float, sheet: Piece, playing: Playing) -> None:
    with pytest.raises(RequestError, match="cannot be played here"):
        playing.start(take(sheet, "1", "2", per_minute))


def test_a_player_of_the_settings_makes_no_process_before_it_is_needed(desk: Desk) -> None:
    from coach.sound.player import Player

    player = open_player(desk)
    try:
        assert isinstance(player, Player) and player.pid is None
    finally:
        player.close()

"""The player and its sound process, without a device: positions, faults, and that nothing hangs."""

import os
import signal
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from time import monotonic

import pytest

from coach.errors import RequestError
from coach.sound import player as player_module
from coach.sound.codec import Report
from coach.sound.link import Link
from coach.sound.player import ENDED, HANGS, Player, PlayerLike, SilentPlayer
from coach.sound.timeline import Event, Timeline
from coach.sound.transport import Position
from tests.servers import wait_until

BEATS = Timeline(tuple(Event(k * 0.5, 0.02, "click", click="beat", bar=k // 2) for k in range(-2, 4)), 2.0, 1.0, bars=2)
posix = pytest.mark.skipif(sys.platform == "win32", reason="signals of POSIX")


@pytest.fixture
def player(tmp_path: Path) -> Iterator[Player]:
    player = Player("none", log_path=tmp_path / "sound.log")
    yield player
    player.close()


def answers(player: Player) -> bool:
    """Whether the process has obeyed what was asked last."""
    return player._report.turn == player._turn


def troubles_of(player: Player) -> tuple[str, ...]:
    """The first troubles that come."""
    troubles: list[str] = []

    def ask() -> bool:
        troubles.extend(player.take_troubles())
        return bool(troubles)

    wait_until(ask, what="a trouble")
    return tuple(troubles)


def alive(pid: int) -> bool:
    """Whether a process runs (a zombie does not)."""
    try:
        return Path(f"/proc/{pid}/stat").read_text().rsplit(")", 1)[1].split()[0] != "Z"
    except FileNotFoundError:
        return False


def test_the_player_imports_nothing_heavy() -> None:
    heavy = ("numpy", "miniaudio", "rtmidi", "_rtmidi", "mido")
    code = f"import sys, coach.sound.player; print([name for name in {heavy} if name in sys.modules])"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, check=True)
    assert done.stdout.strip() == b"[]"


def test_no_process_is_started_before_there_is_something_to_play(player: Player) -> None:
    player.set_rate(0.5)
    player.set_gain("click", -6.0)
    player.stop()
    assert player.pid is None and player.position == Position(0.0, 0, False)
    player.load(BEATS)
    wait_until(lambda: player.pid is not None)


def test_playing_is_seen_at_once_and_then_moves_with_the_clock(player: Player) -> None:
    player.load(BEATS, loop=True, rate=1.5)
    player.play()
    assert player.position == Position(-1.0, 0, True)
    wait_until(lambda: answers(player))
    seen: list[tuple[float, Position]] = []

    def look() -> bool:
        seen.append((monotonic(), player.position))
        return seen[-1][1].lap >= 1

    wait_until(look)
    begin_s, first = seen[0]
    running = [(now_s - begin_s, at.at_s + at.lap * 2.0 - first.at_s) for now_s, at in seen]
    assert all(after >= before - 0.02 for (_, before), (_, after) in zip(running, running[1:], strict=False))
    behind = sorted(abs(1.5 * by_clock - by_player) for by_clock, by_player in running)
    assert behind[len(behind) // 2] < 0.03, "half a period of the reports, generously"


def test_playing_can_begin_anywhere_and_stops_where_it_is(player: Player) -> None:
    player.load(BEATS)
    player.play(1.25)
    assert player.position == Position(1.25, 0, True)
    wait_until(lambda: answers(player) and player.position.at_s > 1.4)
    player.stop()
    here = player.position
    assert not here.playing and 1.4 < here.at_s < 2.0
    wait_until(lambda: answers(player))
    assert player.position.at_s == pytest.approx(here.at_s, abs=0.1) and not player.position.playing


def test_the_end_is_reached_once_and_playing_is_over(player: Player) -> None:
    player.load(BEATS)
    player.play(1.8)
    wait_until(lambda: answers(player) and not player.position.playing)
    assert player.position == Position(2.0, 0, False)


def test_speed_changes_while_playing(player: Player) -> None:
    player.load(BEATS, loop=True)
    player.play(0.0)
    player.set_rate(4.0)
    begin_s = monotonic()
    wait_until(lambda: player.position.lap >= 2)
    assert monotonic() - begin_s < 3.0, "4 s of music at rate 1"


@pytest.mark.parametrize("rate", [0.0, -1.0, float("nan"), float("inf")])
def test_a_speed_that_makes_no_sense_is_refused_at_once(player: Player, rate: float) -> None:
    with pytest.raises(RequestError, match="above 0"):
        player.set_rate(rate)
    with pytest.raises(RequestError, match="above 0"):
        player.load(BEATS, rate=rate)
    with pytest.raises(RequestError, match="at least 1 measure"):
        player.load(BEATS, silence=(0, 3))
    with pytest.raises(RequestError, match="voice, others, click"):
        player.set_gain("horn", 0.0)
    assert player.pid is None


def test_an_output_that_is_not_there_is_told_and_time_goes_on(player: Player) -> None:
    player.load(BEATS, loop=True)
    player.play()
    player.set_output("telepathy")
    (trouble,) = troubles_of(player)
    assert "choose audio, none or midi" in trouble
    at_s = player.position.at_s
    wait_until(lambda: player.position.at_s > at_s)


@posix
def test_a_killed_process_is_told_once_and_play_starts_another(player: Player) -> None:
    player.load(BEATS, loop=True, rate=2.0)
    player.play()
    wait_until(lambda: answers(player) and player.position.at_s > -0.5)
    first = player.pid
    assert first is not None
    os.kill(first, signal.SIGKILL)
    wait_until(lambda: not player.position.playing)
    assert player.take_troubles() == (ENDED,) and player.take_troubles() == ()
    assert player.position.at_s > -0.6, "the place reached is kept"
    player.set_gain("voice", -3.0)  # nobody listens; nothing fails
    player.stop()
    player.play()
    wait_until(lambda: answers(player) and player.position.at_s > -0.5)
    assert player.pid not in (None, first)
    assert player.take_troubles() == ()


@posix
def test_a_process_that_does_not_answer_is_given_up(player: Player, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(player_module, "_ANSWER_S", 0.5)
    player.load(BEATS, loop=True)
    player.play()
    wait_until(lambda: answers(player))
    pid = player.pid
    assert pid is not None
    os.kill(pid, signal.SIGSTOP)
    wait_until(lambda: not player.position.playing)
    assert player.take_troubles() == (HANGS,)
    wait_until(lambda: not alive(pid))
    assert player.pid is None


@posix
def test_closing_takes_a_bounded_time_whatever_the_process_does(tmp_path: Path) -> None:
    player = Player("none", log_path=tmp_path / "sound.log")
    player.load(Timeline(BEATS.events * 10_000, 2.0))  # more than a pipe holds
    wait_until(lambda: player.pid is not None)
    pid = player.pid
    assert pid is not None
    os.kill(pid, signal.SIGSTOP)
    player.play()
    begin_s = monotonic()
    player.close()
    player.close()
    assert monotonic() - begin_s < 4.0
    wait_until(lambda: not alive(pid))
    assert player.take_troubles() == ()


@posix
@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGINT, signal.SIGHUP])
def test_signals_end_the_process_in_good_order(player: Player, number: signal.Signals) -> None:
    player.load(BEATS)
    player.play()
    wait_until(lambda: answers(player))
    link = player._link
    assert link is not None and link._process is not None
    link._process.send_signal(number)
    wait_until(lambda: player.take_troubles() == (ENDED,))
    assert link._process.wait(5) == 0


@posix
def test_the_process_is_away_from_the_terminals_ctrl_c(player: Player) -> None:
    player.load(BEATS)
    wait_until(lambda: player.pid is not None)
    assert player.pid is not None and os.getpgid(player.pid) != os.getpgid(0)


@posix
def test_the_process_ends_when_its_parent_is_killed(tmp_path: Path) -> None:
    code = (
        "import sys, time\nfrom pathlib import Path\nfrom tests.sound.test_player import BEATS, Player\n"
        "player = Player('none', log_path=Path(sys.argv[1]))\nplayer.load(BEATS, loop=True)\nplayer.play()\n"
        "while not player.position.at_s > -0.8: time.sleep(0.01)\nprint(player.pid, flush=True)\ntime.sleep(60)\n"
    )
    arguments = [sys.executable, "-c", code, str(tmp_path / "sound.log")]
    with subprocess.Popen(arguments, stdout=subprocess.PIPE) as parent:
        assert parent.stdout is not None
        pid = int(parent.stdout.readline())
        assert alive(pid)
        parent.kill()
    wait_until(lambda: not alive(pid))


def test_a_python_that_cannot_be_started_is_a_trouble_not_a_traceback(
    player: Player, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sys, "executable", "/nonexistent/python")
    player.load(BEATS)
    player.play()
    wait_until(lambda: not player.position.playing)
    assert set(player.take_troubles()) == {ENDED}


def test_a_log_that_cannot_be_written_does_not_stop_the_music(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("in the way")
    player = Player("none", log_path=tmp_path / "file" / "sound.log")
    player.load(BEATS)
    player.play()
    wait_until(lambda: answers(player) and player.position.at_s > -1.0)
    player.close()


def test_a_log_that_has_grown_large_is_begun_anew(tmp_path: Path) -> None:
    log = tmp_path / "sound.log"
    log.write_bytes(b"x" * 2_000_000)
    player = Player("none", log_path=log)
    player.load(BEATS)
    wait_until(lambda: answers(player))
    player.close()
    assert log.stat().st_size < 1_000_000


def test_reports_come_at_most_thirty_times_a_second(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    heard: list[float] = []
    player = Player("none", log_path=tmp_path / "sound.log")
    hear = player._hear

    def note(link: Link, report: Report) -> None:
        heard.append(monotonic())
        hear(link, report)

    monkeypatch.setattr(player, "_hear", note)
    player.load(BEATS, loop=True)
    player.play()
    wait_until(lambda: len(heard) > 65)
    player.close()
    span_s = heard[62] - heard[2]
    assert 60 / span_s <= 31.0


def test_the_silent_player_follows_the_protocol_by_the_clock_it_is_given() -> None:
    now_s = [5.0]
    silent: PlayerLike = SilentPlayer(lambda: now_s[0])
    assert isinstance(silent, SilentPlayer)
    silent.load(BEATS, loop=True, rate=2.0)
    silent.play()
    assert silent.position == Position(-1.0, 0, True)
    now_s[0] += 0.75
    assert silent.position == Position(0.5, 0, True)
    silent.set_rate(1.0)
    now_s[0] += 2.0
    assert silent.position == Position(0.5, 1, True)
    silent.stop()
    now_s[0] += 2.0
    assert silent.position == Position(0.5, 1, False)
    silent.troubles.append("no sound")
    assert silent.take_troubles() == ("no sound",) and silent.take_troubles() == ()
    assert [call[0] for call in silent.calls] == ["load", "play", "set_rate", "stop"]


def test_both_players_follow_the_protocol(player: Player) -> None:
    players: list[PlayerLike] = [player, SilentPlayer(lambda: 0.0)]
    for one in players:
        one.drone(None)
        one.set_tuning(442.0)
        one.set_output("none")
        assert one.take_troubles() == () and not one.position.playing

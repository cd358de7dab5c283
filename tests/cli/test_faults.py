"""Faults around the command line: a folder that cannot be used, a full disk, a log that cannot be used, two programs at
once, an interrupt or a kill at any moment, a pipe where a terminal is wanted. One sentence, nothing logged is lost."""

import os
import random
import shutil
import signal
import sqlite3
import subprocess
import sys
import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from functools import partial
from pathlib import Path
from threading import Event

import pytest

from tests.cli.conftest import WEBER, Coach, Done, command, environment, sentence

posix = pytest.mark.skipif(sys.platform == "win32", reason="signals of POSIX")
READY = "import coach.cli.main as program; print('ready', flush=True); program.run()"
limits = pytest.mark.skipif(sys.platform == "win32", reason="there are no limits on the size of files there")


def reps_in(coach: Coach) -> list[str]:
    return [line for line in coach("log", "export").out.splitlines() if '"kind": "rep"' in line]


@pytest.mark.parametrize("place", ["", "data", "data/scores", "data/log.sqlite3"])
def test_something_else_in_the_place_of_a_folder_is_told(place: str, coach: Coach, home: Path) -> None:
    """Root may write anywhere, so a file stands where a folder should be, and a folder where the log should be."""
    target = home / place if place else home
    shutil.rmtree(home)
    if place.endswith("sqlite3"):
        target.mkdir(parents=True)
    else:
        target.parent.mkdir(parents=True, exist_ok=True)
        target.write_text("")
    said = sentence(coach("demo"))
    assert str(target) in said


@pytest.mark.parametrize("place", ["cache", "cache/readings"])
def test_a_cache_that_cannot_be_written_is_no_matter(place: str, coach: Coach, home: Path) -> None:
    (home / place).parent.mkdir(parents=True, exist_ok=True)
    (home / place).write_text("")
    assert coach("demo").status == 0 and coach("prepare", "demo").status == 0


LIMITED = """
import resource, signal, sys
signal.signal(signal.SIGXFSZ, signal.SIG_IGN)  # then writing fails as on a full disk (POSIX, setrlimit)
resource.setrlimit(resource.RLIMIT_FSIZE, (int(sys.argv[1]), int(sys.argv[1])))
from coach.cli.main import main
sys.exit(main(sys.argv[2:]))
"""


def on_a_full_disk(limit: int, *arguments: str) -> Done:
    """Run a command that can write no file beyond so many bytes."""
    done = subprocess.run(
        [sys.executable, "-c", LIMITED, str(limit), *arguments], capture_output=True, text=True, timeout=60
    )
    assert "Traceback" not in done.stderr
    return Done(done.returncode, done.stdout, done.stderr)


@limits
@pytest.mark.parametrize("limit", [0, 5_000, 30_000])
def test_a_full_disk_is_told_when_a_piece_is_put_there(limit: int, home: Path) -> None:
    said = sentence(on_a_full_disk(limit, "add", WEBER))
    assert str(home) in said


@limits
def test_a_full_disk_loses_no_rep(coach: Coach, home: Path) -> None:
    coach("demo")
    coach("rep", "demo", "octaves", "--tempo", "40", "clean")
    before = reps_in(coach)
    size = (home / "data" / "log.sqlite3").stat().st_size
    assert "disk" in sentence(on_a_full_disk(size // 2, "rep", "demo", "octaves", "--tempo", "40", "clean"))
    assert reps_in(coach) == before
    assert coach("rep", "demo", "octaves", "--tempo", "40", "clean").status == 0
    assert len(reps_in(coach)) == len(before) + 1


@limits
@pytest.mark.parametrize("option", ["--wav", "--midi"])
def test_a_full_disk_leaves_no_half_file(option: str, coach: Coach, tmp_path: Path) -> None:
    coach("demo")
    out = tmp_path / "out"
    out.write_text("as it was")
    sentence(on_a_full_disk(100, "render", "demo", "--measures", "1-4", option, str(out)))
    assert out.read_text() == "as it was"
    assert sorted(path.name for path in tmp_path.iterdir()) == ["home", "out"]


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="there is no /dev/full on this system")
@pytest.mark.parametrize("arguments", [["pieces"], ["prepare", "demo", "--json"], ["log", "export"]])
def test_an_output_that_takes_nothing_is_told(arguments: list[str], coach: Coach, home: Path) -> None:
    """/dev/full answers every write with "no space left" (Linux, full(4))."""
    coach("demo")
    with open("/dev/full", "w") as full:
        done = subprocess.run(command(*arguments), stdout=full, stderr=subprocess.PIPE, text=True, timeout=60)
    assert "space" in sentence(Done(done.returncode, "", done.stderr))


@pytest.mark.parametrize("arguments", [["pieces"], ["today"], ["rep", "demo", "octaves", "--tempo", "40", "clean"]])
def test_a_damaged_log_is_told_and_left_alone(arguments: list[str], coach: Coach, home: Path) -> None:
    coach("demo")
    log = home / "data" / "log.sqlite3"
    log.write_bytes(b"SQLite format 3\0" + bytes(200) + os.urandom(5_000))
    before = log.read_bytes()
    assert "damaged" in sentence(coach(*arguments))
    assert log.read_bytes() == before


def test_a_newer_log_is_told_and_left_alone(coach: Coach, home: Path) -> None:
    coach("demo")
    log = home / "data" / "log.sqlite3"
    with sqlite3.connect(log) as newer:
        newer.execute("PRAGMA user_version = 99")
    newer.close()
    before = log.read_bytes()
    said = sentence(coach("rep", "demo", "octaves", "--tempo", "40", "clean"))
    assert "newer" in said and "update" in said
    assert log.read_bytes() == before


def test_another_programs_database_is_told(coach: Coach, home: Path) -> None:
    (home / "data").mkdir()
    with sqlite3.connect(home / "data" / "log.sqlite3") as other:
        other.execute("CREATE TABLE sheep (name TEXT)")
    other.close()
    assert "another program" in sentence(coach("pieces"))


def test_a_lost_copy_of_the_score_is_told_and_can_be_mended(coach: Coach, home: Path) -> None:
    piece = coach("add", WEBER, "--json").document["piece"]["id"]
    (copy,) = (home / "data" / "scores").iterdir()
    copy.unlink()
    assert "coach add" in sentence(coach("prepare", piece))
    assert coach("add", WEBER, "--json").document["piece"]["id"] == piece
    assert coach("prepare", piece).status == 0


def test_two_programs_at_once_lose_nothing(program: Coach) -> None:
    program("demo")
    with ThreadPoolExecutor(4) as pool:
        done = list(pool.map(lambda _: program("rep", "demo", "octaves", "--tempo", "40", "clean"), range(8)))
    assert [one.status for one in done] == [0] * 8
    assert len(set(reps_in(program))) == 8


def test_two_programs_that_start_the_first_log_at_once(program: Coach) -> None:
    with ThreadPoolExecutor(4) as pool:
        done = list(pool.map(lambda _: program("pieces", "--json"), range(4)))
    assert {one.status for one in done} == {0}


@posix
def test_reps_told_of_survive_a_kill(home: Path, coach: Coach) -> None:
    """What the command has confirmed is in the log after SIGKILL at a random moment. (A hundred kills of one writer are
    in tests/store/test_kill.py; here the whole program is killed.)"""
    coach("demo")
    chance = random.Random(7)
    loop = (
        "import sys; from coach.cli.main import main\n"
        "while True: main(['rep', 'demo', 'octaves', '--tempo', '40', 'clean', '--json'])"
    )
    told, out = 0, home.parent / "told.txt"
    for _ in range(8):
        with out.open("w") as stream:
            process = subprocess.Popen([sys.executable, "-u", "-c", loop], stdout=stream, env=environment(home))
            try:
                wait_for(lambda: out.stat().st_size > 0)
                Event().wait(chance.uniform(0, 0.15))
            finally:
                process.kill()
                process.wait(10)
        told += out.read_text().count('"next_tempo"')
    kept = len(reps_in(coach))
    assert told > 8
    assert told <= kept <= told + 8  # one more each time: logged, and killed before it could be told


def wait_for(condition: Callable[[], bool], timeout_s: float = 30.0) -> None:
    deadline_s = time.monotonic() + timeout_s
    while not condition():
        assert time.monotonic() < deadline_s
        Event().wait(0.005)


@posix
def test_ctrl_c_ends_play_at_any_moment(home: Path, coach: Coach) -> None:
    """Status 130, no traceback, and no sound process left behind."""
    coach("demo")
    chance = random.Random(3)
    arguments = [sys.executable, "-c", READY, "play", "demo", "--measures", "1-8", "--loop"]
    for wait_s in [chance.uniform(0, 1.2) for _ in range(12)]:
        process = subprocess.Popen(
            arguments,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
            env=environment(home),
            start_new_session=True,
        )
        assert process.stdout is not None and process.stdout.readline() == "ready\n"
        Event().wait(wait_s)
        os.killpg(process.pid, signal.SIGINT)  # as a terminal does: to the whole group, the sound process too
        _, err = process.communicate(timeout=20)
        assert process.returncode == 130, (wait_s, err)
        assert all(line.startswith("measure ") for line in err.splitlines()), (wait_s, err)
        wait_for(partial(nothing_left, process.pid))


def nothing_left(group: int) -> bool:
    """Whether every process of a group has ended."""
    try:
        os.killpg(group, 0)
    except ProcessLookupError:
        return True
    return False


@posix
def test_no_terminal_is_told(program: Coach) -> None:
    said = sentence(program())
    assert "terminal" in said and "coach today" in said


def test_demo_without_a_terminal_puts_it_there_and_says_so(program: Coach) -> None:
    done = program("demo")
    assert done.status == 0 and done.out.startswith("On the stand: ")


@posix
def test_a_reader_that_goes_away_is_no_traceback(home: Path, coach: Coach) -> None:
    coach("demo")
    for arguments in (["prepare", "demo", "--json"], ["log", "export"]):
        process = subprocess.Popen(
            command(*arguments), stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, env=environment(home)
        )
        assert process.stdout is not None and process.stderr is not None
        process.stdout.close()
        err = process.stderr.read()
        process.stderr.close()
        assert process.wait(30) in (0, 1)
        assert "Traceback" not in err and "Exception" not in err


@posix
def test_a_terminal_without_utf8_stops_no_command(home: Path, coach: Coach) -> None:
    coach("demo")
    plain = {
        **environment(home),
        "LC_ALL": "C",
        "PYTHONUTF8": "0",
        "PYTHONIOENCODING": "ascii",
        "PYTHONCOERCECLOCALE": "0",
    }
    for arguments in (["pieces"], ["check"], ["progress", "demo"], ["prepare", "demo", "--json"]):
        done = subprocess.run(command(*arguments), env=plain, capture_output=True, timeout=60)
        assert done.returncode == 0, done.stderr
        done.stdout.decode("ascii")

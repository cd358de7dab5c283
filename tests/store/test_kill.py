"""No rep that was confirmed is ever lost, whatever kills the program, with several of them at work at once."""

import random
import sqlite3
import subprocess
import sys
import threading
import time
from pathlib import Path

from coach.practice.record import fold
from coach.store.log import Log

ROOT = Path(__file__).parents[2]
KILLS = 100
AT_ONCE = 4


def start(path: Path, name: str, wanted: int = 0) -> subprocess.Popen[str]:
    command = [sys.executable, "-m", "tests.store.appender", str(path), name, str(wanted)]
    return subprocess.Popen(command, stdout=subprocess.PIPE, text=True, cwd=ROOT)


def printed(child: subprocess.Popen[str], lines: int, delay_s: float, confirmed: list[str]) -> None:
    """Read some lines, wait for a moment, kill, and read what was still printed."""
    assert child.stdout is not None
    with child.stdout as stream:
        read = [stream.readline() for _ in range(lines)]
        until = time.perf_counter() + delay_s
        while time.perf_counter() < until:  # the moment itself is what is random; nothing is waited for
            pass
        child.kill()
        read += stream.readlines()
    child.wait()
    confirmed += [line.rstrip("\n") for line in read if line.endswith("\n")]


def test_no_confirmed_rep_is_lost_by_a_hundred_kills(tmp_path: Path) -> None:
    path, chance, confirmed = tmp_path / "log.sqlite3", random.Random(1971), list[str]()
    for first in range(0, KILLS, AT_ONCE):
        children = [start(path, f"child{first + k}") for k in range(AT_ONCE)]
        readers = [
            threading.Thread(target=printed, args=(child, chance.randrange(0, 12), chance.random() / 200, confirmed))
            for child in children
        ]
        for reader in readers:
            reader.start()
        for reader in readers:
            reader.join()
        with Log.open(path) as log:  # what a restarted program sees
            assert set(confirmed) <= {one.uuid for one in log.entries()}
    check = sqlite3.connect(path)
    assert check.execute("PRAGMA integrity_check").fetchone() == ("ok",)
    check.close()
    with Log.open(path) as log:
        record = fold(log.entries())
    assert len(record.reps) >= len(confirmed) > KILLS
    assert record.unread == ()


def test_programs_that_start_together_all_write(tmp_path: Path) -> None:
    path = tmp_path / "new" / "log.sqlite3"
    children = [start(path, f"child{k}", 25) for k in range(AT_ONCE)]
    lines = [child.communicate()[0].split() for child in children]
    assert [child.returncode for child in children] == [0] * AT_ONCE
    with Log.open(path) as log:
        assert {one.uuid for one in log.entries()} == {uuid for part in lines for uuid in part}
        assert len(log.entries()) == AT_ONCE * 25

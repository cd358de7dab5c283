"""The copies beside the log: a damaged log is never the only one."""

import os
from datetime import UTC, datetime
from pathlib import Path

import pytest

from coach.errors import StoreError
from coach.practice.entry import Entry
from coach.store.copies import copy_of
from coach.store.log import Log

START = datetime(2026, 3, 14, 9, 30, tzinfo=UTC)
DAY_S = 86_400


def add(path: Path, uuid: str) -> None:
    with Log.open(path) as log:
        log.append(Entry(uuid, START, "UTC", "note", "p", {}))


def uuids(path: Path) -> list[str]:
    with Log.open(path) as log:
        return [entry.uuid for entry in log.entries()]


def aged(path: Path, seconds: float) -> None:
    then = path.stat().st_mtime - seconds
    os.utime(path, (then, then))


@pytest.fixture
def path(tmp_path: Path) -> Path:
    add(tmp_path / "log.sqlite3", "a")
    assert not copy_of(tmp_path / "log.sqlite3").exists()  # nothing was there to copy when it was opened
    add(tmp_path / "log.sqlite3", "b")
    return tmp_path / "log.sqlite3"


def test_a_copy_is_renewed_once_a_day(path: Path) -> None:
    assert uuids(copy_of(path)) == ["a"]
    add(path, "c")
    assert uuids(copy_of(path)) == ["a"]
    aged(copy_of(path), DAY_S + 1)
    add(path, "d")
    assert uuids(copy_of(path)) == ["a", "b", "c"]


def test_a_damaged_log_names_its_copy_and_the_copy_works(path: Path) -> None:
    damaged = bytearray(path.read_bytes())
    damaged[4096:8192] = b"\xa5" * 4096
    path.write_bytes(damaged)
    with pytest.raises(StoreError, match=r"log\.copy\.sqlite3, a copy of 20\d\d-\d\d-\d\d, to log\.sqlite3"):
        Log.open(path)
    # What the sentence tells the player to do:
    path.rename(path.with_name("log.sqlite3.damaged"))
    copy_of(path).rename(path)
    assert uuids(path) == ["a"]
    assert path.with_name("log.sqlite3.damaged").read_bytes() == bytes(damaged)


def test_a_damaged_log_never_replaces_its_copy(path: Path) -> None:
    aged(copy_of(path), DAY_S + 1)
    kept = copy_of(path).read_bytes()
    path.write_bytes(b"no database at all" * 500)
    with pytest.raises(StoreError, match="damaged"):
        Log.open(path)
    assert copy_of(path).read_bytes() == kept


def test_a_copy_that_cannot_be_written_stops_nothing(path: Path) -> None:
    copy_of(path).unlink()
    copy_of(path).mkdir()
    aged(copy_of(path), DAY_S + 1)
    add(path, "c")
    assert uuids(path) == ["a", "b", "c"]
    assert [found.name for found in path.parent.iterdir()].count("log.copy.sqlite3") == 1
    assert not list(path.parent.glob("log.copy.sqlite3.*"))

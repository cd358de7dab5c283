"""Migrations: each in one transaction with its record, and a copy kept of what was there."""

import sqlite3
from pathlib import Path

import pytest

from coach.errors import StoreError
from coach.store.log import Log
from coach.store.migrations import MIGRATIONS, Migration

# A log of version 1, written out as SQLite's own dump would write it: a change to the first migration must not be able
# to change this. 1668243811 is "coac" in ASCII.
VERSION_1 = """
PRAGMA application_id = 1668243811;
PRAGMA user_version = 1;
CREATE TABLE migration (version INTEGER PRIMARY KEY, name TEXT NOT NULL, at TEXT NOT NULL);
INSERT INTO migration VALUES (1, 'entries', '2026-03-01T08:00:00.000000+00:00');
CREATE TABLE entry (
    seq INTEGER PRIMARY KEY AUTOINCREMENT,
    uuid TEXT NOT NULL UNIQUE,
    at TEXT NOT NULL,
    zone TEXT NOT NULL,
    kind TEXT NOT NULL,
    piece TEXT NOT NULL,
    body TEXT NOT NULL
);
INSERT INTO entry VALUES (1, '1d6ae5a2', '2026-03-01T08:05:00.000000+00:00', 'Europe/Vienna', 'rep', 'etude',
    '{"beat":"quarter"}');
INSERT INTO entry VALUES (2, '7f00c1de', '2026-03-01T08:04:00.000000+00:00', '+01:00', 'later-kind', 'etude', '{}');
"""


@pytest.fixture
def old(tmp_path: Path) -> Path:
    path = tmp_path / "log.sqlite3"
    connection = sqlite3.connect(path)
    connection.executescript(VERSION_1)
    connection.close()
    return path


def version(path: Path) -> tuple[int, list[int]]:
    connection = sqlite3.connect(path)
    number = connection.execute("PRAGMA user_version").fetchone()[0]
    records = [row[0] for row in connection.execute("SELECT version FROM migration ORDER BY version")]
    connection.close()
    return number, records


def test_a_log_of_version_1_is_brought_up(old: Path) -> None:
    with Log.open(old) as log:
        assert [one.uuid for one in log.entries()] == ["7f00c1de", "1d6ae5a2"]
        assert log.entries()[1].body == {"beat": "quarter"}
        with pytest.raises(sqlite3.IntegrityError, match="only grows"):
            log._connection.execute("DELETE FROM entry")
    assert version(old) == (len(MIGRATIONS), list(range(1, len(MIGRATIONS) + 1)))


def test_a_copy_of_the_older_log_is_kept(old: Path) -> None:
    Log.open(old).close()
    copy = old.with_name("log.before-2.sqlite3")
    assert version(copy) == (1, [1])
    connection = sqlite3.connect(copy)
    assert connection.execute("SELECT count(*) FROM entry").fetchone() == (2,)
    connection.close()
    found = sorted(path.name for path in old.parent.glob("log*"))
    assert found == ["log.before-2.sqlite3", "log.copy.sqlite3", "log.sqlite3"]


def test_a_new_log_needs_no_copy(tmp_path: Path) -> None:
    Log.open(tmp_path / "log.sqlite3").close()
    assert [path.name for path in tmp_path.iterdir()] == ["log.sqlite3"]


def test_a_migration_that_fails_half_way_leaves_no_trace(old: Path) -> None:
    Log.open(old).close()
    broken = (*MIGRATIONS, Migration("broken", ("CREATE TABLE extra (x)", "CREATE TABLE extra (y)")))
    with pytest.raises(StoreError, match="log.sqlite3"):
        Log.open(old, broken)
    assert version(old) == (len(MIGRATIONS), list(range(1, len(MIGRATIONS) + 1)))
    with Log.open(old) as log:
        assert log._connection.execute("SELECT count(*) FROM sqlite_master WHERE name = 'extra'").fetchone() == (0,)
        assert len(log.entries()) == 2


def test_a_copy_that_cannot_be_made_stops_the_migration(old: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    before = old.read_bytes()

    def full(source: object, target: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("coach.store.copies.os.replace", full)
    with pytest.raises(StoreError, match="must be copied"):
        Log.open(old)
    assert version(old) == (1, [1])
    connection = sqlite3.connect(old)
    assert connection.execute("SELECT count(*) FROM entry").fetchone() == (2,)
    connection.close()
    assert len(old.read_bytes()) == len(before)
    assert [path.name for path in old.parent.iterdir()] == ["log.sqlite3"]


def test_an_older_copy_is_left_alone(old: Path) -> None:
    copy = old.with_name("log.before-2.sqlite3")
    copy.write_text("precious")
    Log.open(old).close()
    assert copy.read_text() == "precious"
    assert version(old)[0] == len(MIGRATIONS)

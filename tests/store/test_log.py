"""The log: durable, append-only, shared, and honest about a file it cannot use."""

import sqlite3
import subprocess
import sys
import threading
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta, timezone
from pathlib import Path

import pytest

from coach.errors import StoreError
from coach.practice.entry import Entry
from coach.store.log import Log
from coach.store.migrations import MIGRATIONS, Migration

START = datetime(2026, 3, 14, 9, 30, tzinfo=UTC)


def entry(uuid: str, minute: int = 0, kind: str = "note", piece: str = "p", **body: object) -> Entry:
    return Entry(uuid, START + timedelta(minutes=minute), "Europe/Vienna", kind, piece, dict(body))


@pytest.fixture
def log(tmp_path: Path) -> Iterator[Log]:
    with Log.open(tmp_path / "some" / "folder" / "log.sqlite3") as opened:
        yield opened


def test_entries_come_back_in_order_of_time(log: Log) -> None:
    late, early = entry("a", 5, text="später ♯"), entry("b", 1, numbers=[1, 2.5, None, True])
    log.append(late, early)
    assert log.entries() == (early, late)


def test_entries_of_one_instant_are_ordered_by_uuid(log: Log) -> None:
    log.append(entry("b"), entry("c"), entry("a"))
    assert [one.uuid for one in log.entries()] == ["a", "b", "c"]


def test_entries_survive_closing(tmp_path: Path) -> None:
    path = tmp_path / "log.sqlite3"
    with Log.open(path) as log:
        log.append(entry("a"))
    with Log.open(path) as log:
        assert log.entries() == (entry("a"),)


def test_entries_can_be_asked_for_by_kind_and_piece(log: Log) -> None:
    log.append(entry("a", kind="rep"), entry("b", kind="spot"), entry("c", kind="rep", piece="q"))
    assert [one.uuid for one in log.entries(kinds=["rep"])] == ["a", "c"]
    assert [one.uuid for one in log.entries(kinds=["rep", "spot"], piece="p")] == ["a", "b"]
    assert log.entries(kinds=[]) == ()


def test_times_of_any_zone_are_kept_as_utc(log: Log) -> None:
    log.append(Entry("a", datetime(2026, 3, 14, 23, 0, tzinfo=timezone(timedelta(hours=-5))), "-05:00", "note", "", {}))
    (found,) = log.entries()
    assert found.at == datetime(2026, 3, 15, 4, 0, tzinfo=UTC)
    assert found.at.tzinfo is UTC


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        (Entry("a", datetime(2026, 3, 14, 9), "UTC", "note", "", {}), "time without a zone"),  # noqa: DTZ001
        (entry("a", value=float("nan")), "JSON"),
        (entry("a", value=object()), "JSON"),
        (entry(""), "uuid"),
        (entry("a", kind="\ud800"), "surrogate"),
    ],
)
def test_what_cannot_be_kept_is_refused_whole(log: Log, wrong: Entry, words: str) -> None:
    with pytest.raises(ValueError, match=words):
        log.append(entry("good"), wrong)
    assert log.entries() == ()


def test_appending_again_changes_nothing(log: Log) -> None:
    log.append(entry("a", text="one"))
    log.append(entry("a", text="one"), entry("b"))
    assert [one.uuid for one in log.entries()] == ["a", "b"]


def test_other_content_under_a_known_uuid_is_refused_whole(log: Log) -> None:
    log.append(entry("a", text="one"))
    with pytest.raises(StoreError, match="the entry a|The entry a"):
        log.append(entry("b"), entry("a", text="two"))
    assert log.entries() == (entry("a", text="one"),)


@pytest.mark.parametrize(
    "statement",
    [
        "DELETE FROM entry",
        "UPDATE entry SET body = '{}'",
        "INSERT OR REPLACE INTO entry (uuid, at, zone, kind, piece, body) VALUES ('a', '', '', '', '', '{}')",
    ],
)
def test_nothing_is_ever_changed_or_removed(log: Log, statement: str) -> None:
    log.append(entry("a", text="one"))
    with pytest.raises(sqlite3.IntegrityError, match="only grows"):
        log._connection.execute(statement)
    assert log.entries() == (entry("a", text="one"),)


def test_what_is_appended_is_meant_to_reach_the_disk(log: Log) -> None:
    # SQLite documentation, "PRAGMA synchronous": in WAL mode only FULL (2) syncs the log after each transaction.
    connection = log._connection
    assert connection.execute("PRAGMA journal_mode").fetchone() == ("wal",)
    assert connection.execute("PRAGMA synchronous").fetchone() == (2,)


def test_two_programs_see_each_other(log: Log) -> None:
    with Log.open(log.path) as other:
        before = log.version
        assert not log.changed(before)
        other.append(entry("a"))
        assert log.changed(before)
        assert log.entries() == (entry("a"),)


def test_the_log_may_be_used_from_several_threads(log: Log) -> None:
    def work(name: str) -> None:
        for k in range(20):
            log.append(entry(f"{name}{k}", k))

    threads = [threading.Thread(target=work, args=(name,)) for name in "abcd"]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(log.entries()) == 80


def test_an_append_that_is_interrupted_leaves_nothing_half_done(log: Log, monkeypatch: pytest.MonkeyPatch) -> None:
    def interrupted(rows: object) -> int:
        log._connection.execute("INSERT INTO entry (uuid, at, zone, kind, piece, body) VALUES ('x','','','','','{}')")
        raise KeyboardInterrupt

    monkeypatch.setattr(log, "_add", interrupted)
    with pytest.raises(KeyboardInterrupt):
        log.append(entry("a"))
    monkeypatch.undo()
    log.append(entry("b"))
    assert log.entries() == (entry("b"),)


# --- files that cannot be used ---------------------------------------------------------------------------------------


def refused(path: Path) -> str:
    """Opening fails with one sentence that names the file, and the file stays as it is, byte for byte."""
    before = path.read_bytes()
    with pytest.raises(StoreError) as caught:
        Log.open(path)
    assert path.read_bytes() == before
    assert str(path) in str(caught.value)
    assert "\n" not in str(caught.value)
    return str(caught.value)


def filled(path: Path, entries: int = 400) -> Path:
    with Log.open(path) as log:
        log.append(*(entry(f"{k:06d}", k, text="x" * 100) for k in range(entries)))
    return path


def test_a_file_that_is_no_database_is_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "log.sqlite3"
    path.write_text("this is my diary, not a database\n" * 100)
    assert "log.sqlite3.damaged" in refused(path)


@pytest.mark.parametrize("place", [0.3, 0.6, 0.9])
def test_a_damaged_log_is_left_alone(tmp_path: Path, place: float) -> None:
    path = filled(tmp_path / "log.sqlite3")
    content = bytearray(path.read_bytes())
    start = int(len(content) * place) // 4096 * 4096
    content[start : start + 4096] = b"\xa5" * 4096
    path.write_bytes(content)
    sentence = refused(path)
    assert "damaged" in sentence
    assert "coach log import" in sentence


def test_a_log_cut_short_is_left_alone(tmp_path: Path) -> None:
    path = filled(tmp_path / "log.sqlite3")
    content = path.read_bytes()
    path.write_bytes(content[: len(content) // 2 // 4096 * 4096])
    assert "damaged" in refused(path)


def test_a_newer_log_is_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "log.sqlite3"
    newer = (*MIGRATIONS, Migration("something to come", ("CREATE TABLE extra (x)",)))
    with Log.open(path, newer) as log:
        log.append(entry("a"))
    assert "update coach" in refused(path)


def test_a_database_of_another_program_is_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "log.sqlite3"
    other = sqlite3.connect(path)
    other.execute("CREATE TABLE addresses (name)")
    other.commit()
    other.close()
    assert "another program" in refused(path)


def test_a_body_that_is_no_table_counts_as_damage(log: Log) -> None:
    other = sqlite3.connect(log.path)
    other.execute(
        "INSERT INTO entry (uuid, at, zone, kind, piece, body) "
        "VALUES ('a', '2026-03-14T09:30:00.000000+00:00', '', '', '', '7')"
    )
    other.commit()
    other.close()
    with pytest.raises(StoreError, match="damaged"):
        log.entries()


def test_a_folder_that_cannot_be_made_is_told(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    with pytest.raises(StoreError, match="COACH_HOME"):
        Log.open(tmp_path / "file" / "data" / "log.sqlite3")


def test_a_folder_in_the_place_of_the_log_is_told(tmp_path: Path) -> None:
    (tmp_path / "log.sqlite3").mkdir()
    with pytest.raises(StoreError, match="cannot be opened"):
        Log.open(tmp_path / "log.sqlite3")


@pytest.mark.skipif(sys.platform == "win32", reason="permissions of folders work otherwise there")
def test_an_unwritable_folder_is_told(tmp_path: Path) -> None:
    # Run as nobody if we are root, whom no permission stops.
    program = (
        "import os, sys; sys.path.insert(0, sys.argv[2]); from pathlib import Path\n"
        "from coach.store.log import Log; from coach.errors import StoreError\n"
        "if os.geteuid() == 0: os.setuid(65534)\n"
        "try: Log.open(Path(sys.argv[1]))\n"
        "except StoreError as error: print(error)\n"
    )
    for made, words in ((False, "cannot be made"), (True, "cannot be opened")):
        folder = tmp_path / str(made)
        folder.mkdir()
        path = folder / ("log.sqlite3" if made else "data/log.sqlite3")
        for parent in (folder, *list(folder.parents)[:4]):  # a process of several puts one more folder between
            parent.chmod(0o755)
        folder.chmod(0o555)
        root = str(Path(__file__).parents[2])
        done = subprocess.run([sys.executable, "-c", program, path, root], capture_output=True, text=True, check=True)
        assert words in done.stdout
        assert "COACH_HOME" in done.stdout


def test_a_full_disk_loses_nothing(log: Log) -> None:
    # SQLite documentation, "PRAGMA max_page_count": beyond it an INSERT fails with SQLITE_FULL, as on a full disk.
    log.append(entry("a"))
    pages = log._connection.execute("PRAGMA page_count").fetchone()[0]
    log._connection.execute(f"PRAGMA max_page_count = {pages}")
    with pytest.raises(StoreError, match="disk is full"):
        log.append(entry("b"), entry("c", text="x" * 100_000))
    assert log.entries() == (entry("a"),)
    log._connection.execute("PRAGMA max_page_count = 1000000")
    log.append(entry("d", 1))
    assert [one.uuid for one in log.entries()] == ["a", "d"]


@pytest.mark.skipif(sys.platform == "win32", reason="there are no limits on the size of files there")
def test_a_file_that_cannot_grow_is_told(tmp_path: Path) -> None:
    path = filled(tmp_path / "log.sqlite3", 10)
    program = (
        "import resource, signal, sys; from pathlib import Path; from datetime import datetime, UTC\n"
        "from coach.store.log import Log; from coach.errors import StoreError; from coach.practice.entry import Entry\n"
        "signal.signal(signal.SIGXFSZ, signal.SIG_IGN)\n"
        "log = Log.open(Path(sys.argv[1]))\n"
        "resource.setrlimit(resource.RLIMIT_FSIZE, (60_000, 60_000))\n"
        "kept = 0\n"
        "try:\n"
        "    for k in range(10_000):\n"
        "        log.append(Entry(f'new{k}', datetime.now(UTC), 'UTC', 'note', '', {'text': 'x' * 500}))\n"
        "        kept += 1\n"
        "except StoreError as error: print(kept, error)\n"
    )
    done = subprocess.run([sys.executable, "-c", program, path], capture_output=True, text=True, check=True)
    kept, _, sentence = done.stdout.partition(" ")
    assert "disk is full or failing" in sentence
    with Log.open(path) as log:
        assert len(log.entries()) == 10 + int(kept)


def test_a_log_that_is_held_is_told(log: Log, monkeypatch: pytest.MonkeyPatch) -> None:
    log._connection.execute("PRAGMA busy_timeout = 1")
    other = sqlite3.connect(log.path, isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    with pytest.raises(StoreError, match="another program"):
        log.append(entry("a"))
    other.execute("ROLLBACK")
    other.close()


def test_opening_waits_for_a_program_that_is_just_making_the_log(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    # While another connection holds the write lock, SQLite refuses the switch to the write-ahead log at once.
    path = tmp_path / "log.sqlite3"
    other = sqlite3.connect(path, isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    pauses = []

    def release(seconds: float) -> None:
        pauses.append(seconds)
        other.execute("ROLLBACK")

    monkeypatch.setattr("coach.store.log.time.sleep", release)
    with Log.open(path) as log:
        log.append(entry("a"))
        assert log.entries() == (entry("a"),)
    assert len(pauses) == 1
    other.close()


def test_many_may_make_the_log_at_once(tmp_path: Path) -> None:
    troubles = list[BaseException]()

    def open_and_add(path: Path, name: str, together: threading.Barrier) -> None:
        together.wait(timeout=30)
        try:
            with Log.open(path) as log:
                log.append(entry(name))
        except BaseException as error:
            troubles.append(error)

    for attempt in range(20):
        path, together = tmp_path / f"{attempt}" / "log.sqlite3", threading.Barrier(6)
        threads = [threading.Thread(target=open_and_add, args=(path, name, together)) for name in "abcdef"]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        assert troubles == []
        with Log.open(path) as log:
            assert [one.uuid for one in log.entries()] == list("abcdef")


def test_a_closed_log_is_told(log: Log) -> None:
    log.close()
    with pytest.raises(StoreError, match="closed"):
        log.append(entry("a"))

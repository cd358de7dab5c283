"""The practice log: an SQLite file that only grows.

An append is on the disk before it returns (write-ahead log, synchronous=FULL). Several programs may use the file at the
same time. A file that is newer, damaged or not ours is never touched.
"""

import json
import sqlite3
import threading
import time
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import TextIO

from coach.errors import StoreError
from coach.practice.entry import Entry
from coach.store.copies import keep_daily_copy, remedy
from coach.store.line import HEADER, read_lines, time_of, to_body, to_line, written
from coach.store.migrations import APPLICATION, MIGRATIONS, Migration, migrate, version_of

BUSY_S = 10.0
# Put into queries as text; every value is bound.
COLUMNS = "uuid, at, zone, kind, piece, body"


@dataclass(frozen=True, slots=True)
class Merged:
    """What an import brought: entries added, and entries that were already there."""

    added: int
    known: int


class Log:
    """The log of one player. Use `Log.open`; safe to call from several threads."""

    def __init__(self, path: Path, connection: sqlite3.Connection) -> None:
        self.path = path
        self._connection = connection
        self._lock = threading.RLock()
        self._entries: list[Entry] = []  # all that was read so far, in order: entries never change
        self._read_to = 0

    @classmethod
    def open(cls, path: Path, migrations: tuple[Migration, ...] = MIGRATIONS) -> "Log":
        """Open the log, making it and its folders if need be. Raises StoreError with the remedy."""
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            raise StoreError(
                f"The folder {path.parent} for the practice log cannot be made ({error.strerror}); "
                "mend its permissions, or set COACH_HOME to a folder that can be written."
            ) from error
        with _told(path):
            connection = sqlite3.connect(path, timeout=BUSY_S, isolation_level=None, check_same_thread=False)
            try:
                _prepare(connection, path, migrations)
            except BaseException:
                connection.close()
                raise
        return cls(path, connection)

    def append(self, *entries: Entry) -> None:
        """Add entries, all or none; they are on the disk when this returns. Entries already there are left as they are.

        Raises StoreError if the file cannot be written, ValueError for an entry that cannot be kept.
        """
        rows = [written(entry) for entry in entries]
        with self._lock, _told(self.path), _transaction(self._connection):
            self._add(rows)

    def entries(self, kinds: Iterable[str] | None = None, piece: str | None = None) -> tuple[Entry, ...]:
        """The entries in order of time (then uuid), of some kinds or of one piece if asked. Raises StoreError."""
        wanted = None if kinds is None else set(kinds)
        with self._lock:
            self._read_new()
            return tuple(
                entry
                for entry in self._entries
                if (wanted is None or entry.kind in wanted) and (piece is None or entry.piece == piece)
            )

    @property
    def version(self) -> int:
        """A number that grows whenever this or another program adds entries. Raises StoreError."""
        with self._lock, _told(self.path):
            return int(self._connection.execute("SELECT coalesce(max(seq), 0) FROM entry").fetchone()[0])

    def changed(self, since: int) -> bool:
        """Whether entries came in, from whatever program, since `version` was `since`. Raises StoreError."""
        return self.version != since

    def export(self, stream: TextIO) -> int:
        """Write the whole log as JSON lines below a header line; returns the number of entries. Raises StoreError."""
        entries = self.entries()
        try:
            stream.write(json.dumps(HEADER) + "\n")
            for entry in entries:
                stream.write(to_line(entry) + "\n")
        except BrokenPipeError:  # whoever read the export has gone; that is theirs to do
            raise
        except OSError as error:
            raise StoreError(f"The export cannot be written ({error.strerror}); choose another place.") from error
        return len(entries)

    def merge(self, stream: TextIO, name: str = "") -> Merged:
        """Take in an export: all of it or, after a mistake, nothing. Raises StoreError naming the line and the remedy.

        `name` is what the error calls the file; by default the stream's own name.
        """
        source = name or str(getattr(stream, "name", "the import"))
        entries = read_lines(stream, source)
        with self._lock, _told(self.path), _transaction(self._connection):
            added = self._add([written(entry) for entry in entries])
        return Merged(added, len(entries) - added)

    def close(self) -> None:
        """Close the file; the log cannot be used afterwards."""
        with self._lock:
            self._connection.close()

    def __enter__(self) -> "Log":
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def _read_new(self) -> None:
        """Read what this and other programs added since the last time."""
        with _told(self.path):
            query = f"SELECT seq, {COLUMNS} FROM entry WHERE seq > ?"  # noqa: S608
            rows = self._connection.execute(query, (self._read_to,)).fetchall()
        try:
            new = [_entry(row[1:]) for row in rows]
        except ValueError as error:
            raise StoreError(_damaged(self.path, error)) from error
        if new:
            self._entries = sorted([*self._entries, *new], key=lambda entry: (entry.at, entry.uuid))
            self._read_to = max(row[0] for row in rows)

    def _add(self, rows: list[tuple[str, ...]]) -> int:
        """Insert what is not there yet. A known uuid with other content is refused: one of the two is wrong."""
        added = 0
        for row in rows:
            found = self._connection.execute(f"SELECT {COLUMNS} FROM entry WHERE uuid = ?", row[:1]).fetchone()  # noqa: S608
            if found is None:
                self._connection.execute(f"INSERT INTO entry ({COLUMNS}) VALUES (?, ?, ?, ?, ?, ?)", row)  # noqa: S608
                added += 1
            elif found != row:
                raise StoreError(
                    f"The entry {row[0]} is in the log {self.path} with other content; nothing was added. "
                    "One of the two was changed by hand: take that line out of the file and import it again."
                )
        return added


def _prepare(connection: sqlite3.Connection, path: Path, migrations: tuple[Migration, ...]) -> None:
    """Look before touching: ours, not newer, not damaged. Then set the durability and bring the schema up."""
    connection.execute(f"PRAGMA busy_timeout = {int(BUSY_S * 1000)}")
    tables, application, version = _look(connection)
    if application != APPLICATION and (tables or application or version):
        raise StoreError(f"{path} is a database of another program; move it away, or set COACH_HOME to another folder.")
    if version > len(migrations):
        raise StoreError(
            f"{path} was written by a newer coach (log version {version}, this one knows {len(migrations)}); "
            "update coach. The log was not touched."
        )
    found = connection.execute("PRAGMA quick_check(1)").fetchone()[0]
    if found != "ok":
        raise sqlite3.DatabaseError(found)
    _use_write_ahead_log(connection)
    connection.execute("PRAGMA synchronous = FULL")
    connection.execute("PRAGMA recursive_triggers = ON")  # so that INSERT OR REPLACE meets the triggers too
    migrate(connection, path, migrations)
    keep_daily_copy(connection, path)


def _look(connection: sqlite3.Connection) -> tuple[int, int, int]:
    """Number of tables, application id and version, all of one moment: another program may be making the file."""
    connection.execute("BEGIN")
    tables = connection.execute("SELECT count(*) FROM sqlite_master").fetchone()[0]
    application = connection.execute("PRAGMA application_id").fetchone()[0]
    version = version_of(connection)
    connection.execute("COMMIT")
    return tables, application, version


def _use_write_ahead_log(connection: sqlite3.Connection) -> None:
    """Switch the journal. Two programs making the file at once collide here, and SQLite does not wait by itself."""
    deadline = time.monotonic() + BUSY_S
    while True:
        try:
            # A network folder may refuse; the older journal that then stays in use is as durable.
            connection.execute("PRAGMA journal_mode = WAL").fetchone()
            return
        except sqlite3.OperationalError as error:
            if error.sqlite_errorcode != sqlite3.SQLITE_BUSY or time.monotonic() > deadline:
                raise
            time.sleep(0.01)


@contextmanager
def _transaction(connection: sqlite3.Connection) -> Iterator[None]:
    try:
        connection.execute("BEGIN IMMEDIATE")
        yield
        connection.execute("COMMIT")
    except BaseException:
        if connection.in_transaction:  # a full disk may have rolled back by itself
            connection.execute("ROLLBACK")
        raise


@contextmanager
def _told(path: Path) -> Iterator[None]:
    """Turn SQLite's errors into sentences with a remedy."""
    try:
        yield
    except sqlite3.Error as error:
        raise StoreError(_sentence(path, error)) from error


def _sentence(path: Path, error: sqlite3.Error) -> str:
    code = getattr(error, "sqlite_errorcode", 0) & 0xFF
    if code in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED):
        return f"The log {path} is held by another program ({error}); close that one and try again."
    if code in (sqlite3.SQLITE_FULL, sqlite3.SQLITE_IOERR):
        return f"The log {path} cannot be written ({error}): the disk is full or failing. Free space and try again."
    if code in (sqlite3.SQLITE_READONLY, sqlite3.SQLITE_CANTOPEN, sqlite3.SQLITE_PERM, sqlite3.SQLITE_AUTH):
        return (
            f"The log {path} cannot be opened for writing ({error}); mend the permissions of the file and its folder, "
            "or set COACH_HOME to a folder that can be written."
        )
    if isinstance(error, sqlite3.ProgrammingError):
        return f"The log {path} is closed; start coach again."
    return _damaged(path, error)


def _damaged(path: Path, error: Exception) -> str:
    reason = " ".join(str(error).split())
    return f"The log {path} is damaged ({reason}); it was left as it is. {remedy(path)}."


def _entry(row: tuple[str, str, str, str, str, str]) -> Entry:
    uuid, at, zone, kind, piece, body = row
    return Entry(uuid, time_of(at), zone, kind, piece, to_body(body))

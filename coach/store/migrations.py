"""The schema of the log, as ordered migrations, each applied once, in one transaction with the record that it was."""

import sqlite3
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from coach.errors import StoreError
from coach.store.copies import is_empty, write_copy

APPLICATION = 0x636F6163  # "coac": marks the file as ours


@dataclass(frozen=True, slots=True)
class Migration:
    """One step of the schema: a name and its statements."""

    name: str
    statements: tuple[str, ...]


MIGRATIONS: tuple[Migration, ...] = (
    Migration(
        "entries",
        (
            f"PRAGMA application_id = {APPLICATION}",
            "CREATE TABLE migration (version INTEGER PRIMARY KEY, name TEXT NOT NULL, at TEXT NOT NULL)",
            """CREATE TABLE entry (
                seq INTEGER PRIMARY KEY AUTOINCREMENT,
                uuid TEXT NOT NULL UNIQUE,
                at TEXT NOT NULL,
                zone TEXT NOT NULL,
                kind TEXT NOT NULL,
                piece TEXT NOT NULL,
                body TEXT NOT NULL
            )""",
        ),
    ),
    Migration(
        "the log only grows",
        (
            "CREATE INDEX entry_by_time ON entry (at, uuid)",
            """CREATE TRIGGER entry_stays BEFORE DELETE ON entry
                BEGIN SELECT RAISE(ABORT, 'the log only grows'); END""",
            """CREATE TRIGGER entry_keeps BEFORE UPDATE ON entry
                BEGIN SELECT RAISE(ABORT, 'the log only grows'); END""",
        ),
    ),
)


def version_of(connection: sqlite3.Connection) -> int:
    """The number of migrations that the file has seen."""
    return int(connection.execute("PRAGMA user_version").fetchone()[0])


def migrate(connection: sqlite3.Connection, path: Path, migrations: tuple[Migration, ...]) -> None:
    """Apply what is missing. A log with entries is copied first, to a file beside it that names its version."""
    found = version_of(connection)
    if 0 < found < len(migrations) and not is_empty(connection):
        _copy(connection, path.with_name(f"{path.stem}.before-{found + 1}{path.suffix}"))
    for version in range(found + 1, len(migrations) + 1):
        _apply(connection, version, migrations[version - 1])


def _apply(connection: sqlite3.Connection, version: int, migration: Migration) -> None:
    connection.execute("BEGIN IMMEDIATE")
    try:
        if version_of(connection) < version:  # another program may have been first
            for statement in migration.statements:
                connection.execute(statement)
            at = datetime.now(UTC).isoformat(timespec="microseconds")
            connection.execute("INSERT INTO migration VALUES (?, ?, ?)", (version, migration.name, at))
            connection.execute(f"PRAGMA user_version = {version}")
        connection.execute("COMMIT")
    except BaseException:
        if connection.in_transaction:
            connection.execute("ROLLBACK")
        raise


def _copy(connection: sqlite3.Connection, target: Path) -> None:
    """Copy the whole log; an older copy of the same version is left alone."""
    if target.exists():
        return
    try:
        write_copy(connection, target)
    except (sqlite3.Error, OSError) as error:
        raise StoreError(
            f"The log must be copied to {target} before it is updated, and that failed ({error}); "
            "free space or mend the folder's permissions. The log was not touched."
        ) from error

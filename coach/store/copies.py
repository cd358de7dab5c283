"""Copies of the log that stand beside it: one a day, and one before each change of its schema."""

import os
import sqlite3
import tempfile
import time
from datetime import datetime
from pathlib import Path

DAY_S = 86_400.0


def copy_of(path: Path) -> Path:
    """Where the daily copy of a log stands."""
    return path.with_name(f"{path.stem}.copy{path.suffix}")


def write_copy(connection: sqlite3.Connection, target: Path) -> None:
    """Copy a whole log; the target is replaced only by a complete copy. Raises sqlite3.Error, OSError."""
    handle, name = tempfile.mkstemp(dir=target.parent, prefix=f"{target.name}.")
    os.close(handle)
    partial = Path(name)
    try:
        copy = sqlite3.connect(partial)
        try:
            connection.backup(copy)
        finally:
            copy.close()
        os.replace(partial, target)
    except BaseException:
        partial.unlink(missing_ok=True)
        raise


def is_empty(connection: sqlite3.Connection) -> bool:
    """Whether the log holds no entry."""
    return connection.execute("SELECT 1 FROM entry LIMIT 1").fetchone() is None


def keep_daily_copy(connection: sqlite3.Connection, path: Path) -> bool:
    """Renew the daily copy of a log that was just found whole; returns whether it was written.

    A copy that cannot be written is no reason to stop: the log itself works, and says so when it does not.
    """
    target = copy_of(path)
    if is_empty(connection) or (target.exists() and time.time() - target.stat().st_mtime < DAY_S):
        return False
    try:
        write_copy(connection, target)
    except (sqlite3.Error, OSError):
        return False
    return True


def remedy(path: Path) -> str:
    """What to do about a damaged log, as the end of a sentence."""
    kept = f"Rename it to {path.name}.damaged and keep it"
    copy = copy_of(path)
    if not copy.is_file():
        return f"{kept}, then start coach again and take in your last export with `coach log import`"
    day = datetime.fromtimestamp(copy.stat().st_mtime).astimezone().date().isoformat()
    return (
        f"{kept}, then rename {copy.name}, a copy of {day}, to {path.name} and take in later exports, if there are any"
    )

"""Entries as text: the columns of the database and the JSON lines of an export."""

import json
from collections.abc import Iterable
from datetime import UTC, datetime
from typing import Any

from coach.errors import StoreError
from coach.practice.entry import Entry
from coach.practice.record import check

SCHEMA = "coach.log"
VERSION = 1
HEADER = {"schema": f"{SCHEMA}/{VERSION}"}
FIELDS = ("uuid", "at", "zone", "kind", "piece", "body")


def written(entry: Entry) -> tuple[str, ...]:
    """The columns of an entry. Raises ValueError for a time without a zone or a body that JSON cannot hold."""
    if not entry.uuid:
        raise ValueError("an entry needs a uuid")
    if entry.at.tzinfo is None:
        raise ValueError(f"the entry {entry.uuid} has a time without a zone")
    try:
        body = json.dumps(entry.body, sort_keys=True, separators=(",", ":"), allow_nan=False)
        at = entry.at.astimezone(UTC).isoformat(timespec="microseconds")
    except (TypeError, OverflowError, RecursionError) as error:
        raise ValueError(f"the entry {entry.uuid} cannot be written as JSON: {error}") from error
    columns = entry.uuid, at, entry.zone, entry.kind, entry.piece, body
    for column in columns:
        column.encode("utf-8")  # a lone surrogate is a ValueError here, not a surprise inside SQLite
    return columns


def to_line(entry: Entry) -> str:
    """One line of an export."""
    *texts, body = written(entry)
    return json.dumps({**dict(zip(FIELDS, texts, strict=False)), "body": json.loads(body)}, sort_keys=False)


def to_body(text: str) -> dict[str, Any]:
    """The body as plain values. Raises ValueError if the column was tampered with."""
    body = json.loads(text)
    if not isinstance(body, dict):
        raise ValueError(f"an entry holds {text[:40]!r} where a table should be")
    return body


def time_of(text: str) -> datetime:
    """A time in UTC. Raises ValueError for one that cannot be read or has no zone."""
    try:
        at = datetime.fromisoformat(text)
        if at.tzinfo is not None:
            return at.astimezone(UTC)
    except (ValueError, OverflowError) as error:
        raise ValueError(f"at is {text!r}, which is no time; write it like 2026-03-14T09:30:00+00:00") from error
    raise ValueError(f"at is {text!r}, which has no zone; write it like 2026-03-14T09:30:00+00:00")


def read_lines(lines: Iterable[str], source: str) -> tuple[Entry, ...]:
    """The entries of an export. Raises StoreError naming the line that is wrong."""
    entries = []
    header = False
    number = 0
    try:
        for line in lines:
            number += 1
            if not line.strip():
                continue
            value = _json(line)
            if header:
                entries.append(_read(value))
            else:
                _check_header(value)
                header = True
    except UnicodeDecodeError as error:
        raise StoreError(
            f"{source} is not UTF-8 text after line {number}; nothing was added. Export it again."
        ) from error
    except ValueError as error:
        raise StoreError(
            f"{source}, line {number}: {error}; nothing was added. Mend that line or export the log again."
        ) from error
    if not header:
        raise StoreError(f"{source} is empty; nothing was added. Choose a file written by `coach log export`.")
    return tuple(entries)


def _json(line: str) -> dict[str, Any]:
    try:
        value = json.loads(line, parse_constant=_no_constant)
    except RecursionError:
        raise ValueError("it is nested too deeply") from None
    except ValueError as error:
        raise ValueError(f"this is no JSON ({error})") from error
    if not isinstance(value, dict):
        raise ValueError("this is no entry of a log")
    return value


def _no_constant(name: str) -> None:
    raise ValueError(f"{name} is no number")


def _check_header(value: dict[str, Any]) -> None:
    schema, _, version = str(value.get("schema", "")).partition("/")
    if schema != SCHEMA or not version.isdecimal():
        raise ValueError(f"this is no export of a log, which begins with {json.dumps(HEADER)}")
    if int(version) > VERSION:
        raise ValueError(f"it was written by a newer coach (version {version}, this one reads {VERSION}); update coach")


def _read(value: dict[str, Any]) -> Entry:
    for name in FIELDS[:-1]:
        if not isinstance(value.get(name), str):
            raise ValueError(f"{name} is missing or no text")
    if not isinstance(value.get("body"), dict):
        raise ValueError("body is missing or no table")
    at = time_of(value["at"])
    entry = Entry(value["uuid"], at, value["zone"], value["kind"], value["piece"], value["body"])
    written(entry)
    check(entry)
    return entry

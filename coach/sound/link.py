"""The player's end of the sound process: starts it, writes to it, reads from it, and notices when it ends.

Writing and starting happen in one thread, reading in another, so that the caller never waits for the process; a
timeline is turned into lines in the writing thread too.
"""

import io
import os
import subprocess
import sys
import threading
from collections.abc import Callable, Iterable
from contextlib import suppress
from pathlib import Path
from queue import SimpleQueue
from typing import IO

from coach.child import surroundings
from coach.sound import codec

_LOG_LIMIT = 1_000_000
_GRACE_S = 1.2
_KILL_S = 0.5


class Link:
    """One sound process. `heard` is called with every report and `ended` once, when it ends unasked, both with the link
    itself first and from a thread of its own. Nothing here raises for a process that fails: it counts as ended."""

    def __init__(
        self, heard: "Callable[[Link, codec.Report], None]", ended: "Callable[[Link], None]", log_path: Path
    ) -> None:
        self._heard = heard
        self._ended = ended
        self._log_path = log_path
        self._lines: SimpleQueue[Iterable[bytes] | None] = SimpleQueue()
        self._process: subprocess.Popen[bytes] | None = None
        self._begun = threading.Event()
        self._closing = False
        threading.Thread(target=self._write, name="sound orders", daemon=True).start()

    @property
    def pid(self) -> int | None:
        """The process's id once it has begun."""
        return self._process.pid if self._process is not None else None

    def send(self, lines: Iterable[bytes]) -> None:
        """Queue lines to be written; returns at once."""
        self._lines.put(lines)

    def kill(self) -> None:
        """End the process at once, as one that no longer answers."""
        if self._process is not None:
            self._process.kill()

    def close(self) -> None:
        """Let it end its notes and go; after about a second it is killed."""
        self._closing = True
        self._lines.put(None)
        if not self._begun.wait(_GRACE_S) or self._process is None:
            return
        try:
            self._process.wait(_GRACE_S)
        except subprocess.TimeoutExpired:
            self._process.kill()
            with suppress(subprocess.TimeoutExpired):
                self._process.wait(_KILL_S)

    def _write(self) -> None:
        try:
            self._process = _spawned(self._log_path)
        except OSError:
            self._ended(self)
            return
        finally:
            self._begun.set()
        stdin, stdout = self._process.stdin, self._process.stdout
        assert isinstance(stdin, io.RawIOBase) and isinstance(stdout, io.RawIOBase)  # noqa: S101 - unbuffered pipes
        threading.Thread(target=self._read, args=(stdout,), name="sound reports", daemon=True).start()
        with suppress(OSError), stdin:  # the reading thread notices the end and says so
            while (lines := self._lines.get()) is not None:
                for line in lines:
                    _write_whole(stdin, line)

    def _read(self, stream: io.RawIOBase) -> None:
        with io.BufferedReader(stream) as reports:
            for text in reports:
                with suppress(ValueError):  # a line cut short by the process's end
                    self._heard(self, codec.report(text))
        if self._process is not None:
            self._process.wait()
        if not self._closing:
            self._lines.put(None)
            self._ended(self)


def _write_whole(stream: io.RawIOBase, line: bytes) -> None:
    left = memoryview(line)
    while left:
        left = left[stream.write(left) :]


def _spawned(log_path: Path) -> subprocess.Popen[bytes]:
    with _log(log_path) as log:
        return subprocess.Popen(
            [sys.executable, "-m", "coach.sound.engine"],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=log,
            bufsize=0,
            **surroundings(),
        )


def _log(path: Path) -> IO[bytes]:
    """The log of the drivers, begun anew when it has grown large; nothing is kept if it cannot be written."""
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        large = path.exists() and path.stat().st_size > _LOG_LIMIT
        return path.open("wb" if large else "ab")
    except OSError:
        return open(os.devnull, "wb")

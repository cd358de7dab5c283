"""The program's end of the engraving process: started at the first question, started anew if it has died."""

import json
import subprocess
import sys
import threading
from base64 import b64decode
from contextlib import suppress
from dataclasses import astuple, dataclass
from pathlib import Path
from typing import IO, Any

from coach.child import surroundings
from coach.errors import ScoreError
from coach.files.engraving.codec import unpack_system
from coach.music.engraved import EngravedSystem, Paint, Picture

_WAIT_S = 1.0


@dataclass(frozen=True, slots=True)
class Laid:
    """A part broken into systems: the layout's number, the first and last measure of each system by index, and which
    of our processes, counted from 1, knows it."""

    number: int
    systems: tuple[tuple[int, int], ...]
    process: int = 1


class Engraving:
    """Asks the engraving process, one question at a time, from whichever thread; every call waits for its answer."""

    def __init__(self, readings: Path | None = None, kept: Path | None = None) -> None:
        """`readings` is the folder of kept readings, `kept` that of kept engravings; without both nothing is kept."""
        self._kept = [str(readings), str(kept)] if readings is not None and kept is not None else None
        self._process: subprocess.Popen[str] | None = None
        self._lock = threading.Lock()
        self._count = 0
        self._processes = 0
        self._closed = False

    def lay(self, source: Path | str, part: str | None, prep: str, width: float) -> Laid:
        """Break a part into systems `width` spaces wide, with the marks of a prep (its text, "" for none). Raises
        ScoreError."""
        question = {"do": "lay", "source": str(source), "part": part or None, "prep": prep, "width": width}
        answer = self._ask({**question, "kept": self._kept})
        return Laid(answer["layout"], tuple((first, last) for first, last in answer["systems"]), answer["process"])

    def system(self, laid: Laid, number: int) -> EngravedSystem | None:
        """A system of a layout, None if the process has forgotten the layout. Raises ScoreError."""
        answer = self._ask({"do": "system", **_of(laid), "number": number})
        return None if "gone" in answer else unpack_system(answer["system"])

    def svg(self, laid: Laid, number: int) -> str | None:
        """A system of a layout as SVG, None if the process has forgotten the layout. Raises ScoreError."""
        answer = self._ask({"do": "svg", **_of(laid), "number": number})
        return None if "gone" in answer else str(answer["svg"])

    def picture(self, laid: Laid, number: int, paint: Paint) -> Picture | None:
        """A system of a layout as a picture; None if it cannot be painted, or the process has forgotten the layout.
        Raises ScoreError."""
        question = {"do": "picture", **_of(laid), "number": number, "paint": astuple(paint)}
        answer = self._ask(question)
        return Picture(b64decode(answer["png"]), answer["columns"], answer["rows"]) if "png" in answer else None

    def close(self) -> None:
        """End the process, also in the midst of a question; questions after this are refused."""
        self._closed = True
        if not self._lock.acquire(timeout=_WAIT_S):
            process = self._process
            if process is not None:
                process.kill()  # whoever waits for its answer is told that it stopped
            self._lock.acquire()
        try:
            self._end()
        finally:
            self._lock.release()

    def _ask(self, question: dict[str, Any]) -> dict[str, Any]:
        with self._lock:
            if question.pop("process", self._processes) != self._processes:
                return {"gone": True}  # a process that has ended took its layouts with it
            self._count += 1
            if self._closed:
                raise ScoreError("The engraver was put away; open the piece again.")
            line = json.dumps({"id": self._count, **question}, separators=(",", ":")) + "\n"
            try:
                answer = self._exchange(line)
            except (OSError, ValueError):
                self._end()
                raise ScoreError("The engraver stopped at this part; its measures are shown in characters.") from None
            if "error" in answer:
                raise ScoreError(str(answer["error"]))
            return answer

    def _exchange(self, line: str) -> dict[str, Any]:
        if self._process is None or self._process.poll() is not None:
            self._end()
            self._process = _spawned()
            self._processes += 1
        process = self._process
        _stream(process.stdin).write(line)
        _stream(process.stdin).flush()
        answer: dict[str, Any] = json.loads(_stream(process.stdout).readline())
        return {**answer, "process": self._processes}

    def _end(self) -> None:
        process, self._process = self._process, None
        if process is None:
            return
        with suppress(OSError):
            _stream(process.stdin).close()
        try:
            process.wait(_WAIT_S)
        except subprocess.TimeoutExpired:
            process.kill()
            process.wait()
        _stream(process.stdout).close()


def _of(laid: Laid) -> dict[str, int]:
    return {"layout": laid.number, "process": laid.process}


def _stream(stream: IO[str] | None) -> IO[str]:
    if stream is None:
        raise OSError("no pipe")
    return stream


def _spawned() -> "subprocess.Popen[str]":
    return subprocess.Popen(
        [sys.executable, "-m", "coach.files.engraving.worker"],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        text=True,
        encoding="utf-8",
        **surroundings(),
    )

"""Terminals that show pictures, as far as a program can tell: a pseudo-terminal that answers the questions asked of it.

kitty graphics protocol: an escape code is ESC _G key=value,... ; payload ESC \\, `m=1` announces more chunks, `f=100` a
PNG, `a=q` asks for support and is answered with OK, `U=1` places the picture where its placeholders (U+10EEEE) stand.
 Sixel: ESC P params q data ESC \\ (DEC STD 070); a terminal that has it answers the question for its attributes
(DA1) with a 4. These are read by hand from the protocol's and the standard's own texts, not from the code under test.
"""

import base64
import fcntl
import io
import os
import pty
import re
import select
import struct
import subprocess
import termios
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from time import monotonic
from types import TracebackType

from PIL import Image

from tests.cli.conftest import environment

GRAPHICS = re.compile(rb"\x1b_G([^;\x1b]*)(?:;([^\x1b]*))?\x1b\\")
SIXEL = re.compile(rb"\x1bP[0-9;]*q([^\x1b]*)\x1b\\")
DA1 = re.compile(rb"\x1b\[c")


@dataclass
class FakeTerminal:
    """Runs a program in a pseudo-terminal of a kind ("kitty", "sixel", "plain") and keeps all it writes."""

    kind: str
    arguments: list[str]
    home: Path
    columns: int = 80
    rows: int = 30
    cell: tuple[int, int] = (8, 16)
    extra: dict[str, str] = field(default_factory=dict)
    out: bytes = b""

    def __enter__(self) -> "FakeTerminal":
        self._main, end = pty.openpty()
        size = (self.rows, self.columns, self.columns * self.cell[0], self.rows * self.cell[1])
        fcntl.ioctl(end, termios.TIOCSWINSZ, struct.pack("HHHH", *size))
        env = {**environment(self.home), "TERM": "xterm-256color", "COLORTERM": "truecolor", **self.extra}
        for name in ("NO_COLOR", "TMUX", "COLUMNS", "LINES"):
            if name not in self.extra:
                env.pop(name, None)
        self._process = subprocess.Popen(
            self.arguments, stdin=end, stdout=end, stderr=end, env=env, start_new_session=True
        )
        os.close(end)
        self._answered = 0
        return self

    def __exit__(self, kind: type | None, error: BaseException | None, trace: TracebackType | None) -> None:
        if self._process.poll() is None:
            self._process.terminate()
        os.close(self._main)
        self._process.wait(20)

    def type(self, keys: bytes) -> None:
        """Press keys."""
        os.write(self._main, keys)

    def until(self, holds: Callable[[], bool], timeout_s: float = 30.0) -> None:
        """Read, and answer questions, until something holds."""
        end = monotonic() + timeout_s
        while not holds():
            assert monotonic() < end, self.out[-2000:]
            self._read()

    def to_the_end(self) -> bytes:
        """All that is written until the program ends."""
        self.until(lambda: self._process.poll() is not None)
        while self._read(0):
            pass
        return self.out

    def _read(self, wait_s: float = 0.1) -> bool:
        if not select.select([self._main], [], [], wait_s)[0]:
            return False
        try:
            data = os.read(self._main, 1 << 16)
        except OSError:  # the program has gone
            return False
        self.out += data
        self._answer()
        return bool(data)

    def _answer(self) -> None:
        new, self._answered = self.out[self._answered :], len(self.out)
        for _ in DA1.finditer(new):
            os.write(self._main, b"\x1b[?62;4c" if self.kind == "sixel" else b"\x1b[?62c")
        for keys, _ in GRAPHICS.findall(new):
            fields = dict(pair.split(b"=") for pair in keys.split(b","))
            if self.kind == "kitty" and fields.get(b"a") == b"q":
                os.write(self._main, b"\x1b_Gi=" + fields[b"i"] + b";OK\x1b\\")

    # What was shown

    @property
    def sent(self) -> dict[int, Image.Image]:
        """The pictures of the kitty protocol by their ids, those whole that were sent so far."""
        parts: dict[int, bytes] = {}
        whole: dict[int, Image.Image] = {}
        for keys, payload in GRAPHICS.findall(self.out):
            fields = dict(pair.split(b"=") for pair in keys.split(b","))
            if fields.get(b"f") == b"100":
                k = int(fields[b"i"])
                assert len(payload) <= 4096  # the protocol's largest chunk
                parts[k] = parts.get(k, b"") + payload
                if fields[b"m"] == b"0":
                    whole[k] = Image.open(io.BytesIO(base64.b64decode(parts[k]))).convert("RGB")
        return whole

    @property
    def placed(self) -> dict[int, tuple[int, int]]:
        """The columns and rows that pictures were placed on, by id."""
        found = {}
        for keys, _ in GRAPHICS.findall(self.out):
            fields = dict(pair.split(b"=") for pair in keys.split(b","))
            if fields.get(b"a") == b"p" and fields.get(b"U") == b"1":
                found[int(fields[b"i"])] = (int(fields[b"c"]), int(fields[b"r"]))
        return found

    @property
    def sixels(self) -> list[Image.Image]:
        """The sixel pictures that were written whole."""
        return [read_sixel(data.decode("ascii")) for data in SIXEL.findall(self.out)]


def read_sixel(data: str) -> Image.Image:
    """A sixel picture: `"` raster attributes, `#n;2;r;g;b` a colour in per cent, `#n` choosing it, `!n` a repeat, `$`
    back to the left, `-` six rows down, and from `?` on the six pixels of a column, the lowest bit on top."""
    colours: dict[int, tuple[int, int, int]] = {}
    pixels: dict[tuple[int, int], tuple[int, int, int]] = {}
    x = y = width = height = now = 0
    for found in re.finditer(r'"([0-9;]*)|#([0-9;]+)|!(\d+)([?-~])|([$-])|([?-~])', data):
        raster, colour, times, repeated, move, single = found.groups()
        if raster is not None:
            _, _, width, height = map(int, raster.split(";"))
        elif colour is not None:
            now, *more = map(int, colour.split(";"))
            if more:
                assert more[0] == 2
                colours[now] = (more[1], more[2], more[3])
        elif move == "$":
            x = 0
        elif move == "-":
            x, y = 0, y + 6
        else:
            bits = ord(repeated or single) - 63
            for _ in range(int(times or 1)):
                for k in range(6):
                    if bits >> k & 1:
                        pixels[x, y + k] = colours[now]
                x += 1
    picture = Image.new("RGB", (width, height), (255, 0, 255))
    for place, (r, g, b) in pixels.items():
        if place[0] < width and place[1] < height:
            picture.putpixel(place, (round(r * 2.55), round(g * 2.55), round(b * 2.55)))
    return picture

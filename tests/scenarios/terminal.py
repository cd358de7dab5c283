"""A real terminal: tmux runs the program, presses its keys and reads what stands on the screen."""

import os
import re
import shlex
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from threading import Event
from time import monotonic
from uuid import uuid4

from tests.servers import need


class Terminal:
    """The program in a window of a tmux server of its own. `status` is what the program left with."""

    def __init__(self, home: Path, *arguments: str, columns: int = 80, lines: int = 24) -> None:
        need("tmux")
        self._server = f"coach-{uuid4().hex[:8]}"
        self._left = home.parent / f"{self._server}.status"
        program = shlex.join([sys.executable, "-m", "coach.cli.main", *arguments])
        line = f"{program}; echo $? > {shlex.quote(str(self._left))}"
        around = {name: value for name, value in os.environ.items() if name not in ("COLUMNS", "LINES")}
        self._environment = {**around, "COACH_HOME": str(home), "LC_ALL": "C.UTF-8", "TERM": "xterm-256color"}
        size = ["-x", str(columns), "-y", str(lines)]
        self._tmux("-f", os.devnull, "new-session", "-d", *size, "sh", "-c", line)
        self._tmux("has-session", must=True)

    def press(self, *keys: str) -> None:
        """Press keys, by tmux's names ("Down", "Space", "C-q")."""
        self._tmux("send-keys", *keys)

    def resize(self, columns: int, lines: int) -> None:
        """Give the window another size."""
        self._tmux("resize-window", "-x", str(columns), "-y", str(lines))

    @property
    def text(self) -> str:
        """What stands on the screen."""
        return self._tmux("capture-pane", "-p")

    @property
    def status(self) -> int | None:
        """The status the program left with, None while it runs."""
        text = self._left.read_text() if self._left.exists() else ""
        return int(text) if text.strip() else None

    def wait_for(self, pattern: str, timeout_s: float = 20.0) -> str:
        """Wait until the screen matches; returns it. Fails with the screen after the deadline."""
        return self.wait_until(lambda text: bool(re.search(pattern, text)), pattern, timeout_s)

    def wait_until(self, holds: Callable[[str], bool], what: str, timeout_s: float = 20.0) -> str:
        """Wait until the screen is as wanted; returns it."""
        deadline_s = monotonic() + timeout_s
        while not holds(text := self.text):
            assert monotonic() < deadline_s, f"waited for {what}; the screen is\n{text}"
            Event().wait(0.02)
        return text

    def wait_to_leave(self, timeout_s: float = 20.0) -> int:
        """Wait until the program has left; returns its status."""
        deadline_s = monotonic() + timeout_s
        while (status := self.status) is None:
            assert monotonic() < deadline_s, "the program does not leave"
            Event().wait(0.02)
        return status

    def close(self) -> None:
        """End the server and what runs in it."""
        arguments = ["tmux", "-L", self._server, "kill-server"]
        subprocess.run(arguments, capture_output=True, env=self._environment, timeout=20, check=False)

    def _tmux(self, *arguments: str, must: bool = False) -> str:
        done = subprocess.run(
            ["tmux", "-L", self._server, *arguments],
            capture_output=True,
            text=True,
            encoding="utf-8",
            env=self._environment,
            timeout=20,
        )
        assert not must or done.returncode == 0, f"tmux: {done.stderr}"
        return done.stdout

"""A MIDI receiver on a JACK port, in a process of its own so that nothing delays its clock.

As a program (`python -m tests.receiver NAME`) it opens the port "NAME:in", says "ready", and at the end of its input
prints all that came as JSON: [[perf_counter when it came, [bytes]], ...]. `Receiver` runs it.
"""

import json
import os
import subprocess
import sys
from dataclasses import dataclass
from time import perf_counter

from tests.servers import Server


@dataclass(frozen=True)
class Received:
    """A message and the moment it came (`perf_counter`, one clock for all processes on Linux)."""

    at_s: float
    message: tuple[int, ...]

    @property
    def begins(self) -> bool:
        """Whether it is a note on."""
        return self.message[0] & 0xF0 == 0x90 and self.message[2] > 0

    @property
    def ends(self) -> bool:
        """Whether it is a note off."""
        return self.message[0] & 0xF0 == 0x80 or (self.message[0] & 0xF0 == 0x90 and self.message[2] == 0)


class Receiver:
    """The receiving process. `count` follows what has come; `close` ends it and returns everything."""

    def __init__(self, server: Server, name: str = "receiver") -> None:
        self.name = name
        self._process = subprocess.Popen(
            [sys.executable, "-m", "tests.receiver", name],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            env={**os.environ, **server.environment},
        )
        assert self._process.stdout is not None
        assert self._process.stdout.readline() == b"ready\n"

    def close(self) -> list[Received]:
        """End the process, and its port with it."""
        out, _ = self._process.communicate(timeout=20)
        return [Received(at_s, tuple(message)) for at_s, message in json.loads(out)]

    def kill(self) -> None:
        """Make the port vanish."""
        self._process.kill()
        self._process.communicate(timeout=20)


def main(name: str) -> None:
    """Receive until the input ends."""
    import rtmidi

    came: list[tuple[float, list[int]]] = []
    port = rtmidi.MidiIn(rtmidi.API_UNIX_JACK, name=name)
    port.set_callback(lambda event, _: came.append((perf_counter(), event[0])))
    port.open_virtual_port("in")
    print("ready", flush=True)
    sys.stdin.read()
    port.close_port()
    print(json.dumps(came))


if __name__ == "__main__":
    main(sys.argv[1])

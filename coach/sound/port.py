"""MIDI ports. The only module that imports rtmidi, and only when a port is wanted.

A port is chosen by a part of its name, never by its number or as "the first": numbers change, and the first is often
one that goes nowhere. ALSA is looked through before JACK (on Linux), and JACK counts only if it lists ports: without a
server it may open and send just the same, and nothing sounds. One thread owns a port; a lock and a flag guard what is
left, since sending to a closed port ends the process.

Run as a program it prints what there is as JSON, so that a driver that prints or hangs does so in a process of its own.
"""

import json
import os
import re
import sys
import threading
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass
from types import ModuleType
from typing import Any

from coach.errors import SoundError

CLIENT = f"coach-{os.getpid()}"
# ALSA ends a name in "128:0", Windows in the port's number; both change from day to day.
_NUMBERS = re.compile(r"\s+\d+$" if sys.platform == "win32" else r"\s+\d+:\d+$")
_OURS = re.compile(r"coach-\d+( echo)?:")
# More than this without an echo and JACK's server is gone; its queue would fill up and block the process for ever.
_UNHEARD_MESSAGES, _UNHEARD_S = 1000, 1.0


@dataclass(frozen=True, slots=True)
class Found:
    """A port that exists: its system, its full name, and the name without the numbers that change."""

    api: int
    full: str
    name: str


def _rtmidi() -> ModuleType:
    try:
        import rtmidi
    except ImportError as error:
        raise SoundError(
            "This Python has no MIDI ports (python-rtmidi is not installed); use the built-in sound, or Python 3.12."
        ) from error
    module: ModuleType = rtmidi
    return module


def _systems(rtmidi: ModuleType) -> list[int]:
    """The MIDI systems of this machine, in the order they are looked through."""
    jack: int = rtmidi.API_UNIX_JACK
    others = [api for api in rtmidi.get_compiled_api() if api != jack]
    return others + [api for api in rtmidi.get_compiled_api() if api == jack]


def _outputs(rtmidi: ModuleType) -> Iterator[tuple[int, Any]]:
    for api in _systems(rtmidi):
        with suppress(OSError):  # the system is not there: no sequencer, no server
            out = rtmidi.MidiOut(api, name=CLIENT)
            try:
                yield api, out
            finally:
                out.delete()


def find_ports() -> tuple[Found, ...]:
    """The MIDI ports that sound can be sent to, without our own. Raises SoundError if rtmidi is missing."""
    rtmidi = _rtmidi()
    return tuple(found for api, out in _outputs(rtmidi) for found in _listed(api, out))


def _listed(api: int, out: Any) -> list[Found]:
    return [Found(api, full, _NUMBERS.sub("", full)) for full in out.get_ports() if not _OURS.match(full)]


def choose(ports: tuple[Found, ...], wanted: str) -> Found:
    """The port that a part of a name means: an equal name first, else the first that contains it, whatever the case.
    Raises SoundError naming what there is."""
    name = _NUMBERS.sub("", wanted).strip()
    for port in ports:
        if name and port.name == name:
            return port
    for port in ports:
        if name and name.casefold() in port.name.casefold():
            return port
    there = ", ".join(dict.fromkeys(port.name for port in ports)) or "none at all"
    raise SoundError(
        f"There is no MIDI port named {wanted!r} (there is: {there}); start it, or choose another in Setup."
    )


class MidiPort:
    """An open MIDI port. Sending after `close` does nothing. `open_port` makes one."""

    def __init__(self, rtmidi: ModuleType, found: Found) -> None:
        self.name = found.name
        self._found = found
        self._lock = threading.Lock()
        self._closed = False
        self._unheard = 0
        self._silent_since_s: float | None = None
        self._echo: Any = None
        self._out = rtmidi.MidiOut(found.api, name=CLIENT)
        try:
            self._out.open_port(self._out.get_ports().index(found.full), name="out")
            if found.api == rtmidi.API_UNIX_JACK:
                self._echo = _echo(rtmidi)
        except BaseException:
            self._out.delete()
            raise

    def send(self, message: bytes) -> None:
        """Send one message now."""
        with self._lock:
            if self._closed or self._unheard > _UNHEARD_MESSAGES:
                return
            self._out.send_message(message)
            if self._echo is not None:
                self._unheard += 1

    def alive(self, now_s: float) -> bool:
        """Whether the other end is still there. Call it now and then from the thread that sends (it takes 0.1 ms)."""
        with self._lock:
            if self._closed:
                return False
            if self._echo is not None and not self._echoes(now_s):
                return False
            return self._found.full in self._out.get_ports()

    def _echoes(self, now_s: float) -> bool:
        """JACK never says that its server has gone, so what is sent is also received; that ends with the server."""
        heard = 0
        while self._echo.get_message() is not None:
            heard += 1
        if heard or not self._unheard:
            self._unheard, self._silent_since_s = 0, None
            return True
        if self._silent_since_s is None:
            self._silent_since_s = now_s
        return self._unheard <= _UNHEARD_MESSAGES and now_s - self._silent_since_s < _UNHEARD_S

    def close(self) -> None:
        """Let the port go; once is enough, more does no harm."""
        with self._lock:
            if self._closed:
                return
            self._closed = True
            for end in filter(None, (self._out, self._echo)):
                end.close_port()
                end.delete()


def _echo(rtmidi: ModuleType) -> Any:
    """An input connected to our own output; None where it cannot be had."""
    echo = rtmidi.MidiIn(rtmidi.API_UNIX_JACK, name=f"{CLIENT} echo", queue_size_limit=4096)
    for number, full in enumerate(echo.get_ports()):
        if full.startswith(f"{CLIENT}:"):
            echo.open_port(number, name="in")
            return echo
    echo.delete()
    return None


def open_port(wanted: str) -> MidiPort:
    """Open the port that a part of a name means. Raises SoundError with the remedy."""
    rtmidi = _rtmidi()
    found = choose(find_ports(), wanted)
    try:
        return MidiPort(rtmidi, found)
    except (OSError, ValueError) as error:  # ValueError: it went away meanwhile
        raise SoundError(
            f"The MIDI port {found.name!r} cannot be opened ({error}); close the other program that may be using it."
        ) from error


def main() -> None:
    """Print the ports as JSON: {"names": [...], "problem": ""}."""
    try:
        answer = {"names": list(dict.fromkeys(port.name for port in find_ports())), "problem": ""}
    except SoundError as error:
        answer = {"names": [], "problem": str(error)}
    sys.stdout.write(json.dumps(answer) + "\n")


if __name__ == "__main__":
    main()

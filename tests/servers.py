"""Real sound servers for tests and benches: jackd with its dummy driver, PulseAudio with a null sink.

Where a program is missing the test is skipped with the reason; with COACH_REQUIRE_SERVERS=1 it fails instead.
"""

import os
import shutil
import subprocess
import sys
import tempfile
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from time import monotonic

import numpy as np
import pytest
from numpy.typing import NDArray

RATE_HZ = 48_000


def need(*programs: str) -> None:
    """Skip, or fail where servers are required, if a program is missing."""
    missing = [program for program in programs if shutil.which(program) is None]
    if not missing:
        return
    reason = f"{', '.join(missing)} not installed"
    if os.environ.get("COACH_REQUIRE_SERVERS") == "1":
        pytest.fail(reason)
    pytest.skip(reason)


def wait_until(condition: Callable[[], object], timeout_s: float = 10.0, what: str = "the condition") -> None:
    """Wait for a condition; fail after the deadline."""
    deadline_s = monotonic() + timeout_s
    pause = threading.Event()
    while not condition():
        assert monotonic() < deadline_s, f"waited {timeout_s} s for {what}"
        pause.wait(0.005)


@contextmanager
def running(arguments: list[str], log: Path, environment: dict[str, str]) -> Iterator[subprocess.Popen[bytes]]:
    """A server process, ended at the end."""
    with log.open("wb") as stream:
        process = subprocess.Popen(arguments, stdout=stream, stderr=subprocess.STDOUT, env=environment)
    try:
        yield process
    finally:
        process.terminate()
        try:
            process.wait(5)
        except subprocess.TimeoutExpired:
            process.kill()
            process.wait(5)


@dataclass(frozen=True)
class Server:
    """A server: its process, and the environment through which clients find it."""

    process: subprocess.Popen[bytes]
    environment: dict[str, str]


@contextmanager
def jack(folder: Path, period: int = 64) -> Iterator[Server]:
    """jackd on its dummy driver at 48 kHz. JACK remembers eight names and gives that of a dead server away again only
    to the same name, so names are few; a lock keeps one for a server as long as it runs."""
    need("jackd")
    with _name() as name:
        environment = {"JACK_DEFAULT_SERVER": name, "JACK_NO_AUDIO_RESERVATION": "1"}
        arguments = ["jackd", *_urgency(), "--no-mlock", "--sync", "--name", name, "-d", "dummy", "-r", str(RATE_HZ)]
        probe = [sys.executable, "-c", "import rtmidi; rtmidi.MidiOut(rtmidi.API_UNIX_JACK)"]
        everything = {**os.environ, **environment}
        with running([*arguments, "-p", str(period)], folder / "jackd.log", everything) as process:
            wait_until(lambda: process.poll() is not None or _succeeds(probe, everything), what="jackd")
            assert process.poll() is None, (folder / "jackd.log").read_text()
            yield Server(process, environment)


@contextmanager
def _name() -> Iterator[str]:
    """A server name that no other test on this machine has now."""
    import fcntl  # of POSIX, as the servers are

    for name in (f"coach-test-{number}" for number in range(6)):
        with (Path(tempfile.gettempdir()) / f"{name}.lock").open("w") as lock:
            try:
                fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
            except BlockingIOError:
                continue
            yield name
            return
    pytest.fail("six JACK servers run for tests already")


@contextmanager
def pulse(folder: Path) -> Iterator[Server]:
    """PulseAudio with one null sink (48 kHz mono float) on a socket of its own. Where allowed all of it is served first
    (not only its sound thread): what is measured is what plays, and not a server starved by other tests."""
    need("pulseaudio", "pactl", "parec")
    home, run = folder / "home", folder / "run"
    for path in (home, run):
        path.mkdir(mode=0o700, parents=True, exist_ok=True)
    socket = run / "native"
    environment = {"PULSE_SERVER": f"unix:{socket}", "HOME": str(home), "XDG_RUNTIME_DIR": str(run)}
    everything = {**os.environ, **environment}
    urgently = ["chrt", "--rr", "4"] if _may_hurry() and shutil.which("chrt") else []
    server = [
        *urgently,
        "pulseaudio",
        "-n",
        "--daemonize=no",
        "--exit-idle-time=-1",
        "--use-pid-file=no",
        "--system=false",
    ]
    modules = [
        f"module-native-protocol-unix socket={socket} auth-anonymous=1",
        f"module-null-sink sink_name=out rate={RATE_HZ} format=float32le channels=1",
    ]
    loads = [argument for module in modules for argument in ("-L", module)]
    log = folder / "pulse.log"
    with running([*server, *loads], log, {k: v for k, v in everything.items() if k != "PULSE_SERVER"}) as process:
        wait_until(lambda: _succeeds(["pactl", "info"], everything), what="pulseaudio")
        if _may_hurry():
            os.sched_setscheduler(process.pid, os.SCHED_RR, os.sched_param(4))
        yield Server(process, environment)


def _may_hurry() -> bool:
    import resource  # of POSIX, as the servers are

    return os.geteuid() == 0 or resource.getrlimit(resource.RLIMIT_RTPRIO)[0] >= 70


def _urgency() -> list[str]:
    """Real-time scheduling for jackd and its clients where this user may have it, as musicians' machines grant."""
    return ["--realtime", "--realtime-priority", "70"] if _may_hurry() else ["--no-realtime"]


def _succeeds(arguments: list[str], environment: dict[str, str]) -> bool:
    done = subprocess.run(arguments, env=environment, capture_output=True, timeout=10, check=False)
    return done.returncode == 0


class Recording:
    """What comes out of the null sink: its monitor, read by parec into memory as it comes."""

    def __init__(self, server: Server) -> None:
        self._parts: list[bytes] = []
        self._process = subprocess.Popen(
            [
                "parec",
                "-d",
                "out.monitor",
                *f"--format=float32le --rate={RATE_HZ} --channels=1 --latency-msec=10".split(),
            ],
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            bufsize=0,
            env={**os.environ, **server.environment},
        )
        self._thread = threading.Thread(target=self._read, daemon=True)
        self._thread.start()

    def _read(self) -> None:
        assert self._process.stdout is not None
        with self._process.stdout as stream:
            while part := stream.read(65536):
                self._parts.append(part)

    @property
    def samples(self) -> NDArray[np.float32]:
        """What has come so far."""
        whole = b"".join(list(self._parts))
        return np.frombuffer(whole[: len(whole) // 4 * 4], np.float32)

    @property
    def frames(self) -> int:
        """How many samples have come so far."""
        return sum(map(len, list(self._parts))) // 4

    def close(self) -> None:
        """Stop recording."""
        self._process.terminate()
        self._process.wait(5)
        self._thread.join(5)


@contextmanager
def recording(server: Server) -> Iterator[Recording]:
    """Record the null sink; begins once samples come."""
    record = Recording(server)
    try:
        wait_until(lambda: record.frames > 0, what="parec")
        yield record
    finally:
        record.close()


def onsets(samples: NDArray[np.float32], level: float = 1e-4, quiet_frames: int = 480) -> NDArray[np.int64]:
    """The frames where sound begins after at least so many frames of quiet."""
    loud = np.flatnonzero(np.abs(samples) > level)
    if not loud.size:
        return loud
    first = np.concatenate([[True], np.diff(loud) > quiet_frames])
    return np.asarray(loud[first], dtype=np.int64)

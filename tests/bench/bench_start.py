"""How long the program takes to start, beside the least that Python and Textual take. Run by hand:

    python -m tests.bench.bench_start

`coach --help` stands beside `python -c pass`, the first paint of `coach` beside that of a Textual app that holds
nothing. Painted is a pseudo-terminal of 80 by 24 into which as many characters were written as it has cells. Runs
alternate, so that a busy moment meets both; the median is shown, in milliseconds.
"""

import fcntl
import os
import pty
import re
import select
import statistics
import struct
import subprocess
import sys
import tempfile
import termios
from pathlib import Path
from time import perf_counter

RUNS, WARM_UPS = 15, 2
COLUMNS, LINES = 80, 24
EMPTY_APP = "from textual.app import App; App().run()"
COACH = [sys.executable, "-m", "coach.cli.main"]
ESCAPES = re.compile(rb"\x1b(?:\[[0-9;?<>=$]*[ -/]*[@-~]|\][^\x07\x1b]*(?:\x07|\x1b\\)|P[^\x1b]*\x1b\\|[@-Z\\-_])")
# Bytes that begin a character: all but the later bytes of UTF-8 and the controls.
CHARACTERS = bytes(k for k in range(256) if k < 0x20 or 0x80 <= k < 0xC0)


def ran_ms(arguments: list[str], environment: dict[str, str]) -> float:
    """Milliseconds until a program has ended."""
    begun_s = perf_counter()
    subprocess.run(arguments, env=environment, stdout=subprocess.DEVNULL, check=True)
    return 1000 * (perf_counter() - begun_s)


def painted_ms(arguments: list[str], environment: dict[str, str]) -> float:
    """Milliseconds until a program has painted its terminal; then it is killed."""
    ours, theirs = pty.openpty()
    fcntl.ioctl(theirs, termios.TIOCSWINSZ, struct.pack("HHHH", LINES, COLUMNS, 0, 0))
    begun_s = perf_counter()
    process = subprocess.Popen(
        arguments, env=environment, stdin=theirs, stdout=theirs, stderr=theirs, start_new_session=True
    )
    os.close(theirs)
    try:
        written = b""
        while cells(written) < COLUMNS * LINES:
            ready, _, _ = select.select([ours], [], [], 20)
            if not ready:
                raise RuntimeError(f"nothing was painted: {written[-2000:]!r}")
            written += os.read(ours, 65536)
        return 1000 * (perf_counter() - begun_s)
    finally:
        process.kill()
        process.wait()
        os.close(ours)


def cells(written: bytes) -> int:
    """How many characters were written, escape sequences left out."""
    return len(ESCAPES.sub(b"", written).translate(None, CHARACTERS))


def compare(measure: str, unit: object, ours: list[str], reference: list[str], environment: dict[str, str]) -> str:
    """A row of the table."""
    assert callable(unit)
    taken: tuple[list[float], list[float]] = ([], [])
    for run in range(RUNS + WARM_UPS):
        for times, arguments in zip(taken, (ours, reference), strict=True):
            elapsed = unit(arguments, environment)
            if run >= WARM_UPS:
                times.append(elapsed)
    one, other = map(statistics.median, taken)
    return f"{measure} | {one:.0f} ms | {other:.0f} ms | {one / other:.2f}"


def main() -> None:
    """Print the table."""
    with tempfile.TemporaryDirectory() as folder:
        environment = {**os.environ, "TERM": "xterm-256color", "COACH_HOME": str(Path(folder) / "home")}
        empty = [sys.executable, "-c", EMPTY_APP]
        print("measure | ours | reference | ratio")
        print(
            compare(
                "coach --help, beside python -c pass",
                ran_ms,
                [*COACH, "--help"],
                [sys.executable, "-c", "pass"],
                environment,
            )
        )
        print(
            compare(
                "first paint, nothing on the stand, beside an empty Textual app", painted_ms, COACH, empty, environment
            )
        )
        subprocess.run([*COACH, "demo", "--json"], env=environment, check=True, stdout=subprocess.DEVNULL)
        print(
            compare(
                "first paint, the demo on the stand, beside an empty Textual app", painted_ms, COACH, empty, environment
            )
        )
        weber = [*COACH, "add", "corpus:weber/concertino_clarinet"]
        subprocess.run(weber, env=environment, check=True, stdout=subprocess.DEVNULL)
        print(
            compare(
                "first paint, Weber on the stand, beside an empty Textual app", painted_ms, COACH, empty, environment
            )
        )


if __name__ == "__main__":
    main()

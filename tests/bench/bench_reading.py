"""Reading and reopening the Weber part, beside music21's parse of the same file in the same run.

Run it with `python -m tests.bench.bench_reading`. Each line is `name | ours | reference | ratio`; times are the best of
several, in milliseconds, with everything imported. The aims are a third of music21's time for the first reading and a
twentieth for reopening; nothing is asserted, for a wall clock proves nothing on a shared machine.
"""

import subprocess
import sys
import tempfile
import time
import warnings
from collections.abc import Callable
from pathlib import Path
from typing import Any

from coach.files.score import read_score
from coach.files.source import locate

SOURCE = "corpus:weber/concertino_clarinet"
PROCESS = """
import sys
from pathlib import Path
from coach.files.score import read_score
read_score(sys.argv[1], cache=Path(sys.argv[2]))
"""


def best_ms(work: Callable[[], object], times: int) -> float:
    """The shortest of several runs, in milliseconds."""
    shortest = float("inf")
    for _ in range(times):
        start = time.perf_counter()
        work()
        shortest = min(shortest, time.perf_counter() - start)
    return 1000 * shortest


def by_music21(path: Path) -> Any:
    """music21's own parse, from the source."""
    from music21 import converter

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        reader = converter.Converter()
        reader.parseFileNoPickle(path, forceSource=True)  # what converter.parse does, without looking for pickles
    return reader.stream


def rows() -> list[tuple[str, float, float]]:
    """Name, ours and the reference's, in milliseconds."""
    path = locate(SOURCE)
    with tempfile.TemporaryDirectory() as folder:
        cache = Path(folder)
        reference = best_ms(lambda: by_music21(path), 5)
        first = best_ms(lambda: read_score(SOURCE), 7)
        read_score(SOURCE, cache=cache)
        again = best_ms(lambda: read_score(SOURCE, cache=cache), 9)
        command = [sys.executable, "-c", PROCESS, SOURCE, folder]
        process = best_ms(lambda: subprocess.run(command, check=True), 3)
        bare = best_ms(lambda: subprocess.run([sys.executable, "-c", "pass"], check=True), 3)
    return [
        ("first reading / music21 parse", first, reference),
        ("reopening / music21 parse", again, reference),
        ("a process that reopens / python -c pass", process, bare),
    ]


def main() -> None:
    """Print the table."""
    for name, ours, reference in rows():
        print(f"{name} | {ours:.1f} ms | {reference:.1f} ms | {ours / reference:.3f}")


if __name__ == "__main__":
    main()

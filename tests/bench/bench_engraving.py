"""From the key press `right` to the next measure engraved on the Stand, over all of the Weber part at 120x40.

Run it with `python -m tests.bench.bench_engraving`. The reference is verovio's own time for a system of the same layout
(its SVG, in a process that does nothing else). A step is timed from the key event to the screen drawn with the measure
on it, in a session without a terminal; the steps come as fast as each is done, which leaves the engraver less time than
a player would. Opening is timed from the start of the program to the first page, with nothing kept and once again. The
bar is 50 ms at the 95th percentile; nothing is asserted, for a wall clock proves nothing on a shared machine.
"""

import asyncio
import tempfile
from collections.abc import Callable
from pathlib import Path
from statistics import quantiles
from time import perf_counter
from typing import Any

from textual import events
from textual.screen import Screen

from coach.files.engraving.engraver import Engraver
from coach.files.engraving.mei import part_mei
from coach.files.score import written_score
from coach.lesson.desk import Desk
from coach.lesson.engraving import engraving
from coach.lesson.stand import add
from tests.bench.busy import table
from tests.screen.sitting import Sitting, paths_in, sitting

SOURCE = "corpus:weber/concertino_clarinet"
SIZE = (120, 40)
BAR_MS = 50.0
DEADLINE_S = 60.0


def verovio_ms() -> tuple[float, list[float]]:
    """Milliseconds of a layout, and of verovio's SVG of each of its systems."""
    score = written_score(SOURCE)
    engraver = Engraver(score.piece, part_mei(score))
    begun = perf_counter()
    layout = engraver.lay(None, (2 * SIZE[0] - 1) / 4)
    laid = 1000 * (perf_counter() - begun)
    times = []
    for number in range(len(layout.systems)):
        begun = perf_counter()
        layout.svg(number)
        times.append(1000 * (perf_counter() - begun))
    return laid, times


async def until(holds: Callable[[], bool]) -> None:
    """Let the program go on until something holds."""
    deadline = perf_counter() + DEADLINE_S
    while not holds():
        assert perf_counter() < deadline, "in vain"
        await asyncio.sleep(0)


def shown(at: Sitting, index: int) -> bool:
    """Whether a measure is chosen and stands on the screen, engraved."""
    page = at.music.page
    return at.app.session.chosen == index and at.music.engraved and page is not None and index in page.measures


async def step_ms(at: Sitting, index: int) -> float:
    """From the key press to the screen drawn with the next measure on it, in milliseconds."""
    before, updates = at.music.page, _updates(at)
    begun = perf_counter()
    event = events.Key("right", None)
    event.set_sender(at.app)
    at.app._driver.send_message(event)  # type: ignore[union-attr]  # the driver of a running app
    await until(lambda: at.music.page is not before and shown(at, index))
    count = len(updates)
    await until(lambda: len(updates) > count)
    return 1000 * (updates[count] - begun)


def _updates(at: Sitting) -> list[float]:
    """The moments at which the program hands a screen to the terminal, rendered; one list for a session."""
    known: list[float] | None = getattr(at, "updates", None)
    if known is not None:
        return known
    moments: list[float] = []
    hand_over = at.app._display

    def note(screen: Screen[Any], renderable: Any) -> None:
        hand_over(screen, renderable)
        moments.append(perf_counter())

    at.app._display = note  # type: ignore[method-assign]
    at.updates = moments  # type: ignore[attr-defined]
    return moments


async def session(home: Path, piece: str) -> tuple[float, list[float]]:
    """Milliseconds to the first engraved page, and of every step from the first measure to the last."""
    begun = perf_counter()
    async with sitting(home, size=SIZE, start=piece, engraving=engraving) as at:
        await until(lambda: at.app.place is not None and at.app.place.composed and shown(at, 0))
        opened = 1000 * (perf_counter() - begun)
        assert at.app.session.opened is not None
        count = len(at.app.session.opened.piece.part.measures)
        return opened, [await step_ms(at, index) for index in range(1, count)]


def main() -> None:
    """Print the table."""
    with tempfile.TemporaryDirectory() as folder:
        home = Path(folder)
        desk = Desk.open(paths_in(home))
        piece = add(desk, SOURCE).id
        desk.close()
        first, steps = asyncio.run(session(home, piece))
        again, _ = asyncio.run(session(home, piece))
    laid, systems = verovio_ms()
    own = sum(systems) / len(systems)
    cuts = quantiles(steps, n=100)
    rows = [
        (f"right to the measure drawn, {name}, ms", f"{value:.1f}", f"{own:.1f}", f"{value / own:.2f}")
        for name, value in (("p50", cuts[49]), ("p95", cuts[94]), ("max", max(steps)))
    ]
    rows += [
        ("first opening, ms", f"{first:.0f}", f"{laid + own:.0f}", f"{first / (laid + own):.2f}"),
        ("opening again, ms", f"{again:.0f}", f"{laid + own:.0f}", f"{again / (laid + own):.2f}"),
        ("steps within the bar, of all", f"{sum(s <= BAR_MS for s in steps)}", f"{len(steps)}", ""),
    ]
    print("reference: verovio's SVG of a system; for the openings its layout of the part and one system")
    table(f"The Stand at {SIZE[0]}x{SIZE[1]}, {len(steps)} steps of {SOURCE}", rows)


if __name__ == "__main__":
    main()

"""The Stand, shot in several sizes and colours: as text with its styles, to compare, and as a picture, to look at."""

import os
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from coach.lesson.engraving import engraving
from tests.screen.sitting import Sitting, sitting

SNAPSHOTS = Path(__file__).parent / "snapshots"


@dataclass(frozen=True)
class Shot:
    """A size, a measure of the demo by index, and what else is set."""

    name: str
    size: tuple[int, int]
    measure: int
    theme: str = ""
    no_color: bool = False


SHOTS = (
    Shot("80x24", (80, 24), 9),
    Shot("120x40", (120, 40), 15),
    Shot("60x20", (60, 20), 3),
    Shot("no-color", (80, 24), 16, no_color=True),
    Shot("light", (80, 24), 25, theme="paper"),
)


async def shoot(shot: Shot, home: Path, with_demo: Path) -> tuple[str, str]:
    """The Stand as text with its styles, and as an SVG picture."""
    with _colours(shot.no_color):
        async with sitting(home, size=shot.size, start="demo", copy_of=with_demo, engraving=engraving) as at:
            await at.shows("measure 1 of 30")
            if shot.theme:
                at.app.choose_theme(shot.theme)
            for _ in range(shot.measure):
                await at.press("right")
            await at.until(lambda: _there(at, shot.measure))
            await at.pilot.pause()
            return _text(at), at.app.export_screenshot(title=shot.name)


def _there(at: Sitting, index: int) -> bool:
    """Whether the measure is in view, engraved, and the system after it too if there is room."""
    page, sheets = at.music.page, at.app.sheets
    if page is None or sheets is None or not at.music.engraved or index not in page.measures:
        return False
    return at.app.session.chosen == index and all(sheet.next_missing() is None for sheet in sheets._sheets)


def _text(at: Sitting) -> str:
    """The rows of the screen but the last, which holds the keys, and under them the styles of each row by columns."""
    strips = at.app.screen._compositor.render_strips()[:-1]
    rows = [strip.text.rstrip() for strip in strips]
    styles = []
    for number, strip in enumerate(strips):
        column, runs = 0, []
        for segment in strip:
            stop = column + segment.cell_length
            if segment.text.strip() and segment.style:
                runs.append(f"{column}-{stop} {segment.style.without_color if at.app.no_color else segment.style}")
            column = stop
        styles.append(f"{number}: " + "; ".join(runs))
    return "\n".join([*rows, "", *(line.rstrip() for line in styles), ""])


@contextmanager
def _colours(none: bool) -> Iterator[None]:
    before = os.environ.pop("NO_COLOR", None)
    if none:
        os.environ["NO_COLOR"] = "1"
    try:
        yield
    finally:
        os.environ.pop("NO_COLOR", None)
        if before is not None:
            os.environ["NO_COLOR"] = before

"""A sitting at the screens for tests: a desk of its own, a player without sound on a clock that is moved by hand."""

import asyncio
import shutil
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager
from dataclasses import dataclass
from pathlib import Path
from time import monotonic

from textual import events
from textual.pilot import Pilot
from textual.widgets import Input

from coach.lesson.demo import put_demo
from coach.lesson.desk import Desk
from coach.lesson.engraving import EngravingLike
from coach.paths import Paths
from coach.screen.app import CoachApp
from coach.screen.pictures import Pictures
from coach.screen.view.glyphs import UNICODE, Glyphs
from coach.screen.widgets.music import MusicView
from coach.sound.silent import SilentPlayer
from coach.sound.timeline import Timeline


class HandClock:
    """Seconds that pass only when told."""

    def __init__(self) -> None:
        self.now_s = 0.0

    def __call__(self) -> float:
        return self.now_s


@dataclass(frozen=True)
class Loaded:
    """What the player was told to play."""

    timeline: Timeline
    loop: bool
    rate: float

    @property
    def measures(self) -> list[str]:
        """The measures of the own part's notes, in order."""
        notes = [event.where for event in self.timeline.events if event.line == 0 and event.kind == "note"]
        return list(dict.fromkeys(note.split(".")[0] for note in notes))


@dataclass
class Sitting:
    """The app under test, and the hands on it."""

    app: CoachApp
    pilot: Pilot[int]
    player: SilentPlayer
    clock: HandClock

    @property
    def text(self) -> str:
        """All that stands on the screen in front."""
        strips = self.app.screen._compositor.render_strips()
        return "\n".join(strip.text.rstrip() for strip in strips)

    @property
    def music(self) -> MusicView:
        """The music of the place in front."""
        assert self.app.place is not None
        return self.app.place.query_one(MusicView)

    def loaded(self) -> Loaded:
        """What the player was last told to play."""
        call = [call for call in self.player.calls if call[0] == "load"][-1]
        _, timeline, loop, rate, _ = call
        assert isinstance(timeline, Timeline)
        assert isinstance(rate, float)
        return Loaded(timeline, bool(loop), rate)

    async def until(self, holds: Callable[[], object], timeout_s: float = 10.0) -> None:
        """Wait until something holds; fails with the screen's text if it does not come to hold."""
        deadline = monotonic() + timeout_s
        while not holds():
            assert monotonic() < deadline, f"in vain, the screen shows:\n{self.text}"
            await self.pilot.pause(0.01)

    async def shows(self, *words: str) -> None:
        """Wait until all these words stand on the screen in front."""
        await self.until(lambda: all(word in self.text for word in words))

    async def says(self, sentence: str) -> None:
        """Wait until a sentence stands on the screen, wherever its lines are broken, inside a path too."""
        wanted = "".join(sentence.split())
        await self.until(lambda: wanted in "".join(self.text.replace("▌", " ").split()))

    async def press(self, *keys: str) -> None:
        """Press keys as fast as a terminal sends them; wait for what they do with `shows` or `until`."""
        for key in keys:
            event = events.Key(key, key if len(key) == 1 else None)
            event.set_sender(self.app)
            assert self.app._driver is not None
            self.app._driver.send_message(event)
            await asyncio.sleep(0)
        await self.pilot.pause(0.01)

    async def write(self, text: str) -> None:
        """Write a text in place of what the line in front holds, and press enter."""
        await self.until(lambda: isinstance(self.app.focused, Input))
        await self.press("end", "shift+home", "delete")
        if text:
            assert self.app._driver is not None
            self.app._driver.send_message(events.Paste(text))
        await self.press("enter")

    async def goes(self, place: str) -> None:
        """Wait until a place is in front."""
        await self.until(lambda: self.app.place is not None and self.app.place.PLACE == place)


def paths_in(folder: Path) -> Paths:
    return Paths(folder / "data", folder / "config", folder / "cache")


def demo_home(folder: Path) -> Path:
    """A home with the demo on the stand, to be copied."""
    desk = Desk.open(paths_in(folder))
    put_demo(desk)
    desk.close()
    return folder


@asynccontextmanager
async def sitting(
    home: Path,
    *,
    size: tuple[int, int] = (80, 24),
    start: str = "",
    copy_of: Path | None = None,
    glyphs: Glyphs = UNICODE,
    engraving: Callable[[Desk], EngravingLike] | None = None,
    pictures: Pictures | None = None,
) -> AsyncIterator[Sitting]:
    """Sit down at a home of one's own (a copy of another one if given); the music is engraved if an engraver is."""
    if copy_of is not None:
        shutil.copytree(copy_of, home, dirs_exist_ok=True)
    clock = HandClock()
    player = SilentPlayer(clock)
    desk = Desk.open(paths_in(home))
    make = (lambda: engraving(desk)) if engraving is not None else None
    app = CoachApp(desk, lambda desk: player, start, glyphs, make, pictures)
    try:
        async with app.run_test(size=size, notifications=True) as pilot:
            yield Sitting(app, pilot, player, clock)
    finally:
        if app.sheets is not None:
            app.sheets.close()
    desk.close()

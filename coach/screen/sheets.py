"""Engraved sheets: asked for by the screens, laid out in the background, the next systems ready before they are wanted.

One thread asks the engraving process; the screens only ever look at what is there. Where a new sheet is on its way (a
mark was made) the one before it stays in view.
"""

import threading
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from coach.errors import CoachError

if TYPE_CHECKING:
    from coach.files.engraving.client import Laid
    from coach.lesson.engraving import Copy, EngravingLike
    from coach.music.engraved import EngravedSystem, Paint, Picture

_KEPT = 4  # sheets: those of two places, each before and after a mark


@dataclass(slots=True, eq=False)
class Sheet:
    """A copy laid out for a width in staff spaces: `systems` are the first and last measure of each, by index."""

    copy: "Copy"
    width: float
    laid: "Laid"
    drawn: "dict[int, EngravedSystem]" = field(default_factory=dict)
    pictures: "dict[int, Picture]" = field(default_factory=dict)  # of those drawn, where they are painted
    wanted: tuple[int, ...] = ()

    @property
    def systems(self) -> tuple[tuple[int, int], ...]:
        """The first and last measure of each system."""
        return self.laid.systems

    def next_missing(self) -> int | None:
        """The system to be drawn next: one that is wanted, else the nearest after those, else any."""
        missing = [k for k in self.wanted if k not in self.drawn]
        if missing:
            return missing[0]
        start = max(self.wanted, default=0)
        order = [*range(start, len(self.systems)), *range(start)]
        return next((k for k in order if k not in self.drawn), None)


class Sheets:
    """The sheets of one run of the program. `arrived` is called from the thread whenever something wanted is there or
    has failed; `failure` then tells why nothing can be engraved, one sentence."""

    def __init__(self, make: "Callable[[], EngravingLike]", arrived: Callable[[], None]) -> None:
        self.paint: Paint | None = None  # set where systems are wanted as pictures too
        self._make = make
        self._arrived = arrived
        self._engraving: EngravingLike | None = None
        self._sheets: list[Sheet] = []
        self._asked: list[tuple[Copy, float]] = []
        self._failed: dict[tuple[Copy, float], str] = {}
        self._told: set[str] = set()
        self._wake = threading.Condition()
        self._thread: threading.Thread | None = None
        self._closing = False

    def sheet(self, copy: "Copy", width: float) -> Sheet | None:
        """The sheet of a copy, or while that is being laid out the last one of the same score and width, or None."""
        with self._wake:
            exact = next((s for s in self._sheets if (s.copy, s.width) == (copy, width)), None)
            if exact is not None:
                return exact
            if (copy, width) in self._failed:
                return None
            if (copy, width) not in self._asked:
                # What was asked for this score and width and not begun is out of date.
                self._asked = [one for one in self._asked if not _same(one, copy, width)] + [(copy, width)]
                self._begin()
                self._wake.notify()
            near = [s for s in self._sheets if _same((s.copy, s.width), copy, width)]
            return near[-1] if near else None

    def failure(self, copy: "Copy", width: float) -> str:
        """Why a copy cannot be engraved, "" if it can."""
        return self._failed.get((copy, width), "")

    def take_failures(self) -> tuple[str, ...]:
        """What could not be engraved since this was last asked, each sentence once."""
        with self._wake:
            news = tuple(dict.fromkeys(one for one in self._failed.values() if one not in self._told))
            self._told.update(news)
            return news

    def want(self, sheet: Sheet, numbers: Iterable[int]) -> "tuple[EngravedSystem, ...]":
        """The systems with these numbers that are there, up to the first one that is not; it is then on its way."""
        numbers = tuple(numbers)
        with self._wake:
            sheet.wanted = numbers
            if sheet in self._sheets:  # else it had to make room meanwhile; it can still be looked at
                self._sheets.remove(sheet)
                self._sheets.append(sheet)
            self._wake.notify()
            there = []
            for number in numbers:
                if number not in sheet.drawn:
                    break
                there.append(sheet.drawn[number])
            return tuple(there)

    def repaint(self, paint: "Paint | None") -> None:
        """Want pictures in this paint, or none; what was drawn is drawn anew."""
        with self._wake:
            if paint != self.paint:
                self.paint = paint
                for sheet in self._sheets:
                    sheet.drawn.clear()
                    sheet.pictures.clear()
                self._wake.notify()

    def close(self) -> None:
        """End the process, also in the midst of a question, and the thread."""
        with self._wake:
            self._closing = True
            self._wake.notify()
            engraving = self._engraving
        if engraving is not None:
            engraving.close()
        if self._thread is not None:
            self._thread.join()

    def _begin(self) -> None:
        if self._thread is None:
            self._thread = threading.Thread(target=self._work, name="engraving", daemon=True)
            self._thread.start()

    def _work(self) -> None:
        while True:
            with self._wake:
                self._wake.wait_for(lambda: self._closing or self._asked or self._unfinished() is not None)
                if self._closing:
                    return
                asked = self._asked[-1] if self._asked else None
                sheet = self._unfinished()
            if asked is not None:
                self._lay(*asked)
            elif sheet is not None:
                self._draw_next(sheet)

    def _unfinished(self) -> Sheet | None:
        return next((s for s in reversed(self._sheets) if s.next_missing() is not None), None)

    def _lay(self, copy: "Copy", width: float) -> None:
        with self._wake:
            if self._closing:
                return
            self._engraving = engraving = self._engraving or self._make()
        try:
            laid = engraving.lay(copy.source, copy.part, copy.prep, width)
        except CoachError as error:
            with self._wake:
                self._failed[copy, width] = str(error)
                self._asked = [one for one in self._asked if one != (copy, width)]
        else:
            with self._wake:
                self._asked = [one for one in self._asked if one != (copy, width)]
                self._sheets = [*self._sheets, Sheet(copy, width, laid)][-_KEPT:]
        self._tell()

    def _tell(self) -> None:
        if not self._closing:
            self._arrived()

    def _draw_next(self, sheet: Sheet) -> None:
        number = sheet.next_missing()
        if number is None or self._engraving is None:
            return
        paint = self.paint
        try:
            system = self._engraving.system(sheet.laid, number)
            picture = self._engraving.picture(sheet.laid, number, paint) if system and paint else None
        except CoachError as error:
            with self._wake:
                self._failed[sheet.copy, sheet.width] = str(error)
                self._sheets.remove(sheet)
            self._tell()
            return
        with self._wake:
            if system is None:  # forgotten: the sheet is laid out anew when it is next asked for
                self._sheets.remove(sheet)
            elif paint == self.paint:
                sheet.drawn[number] = system
                if picture is not None:
                    sheet.pictures[number] = picture
            wanted = system is None or number in sheet.wanted
        if wanted:
            self._tell()


def _same(one: "tuple[Copy, float]", copy: "Copy", width: float) -> bool:
    return (one[0].source, one[0].part, one[1]) == (copy.source, copy.part, width)

"""Sheets laid out in a thread, with an engraving whose answers the test holds back and lets go."""

import threading
from collections.abc import Callable, Iterator

import pytest

from coach.errors import ScoreError
from coach.files.engraving.client import Laid
from coach.lesson.engraving import Copy
from coach.music.engraved import EngravedSystem, Paint, Picture
from coach.screen.sheets import Sheet, Sheets

PLAIN, MARKED = Copy("piece.mxl", None), Copy("piece.mxl", None, "a mark")
WIDTH = 40.0
DEADLINE_S = 10.0


class Held:
    """An engraving of ten systems that answers when it may."""

    def __init__(self) -> None:
        self.may = threading.Condition()
        self.free = True
        self.ended = False
        self.failing = ""
        self.gone: set[int] = set()
        self.laid: list[str] = []
        self.systems: list[int] = []

    def _wait(self) -> None:
        with self.may:
            if not self.may.wait_for(lambda: self.free or self.ended, DEADLINE_S):
                raise AssertionError("nobody let the engraving go on")
            if self.ended:
                raise ScoreError("The engraver stopped.")

    def lay(self, source: str, part: str | None, prep: str, width: float) -> Laid:
        """Ten systems of one measure."""
        self.laid.append(prep)
        self._wait()
        if self.failing:
            raise ScoreError(self.failing)
        return Laid(len(self.laid), tuple((k, k) for k in range(10)))

    def system(self, laid: Laid, number: int) -> EngravedSystem | None:
        """An empty one."""
        self.systems.append(number)
        self._wait()
        if laid.number in self.gone:
            return None
        return EngravedSystem(number, number, number, (), {}, {}, 1.0)

    def picture(self, laid: Laid, number: int, paint: Paint) -> Picture | None:
        """None."""
        return None

    def close(self) -> None:
        """End, also in the midst of an answer."""
        with self.may:
            self.ended = True
            self.may.notify_all()

    def hold(self) -> None:
        self.free = False

    def let_go(self) -> None:
        with self.may:
            self.free = True
            self.may.notify_all()


class Told:
    """Counts what the thread tells, and waits for something to hold after it."""

    def __init__(self) -> None:
        self.count = 0
        self._came = threading.Condition()

    def __call__(self) -> None:
        with self._came:
            self.count += 1
            self._came.notify_all()

    def until(self, holds: Callable[[], object]) -> None:
        with self._came:
            assert self._came.wait_for(holds, DEADLINE_S), "in vain"


@pytest.fixture
def held() -> Held:
    return Held()


@pytest.fixture
def told() -> Told:
    return Told()


@pytest.fixture
def sheets(held: Held, told: Told) -> Iterator[Sheets]:
    made = Sheets(lambda: held, told)
    yield made
    made.close()


def have(sheets: Sheets, told: Told, copy: Copy) -> Sheet:
    """The sheet of this very copy, once it is there."""
    found: list[Sheet] = []

    def there() -> bool:
        sheet = sheets.sheet(copy, WIDTH)
        if sheet is not None and sheet.copy == copy:
            found.append(sheet)
        return bool(found)

    told.until(there)
    return found[0]


def test_nothing_is_there_at_first_and_then_it_is(sheets: Sheets, told: Told, held: Held) -> None:
    held.hold()
    assert sheets.sheet(PLAIN, WIDTH) is None
    held.let_go()
    sheet = have(sheets, told, PLAIN)
    assert sheet.systems == tuple((k, k) for k in range(10))
    assert sheets.sheet(PLAIN, WIDTH) is sheet
    assert held.laid == [""]


def test_what_is_wanted_comes_first_and_the_rest_is_drawn_ahead(sheets: Sheets, told: Told, held: Held) -> None:
    held.hold()
    sheets.sheet(PLAIN, WIDTH)
    held.let_go()
    sheet = have(sheets, told, PLAIN)
    told.until(lambda: len(sheets.want(sheet, (6, 7))) == 2)
    told.until(lambda: sheets.want(sheet, range(10)) and len(sheet.drawn) == 10)
    assert sorted(set(held.systems)) == list(range(10))
    assert len(held.systems) == 10  # each once


def test_only_the_systems_up_to_a_missing_one_are_shown(sheets: Sheets, told: Told, held: Held) -> None:
    sheet = have(sheets, told, PLAIN)
    told.until(lambda: len(sheets.want(sheet, range(10))) == 10)
    with sheets._wake:
        held.hold()
        del sheet.drawn[2]
    assert [system.number for system in sheets.want(sheet, range(10))] == [0, 1]
    held.let_go()
    told.until(lambda: len(sheets.want(sheet, range(10))) == 10)


def test_the_sheet_before_a_mark_stays_in_view(sheets: Sheets, told: Told, held: Held) -> None:
    before = have(sheets, told, PLAIN)
    told.until(lambda: len(sheets.want(before, range(10))) == 10)
    held.hold()
    assert sheets.sheet(MARKED, WIDTH) is before
    assert sheets.sheet(Copy("other.mxl", None), WIDTH) is None  # another piece is none of its business
    assert sheets.sheet(MARKED, WIDTH + 1) is None  # nor is another width
    held.let_go()
    after = have(sheets, told, MARKED)
    assert after is not before
    assert sheets.sheet(MARKED, WIDTH) is after


def test_what_was_asked_and_is_out_of_date_is_not_laid_out(sheets: Sheets, told: Told, held: Held) -> None:
    have(sheets, told, PLAIN)
    held.hold()
    for k in range(5):
        sheets.sheet(Copy("piece.mxl", None, f"mark {k}"), WIDTH)
    held.let_go()
    have(sheets, told, Copy("piece.mxl", None, "mark 4"))
    assert "mark 4" in held.laid
    assert len([prep for prep in held.laid if prep in ("mark 1", "mark 2", "mark 3")]) <= 1


def test_a_failure_is_kept_and_told_once(sheets: Sheets, told: Told, held: Held) -> None:
    held.failing = "The piece cannot be engraved."
    assert sheets.sheet(PLAIN, WIDTH) is None
    told.until(lambda: sheets.failure(PLAIN, WIDTH))
    assert sheets.failure(PLAIN, WIDTH) == held.failing
    for _ in range(5):
        assert sheets.sheet(PLAIN, WIDTH) is None
    assert held.laid == [""]  # not tried again
    assert told.count == 1
    assert sheets.take_failures() == (held.failing,)
    assert sheets.take_failures() == ()


def test_after_a_failure_no_stale_sheet_is_shown(sheets: Sheets, told: Told, held: Held) -> None:
    have(sheets, told, PLAIN)
    held.failing = "The marks cannot be engraved."
    sheets.sheet(MARKED, WIDTH)
    told.until(lambda: sheets.failure(MARKED, WIDTH))
    assert sheets.sheet(MARKED, WIDTH) is None
    assert sheets.sheet(PLAIN, WIDTH) is not None
    assert sheets.failure(PLAIN, WIDTH) == ""


def test_a_forgotten_layout_is_laid_out_anew(sheets: Sheets, told: Told, held: Held) -> None:
    first = have(sheets, told, PLAIN)
    told.until(lambda: len(sheets.want(first, range(10))) == 10)
    held.gone.add(first.laid.number)
    with sheets._wake:
        first.drawn.clear()
    sheets.want(first, (0,))
    told.until(lambda: sheets.sheet(PLAIN, WIDTH) not in (None, first))
    assert held.laid == ["", ""]


def test_a_sheet_that_made_room_can_still_be_looked_at(sheets: Sheets, told: Told) -> None:
    first = have(sheets, told, PLAIN)
    told.until(lambda: len(sheets.want(first, range(10))) == 10)
    for k in range(6):
        have(sheets, told, Copy(f"other {k}.mxl", None))
    assert len(sheets.want(first, (0, 1))) == 2


@pytest.mark.parametrize("busy", [True, False], ids=["busy", "idle"])
def test_closing_ends_the_thread(sheets: Sheets, told: Told, held: Held, busy: bool) -> None:
    """Also while the engraving has not answered."""
    sheet = have(sheets, told, PLAIN)
    told.until(lambda: len(sheets.want(sheet, range(10))) == 10)
    if busy:
        held.hold()
        sheets.sheet(MARKED, WIDTH)
    thread = sheets._thread
    assert thread is not None
    count = told.count
    sheets.close()
    assert not thread.is_alive()
    assert held.ended
    assert told.count == count  # nothing is told after the end


def test_closing_before_anything_was_asked_does_no_harm(held: Held, told: Told) -> None:
    Sheets(lambda: held, told).close()
    assert not held.ended

"""The level of the notes under the staff: in line with the heads as they are drawn, never at the cost of music; and
what is decided at a note, told under the music and in words. Levels and decisions themselves have their tests in
tests/prepare."""

from pathlib import Path

import pytest

from coach.lesson.engraving import engraving
from coach.screen.view.band import STYLES
from coach.screen.view.page import Page
from coach.screen.widgets.music import MusicView
from tests.screen.sitting import Sitting, sitting
from tests.screen.stand.marks import take_up

STEPS = 30  # measures of the demo


def page_of(at: Sitting) -> Page | None:
    return at.app.screen.query_one(MusicView).page


def band_rows_of(page: Page) -> list[int]:
    """The rows in which a band is drawn."""
    rows = range(page.canvas.height)
    return [row for row in rows if any(style in STYLES for _, style in page.canvas.cells(row))]


async def settled(at: Sitting) -> Page:
    """The page on view, engraved and complete."""
    sheets = at.app.sheets
    await at.until(lambda: at.music.engraved)
    await at.until(lambda: sheets is not None and all(sheet.next_missing() is None for sheet in sheets._sheets), 30.0)
    await at.pilot.pause()
    page = page_of(at)
    assert page is not None
    return page


@pytest.mark.parametrize("size", [(80, 24), (120, 40)], ids=str)
async def test_it_costs_no_music_and_begins_at_the_heads(
    tmp_path: Path, with_demo: Path, size: tuple[int, int]
) -> None:
    """Page by page with and without: the same measures in view, the heads as far from each other and from the numbers;
    and where a line begins after a gap there is a note's head above it, in the same column."""
    shown = 0
    async with sitting(tmp_path, size=size, start="demo", copy_of=with_demo, engraving=engraving) as at:
        await at.shows("measure 1 of 30")
        for _ in range(STEPS):
            page = await settled(at)
            await at.press("L")
            await at.until(lambda: (page := page_of(at)) is not None and not band_rows_of(page))
            plain = page_of(at)
            assert plain is not None
            assert {(name, one.column, one.row - one.marker_row) for name, one in page.notes.items()} == {
                (name, one.column, one.row - one.marker_row) for name, one in plain.notes.items()
            }
            shown += bool(band_rows_of(page))
            _begins_at_heads(page)
            await at.press("L", "L", "L", "right")  # the level, the air, both
            await at.pilot.pause()
    assert shown >= STEPS // 2


def _begins_at_heads(page: Page) -> None:
    rows = band_rows_of(page)
    for top in (row for row in rows if row - 1 not in rows):
        last = next(row for row in range(top, page.canvas.height + 1) if row not in rows)
        drawn = {
            column
            for row in range(top, last)
            for column, (_, style) in enumerate(page.canvas.cells(row))
            if style in STYLES
        }
        names = [name for name, box in page.notes.items() if box.marker_row < top]
        system = max(page.notes[name].marker_row for name in names)
        heads = {page.notes[name].column for name in names if page.notes[name].marker_row == system}
        begins = {column for column in drawn if column - 1 not in drawn}
        assert begins and begins <= heads


async def test_it_stands_below_a_picture(tmp_path: Path, with_demo: Path) -> None:
    from dataclasses import replace

    from tests.screen.test_pictures import PICTURES, frames

    made = sitting(tmp_path, size=(80, 40), copy_of=with_demo, engraving=engraving, pictures=PICTURES)
    async with made as at:
        at.app.desk.change(replace(at.app.desk.settings, music="picture"))
        at.app.paint_sheets()
        await at.until(lambda: at.app.session.opened is not None)
        await at.press("2")
        await at.until(lambda: frames(at) and all(frame.region.height for frame in frames(at)))
        page = page_of(at)
        assert page is not None
        view, rows = at.music.region, band_rows_of(page)
        assert rows
        for frame in frames(at):
            inside = range(frame.region.y - view.y, frame.region.bottom - view.y)
            assert not set(rows) & set(inside)


async def test_what_is_decided_is_told_at_the_note(tmp_path: Path, with_demo: Path) -> None:
    """Measure 8 of the demo has two graces before its A flat, in piano; measure 25 a trill."""
    async with sitting(tmp_path, copy_of=with_demo) as at:
        await take_up(at)
        await at.shows(" dB")
        await at.press("g")
        await at.write("8")
        await at.shows("C5, beat 1 of measure 8", " dB", "no mark at this note")
        await at.press("right")
        await at.shows("grace note D♭5", "o: other ways   grace before the beat: dotted quarter tied to")
        await at.press("g")
        await at.write("25")
        await at.shows("o: other ways   trill ", "trill with F♭5")
        await at.press("c")
        await at.write("slowly")
        await at.shows('"slowly"', "o: other ways")  # beside the marks that are there


async def test_the_measure_in_words_tells_it_too(tmp_path: Path, with_demo: Path) -> None:
    async with sitting(tmp_path, copy_of=with_demo) as at:
        await at.until(lambda: at.app.session.opened is not None)
        await at.press("2")
        await at.shows("measure 1 of 30")
        await at.press("g")
        await at.write("8")
        await at.shows("measure 8 of 30")
        await at.press("w")
        await at.shows("Measure 8, beat 1:", "Played: beat 3: grace before the beat", "Level: beat 1: -")

"""The Stand with the real engraving process: what a player sees while stepping, playing, looping and resizing."""

import re
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager
from pathlib import Path

import pytest

from coach.lesson.engraving import engraving
from coach.screen.view.glyphs import ASCII, UNICODE, Glyphs
from coach.screen.widgets.music import MusicView
from tests.screen.sitting import Sitting, sitting
from tests.screen.view.dots.readback import dots_in, staves

BRAILLE = re.compile("[\u2801-\u28ff]")
SIZES = ((60, 20), (80, 24), (120, 40))


@asynccontextmanager
async def at_the_stand(
    tmp_path: Path, with_demo: Path, size: tuple[int, int] = (80, 24), glyphs: Glyphs = UNICODE
) -> AsyncIterator[Sitting]:
    """The demo on the Stand, engraved if these glyphs allow it."""
    async with sitting(
        tmp_path / "home", size=size, start="demo", copy_of=with_demo, glyphs=glyphs, engraving=engraving
    ) as at:
        await at.shows("measure 1 of 30")
        if glyphs is UNICODE:
            await at.until(lambda: at.music.engraved)
        yield at


def stands(at: Sitting, index: int) -> bool:
    """Whether a measure is chosen and drawn."""
    page = at.music.page
    return at.app.session.chosen == index and page is not None and index in page.measures


def text(view: MusicView) -> str:
    assert view.page is not None
    return view.page.canvas.text()


def numbers_row(at: Sitting, index: int) -> str:
    """The row over the system that a measure stands in, as it is shown."""
    page = at.music.page
    if page is None or index not in page.measures:
        return ""
    return "".join(character for character, _ in page.canvas.cells(page.measures[index][2]))


@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
async def test_every_measure_can_be_stepped_to(size: tuple[int, int], tmp_path: Path, with_demo: Path) -> None:
    """All thirty, each in view with its number, on a staff of five lines with a clef at its left."""
    async with at_the_stand(tmp_path, with_demo, size) as at:
        for index in range(30):
            await at.until(lambda index=index: stands(at, index))  # type: ignore[misc]
            assert re.search(rf"\b{index + 1}\b", numbers_row(at, index))
            dots = dots_in(text(at.music))
            found = staves(dots)
            assert found and all(apart == 4 for _, apart in found)
            for top, _ in found:
                clef = [(x, y) for x, y in dots if x < 16 and top - 8 <= y <= top + 26 and (y - top) % 4]
                assert len(clef) > 35, "clef and key always stand at the left"
            assert "5 flats" in at.text
            assert ("12/8" if index == 24 else " 9/8") in at.text  # as the demo's file has it
            await at.press("right")


async def test_the_sounding_note_is_lit_and_in_view(tmp_path: Path, with_demo: Path) -> None:
    """While it plays, the page follows; the note's own cells are styled and a mark stands over it."""
    async with at_the_stand(tmp_path, with_demo) as at:
        await at.press("space")
        await at.shows("count-in")
        at.clock.now_s += 3 * 60 / 50 + 0.1  # a measure counted in
        seen = []
        for _ in range(60):
            at.clock.now_s += 0.7
            lit = at.app.sounding.now().note_id
            await at.until(lambda lit=lit: at.music.lit == lit)  # type: ignore[misc]
            if not lit:
                continue
            await at.until(lambda lit=lit: at.music.page and lit in at.music.page.notes)  # type: ignore[misc]
            page = at.music.page
            assert page is not None
            place = page.notes[lit]
            cells = [at.music.render_line(row).crop(column, column + 1) for row, column, _ in place.name]
            lit_style = at.music.get_component_rich_style("music--lit")
            assert cells
            assert all(segment.style == lit_style for strip in cells for segment in strip)
            assert UNICODE.marker in at.music.render_line(place.marker_row).text
            seen.append(lit)
        assert len({name.split(".")[0] for name in seen}) > 8


async def test_range_and_loop_are_bracketed(tmp_path: Path, with_demo: Path) -> None:
    """A range from its first to its last measure; a loop without one round the measure."""
    async with at_the_stand(tmp_path, with_demo, (120, 40)) as at:
        assert "[" not in numbers_row(at, 0)
        await at.press("l")
        await at.shows("loop measure 1")
        await at.until(lambda: re.search(r"\[.*1 ═+\]", numbers_row(at, 0)))
        await at.press("right")
        await at.until(lambda: stands(at, 1) and re.search(r"\[.*2 ═+\]", numbers_row(at, 1)))
        await at.press("l")
        await at.until(lambda: "[" not in numbers_row(at, 1))
        await at.press("left_square_bracket")
        await at.press("right")
        await at.press("right_square_bracket")
        await at.until(lambda: at.app.session.range is not None and at.app.session.range.last == 2)
        await at.until(lambda: "]" in numbers_row(at, 2) and "═" in numbers_row(at, 2))
        await at.press("left")
        await at.until(lambda: "[" in numbers_row(at, 1) and "═" in numbers_row(at, 1))


async def test_spots_are_bracketed_with_their_names(tmp_path: Path, with_demo: Path) -> None:
    """The demo's spots (content/pieces/demo.toml): the held low F begins in measure 11."""
    async with at_the_stand(tmp_path, with_demo, (120, 40)) as at:
        for index in range(1, 12):
            await at.press("right")
            await at.until(lambda index=index: stands(at, index))  # type: ignore[misc]
        await at.until(lambda: "the held low F" in text(at.music))
        row = numbers_row(at, 11)
        assert "╌" in row and "┐" in row


async def test_another_size_is_laid_out_anew(tmp_path: Path, with_demo: Path) -> None:
    async with at_the_stand(tmp_path, with_demo) as at:
        for columns, rows in ((120, 40), (60, 20), (100, 30)):
            await at.pilot.resize_terminal(columns, rows)
            await at.until(
                lambda columns=columns: (  # type: ignore[misc]
                    at.music.page is not None
                    and at.music.page.canvas.width == columns
                    and at.music.engraved
                    and stands(at, 0)
                    and 0 in at.music.page.measures
                )
            )
            (staff, *_) = staves(dots_in(text(at.music)))
            dots = [x for x, y in dots_in(text(at.music)) if y == staff[0]]
            assert max(dots) > 2 * columns - 8, "the staff reaches to the right edge"


async def test_where_there_is_no_braille_there_are_characters(tmp_path: Path, with_demo: Path) -> None:
    async with at_the_stand(tmp_path, with_demo, glyphs=ASCII) as at:
        await at.until(lambda: stands(at, 0))
        assert not at.music.engraved
        assert not BRAILLE.search(at.text)
        assert at.text.isascii() or "É" in at.text  # the piece's own name


async def test_without_colour_everything_is_told_apart(
    tmp_path: Path, with_demo: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """NO_COLOR (no-color.org): the chosen measure, the lit note, what is kept and what is suggested each look different
    in their attributes or their characters alone."""
    monkeypatch.setenv("NO_COLOR", "1")
    async with at_the_stand(tmp_path, with_demo) as at:
        assert at.app.no_color
        looks: dict[str, Callable[[], object]] = {}
        for name in ("head", "lit", "number", "chosen-number", "pencil", "suggested"):
            style = at.music.get_component_rich_style(f"music--{name}")
            attributes = tuple(
                bool(getattr(style, one)) for one in ("bold", "italic", "reverse", "underline", "dim", "strike")
            )
            looks[name] = attributes  # type: ignore[assignment]
        assert looks["chosen-number"] != looks["number"]
        assert looks["pencil"] != looks["suggested"]
        await at.press("space")
        await at.shows("count-in")
        at.clock.now_s += 9.0
        await at.until(lambda: at.music.lit)
        await at.until(lambda: UNICODE.marker in at.text)  # a mark over the lit note, whatever the colours

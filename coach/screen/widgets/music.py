"""The music: a page of measures that lights the note that sounds and turns by itself."""

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from rich.segment import Segment as Text
from rich.style import Style
from textual import events
from textual.geometry import Region
from textual.message import Message
from textual.strip import Strip
from textual.widget import Widget

from coach.music.piece import Piece, Span
from coach.screen.view.canvas import Canvas, Run, runs
from coach.screen.view.glyphs import UNICODE, Glyphs
from coach.screen.view.page import Look, NotePlace, Page, draw_page, systems_on_page
from coach.screen.view.pointed import Pointing, pointed
from coach.screen.view.system import System, break_systems

if TYPE_CHECKING:
    from coach.lesson.engraving import Copy
    from coach.music.engraved import EngravedSystem, Picture
    from coach.screen.pictures import Pictures
    from coach.screen.sheets import Sheet, Sheets
    from coach.screen.widgets.frames import Frames

_STYLES = (
    *(
        "line",
        "ledger",
        "bar",
        "clef",
        "metre",
        "head",
        "grace",
        "under",
        "sign",
        "rest",
        "tie",
        "name",
        "held",
        "custos",
    ),
    *("grace-name", "rhythm", "dynamic", "hairpin", "words", "mark", "breath", "slur", "beats", "number", "outside"),
    *("range", "chosen", "chosen-number", "lit", "marker"),
    *("stem", "tempo", "finger", "pencil", "teacher", "suggested", "cursor", "spot"),
    *("band-name", "band-dark", "band-middle", "band-bright", "band-low", "practice"),
)


_WIDEST_PICTURE = 297  # columns: kitty's placeholders count no further
_AHEAD = 5  # engraved systems looked at, those that do not fit included


class MusicView(Widget):
    """Draws a stretch of a piece, as many measures as fit; the chosen measure decides the page, while playing the
    sounding note does."""

    COMPONENT_CLASSES = {f"music--{name}" for name in _STYLES}
    DEFAULT_CSS = """
    MusicView { width: 1fr; height: 1fr; background: $background; color: $foreground; }
    MusicView > .music--line { color: $foreground 38%; }
    MusicView > .music--ledger { color: $foreground 60%; }
    MusicView > .music--bar { color: $foreground 60%; }
    MusicView > .music--clef { text-style: bold; }
    MusicView > .music--metre { text-style: bold; }
    MusicView > .music--head { text-style: bold; }
    MusicView > .music--grace { color: $secondary; text-style: bold; }
    MusicView > .music--under { color: $foreground 55%; }
    MusicView > .music--sign { color: $accent; text-style: bold; }
    MusicView > .music--rest { color: $foreground 80%; }
    MusicView > .music--tie { color: $foreground 75%; }
    MusicView > .music--name { text-style: bold; }
    MusicView > .music--held { color: $foreground 55%; }
    MusicView > .music--grace-name { color: $secondary; }
    MusicView > .music--custos { color: $foreground 55%; }
    MusicView > .music--rhythm { color: $foreground 85%; }
    MusicView > .music--dynamic { text-style: bold italic; }
    MusicView > .music--hairpin { color: $foreground 75%; }
    MusicView > .music--words { text-style: italic; }
    MusicView > .music--mark { text-style: bold; }
    MusicView > .music--breath { color: $accent; text-style: bold; }
    MusicView > .music--slur { color: $foreground 65%; }
    MusicView > .music--beats { color: $foreground 65%; }
    MusicView > .music--number { color: $foreground 85%; }
    MusicView > .music--outside { color: $foreground 45%; }
    MusicView > .music--range { color: $secondary; text-style: bold; }
    MusicView > .music--chosen { color: $accent; text-style: bold; }
    MusicView > .music--chosen-number { color: $accent; text-style: bold reverse; }
    MusicView > .music--lit { color: $accent; text-style: bold reverse; }
    MusicView.-engraved > .music--lit { color: $accent; background: $accent 25%; text-style: bold; }
    MusicView.-engraved:nocolor > .music--lit { text-style: bold reverse; }
    MusicView > .music--marker { color: $accent; text-style: bold; }
    MusicView > .music--stem { color: $foreground 92%; }
    MusicView > .music--tempo { text-style: bold; }
    MusicView > .music--finger { text-style: bold; }
    MusicView > .music--pencil { color: $secondary; text-style: bold; }
    MusicView > .music--teacher { color: $secondary; text-style: bold underline; }
    MusicView > .music--suggested { color: $secondary; text-style: italic; }
    MusicView > .music--cursor { color: $secondary; text-style: bold reverse; }
    MusicView > .music--spot { color: $foreground 65%; }
    MusicView > .music--band-name { color: $foreground 65%; }
    MusicView > .music--band-dark { color: $secondary; text-style: dim; }
    MusicView > .music--band-middle { color: $foreground 75%; }
    MusicView > .music--band-bright { color: $accent; text-style: bold; }
    MusicView > .music--band-low { color: $error; text-style: bold; }
    MusicView > .music--practice { color: $secondary; text-style: dim; }
    """
    ALLOW_SELECT = False

    class Chosen(Message):
        """A measure was pointed at; `index` counts the measures of the piece, `note` is the nearest note in it."""

        def __init__(self, index: int, note: str = "") -> None:
            self.index, self.note = index, note
            super().__init__()

    def __init__(self, id: str | None = None) -> None:  # noqa: A002  Textual's own name
        super().__init__(id=id)
        self._styles_known: dict[str, Style] = {}  # asked for often, and dear
        self._piece: Piece | None = None
        self._span = Span(0, 0)
        self._look = Look(0)
        self._glyphs: Glyphs = UNICODE
        self._systems: Sequence[System] = ()
        self._broken_for: tuple[int, Span, int, bool] | None = None
        self._at = 0
        self._rests_at = 0  # the measure whose page is shown while nothing sounds
        self._lit = ""
        self._pointing = Pointing()
        self._page: Page | None = None
        self._copy: Copy | None = None
        self._top = 0  # the engraved system that stands at the top
        self._shown = 0  # how many engraved systems are shown
        self._frames: Frames | None = None

    def show(self, piece: Piece, span: Span, look: Look, glyphs: Glyphs, copy: "Copy | None" = None) -> None:
        """Show a stretch of a piece on the page of the chosen measure; engraved if there is a copy to engrave."""
        self._piece, self._span, self._look, self._glyphs = piece, span, look, glyphs
        self._copy = copy
        self._rests_at = look.chosen if look.chosen >= 0 else span.first
        if not self._lit:
            self._at = self._rests_at
        self._draw()

    def light(self, note_id: str, measure: int | None) -> None:
        """Light the sounding note ("" for none), turning to its measure's page; None turns back to the chosen one."""
        at = self._rests_at if measure is None else measure
        if note_id == self._lit and at == self._at:
            return
        before = self._place()
        self._lit = note_id
        if at != self._at:
            self._at = at
            shown = self._page is not None and at in self._page.measures and note_id in {"", *self._page.notes}
            if not shown:
                self._draw()
                return
        self._refresh_places(before, self._place())

    def point(self, pointing: Pointing) -> None:
        """Point the pencil at a note when the music is next shown."""
        self._pointing = pointing

    @property
    def pointing(self) -> Pointing:
        """Where the pencil points."""
        return self._pointing

    def begin_like(self, other: "MusicView") -> None:
        """Begin with the system at the top that another view of the same piece has there."""
        self._top, self._shown = other._top, other._shown

    def take_sheet(self) -> None:
        """Look again at what the engraver has."""
        if self._copy is not None:
            self._draw()

    @property
    def look(self) -> Look:
        """What is shown of the piece."""
        return self._look

    @property
    def engraved(self) -> bool:
        """Whether what is shown is engraved."""
        return self._shown > 0

    @property
    def page(self) -> Page | None:
        """What is drawn now."""
        return self._page

    @property
    def lit(self) -> str:
        """The id of the lit note, "" for none."""
        return self._lit

    def on_resize(self) -> None:
        """Break the systems for the new size."""
        self._draw()

    def on_click(self, event: events.Click) -> None:
        """Choose the measure under the pointer."""
        at = event.screen_offset - self.region.offset  # a click on a picture counts from the picture's own corner
        index = self._page.measure_at(*at) if self._page else None
        if self._page and index is not None:
            self.post_message(self.Chosen(index, self._page.note_at(*at)))

    def render_line(self, y: int) -> Strip:
        """One row of the page, with the lit note over it."""
        if self._page is None or y >= self._page.canvas.height:
            return Strip.blank(self.size.width, self.rich_style)
        cells = pointed(self._page.canvas.cells(y), y, self._page, self._pointing, self._glyphs)
        drawn = runs(_lit(cells, y, self._place(), self._glyphs))
        return Strip([Text(run.text, self._style_of(run)) for run in drawn], self._page.canvas.width)

    def _draw(self) -> None:
        width, height = self.size
        if self._piece is None or width < 20 or height < 5:
            self._put(None)
        elif not self._draw_engraved(self._piece, width, height):
            self._shown = 0
            self._break(self._piece, width)
            shown = systems_on_page(self._systems, self._at, self._lit_system(), (width, height))
            self._put(draw_page(self._piece, shown, self._look, (width, height), self._glyphs))
        self.set_class(self.engraved, "-engraved")
        self.refresh()

    def _draw_engraved(self, piece: Piece, width: int, height: int) -> bool:
        """Draw the engraved page as far as it is there; False where there will be none."""
        sheets: Sheets | None = getattr(self.app, "sheets", None)
        copy = self._copy
        if copy is None or sheets is None or self._glyphs is not UNICODE:
            return False
        spaces = (2 * width - 1) / 4  # two dots to a column, four to a space
        sheet = sheets.sheet(copy, spaces)
        if sheet is None:
            if sheets.failure(copy, spaces):
                return False
            if self._page is None or not self.engraved:
                self._put(Page(Canvas(width, height), {}, {}))
            return True
        from coach.screen.view.dots.page import draw_engraved, fitting  # deferred: the first paint does without

        self._turn(sheet)
        there = sheets.want(sheet, range(self._top, min(self._top + _AHEAD, len(sheet.systems))))
        if there and width <= _WIDEST_PICTURE and all(system.number in sheet.pictures for system in there):
            self._draw_pictures(piece, there, sheet)
        elif there:
            self._shown = fitting(there, height)
            look = self._bracketed(piece)
            self._put(draw_engraved(piece, there[: self._shown], look, (width, height), self._glyphs))
        elif self._page is None or self._page.canvas.width != width or self._page.canvas.height != height:
            self._put(Page(Canvas(width, height), {}, {}))
        return True

    def _draw_pictures(self, piece: Piece, there: "Sequence[EngravedSystem]", sheet: "Sheet") -> None:
        """Draw a page of pictures, as many as fit."""
        from coach.screen.view.dots.pictured import draw_pictured, pictures_fitting  # deferred as all engraving

        pictures = [sheet.pictures[system.number] for system in there]
        self._shown = pictures_fitting([one.rows for one in pictures], self.size.height)
        systems = [(system, one.rows) for system, one in zip(there, pictures, strict=True)][: self._shown]
        page, tops = draw_pictured(piece, systems, self._bracketed(piece), self.size, self._glyphs)
        self._put(page, tuple(zip(tops, pictures, strict=False)))

    def _put(self, page: Page | None, placed: "tuple[tuple[int, Picture], ...]" = ()) -> None:
        """Show a page, and pictures on it, each from a row on."""
        self._page = page
        pictures: Pictures | None = getattr(self.app, "pictures", None)
        if self._frames is None and placed and pictures is not None:
            from coach.screen.widgets.frames import Frames

            self._frames = Frames(self, pictures.make)
        if self._frames is not None:
            self._frames.lay(placed)

    def _bracketed(self, piece: Piece) -> Look:
        """What is looked at; a stretch that is less than the piece is bracketed, since whole systems are shown."""
        if self._look.range is not None or self._span == piece.whole():
            return self._look
        return replace(self._look, range=self._span)

    def _turn(self, sheet: "Sheet") -> None:
        """Choose the system at the top: the one there stays as long as a further one can be seen after what is read."""
        wanted = self._system_wanted(sheet)
        last = len(sheet.systems) - 1
        stays = self._top <= wanted < self._top + self._shown - (self._top + self._shown <= last)
        if not stays or self._shown == 0:
            self._top = wanted
        self._top = min(self._top, last)

    def _system_wanted(self, sheet: "Sheet") -> int:
        """The system of the lit note or the one pointed at, else of the measure in view."""
        holding = [k for k, (first, last) in enumerate(sheet.systems) if first <= self._at <= last]
        for k in holding:
            if self._read and k in sheet.drawn and self._read in sheet.drawn[k].heads:
                return k
        return holding[0] if holding else 0

    def _break(self, piece: Piece, width: int) -> None:
        wanted = (id(piece), self._span, width, self._glyphs is UNICODE)
        if wanted != self._broken_for:
            self._systems = break_systems(piece, self._span, width, self._glyphs)
            self._broken_for = wanted

    def _lit_system(self) -> int | None:
        """The system that holds the lit note or the one pointed at; a crowded measure has several."""
        for k, system in enumerate(self._systems):
            if self._read and any(slot.id == self._read for segment in system.segments for slot in segment.slots):
                return k
        return None

    @property
    def _read(self) -> str:
        """The note that must be in view: the one that sounds, else the one pointed at."""
        return self._lit or self._pointing.note

    def _place(self) -> NotePlace | None:
        return self._page.notes.get(self._lit) if self._page and self._lit else None

    def _refresh_places(self, *places: NotePlace | None) -> None:
        rows = {row for place in places if place for row in _rows(place)}
        if rows:
            self.refresh(*(Region(0, row, self.size.width, 1) for row in rows))

    def notify_style_update(self) -> None:
        """Other colours."""
        self._styles_known.clear()
        super().notify_style_update()

    def _style_of(self, run: Run) -> Style:
        if run.style not in self._styles_known:
            found = self.get_component_rich_style(f"music--{run.style}") if run.style else self.rich_style
            self._styles_known[run.style] = found
        return self._styles_known[run.style]


def _rows(place: NotePlace) -> tuple[int, ...]:
    return (place.row, place.marker_row, *(row for row, _, _ in place.name))


def _lit(cells: list[tuple[str, str]], y: int, place: NotePlace | None, glyphs: Glyphs) -> list[tuple[str, str]]:
    """A row's cells with the lit note marked: its head, its name, and a mark above it."""
    if place is None:
        return cells
    if y == place.marker_row and place.column < len(cells):
        cells[place.column] = (glyphs.marker, "marker")
    if y == place.row and place.column < len(cells):
        cells[place.column] = (cells[place.column][0], "lit")
    for row, first, length in place.name:
        if row == y:
            for column in range(first, min(first + length, len(cells))):
                cells[column] = (cells[column][0], "lit")
    return cells

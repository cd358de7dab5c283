"""What the five places have in common: the line of places, the footer, the sentence for a small terminal."""

from pathlib import Path
from typing import TYPE_CHECKING, ClassVar, cast

from rich.text import Text
from textual import events
from textual.app import ComposeResult
from textual.containers import Vertical
from textual.screen import Screen
from textual.widgets import Static

from coach.screen.actions import PLACE_NAMES, PLACES
from coach.screen.session import Session

if TYPE_CHECKING:
    from coach.lesson.playing import Now
    from coach.screen.app import CoachApp
    from coach.screen.footer import Keys

LEAST_COLUMNS, LEAST_ROWS = 60, 20
PLACE_STYLE = Path(__file__).with_name("place.tcss")


class Line(Static):
    """One line of plain text; what is too long is cut with a mark."""

    ALLOW_SELECT = False

    def say(self, text: str | Text) -> None:
        """Show a text."""
        self.update(Text(text) if isinstance(text, str) else text)


class PlacesLine(Static):
    """The names of the places, the present one marked, and the piece in hand. A click goes there."""

    ALLOW_SELECT = False

    def say(self, here: str, piece: str, keys: dict[str, str]) -> None:
        """Show where one is."""
        text = Text()
        for place in PLACES:
            mark = f"[{keys[place]} {PLACE_NAMES[place]}]" if place == here else f" {keys[place]} {PLACE_NAMES[place]} "
            style = "reverse bold" if place == here else ""
            text.append(mark, style=style).apply_meta({"@click": f"app.place('{place}')"}, text_start(text, mark))
        text.append(f"  {piece}", style="bold")
        self.update(text)


def text_start(text: Text, last: str) -> int:
    """Where the part appended last begins."""
    return len(text.plain) - len(last)


class Place(Screen[None]):
    """A place. Subclasses compose their body and bring it up to date in `refresh_place`."""

    PLACE: ClassVar[str] = ""
    UNDER: ClassVar[str] = ""  # the place it lies over, for what is no place of its own
    AUTO_FOCUS = ""
    composed = False  # whether all widgets are there

    def compose(self) -> ComposeResult:
        """The line of places, the body, the footer."""
        yield PlacesLine(classes="places")
        with Vertical(classes="body"):
            yield from self.compose_body()
        if self.coach.ready:
            yield self._footer()

    def _footer(self) -> "Keys":
        from coach.screen.footer import Keys  # deferred: the first paint does without

        return Keys()

    def show_footer(self) -> None:
        """Add the footer to the place that was painted first; the first paint did not wait for it."""
        if not self.query("Footer"):
            self.mount(self._footer())
            self.call_after_refresh(self.refresh_bindings)  # it shows nothing before it is told of them

    def compose_body(self) -> ComposeResult:
        """What this place is about."""
        yield from ()

    @property
    def coach(self) -> "CoachApp":
        """The app."""
        return cast("CoachApp", self.app)

    @property
    def session(self) -> Session:
        """The sitting."""
        return self.coach.session

    def state_colours(self) -> dict[str, str]:
        """The colours of the states in the present theme, for texts; the sign and the word say the same."""
        theme = self.app.current_theme
        colours = {"holds": theme.success, "nearly": theme.warning, "needs-work": theme.error}
        return {"unknown": "", **{state: f"bold {colour}" for state, colour in colours.items() if colour}}

    def on_resize(self, event: events.Resize) -> None:
        """Say so where the terminal is too small."""
        self._fit(*event.size)

    def _fit(self, width: int, height: int) -> None:
        small = width < LEAST_COLUMNS or height < LEAST_ROWS
        self.set_class(small, "-small")
        if small and not self.query(".too-small"):
            self.mount(Static(classes="too-small", markup=False))
        needed = f"coach needs a terminal of {LEAST_COLUMNS} columns and {LEAST_ROWS} rows"
        for sentence in self.query(".too-small").results(Static):
            sentence.update(f"{needed}; this one has {width} and {height}.")

    def on_mount(self) -> None:
        """All widgets are there now."""
        self.composed = True
        self._fit(*self.app.size)
        self.bring_up_to_date()

    def on_screen_resume(self) -> None:
        """Bring everything up to date."""
        self.bring_up_to_date()

    def bring_up_to_date(self) -> None:
        """Show the state as it is now."""
        if not self.composed:
            return
        opened = self.session.opened
        title = self.coach.busy or (opened.set_piece.title if opened else "nothing on the stand")
        self.query_one(PlacesLine).say(self.UNDER or self.PLACE, title, self.coach.first_keys())
        with self.coach.telling():
            self.refresh_place()

    def leave(self) -> None:
        """Another place is gone to."""

    def refresh_place(self) -> None:
        """Show this place's part of the state."""

    def show_now(self, now: "Now") -> None:
        """Follow the sound; called many times a second while it plays, and once when it has stopped."""

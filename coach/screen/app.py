"""The app: a switchboard between the five places, the sitting and the sound.

Screens are imported when they are first shown, and the music, the log and the sound after the first paint. Whatever can
be slow runs in a worker that posts its result; only the app's own thread touches widgets.
"""

from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from typing import TYPE_CHECKING, Any

from textual.app import App, SystemCommand
from textual.binding import Binding
from textual.css.query import NoMatches
from textual.screen import Screen

from coach.errors import CoachError
from coach.lesson.desk import Desk
from coach.screen.actions import PLACE_NAMES, PLACES, faults, key_words, keys_in_force
from coach.screen.background import Arrived, Finished, SheetArrived
from coach.screen.place import PLACE_STYLE, Place
from coach.screen.session import Opened, Session, read_opened
from coach.screen.sheets import Sheets
from coach.screen.sounding import PlayerMaker, Sounding
from coach.screen.themes import THEMES

if TYPE_CHECKING:
    from coach.config import Settings
    from coach.lesson.engraving import EngravingLike
    from coach.practice.set_piece import SetPiece
    from coach.screen.pictures import Pictures
    from coach.screen.view.glyphs import Glyphs

FOLLOW_S = 1 / 25  # how often the screen asks where the sound is
LISTEN_S = 0.5  # how often it asks for troubles while nothing plays
MOST_TOLD = 2  # faults of a file told at once
REST_AFTER_S = 25 * 60  # the usual guidance: five minutes' rest in each half hour
REST_WORDS = "25 minutes have gone by: put the instrument down for five; hands, lip and ears need it."


def _place(name: str) -> Callable[[], Screen[Any]]:
    """Imports a place's screen when it is first shown."""

    def make() -> Screen[Any]:
        from importlib import import_module

        module = import_module(f"coach.screen.{name}.screen")
        screen: Screen[Any] = getattr(module, f"{PLACE_NAMES[name]}Screen")()
        return screen

    return make


class CoachApp(App[int]):
    """The practice screens. `start` is the id of a piece to open, or "" to begin at Today."""

    TITLE = "coach"
    CSS_PATH = [PLACE_STYLE, PLACE_STYLE.parent / "today" / "screen.tcss"]
    MODES = {name: _place(name) for name in PLACES}
    BINDINGS = [Binding("ctrl+c", "hush_or_leave", "stop, twice: leave", show=False, id="hush", priority=True)]

    def __init__(
        self,
        desk: Desk,
        make_player: PlayerMaker,
        start: str = "",
        glyphs: "Glyphs | None" = None,
        engraving: "Callable[[], EngravingLike] | None" = None,
        pictures: "Pictures | None" = None,
    ) -> None:
        self.DEFAULT_MODE = "stand" if start else "today"  # type: ignore[misc]  # the first place differs by start
        super().__init__()
        self.session = Session(desk, glyphs)
        self.sounding = Sounding(desk, make_player)
        self.sheets = Sheets(engraving, self._sheet_arrived) if engraving is not None else None
        self.pictures = pictures
        self.pictures_refused = ""  # why the music is no picture though that is what was asked for
        self.busy = ""
        self.ready = False
        self._start = start
        self._leaving = False
        for theme in THEMES:
            self.register_theme(theme)
        self.set_reactive(App.theme, self._known_theme(desk.settings.theme))  # before there is anything to colour

    @property
    def desk(self) -> Desk:
        """Paths, settings, log and clock."""
        return self.session.desk

    def on_mount(self) -> None:
        """Keys; everything else after the first paint."""
        self.set_keymap(dict(self.desk.settings.keys))
        self._follow_timer = self.set_interval(FOLLOW_S, self._follow, pause=True)
        self.set_interval(LISTEN_S, self._listen)
        self.set_interval(REST_AFTER_S, self._rest)
        self.call_after_refresh(self._begin)

    def choose_theme(self, name: str) -> None:
        """Put on one of our themes, or a named one of Textual's; with NO_COLOR the plain dark one."""
        self.theme = self._known_theme(name)

    def _known_theme(self, name: str) -> str:
        return THEMES[0].name if self.no_color or name not in self.available_themes else name

    def _begin(self) -> None:
        """Open the piece that was asked for, else lay the one worked on last on the stand, without leaving Today."""
        self.ready = True
        self.paint_sheets()
        if self.pictures_refused:
            self.tell(self.pictures_refused)
        if self.place is not None:
            self.place.show_footer()
        self.set_class(self.session.glyphs.filled.isascii(), "-ascii")
        for fault in faults(dict(self.desk.settings.keys)):
            self.tell(fault)
        with self.telling():
            from coach.screen.pieces import last_worked_on, named

            if self._start:
                self.open(named(self.desk, self._start))
                return
            last = last_worked_on(self.desk)
            if last is not None:
                self.open(last, self.show_state)
                return
        self.show_state()

    def get_key_display(self, binding: Binding) -> str:
        """Keys as the footer shows them: in words where the terminal has no arrows."""
        if not self.has_class("-ascii"):
            return super().get_key_display(binding)
        return key_words(binding.key) + (" " if binding.group else "")

    # Work in the background

    def in_background(self, saying: str, job: Callable[[], Any], then: Callable[[Any], None]) -> None:
        """Do a job in a thread while the line of places says so; `then` takes the result in the app's own thread."""
        self.busy = saying
        self.show_state()
        self.run_worker(lambda: self.post_message(Finished.of(job, then)), thread=True, exit_on_error=True)

    def on_finished(self, message: Finished) -> None:
        """Take a result, or say why there is none."""
        self.busy = ""
        if message.error is not None:
            self.tell(message.error)
        else:
            with self.telling():
                message.then(message.result)
        self.show_state()

    def on_arrived(self, message: Arrived) -> None:
        """Show what is there."""
        with self.telling(), suppress(NoMatches):  # on the way out the place's widgets go before it does
            message.then()

    def open(self, set_piece: "SetPiece", then: Callable[[], None] | None = None) -> None:
        """Read a piece and put it in hand."""

        def job() -> Opened:
            return read_opened(self.desk, set_piece)

        def take_up(opened: Opened) -> None:
            self.stop_sound()
            self.session.take_up(opened)
            self._tell_faults(opened)
            if then is not None:
                then()
            else:
                self.switch_mode("stand")

        self.in_background(f"reading {set_piece.title} {self.session.glyphs.ellipsis}", job, take_up)

    def _tell_faults(self, opened: Opened) -> None:
        """What is wrong with the marks of a piece, once; the first sentences, and where the others are listed."""
        for fault in opened.faults[:MOST_TOLD]:
            self.tell(fault)
        more = len(opened.faults) - MOST_TOLD
        if more > 0:
            self.tell(f"{more} more about the marks: press {self.first_keys()['notices']} on the Stand.")

    # What is told

    @contextmanager
    def telling(self) -> Iterator[None]:
        """Tell a CoachError to the player instead of letting it through."""
        try:
            yield
        except CoachError as error:
            self.tell(error)

    def tell(self, error: CoachError | str) -> None:
        """Tell the player what went wrong, in its one sentence."""
        from coach.music.text import one_line  # deferred: the first paint tells of nothing

        self.notify(f"! {one_line(str(error))}", severity="error", timeout=12, markup=False)

    def say(self, text: str) -> None:
        """Tell the player something that went well."""
        self.notify(text, timeout=5, markup=False)

    async def run_action(self, *args: Any, **kwargs: Any) -> bool:
        """Run an action; what goes wrong is told, never a traceback."""
        with self.telling():
            return await super().run_action(*args, **kwargs)
        return True

    def show_state(self) -> None:
        """Bring the place in front up to date."""
        place = self.place
        if place is not None:
            place.bring_up_to_date()

    @property
    def place(self) -> Place | None:
        """The place in front, under any question laid over it."""
        return next((screen for screen in reversed(self.screen_stack) if isinstance(screen, Place)), None)

    def first_keys(self) -> dict[str, str]:
        """The first key of every command, as it is shown."""
        chosen = keys_in_force(dict(self.desk.settings.keys))
        return {name: key_words(keys.split(",")[0]) for name, keys in chosen.items()}

    # Engraving

    def _sheet_arrived(self) -> None:
        """Something engraved is there; called from the engraving thread."""
        self.post_message(SheetArrived())

    def on_sheet_arrived(self, message: SheetArrived) -> None:
        """Show it, or tell why there is nothing to show."""
        from coach.screen.widgets.music import MusicView

        for sentence in self.sheets.take_failures() if self.sheets is not None else ():
            self.tell(sentence)

        if self.place is not None and self.place.composed:
            for view in self.place.query(MusicView):
                view.take_sheet()

    def paint_sheets(self) -> None:
        """Have the music painted in the colours in force, if it is to be a picture."""
        if self.sheets is not None and self.pictures is not None:
            wanted = self.desk.settings.music == "picture"
            self.sheets.repaint(self.pictures.paint(self.current_theme) if wanted else None)

    # Sound

    def play(self, take: Any, from_measure: str = "") -> None:
        """Play a take, and follow it. Raises CoachError if it cannot be played."""
        self.sounding.start(take, from_measure)
        self._follow_timer.resume()
        self._follow()

    def stop_sound(self) -> None:
        """End every note."""
        self.sounding.stop()
        self._follow()

    def toggle_click(self) -> None:
        """Click on or off, while playing too. Raises SettingsError if that cannot be written; it holds all the same."""
        try:
            self.session.toggle_click()
        finally:
            click = self.session.click
            if self.sounding.begun:
                self.sounding.playing.set_click(click.on, click.level_db)
            self.show_state()

    def take_settings(self, before: "Settings") -> None:
        """Let changed settings be seen and heard."""
        now = self.desk.settings
        if now.keys != before.keys:
            self.set_keymap(dict(now.keys))
        if now.theme != before.theme:
            self.choose_theme(now.theme)
        self.paint_sheets()
        self.sounding.take_settings(before, now)

    def _follow(self) -> None:
        with self.telling():
            now = self.sounding.now()
            if not now.playing and not self.sounding.wanted:
                self._follow_timer.pause()
            place = self.place
            if place is not None and place.composed:
                with suppress(NoMatches):  # on the way out its widgets go before it does
                    place.show_now(now)

    def _listen(self) -> None:
        for trouble in self.sounding.troubles():
            self.tell(trouble)

    def _rest(self) -> None:
        self.notify(REST_WORDS, severity="warning", timeout=60, markup=False)

    # Actions that work everywhere

    def action_place(self, name: str) -> None:
        """Go to a place; a question laid over this one is left first."""
        if not isinstance(self.screen, Place):
            return
        self.screen.leave()
        if self.sounding.wanted and name != self.current_mode and {name, self.current_mode} & {"drill"}:
            self.stop_sound()
        self.switch_mode(name)

    def action_help(self) -> None:
        """Show what every key does here."""
        from coach.screen.dialogs import Read
        from coach.screen.help import help_text

        place = self.place
        if place is not None:
            keys = keys_in_force(dict(self.desk.settings.keys))
            self.push_screen(Read(f"Keys: {PLACE_NAMES[place.PLACE]}", help_text(place.PLACE, keys)))

    def action_hush_or_leave(self) -> None:
        """Stop the sound; a second time in a row, leave."""
        if self._leaving:
            self.action_leave()
            return
        self._leaving = True
        self.set_timer(3, self._stay)
        self.stop_sound()
        self.say("Stopped. Press ctrl+c again to leave.")

    def _stay(self) -> None:
        self._leaving = False

    def action_leave(self) -> None:
        """Stop the sound and leave; everything was written when it happened."""
        self.sounding.close()
        if self.sheets is not None:
            self.sheets.close()
        self.exit(0)

    async def action_quit(self) -> None:
        """Leave, by the key that Textual itself binds."""
        self.action_leave()

    def get_system_commands(self, screen: Screen[Any]) -> Iterator[SystemCommand]:
        """What the palette offers: the keys of this place, and the colours."""
        from coach.screen.palette import offers

        return offers(self)


def run_app(start: str = "") -> int:
    """Open the screens, on a piece if its id or title is given; returns the exit status."""
    from coach.lesson.desk import Desk

    def make_player(desk: Desk) -> Any:
        from coach.lesson.playing import open_player

        return open_player(desk)

    desk = Desk.open()

    def make_engraving() -> Any:
        from coach.lesson.engraving import engraving

        return engraving(desk)

    pictures, refused = _pictures(desk)
    app = CoachApp(desk, make_player, start, engraving=make_engraving, pictures=pictures)
    app.pictures_refused = refused
    try:
        status = app.run()
    finally:
        app.sounding.close()
        if app.sheets is not None:
            app.sheets.close()
        desk.close()
    return status if isinstance(status, int) else 0 if app.return_code is None else app.return_code


def _pictures(desk: Desk) -> "tuple[Pictures | None, str]":
    """The way to show pictures if the settings ask for them, else a sentence; only then is the terminal asked."""
    if desk.settings.music != "picture":
        return None, ""
    from coach.lesson.pictures import terminal_pictures
    from coach.screen.pictures import pictures

    shows = terminal_pictures()
    refused = f"The music is drawn in dots, not as a picture: {shows.because}."
    return pictures(shows), "" if shows.kind else refused

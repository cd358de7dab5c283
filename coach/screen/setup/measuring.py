"""The guided measurement of the air: a stopwatch to be read from the music stand, a rest between, then the table."""

from typing import TYPE_CHECKING, ClassVar, cast

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.screen import ModalScreen
from textual.widgets import Static

from coach.config import AirSettings
from coach.errors import RequestError
from coach.lesson.long_tones import HELD_AT, LongTones, litres_known, measured, table_words
from coach.music.pitch import parse_pitch
from coach.prepare.breath.caution import CAUTION
from coach.screen.dialogs import DIALOG_STYLE, Ask
from coach.screen.view.numerals import numerals
from coach.screen.view.words import signed

if TYPE_CHECKING:
    from collections.abc import Callable

    from coach.screen.app import CoachApp

TICK_S = 0.1
FIRST_NOTE = "C5"
_WORDS = {"p": "piano", "mf": "mezzoforte", "f": "forte"}


class MeasureScreen(ModalScreen[AirSettings | None]):
    """Holds the stopwatch; answers the air as it was measured, None where it is left."""

    CSS_PATH = DIALOG_STYLE
    DEFAULT_CSS = """
    MeasureScreen .watch { height: 7; width: 1fr; margin: 0 2; text-style: bold; color: $accent; }
    MeasureScreen .caution { color: $warning; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("space", "press", "start, stop"),
        Binding("backspace", "again", "again"),
        Binding("enter", "take", "take it"),
        Binding("escape", "close", "close"),
    ]

    def __init__(self, air: AirSettings, note: str) -> None:
        super().__init__()
        self._air, self._note = air, note
        self._tones = LongTones()
        self._fault = ""

    def compose(self) -> ComposeResult:
        """What to do, the stopwatch, what is measured so far, the cautions, the keys."""
        with Vertical(classes="dialog"):
            yield Static(classes="dialog-title", markup=False)
            yield Static(classes="todo", markup=False)
            yield Static(classes="watch", markup=False)
            yield Static(classes="table", markup=False)
            yield Static(CAUTION, classes="caution", markup=False)
            yield Static(classes="dialog-hint", markup=False)

    def on_mount(self) -> None:
        """Let the stopwatch run."""
        self.set_interval(TICK_S, self.show)
        self.show()

    def show(self) -> None:
        """Show the measurement as it stands now."""
        now_s = self._now_s()
        glyphs = self._coach.session.glyphs
        said = {
            ".dialog-title": f"Long tone on {signed(self._note, glyphs)}{self._which()}",
            ".todo": f"! {self._fault}" if self._fault else self._todo(now_s),
            ".watch": numerals(self._watch(now_s), glyphs.block),
            ".table": table_words(self._air, self._tones),
            ".dialog-hint": self._hint(now_s),
        }
        for name, text in said.items():
            self.query_one(name, Static).update(text)

    def _which(self) -> str:
        dynamic = self._tones.dynamic
        number = len(self._tones.held_s) + 1
        return f": {dynamic}, {_WORDS[dynamic]} ({number} of {len(HELD_AT)})" if dynamic else ": all are held"

    def _todo(self, now_s: float) -> str:
        tones = self._tones
        if not tones.dynamic:
            return "Enter takes these figures for your air; escape leaves it as it was."
        if tones.began_s is not None:
            return "Space stops when the air is used up: end before it has to be forced."
        if tones.rest_s(now_s):
            return "Rest and breathe as you like; the seconds that are left:"
        return "Breathe in fully; space starts when you begin to play, space stops when the air is used up."

    def _hint(self, now_s: float) -> str:
        if not self._tones.dynamic:
            return "enter takes it; backspace: the last tone again; escape leaves it"
        if self._tones.rest_s(now_s):
            return "space: no more rest; backspace: the last tone again; escape leaves it"
        return "space starts and stops; backspace: again; escape leaves it"

    def _watch(self, now_s: float) -> str:
        tones = self._tones
        if tones.began_s is not None:
            return f"{tones.running_s(now_s):.1f}"
        if tones.rest_s(now_s):
            return f"{tones.rest_s(now_s):.0f}"
        return f"{tones.held_s[-1]:.1f}" if not tones.dynamic else "0.0"

    @property
    def _coach(self) -> "CoachApp":
        return cast("CoachApp", self.app)

    def _now_s(self) -> float:
        return self._coach.session.clock()

    def action_press(self) -> None:
        """Start or stop the tone, or end the rest."""
        self._tones, self._fault = self._tones.pressed(self._now_s()), ""
        self.show()

    def action_again(self) -> None:
        """The present tone, else the last one, again."""
        self._tones, self._fault = self._tones.again(), ""
        self.show()

    def action_take(self) -> None:
        """Take what is measured, when all is."""
        if self._tones.dynamic:
            return
        try:
            found = measured(self._air, self._tones)
        except RequestError as error:
            self._fault = str(error)
            self.show()
            return
        self.dismiss(found)

    def action_close(self) -> None:
        """Leave the air as it was."""
        self.dismiss(None)


def ask_measurement(app: "CoachApp", take: "Callable[[AirSettings], None]") -> None:
    """Ask for the note, then measure; `take` takes the air as it was measured."""
    air = app.desk.settings.air
    known = "" if litres_known(air) else " Your litres are not known yet, so the times will give only proportions."
    hint = f"a comfortable written note, the same for all three dynamics.{known}"

    def begin(text: str | None) -> None:
        if text is None:
            return
        with app.telling():
            try:
                note = parse_pitch(text.strip()).name
            except ValueError as error:
                raise RequestError(f"{error}.") from error
            app.push_screen(MeasureScreen(air, note), lambda found: take(found) if found is not None else None)

    app.push_screen(Ask("Long tones on which note", hint, FIRST_NOTE), begin)

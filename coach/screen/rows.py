"""A question laid over a screen that is a list of rows: some are chosen, some hold a value that left and right turn."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import ClassVar, Generic, TypeVar

from rich.text import Text
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.screen import ModalScreen
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from coach.screen.dialogs import DIALOG_STYLE
from coach.screen.hung import Hung
from coach.screen.view.canvas import Run

Answer = TypeVar("Answer")
_NUMBERS = 9


DRAWN_AT = 37  # the column in which what is drawn beside the rows begins


@dataclass(frozen=True, slots=True)
class Row:
    """A row: what it is called, a second line in words, "" for none, and its share of what is drawn beside the rows."""

    name: str
    words: str = ""
    drawn: tuple[Run, ...] = ()


class Rows(ModalScreen[Answer | None], Generic[Answer]):
    """A list of rows with what is told of the marked one beneath. Enter takes the marked row, a number the row of that
    number, left and right turn its value; escape answers None."""

    CSS_PATH = DIALOG_STYLE
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "close", "close"),
        Binding("left", "turn(-1)", "less"),
        Binding("right", "turn(1)", "more"),
        *(Binding(str(k), f"number({k})", str(k), show=False) for k in range(1, _NUMBERS + 1)),
    ]

    def __init__(self, title: str, hint: str, marked: int = 0) -> None:
        super().__init__()
        self._title, self._hint, self._first = title, hint, marked

    def compose(self) -> ComposeResult:
        """The question, the rows, what is told, the keys."""
        with Vertical(classes="dialog"):
            yield Static(self._title, classes="dialog-title", markup=False)
            yield OptionList(*(Option(self._shown(row)) for row in self.rows()))
            yield Static(classes="about", markup=False)
            yield Static(self._hint, classes="dialog-hint", markup=False)

    def on_mount(self) -> None:
        """Begin at the row that is marked at first."""
        self.query_one(OptionList).highlighted = self._first
        self.refresh_rows()

    # What a question fills in

    def rows(self) -> Sequence[Row]:
        """The rows as they are now; their number stays."""
        raise NotImplementedError

    def numbered(self) -> int:
        """How many rows, from the first on, a number takes."""
        return len(self.rows())

    def about(self, index: int) -> str:
        """What is told of a row."""
        del index
        return ""

    def turned(self, index: int, by: int) -> None:
        """Turn the value of a row up or down."""

    def taken(self, index: int) -> None:
        """Take a row."""
        raise NotImplementedError

    # How it is shown

    @property
    def marked(self) -> int:
        """The marked row."""
        return self.query_one(OptionList).highlighted or 0

    def refresh_rows(self) -> None:
        """Show the rows as they are now."""
        shown = self.query_one(OptionList)
        for k, row in enumerate(self.rows()):
            shown.replace_option_prompt_at_index(k, self._shown(row))
        self.query_one(".about", Static).update(Hung((line, "") for line in self.about(self.marked).split("\n")))

    def on_option_list_option_highlighted(self) -> None:
        """Tell of the row that is marked now."""
        self.refresh_rows()

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        """Take the row that enter or a click chose."""
        self.taken(event.option_index)

    def action_number(self, number: int) -> None:
        """Take the row of a number."""
        if number <= self.numbered():
            self.query_one(OptionList).highlighted = number - 1
            self.taken(number - 1)

    def action_turn(self, by: int) -> None:
        """Turn the value of the marked row."""
        self.turned(self.marked, by)
        self.refresh_rows()

    def action_close(self) -> None:
        """Answer nothing."""
        self.dismiss(None)

    def _shown(self, row: Row) -> Hung | Text:
        if row.drawn:
            colours = self._colours()
            runs = ((run.text, colours.get(run.style, "")) for run in row.drawn)
            return Text.assemble((f"{row.name:<{DRAWN_AT}}", "bold"), *runs, no_wrap=True)
        words = [(f"  {row.words}", "not bold")] if row.words else []
        return Hung([(row.name, "bold"), *words])

    def _colours(self) -> dict[str, str]:
        """The colours of what is drawn; its shape says the same without them."""
        theme = self.app.current_theme
        return {
            "here": f"bold {theme.accent or ''}",
            "rung": theme.secondary or "",
            "line": "dim",
            "number": "not bold",
        }

"""A question laid over a screen that is a list of rows: some are chosen, some hold a value that left and right turn."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import ClassVar, Generic, TypeVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical
from textual.screen import ModalScreen
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from coach.screen.dialogs import DIALOG_STYLE
from coach.screen.hung import Hung
from coach.screen.widgets.drawing import Drawing

Answer = TypeVar("Answer")
_NUMBERS = 9


@dataclass(frozen=True, slots=True)
class Row:
    """A row: what it is called, and a second line in words, "" for none."""

    name: str
    words: str = ""


class Rows(ModalScreen[Answer | None], Generic[Answer]):
    """A list of rows with what is told of the marked one beneath, and room for a drawing beside it. Enter takes the
    marked row, a number the row of that number, left and right turn its value; escape answers None."""

    CSS_PATH = DIALOG_STYLE
    DEFAULT_CSS = """
    Rows .rows { height: auto; max-height: 16; }
    Rows .rows OptionList { width: 1fr; height: auto; }
    Rows .rows Drawing { width: 38; height: 100%; display: none; background: $surface; padding: 0 0 0 1; }
    Rows.-drawn .rows Drawing { display: block; }
    Rows .about { height: auto; max-height: 6; margin: 0 0 0 1; }
    """
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
        """The question, the rows, the drawing, what is told, the keys."""
        with Vertical(classes="dialog"):
            yield Static(self._title, classes="dialog-title", markup=False)
            with Horizontal(classes="rows"):
                yield OptionList(*(Option(_shown(row)) for row in self.rows()))
                yield Drawing()
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

    def about(self, index: int) -> str:
        """What is told of a row."""
        del index
        return ""

    def turned(self, index: int, by: int) -> None:
        """Turn the value of a row up or down."""

    def taken(self, index: int) -> None:
        """Take a row."""
        raise NotImplementedError

    def gone_to(self, index: int) -> None:
        """Another row is marked."""

    def drawn(self, index: int) -> None:
        """Draw beside the rows what belongs to one."""

    # How it is shown

    @property
    def marked(self) -> int:
        """The marked row."""
        return self.query_one(OptionList).highlighted or 0

    def refresh_rows(self) -> None:
        """Show the rows as they are now."""
        shown = self.query_one(OptionList)
        for k, row in enumerate(self.rows()):
            shown.replace_option_prompt_at_index(k, _shown(row))
        self._tell(self.marked)

    def _tell(self, index: int) -> None:
        about = self.query_one(".about", Static)
        about.update(Hung((line, "") for line in self.about(index).split("\n")))
        self.drawn(index)

    def on_option_list_option_highlighted(self, event: OptionList.OptionHighlighted) -> None:
        """Tell of the row that is marked now."""
        self.gone_to(event.option_index)
        self._tell(event.option_index)

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        """Take the row that enter or a click chose."""
        self.taken(event.option_index)

    def action_number(self, number: int) -> None:
        """Take the row of a number."""
        if number <= len(self.rows()):
            self.query_one(OptionList).highlighted = number - 1
            self.taken(number - 1)

    def action_turn(self, by: int) -> None:
        """Turn the value of the marked row."""
        self.turned(self.marked, by)
        self.refresh_rows()

    def action_close(self) -> None:
        """Answer nothing."""
        self.dismiss(None)


def _shown(row: Row) -> Hung:
    words = [(f"  {row.words}", "not bold")] if row.words else []
    return Hung([(row.name, "bold"), *words])

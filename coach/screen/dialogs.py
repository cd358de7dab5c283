"""Questions and texts laid over a screen: a line to write, a list to choose from, a page to read.

Text is only ever typed here, so that single keys work everywhere else.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical, VerticalScroll
from textual.screen import ModalScreen
from textual.widgets import Input, OptionList, Static
from textual.widgets.option_list import Option

from coach.screen.hung import Hung

DIALOG_STYLE = Path(__file__).with_name("dialogs.tcss")
_CLOSE: list[BindingType] = [Binding("escape", "close", "close")]


class Ask(ModalScreen[str | None]):
    """Asks for a line of text; escape answers None."""

    CSS_PATH = DIALOG_STYLE
    BINDINGS = _CLOSE

    def __init__(self, title: str, hint: str, value: str = "") -> None:
        super().__init__()
        self._title, self._hint, self._value = title, hint, value

    def compose(self) -> ComposeResult:
        """The question, the line, the hint."""
        with Vertical(classes="dialog"):
            yield Static(self._title, classes="dialog-title", markup=False)
            yield Input(self._value, select_on_focus=True)
            yield Static(self._hint, classes="dialog-hint", markup=False)

    def on_mount(self) -> None:
        """A steady cursor."""
        self.query_one(Input).cursor_blink = False

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Answer with what was written."""
        self.dismiss(event.value)

    def action_close(self) -> None:
        """Answer nothing."""
        self.dismiss(None)


@dataclass(frozen=True, slots=True)
class Choice:
    """Something to choose: what it is called, a second line in words, and what is answered."""

    name: str
    words: str
    value: str


class Choose(ModalScreen[str | None]):
    """Asks to choose from a list; escape answers None."""

    CSS_PATH = DIALOG_STYLE
    BINDINGS = _CLOSE

    def __init__(self, title: str, choices: Sequence[Choice], chosen: str = "", hint: str = "") -> None:
        super().__init__()
        self._title, self._choices, self._chosen, self._hint = title, choices, chosen, hint

    def compose(self) -> ComposeResult:
        """The question and the list."""
        with Vertical(classes="dialog"):
            yield Static(self._title, classes="dialog-title", markup=False)
            yield OptionList(*(Option(_choice_text(choice)) for choice in self._choices))
            yield Static(self._hint or "enter chooses, escape leaves it", classes="dialog-hint", markup=False)

    def on_mount(self) -> None:
        """Begin at what holds now."""
        values = [choice.value for choice in self._choices]
        self.query_one(OptionList).highlighted = values.index(self._chosen) if self._chosen in values else 0

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        """Answer with what was chosen."""
        self.dismiss(self._choices[event.option_index].value)

    def action_close(self) -> None:
        """Answer nothing."""
        self.dismiss(None)


class ChooseOrEdit(Choose):
    """A list of which an entry can be chosen, edited (e) or removed (delete): answers "VALUE", "edit:VALUE" or
    "remove:VALUE". `fixed` are the values that can only be chosen."""

    BINDINGS = [Binding("e", "answer('edit')", "edit"), Binding("delete", "answer('remove')", "remove")]

    def __init__(self, title: str, choices: Sequence[Choice], chosen: str, hint: str, fixed: Sequence[str]) -> None:
        super().__init__(title, choices, chosen, hint)
        self._fixed = fixed

    def action_answer(self, what: str) -> None:
        """Answer with what is to be done to the marked entry."""
        marked = self.query_one(OptionList).highlighted
        if marked is not None and self._choices[marked].value not in self._fixed:
            self.dismiss(f"{what}:{self._choices[marked].value}")


def _choice_text(choice: Choice) -> Hung:
    words = [(f"  {choice.words}", "not bold")] if choice.words else []
    return Hung([(choice.name, "bold"), *words])


class Read(ModalScreen[None]):
    """Shows a text to read; escape, enter or space closes it."""

    CSS_PATH = DIALOG_STYLE
    BINDINGS = [Binding("escape,enter,space,q", "close", "close")]

    def __init__(self, title: str, text: str) -> None:
        super().__init__()
        self._title, self._text = title, text

    def compose(self) -> ComposeResult:
        """The title and the text."""
        with Vertical(classes="dialog tall"):
            yield Static(self._title, classes="dialog-title", markup=False)
            with VerticalScroll():
                yield Static(Hung((line, "") for line in self._text.split("\n")), markup=False)
            yield Static("escape closes this; up and down scroll", classes="dialog-hint", markup=False)

    def action_close(self) -> None:
        """Close."""
        self.dismiss(None)


class AskKey(ModalScreen[str | None]):
    """Waits for one key and answers its name; escape answers None."""

    CSS_PATH = DIALOG_STYLE

    def __init__(self, what: str) -> None:
        super().__init__()
        self._what = what

    def compose(self) -> ComposeResult:
        """The request."""
        with Vertical(classes="dialog"):
            yield Static(f"Press the key for: {self._what}", classes="dialog-title", markup=False)
            yield Static("a pedal counts as a key; escape leaves it as it is", classes="dialog-hint", markup=False)

    def on_key(self, event) -> None:  # type: ignore[no-untyped-def]  # Textual's own event
        """Answer the key."""
        event.stop()
        event.prevent_default()
        self.dismiss(None if event.key == "escape" else event.key)

"""Picking a score: a line for a path or a `corpus:` name, and a tree of folders that shows scores only."""

from collections.abc import Iterable
from pathlib import Path

from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Vertical
from textual.screen import ModalScreen
from textual.widgets import DirectoryTree, Input, Static

from coach.screen.dialogs import DIALOG_STYLE

SUFFIXES = frozenset({".musicxml", ".mxl", ".xml", ".mid", ".midi", ".abc", ".krn", ".coach"})


class Scores(DirectoryTree):
    """Folders and scores; what begins with a dot is left out."""

    ICON_NODE = "+ "
    ICON_NODE_EXPANDED = "- "
    ICON_FILE = "  "

    def filter_paths(self, paths: Iterable[Path]) -> Iterable[Path]:
        """Only folders and files that may be scores or shares."""
        return [path for path in paths if not path.name.startswith(".") and _may_show(path)]


def _may_show(path: Path) -> bool:
    try:
        return path.is_dir() or path.suffix.lower() in SUFFIXES
    except OSError:
        return False  # a folder that may not be looked into


class PickFile(ModalScreen[str | None]):
    """Asks for a score; escape answers None."""

    CSS_PATH = DIALOG_STYLE
    BINDINGS = [Binding("escape", "close", "close"), Binding("tab", "app.focus_next", "next", show=False)]

    def __init__(self, folder: Path) -> None:
        super().__init__()
        self._folder = folder

    def compose(self) -> ComposeResult:
        """The line and the tree."""
        with Vertical(classes="dialog"):
            yield Static("Add a score", classes="dialog-title", markup=False)
            yield Input(placeholder="a path, or corpus:weber/concertino_clarinet")
            yield Scores(self._folder)
            hint = "enter adds it; tab goes between the line and the tree; escape leaves it"
            yield Static(hint, classes="dialog-hint", markup=False)

    def on_mount(self) -> None:
        """A steady cursor."""
        self.query_one(Input).cursor_blink = False

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Answer with what was written."""
        self.dismiss(event.value.strip() or None)

    def on_directory_tree_file_selected(self, event: DirectoryTree.FileSelected) -> None:
        """Answer with the file chosen."""
        self.dismiss(str(event.path))

    def action_close(self) -> None:
        """Answer nothing."""
        self.dismiss(None)

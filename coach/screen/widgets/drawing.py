"""A widget that shows a canvas drawn for its size."""

from collections.abc import Callable

from rich.segment import Segment
from textual.strip import Strip
from textual.widget import Widget

from coach.screen.view.canvas import Canvas

Draw = Callable[[int, int], Canvas]

_STYLES = ("clean", "slip", "here", "rung", "goal", "line", "number", "chosen-number")
_STATES = ("holds", "nearly", "needs-work", "unknown")


class Drawing(Widget):
    """Draws with a function of its size (columns, rows), and again when the size changes."""

    COMPONENT_CLASSES = {f"drawing--{name}" for name in (*_STYLES, *_STATES)}
    DEFAULT_CSS = """
    Drawing { background: $background; color: $foreground; }
    Drawing > .drawing--clean, Drawing > .drawing--holds { color: $success; text-style: bold; }
    Drawing > .drawing--slip, Drawing > .drawing--needs-work { color: $error; text-style: bold; }
    Drawing > .drawing--nearly { color: $warning; text-style: bold; }
    Drawing > .drawing--unknown { color: $foreground 60%; }
    Drawing > .drawing--here { color: $accent; text-style: bold; }
    Drawing > .drawing--rung, Drawing > .drawing--number { color: $foreground 75%; }
    Drawing > .drawing--goal { color: $accent; }
    Drawing > .drawing--line { color: $foreground 30%; }
    Drawing > .drawing--chosen-number { text-style: bold reverse; }
    """
    ALLOW_SELECT = False

    def __init__(self, id: str | None = None) -> None:  # noqa: A002  Textual's own name
        super().__init__(id=id)
        self._how: Draw | None = None
        self._canvas: Canvas | None = None

    def draw(self, how: Draw) -> None:
        """Show what this function draws."""
        self._how = how
        self._redraw()

    def on_resize(self) -> None:
        """Draw for the new size."""
        self._redraw()

    @property
    def text(self) -> str:
        """What is drawn, as plain text."""
        return self._canvas.text() if self._canvas else ""

    def render_line(self, y: int) -> Strip:
        """One row."""
        if self._canvas is None or y >= self._canvas.height:
            return Strip.blank(self.size.width, self.rich_style)
        style = {"": self.rich_style}
        pieces = []
        for run in self._canvas.runs(y):
            if run.style not in style:
                style[run.style] = self.get_component_rich_style(f"drawing--{run.style}")
            pieces.append(Segment(run.text, style[run.style]))
        return Strip(pieces, self._canvas.width)

    def _redraw(self) -> None:
        width, height = self.size
        self._canvas = self._how(width, height) if self._how and width and height else None
        self.refresh()

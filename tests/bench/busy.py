"""A Textual program that repaints as hard as it can, with something to be measured going on in a thread beside it."""

import threading
from collections.abc import Callable
from time import perf_counter

from textual.app import App, ComposeResult
from textual.coordinate import Coordinate
from textual.events import Key
from textual.widgets import DataTable, Static

ROWS, COLUMNS = 40, 8


class Busy(App[None]):
    """Changes a table and a line of markup and asks for the next repaint as soon as one is done; a calm one changes the
    line 30 times a second."""

    def __init__(
        self, during: "Callable[[Busy], None]", pressed: Callable[[str], None] | None = None, calm: bool = False
    ) -> None:
        super().__init__()
        self._calm = calm
        self._during = during
        self._pressed = pressed
        self.repaints = 0
        self.failure: BaseException | None = None

    def compose(self) -> ComposeResult:
        yield Static("", id="line")
        yield DataTable()

    def on_mount(self) -> None:
        table = self.query_one(DataTable)
        table.add_columns(*(f"column {number}" for number in range(COLUMNS)))
        for row in range(ROWS):
            table.add_row(*(f"{row}.{number}" for number in range(COLUMNS)))
        threading.Thread(target=self._beside, daemon=True).start()
        if self._calm:
            self.set_interval(1 / 30, self._write_line)
        else:
            self.call_after_refresh(self._repaint)

    def _beside(self) -> None:
        try:
            self._during(self)
        except BaseException as error:
            self.failure = error
        self.call_from_thread(self.exit)

    def _write_line(self) -> None:
        self.repaints += 1
        self.query_one("#line", Static).update(f"[b]{self.repaints}[/b] [red]{perf_counter():.3f}[/red] " * 6)

    def _repaint(self) -> None:
        table = self.query_one(DataTable)
        table.move_cursor(row=self.repaints % ROWS)
        table.update_cell_at(Coordinate(self.repaints % ROWS, 1), f"[bold]{self.repaints}[/]")
        self._write_line()
        self.refresh()
        self.call_after_refresh(self._repaint)

    def on_key(self, event: Key) -> None:
        if self._pressed is not None:
            self._pressed(event.key)


def busily(
    during: Callable[[Busy], None], pressed: Callable[[str], None] | None = None, *, calm: bool = False
) -> float:
    """Run `during` in a thread of a busy (or calm) program; the repaints a second. Raises what it raised."""
    app = Busy(during, pressed, calm)
    begun_s = perf_counter()
    app.run(headless=True, size=(120, 40))
    if app.failure is not None:
        raise app.failure
    return app.repaints / (perf_counter() - begun_s)


def table(title: str, rows: list[tuple[str, str, str, str]]) -> None:
    """Print a small table: measure, ours, reference, ratio."""
    lines = [("measure", "ours", "reference", "ratio"), *rows]
    widths = [max(len(line[column]) for line in lines) for column in range(4)]
    print(title)
    for line in lines:
        print(
            "  ".join(
                cell.ljust(width) if not i else cell.rjust(width)
                for i, (cell, width) in enumerate(zip(line, widths, strict=True))
            )
        )

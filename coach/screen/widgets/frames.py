"""Frames: the pictures that lie on a view of music, one a system."""

from collections.abc import Callable, Sequence
from io import BytesIO
from typing import Any

from textual.widget import Widget

from coach.music.engraved import Picture


class Frames:
    """Pictures laid on a widget. One that is there already is not sent to the terminal again."""

    def __init__(self, view: Widget, make: Callable[[], Widget]) -> None:
        self._view = view
        self._make = make
        self._frames: list[Any] = []
        self._held: list[Picture | None] = []

    def lay(self, placed: Sequence[tuple[int, Picture]]) -> None:
        """Show pictures, each from a row of the widget on, and no others."""
        while len(self._frames) < len(placed):
            self._add()
        for k, frame in enumerate(self._frames):
            top, picture = placed[k] if k < len(placed) else (0, None)
            frame.display = picture is not None
            if picture is None:
                continue
            frame.styles.offset = (0, top)
            if picture is not self._held[k]:
                frame.styles.width, frame.styles.height = picture.columns, picture.rows
                frame.image = BytesIO(picture.png)
                self._held[k] = picture

    def _add(self) -> None:
        frame = self._make()
        frame.styles.position = "absolute"
        self._frames.append(frame)
        self._held.append(None)
        self._view.mount(frame)

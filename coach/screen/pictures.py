"""Pictures of music in terminals that show them: found before the app starts, shown by textual-image's widgets."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from textual.color import Color
from textual.widget import Widget

if TYPE_CHECKING:
    from textual.theme import Theme

    from coach.lesson.pictures import Shows
    from coach.music.engraved import Paint


@dataclass(frozen=True, slots=True)
class Pictures:
    """How pictures are shown: `make` makes a widget whose `image` takes a PNG as a stream, `cell` is the size of the
    terminal's cells in pixels."""

    make: Callable[[], Widget]
    cell: tuple[int, int]

    def paint(self, theme: "Theme") -> "Paint":
        """The paint in the colours of a theme."""
        from coach.music.engraved import Paint

        colours = theme.to_color_system().generate()

        ink, paper, pencil = (Color.parse(colours[n]).hex6 for n in ("foreground", "background", "secondary"))
        return Paint(*self.cell, ink, paper, pencil)


def pictures(shows: "Shows") -> Pictures | None:
    """The way to show pictures in a terminal, None if it shows none."""
    if not shows.kind:
        return None
    from textual_image.widget import SixelImage, TGPImage

    return Pictures(SixelImage if shows.kind == "sixel" else TGPImage, shows.cell)

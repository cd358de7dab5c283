"""Scores drawn for the tests, a system at a time."""

from functools import cache

from coach.files.engraving.engraver import Engraver
from coach.files.engraving.mei import part_mei
from coach.files.score import written_score
from coach.music.engraved import EngravedSystem
from coach.music.piece import Piece
from coach.screen.view.dots.page import draw_engraved, extent
from coach.screen.view.glyphs import UNICODE
from coach.screen.view.page import Look

DEMO = "content/pieces/demo.musicxml"


@cache
def engraved(source: str, columns: int, part: str | None = None) -> tuple[Piece, tuple[EngravedSystem, ...]]:
    """A part and all its systems, for a terminal of so many columns."""
    score = written_score(source, part=part)
    layout = Engraver(score.piece, part_mei(score)).lay(None, (2 * columns - 1) / 4)
    return score.piece, tuple(layout.system(k) for k in range(len(layout.systems)))


def drawn(piece: Piece, system: EngravedSystem, columns: int) -> str:
    """A system as the characters that stand on the screen."""
    size = (columns, extent(system).rows)
    return draw_engraved(piece, (system,), Look(-1), size, UNICODE).canvas.text()

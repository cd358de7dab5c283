"""What is decided of the piece in hand, computed once for the marks as they are: the ways to play its ornaments, what
the reference plays, how loud every note is."""

from collections.abc import Iterable, Mapping
from functools import cached_property
from typing import TYPE_CHECKING

from coach.lesson.desk import Desk
from coach.lesson.preparing import choices_of, interpretation_of, ways_of
from coach.music.note import Note
from coach.prepare.dynamics.line import NoteLevel, dynamic_line
from coach.prepare.mark import Ornament
from coach.screen.view.band import Band, Held

if TYPE_CHECKING:
    from coach.prepare.interpretation import Interpretation
    from coach.prepare.ornaments.realisation import Realisation
    from coach.screen.session import Opened

LEVEL = "level"
LEAST_RANGE_DB = 12.0  # a part whose dynamics hardly change is not drawn as if they did


class Prepared:
    """The decisions of a piece with its marks as they are."""

    def __init__(self, desk: Desk, opened: "Opened") -> None:
        self._desk, self._opened = desk, opened
        self._prep = opened.pencil.prep
        self._asked = opened.set_piece
        self._settings = desk.settings

    def holds(self, desk: Desk, opened: "Opened") -> bool:
        """Whether this is still what is decided."""
        same = self._prep is opened.pencil.prep and self._asked == opened.set_piece
        return self._opened is opened and same and self._settings is desk.settings

    @cached_property
    def ways(self) -> "Mapping[str, tuple[Realisation, ...]]":
        """The ways to play every ornament by the id of its main note, the style's own first."""
        asked = self._asked
        style = choices_of(self._prep).style
        return ways_of(self._desk, self._opened.piece, style, tempo=asked.tempo, set_piece=asked)

    @cached_property
    def interpretation(self) -> "Interpretation":
        """What the reference plays."""
        asked = self._asked
        return interpretation_of(self._desk, self._opened.piece, self._prep, tempo=asked.tempo, set_piece=asked)

    @cached_property
    def levels(self) -> Mapping[str, NoteLevel]:
        """How loud the reference plays every note, by its id."""
        decided = self.interpretation
        return {one.at: one for one in dynamic_line(self._opened.piece.part, decided.dynamics, decided.phrases)}

    @cached_property
    def bands(self) -> tuple[Band, ...]:
        """What is shown under the staff; none where nothing is known."""
        return (level_band(self._opened.piece.part.notes(), self.levels),) if self.levels else ()

    def main_note(self, note_id: str) -> str:
        """The note whose ornament a note is part of: itself, that of a grace, the first of a tied chain; a grace that
        closes a trill belongs to the trill. "" where there is no ornament."""
        before = start = ""
        for note in self._opened.piece.part.notes():
            if note.tie not in ("continue", "stop"):
                before, start = start, note.id
            graces = [grace.id for grace in note.graces]
            if note_id in (note.id, *graces, *(grace.id for grace in note.after_graces)):
                return next(filter(self._ornamented, (start, before if note_id in graces else "")), "")
        return ""

    def _ornamented(self, main: str) -> bool:
        return main in self.ways or main in self.interpretation.ornaments

    def ornament(self, main: str) -> Ornament | None:
        """What is played of the ornament of a main note, None for its plain form."""
        return self.interpretation.ornaments.get(main)


def level_band(notes: Iterable[Note], levels: Mapping[str, NoteLevel]) -> Band:
    """The levels of notes as a band: the softest of the part at the bottom, the loudest level that there is on top."""
    lowest = min(min(one.level_db, one.end_level_db) for one in levels.values())
    span_db = max(-lowest, LEAST_RANGE_DB)

    def held(one: NoteLevel) -> Held:
        return Held(1 + one.level_db / span_db, 1 + one.end_level_db / span_db, one.colour)

    rests: dict[str, Held | None] = {note.id: None for note in notes if note.is_rest}
    return Band(LEVEL, rests | {name: held(one) for name, one in levels.items()})

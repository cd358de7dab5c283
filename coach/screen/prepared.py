"""What is decided of the piece in hand, computed once for the marks as they are: the ways to play its ornaments, what
the reference plays, how loud every note is."""

from collections.abc import Iterable, Mapping
from fractions import Fraction
from typing import TYPE_CHECKING

from coach.lesson.breathing import Breaths, air_of, breaths_of, with_breaths
from coach.lesson.desk import Desk
from coach.lesson.preparing import Ways, Wished, choices_of, ways_of, wished, with_suggestions
from coach.music.note import Note
from coach.prepare.dynamics.line import NoteLevel, dynamic_line
from coach.prepare.interpretation import Interpretation, interpretation
from coach.prepare.mark import Ornament
from coach.prepare.place import find_place
from coach.screen.view.band import Band, Held

if TYPE_CHECKING:
    from coach.screen.session import Opened

LEVEL = "level"
_NO_AIR = ("fingering", "swap", "reminder", "comment")  # kinds of marks that no breath depends on
LEAST_RANGE_DB = 12.0  # a part whose dynamics hardly change is not drawn as if they did


class Prepared:
    """The decisions of a piece with its marks as they are: `ways` to play every ornament by the id of its main note,
    the style's own first; the `interpretation` that the reference plays, but for the breaths, which are planned for the
    tempo in hand; the `levels` of its notes by id; and the `bands` that show them. What a mark leaves as it was is
    taken over from those `before`."""

    def __init__(self, desk: Desk, opened: "Opened", before: "Prepared | None" = None) -> None:
        self._desk, self._opened, self._settings = desk, opened, desk.settings
        self._prep, self._asked = opened.pencil.prep, opened.set_piece
        self._choices = choices_of(self._prep)
        self._loud = [mark for mark in self._prep.marks if mark.kind in ("dynamic", "phrase")]
        known = before if before is not None and before._same_piece(desk, opened) else None
        styled = known is not None and known._choices.style == self._choices.style
        self.ways: Ways = known.ways if known is not None and styled else self._ways()
        as_loud = known is not None and known._loud == self._loud
        self._shaped: tuple[Wished, ...] = known._shaped if known is not None and as_loud else self._wished("dynamic")
        self.interpretation = self._decided()
        self.levels: Mapping[str, NoteLevel] = known.levels if known is not None and as_loud else self._levels()
        self._airy = [mark for mark in self._prep.marks if mark.kind not in _NO_AIR]
        as_airy = known is not None and styled and known._airy == self._airy
        self._plans: dict[float, Breaths] = known._plans if known is not None and as_airy else {}
        self.bands = (level_band(opened.piece.part.notes(), self.levels),) if self.levels else ()

    def holds(self, desk: Desk, opened: "Opened") -> bool:
        """Whether this is still what is decided."""
        return self._prep is opened.pencil.prep and self._same_piece(desk, opened)

    def _same_piece(self, desk: Desk, opened: "Opened") -> bool:
        return self._opened is opened and self._asked == opened.set_piece and self._settings is desk.settings

    def beat_q(self, note_id: str) -> Fraction:
        """Length of a beat in quarters where a note stands."""
        place = find_place(self._opened.piece.part, note_id)
        return place.measure.beat_q if place is not None else Fraction(1)

    def breaths(self, share: float) -> Breaths:
        """Where to breathe at a share of the performance tempo (to the nearest per cent), planned when first asked for.
        Raises RequestError for an air of the settings that is nobody's."""
        near = _near(share)
        if near not in self._plans:
            known = next(iter(self._plans.values()), None)
            air, tempo = air_of(self._settings.air), self._asked.tempo
            self._plans[near] = breaths_of(
                self._opened.piece, self._prep, self.interpretation, air, tempo=tempo, share=near, known=known
            )
        return self._plans[near]

    def known_breaths(self, share: float) -> Breaths | None:
        """Those at a share of the performance tempo, if they are planned."""
        return self._plans.get(_near(share))

    def sounding(self, share: float) -> Interpretation:
        """What the reference plays at a share of the performance tempo; it breathes where that tempo asks for it."""
        return with_breaths(self.interpretation, self.breaths(share))

    def _ways(self) -> Ways:
        asked = self._asked
        return ways_of(self._desk, self._opened.piece, self._choices.style, tempo=asked.tempo, set_piece=asked)

    def _wished(self, kind: str) -> tuple[Wished, ...]:
        asked, piece = self._asked, self._opened.piece
        return wished(
            self._desk, piece, self._prep, self._choices, (kind,), tempo=asked.tempo, set_piece=asked, ways=self.ways
        )

    def _decided(self) -> Interpretation:
        """As `coach.lesson.preparing.interpretation_of`, from what is known, with the marked breaths alone."""
        found = (*self._wished("ornament"), *self._shaped)
        return interpretation(with_suggestions(self._prep, found, ("ornament", "dynamic"), self._choices).marks)

    def _levels(self) -> Mapping[str, NoteLevel]:
        decided = self.interpretation
        return {one.at: one for one in dynamic_line(self._opened.piece.part, decided.dynamics, decided.phrases)}

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

    def written(self, main: str) -> bool:
        """Whether a mark writes out the ornament of a main note."""
        return any(mark.kind == "ornament" and not mark.struck for mark in self._prep.at(main))


def _near(share: float) -> float:
    return max(round(share, 2), 0.01)


def level_band(notes: Iterable[Note], levels: Mapping[str, NoteLevel]) -> Band:
    """The levels of notes as a band: the softest of the part at the bottom, the loudest level that there is on top."""
    lowest = min(min(one.level_db, one.end_level_db) for one in levels.values())
    span_db = max(-lowest, LEAST_RANGE_DB)

    def held(one: NoteLevel) -> Held:
        return Held(1 + one.level_db / span_db, 1 + one.end_level_db / span_db, one.colour)

    rests: dict[str, Held | None] = {note.id: None for note in notes if note.is_rest}
    return Band(LEVEL, rests | {name: held(one) for name, one in levels.items()})

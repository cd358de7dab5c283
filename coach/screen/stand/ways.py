"""The ways to play an ornament: chosen by a number and heard at once; a trill's start, rates, growth and end turned,
with its curve drawn."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import ClassVar

from textual.binding import Binding, BindingType

from coach.errors import RequestError
from coach.music.piece import Piece, Span
from coach.music.pitch import Pitch
from coach.prepare.mark import Ornament
from coach.prepare.ornaments.counted import counted
from coach.prepare.ornaments.realisation import Realisation
from coach.prepare.ornaments.shake import shaken
from coach.prepare.place import find_place
from coach.screen.rows import Row, Rows
from coach.screen.session import Session
from coach.screen.stand.shaking import LINES, Shaking, number, shaken_anew, shaking
from coach.screen.view.canvas import Run
from coach.screen.view.glyphs import Glyphs
from coach.screen.view.shake_curve import draw_shake
from coach.screen.view.system import metre_at
from coach.screen.view.words import signed

TYPE_NOTES = "type notes"
_MOST_MEASURES = 8  # that a tied note with an ornament may reach through
_DRAWN = 30  # columns of a trill's curve
_GOAL_S = Fraction(2)  # notes a second that an even trill is slowed to at first, when it is to grow


@dataclass(frozen=True, slots=True)
class Place:
    """What a way to play an ornament is told by: the main note, how many quarters pass in a second at the performance
    tempo, the beat in quarters, and the beats by their onset from the start of the main note's measure."""

    main: Pitch
    second_q: Fraction
    beat_q: Fraction
    beats: tuple[tuple[Fraction, str], ...]

    def beat_at(self, at_q: Fraction) -> str:
        """The number of the beat at a moment, "" between beats."""
        return dict(self.beats).get(at_q, "")


@dataclass(frozen=True, slots=True)
class Chosen:
    """What was chosen, with its reason; no content: notes are to be typed."""

    content: Ornament | None
    because: str = ""


class WaysScreen(Rows[Chosen]):
    """Asks how an ornament is to be played. `hear` plays a way without writing it."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("space", "hear", "hear")]

    def __init__(
        self,
        title: str,
        ways: Sequence[Realisation],
        played: Ornament | None,
        place: Place,
        glyphs: Glyphs,
        hear: Callable[[Ornament], None],
    ) -> None:
        known = [way.content for way in ways]
        own = [] if played is None or played in known else [Realisation(played, "as it is now", "")]
        self._ways = (*ways, *own)
        self._played, self._place, self._glyphs, self._hear = played, place, glyphs, hear
        here = next((k for k, way in enumerate(self._ways) if way.content == played), 0)
        self._base = self._ways[here].content if self._ways[here].content.shake else self._first_shake()
        self._shaking = self._begun(self._base) if self._base is not None else None
        turn = "; left and right turn a line" if self._shaking is not None else ""
        super().__init__(title, f"enter or a number takes it; space plays it{turn}", here)

    def rows(self) -> Sequence[Row]:
        """The ways, the lines of a trill, typing."""
        return tuple(self._rows())

    def _rows(self) -> Iterator[Row]:
        compact = self._shaking is not None
        for k, way in enumerate(self._ways):
            sign = self._glyphs.clean if way.content == self._played else " "
            words = "" if compact else signed(counted(way.content, self._place.beat_q), self._glyphs)
            yield Row(f"{k + 1} {sign} {way.name}", words and f"  {words}")
        last = f"{' ' if compact else self._last + 1}   {TYPE_NOTES}"
        values = self._values()
        lines = [f"{name:>10}: {signed(value, self._glyphs)}" for name, value in zip(LINES, values, strict=False)]
        drawn = self._drawn(len(lines) + 1) if lines else ((),)
        yield from (Row(name, "", runs) for name, runs in zip((*lines, last), drawn, strict=True))

    def _values(self) -> tuple[str, ...]:
        """The lines of the trill that the marked row would write."""
        marked = self.marked if self.is_mounted else self._first
        way = self._ways[marked].content if marked < len(self._ways) else None
        shown = self._begun(way) if way is not None and self._shaking is not None else None
        shown = shown or self._shaking
        return shown.values() if shown is not None else ()

    def _drawn(self, rows: int) -> Sequence[tuple[Run, ...]]:
        """The curve of the trill that the marked row would write, a row at a time."""
        content = self._content(self.marked) if self.is_mounted else self._ways[self._first].content
        shake = content.shake if content is not None else None
        if shake is None:
            return ((),) * rows
        place = self._place
        end_q = shake.onset_q + shake.length_q
        beats = [(at_q, name) for at_q, name in place.beats if shake.onset_q <= at_q <= end_q]
        notes = shaken(place.main, shake)
        canvas = draw_shake(shake, notes, beats, place.second_q, (_DRAWN, rows), self._glyphs)
        return [canvas.runs(row) for row in range(rows)]

    @property
    def _last(self) -> int:
        """The row of typing."""
        return len(self._ways) + (len(LINES) if self._shaking is not None else 0)

    def _line(self, index: int) -> int | None:
        """The line of the trill in a row."""
        line = index - len(self._ways)
        return line if self._shaking is not None and 0 <= line < len(LINES) else None

    def numbered(self) -> int:
        """The ways, and typing where it follows them."""
        return len(self._ways) + (self._shaking is None)

    def about(self, index: int) -> str:
        """How it is counted, what it comes to, and its reason."""
        content = self._content(index)
        if content is None:
            return "notes and their lengths in your own writing"
        told = [self._comes_to(content)]
        if self._shaking is not None:
            told.insert(0, signed(counted(content, self._place.beat_q), self._glyphs))
        if index < len(self._ways):
            told.append(self._ways[index].because)
        return "\n".join(filter(None, told))

    def _comes_to(self, content: Ornament) -> str:
        """A trill in a sentence: "32 notes, 2 to 9 a second, lands on beat 1"."""
        shake, place = content.shake, self._place
        if shake is None:
            return ""
        first, last = (number(rate * place.second_q) for rate in (shake.first, shake.last))
        rates = first if first == last else f"{first} to {last}"
        beat = place.beat_at(shake.onset_q + shake.length_q)
        lands = f", lands on beat {beat}" if beat else ""
        return f"{len(shaken(place.main, shake))} notes, {rates} a second{lands}"

    def turned(self, index: int, by: int) -> None:
        """Turn a line of the trill."""
        line = self._line(index)
        if line is not None and self._shaking is not None:
            self._shaking = self._shaking.turned(line, by)

    def taken(self, index: int) -> None:
        """Take a way, or the trill as it was turned."""
        because = self._ways[index].because if index < len(self._ways) else ""
        self.dismiss(Chosen(self._content(index), because))

    def action_hear(self) -> None:
        """Play the marked way."""
        content = self._content(self.marked)
        if content is not None:
            self._hear(content)

    def _content(self, index: int) -> Ornament | None:
        """What a row would write, None for typing."""
        if index < len(self._ways):
            return self._ways[index].content
        if self._line(index) is None or self._shaking is None or self._base is None:
            return None
        return shaken_anew(self._base, self._shaking, [at_q for at_q, _ in self._place.beats])

    def _first_shake(self) -> Ornament | None:
        return next((way.content for way in self._ways if way.content.shake is not None), None)

    def _begun(self, base: Ornament) -> Shaking | None:
        if base.shake is None:
            return None
        place = self._place
        others = [way.content.shake for way in self._ways if way.content.shake is not None]
        slow = next((one.first for one in others if one.curve != "even"), _GOAL_S / place.second_q)
        return shaking(place.main, base.shake, others, place.second_q, place.beat_q, slow)


def place_of(session: Session, piece: Piece, main: str) -> Place:
    """What an ornament's main note is told by. Raises RequestError if it is not in the score."""
    found = find_place(piece.part, main)
    if found is None or found.pitch is None:
        raise RequestError("The note is not in the score any more; step to another.")
    index = piece.measure_index(found.measure.id)
    tempo, metre = session.tempo_at(index), metre_at(piece, index)
    beat_q = metre.beat_q if metre is not None else Fraction(1)
    second_q = Fraction(tempo.per_minute) * tempo.beat.length_q / 60
    return Place(found.pitch, second_q, beat_q, tuple(_beats(piece, index)))


def _beats(piece: Piece, index: int) -> Iterator[tuple[Fraction, str]]:
    """The beats from a measure on, as far as an ornament can reach, by their onset from its start."""
    measures = piece.part.measures
    start_q = measures[index].onset_q
    for k in range(index, min(index + _MOST_MEASURES, len(measures))):
        measure, metre = measures[k], metre_at(piece, k)
        missing = max(metre.length_q - measure.length_q, Fraction(0)) if metre and measure.pickup else Fraction(0)
        for beat, at_q in enumerate(metre.beat_onsets_q() if metre else (), 1):
            if 0 <= at_q - missing < measure.length_q:
                yield measure.onset_q + at_q - missing - start_q, str(beat)
    if index + _MOST_MEASURES >= len(measures):
        yield piece.part.end_q - start_q, ""


def span_of(piece: Piece, main: str, content: Ornament) -> Span:
    """The measures in which an ornament sounds, and the one after where it ends on a barline."""
    found = find_place(piece.part, main)
    if found is None:
        raise RequestError("The note is not in the score any more; step to another.")
    index, measures = piece.measure_index(found.measure.id), piece.part.measures
    start_q = measures[index].onset_q
    first_q = start_q + min((note.onset_q for note in content.notes), default=Fraction(0))
    end_q = start_q + max((note.onset_q + note.length_q for note in content.notes), default=Fraction(0))
    first = next((k for k in range(index, -1, -1) if measures[k].onset_q <= first_q), 0)
    last = next((k for k in range(index, len(measures)) if measures[k].end_q > end_q), len(measures) - 1)
    return Span(first, max(first, last))

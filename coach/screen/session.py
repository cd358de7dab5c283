"""What the screens share: the piece in hand, the measure and range chosen, the tempo, what plays. No widget in it."""

import sys
from collections.abc import Callable
from dataclasses import dataclass, replace
from time import monotonic
from typing import TYPE_CHECKING

from coach.config import ClickSettings
from coach.errors import RequestError
from coach.lesson.desk import Desk

if TYPE_CHECKING:  # the first paint needs no score
    from coach.lesson.breathing import Breaths
    from coach.lesson.engraving import Copy
    from coach.lesson.marking import Pencil
    from coach.lesson.playing import Take
    from coach.music.piece import Piece, Span
    from coach.music.tempo import Tempo
    from coach.practice.set_piece import SetPiece
    from coach.practice.spot import Spot
    from coach.prepare.fingering import Hands
    from coach.prepare.mark import Mark, Ornament
    from coach.prepare.prep import Prep
    from coach.screen.prepared import Prepared
    from coach.screen.view.band import Band
    from coach.screen.view.breathing import BreathSign
    from coach.screen.view.glyphs import Glyphs

# What may stand under the staff, in the order in which a key turns it.
BANDS: tuple[tuple[str, ...], ...] = (("level", "air"), (), ("level",), ("air",))
SLOWEST, FASTEST = 10.0, 400.0  # beats per minute that can be asked for


@dataclass(slots=True)
class Opened:
    """A piece as it lies on the stand, with the pencil that holds its marks."""

    set_piece: "SetPiece"
    piece: "Piece"
    cut: "Span"
    pencil: "Pencil"
    prepared: "Prepared | None" = None  # what was decided when it was opened

    @property
    def faults(self) -> tuple[str, ...]:
        """What was wrong with its marks when they were read, a sentence each."""
        return self.pencil.faults


def read_opened(desk: Desk, set_piece: "SetPiece") -> Opened:
    """Read a piece and its marks; may take a while. Raises ScoreError, RequestError."""
    from coach.lesson.marking import open_pencil
    from coach.lesson.stand import cut, open_piece
    from coach.screen.prepared import Prepared

    piece = open_piece(desk, set_piece)
    opened = Opened(set_piece, piece, cut(set_piece, piece), open_pencil(desk, set_piece, piece))
    opened.prepared = Prepared(desk, opened)
    return opened


class Session:
    """The state of one sitting. Screens read it and call its methods; it never touches a widget.

    `share` is the tempo in hand as a share of the performance tempo, so that it holds where the piece changes tempo.
    """

    def __init__(self, desk: Desk, glyphs: "Glyphs | None" = None) -> None:
        self.desk = desk
        self._glyphs = glyphs
        self.opened: Opened | None = None
        self.chosen = 0
        self.range: Span | None = None
        self.loop = False
        self.others = False
        self.share = 1.0
        self.spot: Spot | None = None
        self.told_notices: set[str] = set()
        self.pointed = ""  # the note that the pencil was put down at
        self.hands: tuple[object, Hands] | None = None  # what the fingerings were planned from, and the plan
        self.hands_shown = False  # whether the picture of the fingering stands beside the music
        self.bands_shown = BANDS[0]  # what of every note stands under the staff
        self.planning = False  # whether breaths are being planned
        self.unplanned: object = None  # the decisions for which no breaths could be planned
        self.told_troubles: tuple[str, ...] = ()  # what was last told not to work
        self.clock: Callable[[], float] = monotonic  # seconds, for what is measured
        self._breathed: tuple[Opened, Breaths] | None = None
        self.plain = False  # whether what is played is the page as printed
        self._copied: tuple[Prep, Copy] | None = None

    def take_up(self, opened: Opened) -> None:
        """Put a piece in hand, at the start of its cut and at its performance tempo."""
        self.opened = opened
        self.pointed = ""
        self._copied = None
        self.chosen = opened.cut.first
        self.range = None
        self.loop = False
        self.spot = None
        self.share = 1.0

    def take_changes(self, opened: Opened) -> None:
        """Take what is now asked of the piece in hand; one stays where one is, at the same per cent, and changes of
        its marks can still be undone."""
        if self.opened is not None and self.opened.piece.score_hash == opened.piece.score_hash:
            opened.pencil = self.opened.pencil
        self.opened = opened
        self._copied = None

    def put_away(self) -> None:
        """Have nothing in hand."""
        self.opened = self.range = self.spot = None
        self.chosen, self.loop = 0, False

    @property
    def glyphs(self) -> "Glyphs":
        """The characters that the terminal can show."""
        if self._glyphs is None:
            from coach.screen.view.glyphs import glyphs_for

            self._glyphs = glyphs_for(sys.__stdout__.encoding if sys.__stdout__ else None)
        return self._glyphs

    @property
    def click(self) -> ClickSettings:
        """The click as it is set."""
        return self.desk.settings.click

    def span(self) -> "Span":
        """What would be played now: the range if there is one, the measure if it is looped, else on to the end of the
        cut (of the piece, from a measure behind the cut)."""
        from coach.music.piece import Span

        if self.range is not None:
            return self.range
        if self.loop or self.opened is None:
            return Span(self.chosen, self.chosen)
        end = self.opened.cut.last if self.chosen <= self.opened.cut.last else self.last_measure
        return Span(self.chosen, end)

    def work(self) -> "Span":
        """What a spot would be made of: the range, or the chosen measure."""
        from coach.music.piece import Span

        return self.range or Span(self.chosen, self.chosen)

    @property
    def last_measure(self) -> int:
        """Index of the piece's last measure."""
        return len(self.opened.piece.part.measures) - 1 if self.opened else 0

    def step(self, by: int) -> bool:
        """Choose another measure; tells whether it changed."""
        return self.choose(self.chosen + by)

    def choose(self, index: int) -> bool:
        """Choose a measure by index, kept inside the piece; tells whether it changed."""
        index = min(max(index, 0), self.last_measure)
        changed = index != self.chosen
        self.chosen = index
        return changed

    def begin_range(self) -> None:
        """The range begins at the chosen measure; it ends there too unless its end lies later."""
        from coach.music.piece import Span

        last = self.range.last if self.range and self.range.last >= self.chosen else self.chosen
        self.range = Span(self.chosen, last)

    def end_range(self) -> None:
        """The range ends at the chosen measure; it begins there too unless its beginning lies earlier."""
        from coach.music.piece import Span

        first = self.range.first if self.range and self.range.first <= self.chosen else self.chosen
        self.range = Span(first, self.chosen)

    def tempo_at(self, index: int) -> "Tempo":
        """The performance tempo in a measure, in the beat unit printed there."""
        from coach.lesson.playing import stretch_tempo
        from coach.music.piece import Span

        opened = self._opened()
        return stretch_tempo(opened.piece, opened.set_piece.tempo, Span(index, index))

    def per_minute_at(self, index: int) -> float:
        """The tempo in hand in a measure, in the beat unit printed there."""
        return round(self.share * float(self.tempo_at(index).per_minute), 3)

    def set_per_minute(self, per_minute: float, index: int) -> None:
        """Choose a tempo by its number in a measure, kept within what can be played."""
        self.share = min(max(per_minute, SLOWEST), FASTEST) / float(self.tempo_at(index).per_minute)

    def notch(self, by: int, index: int) -> float:
        """Move the tempo to the next mark of the metronome up or down, or on in its last step beyond either end."""
        from coach.music.tempo import notch_down, notch_up

        now = self.per_minute_at(index)
        moved: float = notch_up(now) if by > 0 else notch_down(now)
        if (moved - now) * by <= 0:
            moved = now + (8 if by > 0 else -2)
        self.set_per_minute(moved, index)
        return self.per_minute_at(index)

    def take(self) -> "Take":
        """What the Stand would play now: as it is decided, or as printed."""
        from coach.lesson.playing import Take

        opened, span = self._opened(), self.span()
        return Take(
            opened.piece,
            span,
            opened.set_piece.tempo,
            self.per_minute_at(span.first),
            self.click,
            loop=self.loop,
            rest_measures=self.desk.settings.loop_rest,
            others=self.others,
            repeats=self.desk.settings.follow_repeats and not self.loop,
            interpretation=None if self.plain else self.prepared.sounding(self.share),
        )

    def take_of(self, span: "Span", ornament: "tuple[str, Ornament] | None" = None) -> "Take":
        """A few measures once, at the tempo in hand, without a count-in; with an ornament (main note, what) in place of
        the one that is decided."""
        take = self.take()
        decided = self.prepared.sounding(self.share)
        if ornament is not None:
            decided = replace(decided, ornaments={**decided.ornaments, ornament[0]: ornament[1]})
        return replace(
            take,
            span=span,
            per_minute=self.per_minute_at(span.first),
            click=replace(self.click, count_in=0),
            loop=False,
            repeats=False,
            interpretation=decided,
        )

    def toggle_click(self) -> None:
        """Click on or off. Raises SettingsError if that cannot be written; it holds all the same."""
        settings = self.desk.settings
        self.desk.change(replace(settings, click=replace(settings.click, on=not settings.click.on)))

    def measure_name(self, index: int) -> str:
        """The printed number of a measure."""
        measure = self._opened().piece.part.measures[index]
        return measure.number or measure.id

    def measure_id(self, index: int) -> str:
        """The id of a measure."""
        return self._opened().piece.part.measures[index].id

    def span_words(self, span: "Span") -> str:
        """A stretch in words: "measure 5", "measures 5-6"."""
        first, last = self.measure_name(span.first), self.measure_name(span.last)
        return f"measure {first}" if span.first == span.last else f"measures {first}-{last}"

    @property
    def copy(self) -> "Copy | None":
        """What is engraved of the piece in hand, with its marks."""
        opened = self.opened
        if opened is None or self.desk.settings.music == "characters":
            return None
        prep = opened.pencil.prep
        if self._copied is None or self._copied[0] is not prep:
            from coach.lesson.showing import copy_for

            self._copied = prep, copy_for(self.desk, "", None, opened.set_piece, opened.piece, prep)
        return self._copied[1]

    @property
    def marks(self) -> "tuple[Mark, ...]":
        """The marks of the piece in hand that are not struck."""
        return self.opened.pencil.prep.shown if self.opened is not None else ()

    @property
    def prepared(self) -> "Prepared":
        """What is decided of the piece in hand, with its marks as they are."""
        from coach.screen.prepared import Prepared  # deferred: the first paint decides nothing

        opened = self._opened()
        if opened.prepared is None or not opened.prepared.holds(self.desk, opened):
            opened.prepared = Prepared(self.desk, opened, opened.prepared)
        return opened.prepared

    @property
    def bands(self) -> "tuple[Band, ...]":
        """What is to stand under the staff, as far as it is known."""
        from coach.screen.airing import AIR, air_band

        bands = self.prepared.bands
        plan = self.last_breaths if AIR in self.bands_shown else None
        if plan is not None:
            bands = (*bands, air_band(self._opened().piece.part, plan))
        return tuple(band for band in bands if band.name in self.bands_shown)

    def turn_bands(self) -> str:
        """Have the next choice of bands under the staff, and tell it."""
        self.bands_shown = BANDS[(BANDS.index(self.bands_shown) + 1) % len(BANDS)]
        return f"Under the staff: {' and '.join(f'the {name}' for name in self.bands_shown) or 'nothing'}."

    @property
    def breaths(self) -> "Breaths | None":
        """Where to breathe at the tempo in hand, None until that is planned."""
        if self.opened is None:
            return None
        found = self.prepared.known_breaths(self.share)
        if found is not None:
            self._breathed = self.opened, found
        return found

    @property
    def last_breaths(self) -> "Breaths | None":
        """Where to breathe at the tempo in hand; until that is planned, what was planned last for the piece."""
        found = self.breaths
        if found is None and self._breathed is not None and self._breathed[0] is self.opened:
            return self._breathed[1]
        return found

    @property
    def breath_signs(self) -> "tuple[BreathSign, ...]":
        """The breaths to be shown that are planned and not written, those of the tempo in hand; none where the air is
        not shown or everything is played as printed."""
        from coach.screen.airing import AIR, breath_signs

        plan = self.last_breaths
        if plan is None or self.plain or AIR not in self.bands_shown:
            return ()
        return breath_signs(self._opened().piece.part, plan, self.marks)

    def _opened(self) -> Opened:
        if self.opened is None:
            raise RequestError("Nothing is on the stand; press o for the pieces, or d for the demo.")
        return self.opened

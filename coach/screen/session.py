"""What the screens share: the piece in hand, the measure and range chosen, the tempo, what plays. No widget in it."""

from dataclasses import dataclass, replace

from coach.config import ClickSettings
from coach.lesson.desk import Desk
from coach.music.piece import Piece, Span
from coach.music.tempo import Tempo
from coach.practice.set_piece import SetPiece
from coach.practice.spot import Spot
from coach.screen.view.glyphs import Glyphs

SLOWEST, FASTEST = 10.0, 400.0  # beats per minute that can be asked for


@dataclass(slots=True)
class Opened:
    """A piece as it lies on the stand."""

    set_piece: SetPiece
    piece: Piece
    cut: Span


class Session:
    """The state of one sitting. Screens read it and call its methods; it never touches a widget."""

    def __init__(self, desk: Desk, glyphs: Glyphs) -> None:
        self.desk = desk
        self.glyphs = glyphs
        self.opened: Opened | None = None
        self.chosen = 0
        self.range: Span | None = None
        self.loop = False
        self.others = False
        self.per_minute = 60.0
        self.spot: Spot | None = None
        self.told_notices: set[str] = set()

    def take_up(self, opened: Opened) -> None:
        """Put a piece in hand, at the start of its cut and at its performance tempo."""
        self.opened = opened
        self.chosen = opened.cut.first
        self.range = None
        self.loop = False
        self.spot = None
        self.per_minute = float(opened.set_piece.tempo.per_minute)

    @property
    def click(self) -> ClickSettings:
        """The click as it is set."""
        return self.desk.settings.click

    @property
    def tempo(self) -> Tempo:
        """The performance tempo of the piece in hand."""
        return self.opened.set_piece.tempo if self.opened else Tempo(60)  # type: ignore[arg-type]

    @property
    def span(self) -> Span:
        """What would be played now: the range if there is one, the measure if it is looped, else on to the end."""
        if self.range is not None:
            return self.range
        if self.loop or self.opened is None:
            return Span(self.chosen, self.chosen)
        last = len(self.opened.piece.part.measures) - 1
        return Span(self.chosen, max(self.opened.cut.last, self.chosen) if self.chosen <= self.opened.cut.last else last)

    @property
    def work(self) -> Span:
        """What a spot would be made of: the range, or the chosen measure."""
        return self.range or Span(self.chosen, self.chosen)

    def step(self, by: int) -> bool:
        """Choose another measure; tells whether it changed."""
        return self.choose(self.chosen + by)

    def choose(self, index: int) -> bool:
        """Choose a measure by index, kept inside the piece; tells whether it changed."""
        if self.opened is None:
            return False
        index = min(max(index, 0), len(self.opened.piece.part.measures) - 1)
        changed = index != self.chosen
        self.chosen = index
        return changed

    def begin_range(self) -> None:
        """The range begins at the chosen measure; it ends there too unless its end lies later."""
        last = self.range.last if self.range and self.range.last >= self.chosen else self.chosen
        self.range = Span(self.chosen, last)

    def end_range(self) -> None:
        """The range ends at the chosen measure; it begins there too unless its beginning lies earlier."""
        first = self.range.first if self.range and self.range.first <= self.chosen else self.chosen
        self.range = Span(first, self.chosen)

    def set_per_minute(self, per_minute: float) -> None:
        """Choose a tempo, kept within what can be played."""
        self.per_minute = min(max(per_minute, SLOWEST), FASTEST)

    def toggle_click(self) -> None:
        """Click on or off. Raises SettingsError if that cannot be written; it holds all the same."""
        settings = self.desk.settings
        self.desk.change(replace(settings, click=replace(settings.click, on=not settings.click.on)))

    def measure_name(self, index: int) -> str:
        """The printed number of a measure."""
        if self.opened is None:
            return ""
        measure = self.opened.piece.part.measures[index]
        return measure.number or measure.id

    def span_words(self, span: Span) -> str:
        """A stretch in words: "measure 5", "measures 5-6"."""
        first, last = self.measure_name(span.first), self.measure_name(span.last)
        return f"measure {first}" if span.first == span.last else f"measures {first}-{last}"

"""Progress: the measures as a strip of states, and for each spot the curve of its reps."""

from typing import TYPE_CHECKING

from rich.text import Text
from textual.app import ComposeResult
from textual.message import Message
from textual.widgets import Static

from coach.errors import CoachError
from coach.screen.actions import bindings_of
from coach.screen.place import PLACE_STYLE, Line, Place
from coach.screen.progress.words import Reading, chance_words, read, spot_words
from coach.screen.view.canvas import Canvas
from coach.screen.view.curve import draw_curve
from coach.screen.view.strip import draw_strip, legend, measure_words
from coach.screen.widgets.drawing import Drawing

if TYPE_CHECKING:
    from coach.screen.session import Opened


class ProgressScreen(Place):
    """What holds and what needs work."""

    PLACE = "progress"
    CSS_PATH = [PLACE_STYLE, "screen.tcss"]
    BINDINGS = bindings_of("progress")

    class Read(Message):
        """The standing was computed from the log."""

        def __init__(self, reading: Reading) -> None:
            self.reading = reading
            super().__init__()

    def __init__(self) -> None:
        super().__init__()
        self.reading: Reading | None = None
        self._spot = 0

    def compose_body(self) -> ComposeResult:
        """The strip with its legend, the chosen measure, the curve of a spot."""
        yield Static(id="progress-legend", markup=False)
        yield Drawing(id="progress-strip")
        yield Line(id="progress-measure", classes="strong")
        yield Line(id="progress-whole", classes="quiet")
        yield Line(id="progress-spot", classes="strong")
        yield Drawing(id="progress-curve")
        yield Static("Nothing is on the stand yet. Press o for the pieces.", id="progress-empty", markup=False)

    def refresh_place(self) -> None:
        """Compute the standing in the background."""
        opened = self.session.opened
        self.set_class(opened is None, "-empty")
        if opened is not None:
            self.run_worker(lambda: self._read(opened), thread=True, exclusive=True, group="progress")

    def _read(self, opened: "Opened") -> None:
        try:
            self.post_message(self.Read(read(self.coach.desk, opened)))
        except CoachError as error:
            self.app.call_later(self.coach.tell, error)

    def on_progress_screen_read(self, message: Read) -> None:
        """Show the standing."""
        self.reading = message.reading
        if self.session.spot is not None:
            uuids = [spot.uuid for spot in self.reading.spots]
            self._spot = uuids.index(self.session.spot.uuid) if self.session.spot.uuid in uuids else 0
        self._show()

    def _show(self) -> None:
        reading, glyphs = self.reading, self.session.glyphs
        if reading is None:
            return
        words, colours = Text(), self.state_colours()
        for text, style in legend(reading.standing.measures, glyphs):
            words.append(f"{text}   ", style=colours[style])
        self.query_one("#progress-legend", Static).update(words)
        strip = self.query_one("#progress-strip", Drawing)
        strip.styles.height = self._strip(self.size.width - 2, 0).height
        strip.draw(self._strip)
        place = self._place()
        self.query_one("#progress-measure", Line).say(
            measure_words(reading.standing.measures[place], reading.names[place]) if place is not None else ""
        )
        self.query_one("#progress-whole", Line).say(chance_words(reading.standing.whole_piece))
        self._show_curve(reading)

    def _strip(self, width: int, _height: int) -> Canvas:
        reading = self.reading
        if reading is None:
            return Canvas(width, 0)
        place = self._place()
        chosen = -1 if place is None else place
        return draw_strip(reading.standing.measures, reading.names, chosen, width, self.session.glyphs)

    def _place(self) -> int | None:
        """The place of the chosen measure in the strip; None outside the cut."""
        if self.reading is None or self.session.opened is None:
            return None
        place = self.session.chosen - self.session.opened.cut.first
        return place if 0 <= place < len(self.reading.standing.measures) else None

    def _show_curve(self, reading: Reading) -> None:
        curve, line = self.query_one("#progress-curve", Drawing), self.query_one("#progress-spot", Line)
        if not reading.spots:
            line.say("No spots yet: make one on the Stand, and its curve is drawn here.")
            curve.draw(Canvas)
            return
        k = min(self._spot, len(reading.spots) - 1)
        spot, ladder, reps = reading.spots[k], reading.ladders[k], reading.reps[k]
        line.say(f"spot {k + 1} of {len(reading.spots)}: {spot_words(spot, reps)}")
        glyphs = self.session.glyphs
        curve.draw(lambda width, height: draw_curve(reps, ladder.target, ladder.beat, (width, height), glyphs))

    def action_spot(self, by: int) -> None:
        """The curve of the next spot, or of the one before."""
        if self.reading is not None and self.reading.spots:
            self._spot = (self._spot + by) % len(self.reading.spots)
            self.session.spot = self.reading.spots[self._spot]
            self._show()

    def action_step(self, by: int) -> None:
        """One measure on or back."""
        self.session.step(by)
        self._show()

    def action_end_of_cut(self, which: int) -> None:
        """To the first or the last measure asked for."""
        opened = self.session.opened
        if opened is not None:
            self.session.choose(opened.cut.first if which < 0 else opened.cut.last)
            self._show()

    def action_play(self) -> None:
        """Play from the chosen measure, or stop."""
        if self.coach.sounding.wanted:
            self.coach.stop_sound()
        elif self.session.opened is not None:
            self.coach.play(self.session.take())

    def action_to_stand(self) -> None:
        """To the chosen measure on the Stand."""
        self.coach.action_place("stand")

    def action_open(self) -> None:
        """Open a piece or add a file."""
        from coach.screen.pieces import choose_piece

        choose_piece(self.coach)

"""Drill: one spot, looped at its rung; a key for clean, a key for slip, and the ladder beside the music."""

from typing import TYPE_CHECKING

from rich.text import Text
from textual.app import ComposeResult
from textual.containers import Horizontal
from textual.widgets import Static

from coach.errors import RequestError
from coach.lesson.drilling import drop_spot, rename_spot, span_of, spots
from coach.practice.rep import WHAT
from coach.practice.share import share_of
from coach.screen.actions import bindings_of
from coach.screen.airing import air_band
from coach.screen.drill.goal import draw_goal, goal_of, goal_rows
from coach.screen.drill.ladder import ask_ladder
from coach.screen.drill.state import Drilling, recipe_text
from coach.screen.place import PLACE_STYLE, Line, Place
from coach.screen.view.canvas import Canvas
from coach.screen.view.page import Look
from coach.screen.view.track import draw_track, rung_labels
from coach.screen.view.words import number, unit_text
from coach.screen.widgets.drawing import Drawing
from coach.screen.widgets.music import MusicView

if TYPE_CHECKING:
    from coach.lesson.playing import Now
    from coach.practice.ladder import Scale
    from coach.practice.spot import Spot
    from coach.screen.session import Opened


DIZZY = "dizzy: stop and sit down"


class DrillScreen(Place):
    """A spot under work."""

    PLACE = "drill"
    CSS_PATH = [PLACE_STYLE, "screen.tcss"]
    BINDINGS = bindings_of("drill")
    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (80, "-normal"), (120, "-wide")]

    def __init__(self) -> None:
        super().__init__()
        self.drilling: Drilling | None = None
        self._waiting: float | None = None  # a tempo that begins with the next lap
        self._lap = 0
        self._by = 1  # which way one went through the spots
        self._sounded = False
        self._ended_s: float | None = None  # when what is played once last ended

    def on_mount(self) -> None:
        """Count the seconds of a rest."""
        self.set_interval(1, self._count_rest)

    def compose_body(self) -> ComposeResult:
        """The spot, what just happened, the music with the ladder."""
        yield Line(id="drill-info", classes="strong")
        yield Static(id="drill-said", markup=False)
        yield Line(id="drill-step", classes="strong")
        with Horizontal(id="drill-middle"):
            yield MusicView(id="drill-music")
            yield Drawing(id="drill-track")
        yield Static(_NO_SPOT, id="drill-empty", markup=False)
        yield Line(id="drill-status")

    # State

    def refresh_place(self) -> None:
        """Show the spot in hand."""
        self._take_spot()
        drilling = self.drilling
        self.set_class(drilling is None, "-empty")
        if drilling is None:
            return
        self.set_class(drilling.work.drill is not None, "-drill")
        self._show_music(drilling)
        self.query_one("#drill-info", Line).say(self._info(drilling))
        self._show_ladder(drilling)
        said = self.query_one("#drill-said", Static)
        reps = self.coach.desk.record().reps_of(drilling.spot.uuid)
        beneath = f"{share_of(reps).words}   rule: {drilling.ladder.rule.name}"
        if drilling.air is not None:
            beneath += f"   {DIZZY}"
        if drilling.unnamed:
            keys = self.coach.first_keys()
            beneath = "what? " + "  ".join(f"{keys[f'slip_{what}']} {what}" for what in WHAT)
        said.update(Text.assemble((drilling.said, "bold"), "\n", beneath))
        said.set_classes([f"-{drilling.outcome}"] if drilling.outcome else [])
        self.show_now(self.coach.sounding.now())

    def _show_music(self, drilling: Drilling) -> None:
        """The measures of the spot with their marks, or the drill that is made of it."""
        work, glyphs = drilling.work, self.session.glyphs
        if work.drill is None:
            look, copy = Look(-1, marks=self.session.marks), self.session.copy
        else:
            characters = self.coach.desk.settings.music == "characters"
            plan = drilling.air
            bands = (air_band(work.piece.part, plan),) if plan is not None else ()
            look, copy = Look(-1, bands=bands), None if characters else drilling.copy
        self.query_one(MusicView).show(work.piece, work.span, look, glyphs, copy)

    def _show_ladder(self, drilling: Drilling) -> None:
        """The ladder, and under it how a trill is to gather speed."""
        goal, glyphs = goal_of(drilling.work.drill), self.session.glyphs

        def drawn(width: int, height: int) -> Canvas:
            canvas = Canvas(width, height)
            under = goal_rows(height) if goal is not None else 0
            ladder, size = drilling.ladder, (width, height - under)
            canvas.paste(draw_track(ladder.rungs, drilling.climb, size, glyphs, rung_labels(ladder)), 0)
            if goal is not None:
                canvas.paste(draw_goal(goal, (width, under), glyphs), height - under)
            return canvas

        self.query_one("#drill-track", Drawing).draw(drawn)

    def _take_spot(self) -> None:
        """The spot in hand, or the first of the piece."""
        opened = self.session.opened
        known = spots(self.coach.desk, opened.set_piece.id) if opened else ()
        if opened is None or not known:
            self.drilling = None
            return
        chosen = self.session.spot.uuid if self.session.spot else ""
        here = next((k for k, spot in enumerate(known) if spot.uuid == chosen), 0)
        for k in range(len(known)):
            if self._take(opened, known[(here + k * self._by) % len(known)]):
                return
        self.drilling = self.session.spot = None

    def _take(self, opened: "Opened", spot: "Spot") -> bool:
        """Take a spot in hand; where a corrected score has lost it, that is told, and the one after it is due."""
        drilling = self.drilling
        try:
            if drilling is not None and drilling.spot == spot and drilling.opened is opened:
                drilling.decide(self.session.prepared)
            else:
                self.drilling = Drilling(self.coach.desk, opened, spot, self.session.glyphs, self.session.prepared)
                self._waiting = self._ended_s = None
                self._sounded = False
        except RequestError as error:
            self.coach.tell(error)
            return False
        self.session.spot = spot
        return True

    def _info(self, drilling: Drilling) -> str:
        spot = drilling.spot
        known = spots(self.coach.desk, drilling.opened.set_piece.id)
        k = [s.uuid for s in known].index(spot.uuid) + 1
        measures = self.session.span_words(span_of(drilling.opened.piece, spot))
        tempo = self.session.tempo_at(span_of(drilling.opened.piece, spot).first)
        unit = unit_text(tempo, self.session.glyphs)
        place = f"   {measures}" if measures != spot.name and not spot.drill else ""
        return f"{spot.name}{place}   {unit} = {number(round(drilling.per_minute, 1))}   spot {k} of {len(known)}"

    def show_now(self, now: "Now") -> None:
        """Light the note that sounds; a new tempo begins between the laps."""
        drilling = self.drilling
        if drilling is None:
            return
        measure = drilling.work.piece.measure_index(now.measure_id) if now.measure_id else None
        self.query_one(MusicView).light(now.note_id, measure)
        self.query_one("#drill-step", Line).say(drilling.step_words(now))
        if self._waiting is not None and (now.counting_in or now.lap != self._lap or not now.playing):
            self._retime(self._waiting)
        self._lap = now.lap
        if self._sounded and not now.playing:
            self._ended_s = self.session.clock()
        self._sounded = now.playing and not now.counting_in or (self._sounded and now.playing)
        self.query_one("#drill-status", Line).say(self._status(now))

    def _status(self, now: "Now") -> str:
        glyphs = self.session.glyphs
        click = f"click {'on' if self.session.click.on else 'off'}"
        air = self.drilling.air_words(now) if self.drilling is not None else ""
        if not now.playing:
            rest_s = self._rest_left_s()
            says = (
                f"rest {rest_s} s and breathe; then space"
                if rest_s
                else f"stopped: space begins{'' if air else ' with the count-in'}"
            )
            return "   ".join(filter(None, (f"{glyphs.stopped} {says}", air, click)))
        state = f"get ready {now.count or ' '}" if now.counting_in else "play"
        waiting = f"   {number(round(self._waiting, 1))} from the next time" if self._waiting is not None else ""
        return "   ".join(filter(None, (f"{glyphs.playing} {state}", air, click))) + waiting

    def _rest_left_s(self) -> int:
        """The whole seconds that are left of the rest after what is played once."""
        if self.drilling is None or self._ended_s is None:
            return 0
        return max(0, round(self.drilling.rest_s - (self.session.clock() - self._ended_s)))

    def _count_rest(self) -> None:
        if self._ended_s is not None and not self.coach.sounding.wanted and self.is_current:
            self.query_one("#drill-status", Line).say(self._status(self.coach.sounding.now()))
            self._ended_s = self._ended_s if self._rest_left_s() else None

    def _spot_in_hand(self) -> Drilling:
        if self.drilling is None:
            raise RequestError("There is no spot yet; on the Stand, choose a measure and make one.")
        return self.drilling

    # Sound

    def action_play(self) -> None:
        """Begin the loop with its count-in, or stop."""
        drilling = self._spot_in_hand()
        if self.coach.sounding.wanted:
            self.coach.stop_sound()
        else:
            self._waiting, self._lap = None, 0
            self.coach.play(drilling.take(self.session.others, self.session.plain))
        self.coach.show_state()

    def _next_tempo(self) -> None:
        """Let the loop take up the tempo in hand, at once if nothing is under way, else with the next lap."""
        take = self.coach.sounding.playing.take if self.coach.sounding.begun else None
        drilling = self._spot_in_hand()
        if self.coach.sounding.wanted and take is not None and take.per_minute != drilling.per_minute:
            self._waiting = drilling.per_minute
        else:
            self._waiting = None
        self.coach.show_state()

    def _retime(self, per_minute: float) -> None:
        self._waiting = None
        if self.coach.sounding.wanted:
            self.coach.sounding.playing.set_per_minute(per_minute)

    def action_notch(self, by: int) -> None:
        """The next reps a notch faster or slower, at once."""
        drilling = self._spot_in_hand()
        drilling.notch(by)
        self._retime(drilling.per_minute)
        self.coach.show_state()

    def action_tempo(self) -> None:
        """Ask for the tempo of the next reps."""
        from coach.screen.dialogs import Ask

        drilling = self._spot_in_hand()
        hint = f"a number such as 54, or a per cent of {number(round(drilling.ladder.target, 1))}, such as 60 %"
        self.app.push_screen(Ask("Tempo of the next rep", hint), self._set_tempo)

    def _set_tempo(self, text: str | None) -> None:
        from coach.screen.stand.state import tempo_from

        if text:
            with self.coach.telling():
                drilling = self._spot_in_hand()
                drilling.set_per_minute(tempo_from(text, drilling.ladder.target))
                self._retime(drilling.per_minute)
                self.coach.show_state()

    def action_click(self) -> None:
        """Click on or off, while playing too."""
        self.coach.toggle_click()

    def action_others(self) -> None:
        """The other parts along, or not, from the next start."""
        self.session.others = not self.session.others
        if self.coach.sounding.wanted:
            self.coach.play(self._spot_in_hand().take(self.session.others, self.session.plain))

    # Reps

    def action_clean(self) -> None:
        """The rep was clean."""
        self._log("clean")

    def action_slip(self) -> None:
        """The rep slipped."""
        self._log("slip")

    def _log(self, outcome: str) -> None:
        drilling = self._spot_in_hand()
        drilling.log(outcome)
        if drilling.rest_s:
            self.coach.stop_sound()
        self._next_tempo()

    def action_what(self, what: str) -> None:
        """What slipped in the rep just logged."""
        self._spot_in_hand().name_slip(what)
        self.coach.show_state()

    def action_undo(self) -> None:
        """Take the last rep back."""
        self._spot_in_hand().undo()
        self._next_tempo()

    # The spot itself

    def action_step(self, by: int) -> None:
        """The next spot of the piece, or the one before."""
        drilling = self._spot_in_hand()
        known = spots(self.coach.desk, drilling.opened.set_piece.id)
        here = [spot.uuid for spot in known].index(drilling.spot.uuid)
        self._by = by
        self.session.spot = known[(here + by) % len(known)]
        self.coach.stop_sound()
        self.coach.show_state()

    def action_rule(self) -> None:
        """Set up another ladder: its rule, then the size of its rungs, then where it starts."""
        drilling = self._spot_in_hand()

        def made(rule: str, scale: "Scale", start: str) -> None:
            with self.coach.telling():
                drilling.choose_ladder(rule, scale, start)
                self._next_tempo()

        ask_ladder(self.app, drilling.ladder, drilling.climb.per_minute, made)

    def action_where(self) -> None:
        """In which measure the rep just logged slipped."""
        from coach.screen.dialogs import Choice, Choose

        drilling = self._spot_in_hand()
        if drilling.spot.drill:
            raise RequestError("Of a drill it is kept what slipped, not where.")
        piece = drilling.opened.piece
        ids = [measure.id for measure in piece.measures(span_of(piece, drilling.spot))]

        def chosen(measure: str | None) -> None:
            if measure is not None:
                with self.coach.telling():
                    drilling.name_slip(where=measure)
                    self.coach.show_state()

        self.app.push_screen(Choose("Where it slipped", [Choice(f"measure {one}", "", one) for one in ids], ""), chosen)

    def action_rename(self) -> None:
        """Give the spot another name."""
        from coach.screen.dialogs import Ask

        drilling = self._spot_in_hand()

        def named(name: str | None) -> None:
            if name is not None:
                with self.coach.telling():
                    self.session.spot = rename_spot(self.coach.desk, drilling.spot, name)
                    self.coach.show_state()

        self.app.push_screen(Ask("The spot's name", "its history stays", drilling.spot.name), named)

    def action_drop(self) -> None:
        """Take the spot off the list, after asking."""
        from coach.screen.dialogs import Choice, Choose

        drilling = self._spot_in_hand()
        choices = [Choice("keep it", "", "keep"), Choice("take it off the list", "its reps stay in the log", "drop")]

        def chosen(answer: str | None) -> None:
            if answer == "drop":
                with self.coach.telling():
                    drop_spot(self.coach.desk, drilling.spot)
                    self.session.spot = None
                    self.coach.stop_sound()
                    self.coach.show_state()

        self.app.push_screen(Choose(f"Take “{drilling.spot.name}” off the list?", choices), chosen)

    def action_words(self) -> None:
        """The spot in words."""
        from coach.screen.dialogs import Read
        from coach.screen.view.words import marked_measure_words

        drilling = self._spot_in_hand()
        work = drilling.work
        marks = () if work.drill else self.session.marks
        measures = work.piece.measures(work.span)
        told = (marked_measure_words(work.piece.part, m, marks, self.session.glyphs) for m in measures)
        text = "\n\n".join(words.replace("; ", ";\n  ") for words in told)
        about = f"{recipe_text(work.drill)}\n\n" if work.drill else ""
        self.app.push_screen(Read(drilling.spot.name, about + text))


_NO_SPOT = (
    "There is no spot to drill yet.\n\n"
    "Press 2 for the Stand, step to a measure that does not hold, and press enter:\n"
    "it becomes a spot. For several measures, mark them with [ and ] first."
)

"""The Stand: the music under work, measure by measure; hear it, loop it, make a spot of it."""

from contextlib import suppress
from typing import TYPE_CHECKING

from textual.app import ComposeResult
from textual.widgets import Static

from coach.errors import RequestError
from coach.lesson.drilling import span_of, spots
from coach.music.piece import Span
from coach.screen.actions import bindings_of
from coach.screen.airing import want_breaths
from coach.screen.place import PLACE_STYLE, Line, Place
from coach.screen.session import Opened
from coach.screen.stand.air import measure_breaths, trouble_words
from coach.screen.stand.state import WELCOME, info_text, status_text
from coach.screen.view.page import Look
from coach.screen.view.words import marked_measure_words
from coach.screen.widgets.music import MusicView

if TYPE_CHECKING:
    from coach.lesson.playing import Now
    from coach.prepare.mark import Mark


class StandScreen(Place):
    """The music and what is done with it."""

    PLACE = "stand"
    CSS_PATH = [PLACE_STYLE, "screen.tcss"]
    BINDINGS = bindings_of("stand")

    _said = ""  # what was done last, until one moves on
    _troubled = False  # whether it is told that the air does not last

    def compose_body(self) -> ComposeResult:
        """What measure, the music, what sounds."""
        yield Line(id="stand-info", classes="strong")
        yield MusicView(id="stand-music")
        yield Static(WELCOME, id="stand-welcome", markup=False)
        yield Line(id="stand-twin", classes="quiet")
        yield Line(id="stand-status")

    def refresh_place(self) -> None:
        """Show the piece in hand."""
        opened = self.session.opened
        self.set_class(opened is None, "-empty")
        if opened is None:
            self.query_one("#stand-status", Line).say("")
            return
        view = self.query_one(MusicView)
        spots, bands = self._spots(opened), self.session.bands
        breaths = self.session.breath_signs
        look = Look(self.session.chosen, self._bracketed(), opened.cut, self.session.marks, spots, bands, breaths)
        view.show(opened.piece, opened.piece.whole(), look, self.session.glyphs, self.session.copy)
        self.query_one("#stand-info", Line).say(info_text(self.session))
        self.query_one("#stand-status", Line).say(status_text(self.session, self.coach.sounding.now()))
        self.query_one("#stand-twin", Line).say(self._told(opened))
        want_breaths(self.coach)

    def _told(self, opened: Opened) -> str:
        """What was done last, what there is to know of the piece, else the chosen measure in words."""
        said = self._said or self._notice(opened)
        trouble = "" if said else trouble_words(self.session, self.coach.first_keys()["notices"])
        self._troubled = bool(trouble)
        return said or trouble or self._twin(opened)

    def _bracketed(self) -> Span | None:
        """The range, else the measure that is looped."""
        chosen = self.session.chosen
        return self.session.range or (Span(chosen, chosen) if self.session.loop else None)

    def _spots(self, opened: Opened) -> tuple[tuple[str, Span], ...]:
        """The names and measures of the piece's spots, those that the score no longer has and drills left out."""
        found = []
        for spot in spots(self.coach.desk, opened.set_piece.id):
            with suppress(RequestError):
                found += [] if spot.drill else [(spot.name, span_of(opened.piece, spot))]
        return tuple(found)

    def show_now(self, now: "Now") -> None:
        """Light the note that sounds."""
        opened = self.session.opened
        if opened is None:
            return
        measure = opened.piece.measure_index(now.measure_id) if now.measure_id else None
        self.query_one(MusicView).light(now.note_id, measure)
        self.query_one("#stand-status", Line).say(status_text(self.session, now))

    def _twin(self, opened: Opened) -> str:
        """The chosen measure in words."""
        measure = opened.piece.part.measures[self.session.chosen]
        says = marked_measure_words(opened.piece.part, measure, self.session.marks, self.session.glyphs)
        plan = self.session.breaths
        practice = measure_breaths(plan, measure, practice=True) if plan is not None else []
        return f"{'; '.join(practice)}. {says}" if practice else says

    def _notice(self, opened: Opened) -> str:
        """How many things in the piece's file were not understood; said until one moves on."""
        count = sum(notice.count for notice in opened.piece.notices)
        if not count or opened.set_piece.id in self.session.told_notices:
            return ""
        things = "1 thing" if count == 1 else f"{count} things"
        was = "was" if count == 1 else "were"
        return f"{things} in the file {was} not understood or simplified: press {self.coach.first_keys()['notices']}"

    def _notices_told(self) -> None:
        self._said = ""
        if self.session.opened is not None:
            self.session.told_notices.add(self.session.opened.set_piece.id)
            plan = self.session.breaths
            if self._troubled and plan is not None:
                self.session.told_troubles = plan.here.troubles

    # Playing

    def action_play(self) -> None:
        """Play from the chosen measure (or the range), or stop."""
        self._notices_told()
        if self.coach.sounding.wanted:
            self.coach.stop_sound()
        else:
            self.coach.play(self.session.take())
        self.coach.show_state()

    def _play_again(self) -> None:
        """Take up a change that needs the sound to begin anew, if it sounds."""
        if self.coach.sounding.wanted:
            self.coach.play(self.session.take(), self.session.measure_id(self.session.span().first))
        self.coach.show_state()

    def action_notch(self, by: int) -> None:
        """Tempo up or down by a notch, while playing too."""
        self.session.notch(by, self.session.chosen)
        self._retime()

    def _retime(self) -> None:
        take = self.coach.sounding.playing.take if self.coach.sounding.begun else None
        if take is not None and self.coach.sounding.wanted:
            self.coach.sounding.playing.set_per_minute(self.session.per_minute_at(take.span.first))
        self.coach.show_state()

    def action_tempo(self) -> None:
        """Ask for a tempo: a number, or a per cent of the performance tempo."""
        from coach.screen.dialogs import Ask

        tempo = self.session.tempo_at(self.session.chosen)
        unit, full = tempo.beat.name, float(tempo.per_minute)
        hint = f"a number of {unit}s a minute, such as 54; or a per cent of {full:g}, such as 60 %"
        self.app.push_screen(Ask("Tempo", hint), self._set_tempo)

    def _set_tempo(self, text: str | None) -> None:
        from coach.screen.stand.state import tempo_from

        if text:
            with self.coach.telling():
                wanted = tempo_from(text, float(self.session.tempo_at(self.session.chosen).per_minute))
                self.session.set_per_minute(wanted, self.session.chosen)
                self._retime()

    def action_click(self) -> None:
        """Click on or off, while playing too."""
        self.coach.toggle_click()

    def action_others(self) -> None:
        """The other parts along, or not."""
        opened = self.session.opened
        if opened is not None and not opened.piece.others:
            raise RequestError(f"{opened.set_piece.title} has no other parts.")
        self.session.others = not self.session.others
        self._play_again()

    def action_loop(self) -> None:
        """Loop the measure or the range, or stop looping."""
        self.session.loop = not self.session.loop
        self._play_again()

    # Measures and ranges

    def action_step(self, by: int) -> None:
        """One measure on or back."""
        if self.session.step(by):
            self._moved()

    def action_end_of_cut(self, which: int) -> None:
        """To the first or the last measure asked for."""
        opened = self.session.opened
        if opened is not None:
            self.session.choose(opened.cut.first if which < 0 else opened.cut.last)
            self._moved()

    def _moved(self) -> None:
        self._notices_told()
        if self.session.range is None:
            self._play_again()
        else:
            self.coach.show_state()

    def on_music_view_chosen(self, message: MusicView.Chosen) -> None:
        """A measure was clicked."""
        with self.coach.telling():
            self.session.choose(message.index)
            self._moved()

    def action_range_start(self) -> None:
        """The range begins here."""
        self.session.begin_range()
        self._play_again()

    def action_range_end(self) -> None:
        """The range ends here."""
        self.session.end_range()
        self._play_again()

    def action_no_range(self) -> None:
        """Forget the range."""
        self.session.range = None
        self._play_again()

    def action_go_to(self) -> None:
        """Ask for a measure."""
        from coach.screen.dialogs import Ask

        self.app.push_screen(Ask("Go to measure", "a printed measure number, such as 12"), self._go_to)

    def _go_to(self, text: str | None) -> None:
        if text and self.session.opened is not None:
            with self.coach.telling():
                self.session.choose(self.session.opened.piece.measure_index(text.strip()))
                self._moved()

    # Spots, runs, pieces

    def action_spot(self) -> None:
        """Make a spot of the range or the measure."""
        from coach.screen.stand.spots import ask_spot

        ask_spot(self.coach)

    def action_drill_here(self) -> None:
        """Work on the spot here; one is made if there is none."""
        from coach.screen.stand.spots import drill_here

        drill_here(self.coach)

    def action_drills(self) -> None:
        """Make a drill of the range or the measure, or of the note where the pencil was."""
        from coach.screen.stand.drills import ask_drill

        ask_drill(self.coach)

    def action_run(self) -> None:
        """Note a run-through of the cut."""
        from coach.screen.stand.run import ask_run

        ask_run(self.coach)

    def action_open(self) -> None:
        """Open a piece or add a file."""
        from coach.screen.pieces import choose_piece

        choose_piece(self.coach)

    def action_demo(self) -> None:
        """Put the demo piece on the stand."""
        from coach.screen.pieces import open_demo

        open_demo(self.coach)

    def action_words(self) -> None:
        """The measure in words."""
        from coach.screen.stand.state import words_dialog

        self.app.push_screen(words_dialog(self.session))

    def action_pencil(self) -> None:
        """Take up the pencil, over the same music."""
        from coach.screen.stand.pencil import PencilScreen

        if self.session.opened is None:
            raise RequestError("Nothing is on the stand; press o for the pieces, or d for the demo.")
        self._notices_told()
        self.app.push_screen(PencilScreen(self.query_one(MusicView)))

    def action_fingerings(self) -> None:
        """Suggest fingerings, in place of those suggested before."""
        from coach.screen.stand.fingers import suggest_hands

        self._notices_told()
        suggest_hands(self.coach)

    def action_suggest(self) -> None:
        """Suggest ornaments, dynamics, breaths or reminders."""
        from coach.screen.stand.suggesting import ask_suggestions

        self._notices_told()
        ask_suggestions(self.coach)

    def action_plain(self) -> None:
        """Play it as printed, or as it is decided."""
        self.session.plain = not self.session.plain
        self._play_again()

    def action_bands(self) -> None:
        """What stands under the staff: the level, the air, both, nothing."""
        self._said = self.session.turn_bands()
        self.coach.show_state()

    def action_marks(self) -> None:
        """All marks of the piece; go to the measure of one."""
        from coach.screen.stand.marks import choose_mark

        choose_mark(self.coach, "", self._go_to_mark)

    def _go_to_mark(self, mark: "Mark") -> None:
        from coach.prepare.over import measure_of

        opened = self.session.opened
        if opened is not None:
            self.session.pointed = mark.at
            self.session.choose(opened.piece.measure_index(measure_of(mark.at)))
            self._moved()

    def action_notices(self) -> None:
        """What in the file was not understood."""
        from coach.screen.stand.state import notices_dialog

        self.app.push_screen(notices_dialog(self.session))
        self._notices_told()
        self.coach.show_state()

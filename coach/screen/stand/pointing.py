"""A cursor on the notes of the Stand: where it points, how it moves, what is told of the note and the marks there."""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from typing import TYPE_CHECKING

from rich.text import Text
from textual.app import ComposeResult
from textual.containers import Horizontal

from coach.errors import RequestError
from coach.prepare.follow import note_ids
from coach.prepare.mark import Mark
from coach.prepare.place import Place as Spot
from coach.prepare.place import find_place
from coach.screen.actions import PENCIL
from coach.screen.airing import want_breaths
from coach.screen.place import PLACE_STYLE, Line, Place
from coach.screen.session import Opened
from coach.screen.stand.air import air_words, reason_words
from coach.screen.stand.decided import level_words, ornament_words
from coach.screen.stand.fingers import current_hands, plan_hands, plan_key
from coach.screen.stand.panel import HandPanel
from coach.screen.stand.stretch import Stretch
from coach.screen.stand.telling import marks_line, place_text
from coach.screen.view.pointed import Pointing
from coach.screen.view.words import signed
from coach.screen.widgets.music import MusicView

if TYPE_CHECKING:
    from coach.lesson.marking import Pencil
    from coach.lesson.playing import Now
    from coach.prepare.fingering import Hands


class PointingScreen(Place):
    """The music of the Stand with a cursor on a note. `under` is the music it was taken up over."""

    PLACE = PENCIL
    UNDER = "stand"
    CSS_PATH = [PLACE_STYLE]

    def __init__(self, under: MusicView) -> None:
        super().__init__()
        self._under = under
        self._opened: Opened | None = None
        self._order: dict[str, int] = {}
        self._at = ""
        self._mark = ""  # the id of the chosen mark
        self._said = ""
        self._stretch: Stretch | None = None
        self._tried: object = None  # what a plan was last asked for
        self._hands: Hands | None = None  # the last plan, shown until there is one around the marks as they are

    def compose_body(self) -> ComposeResult:
        """Where the cursor is, the music, the marks there, what was done last."""
        yield Line(id="pencil-info", classes="strong")
        with Horizontal():
            yield MusicView(id="pencil-music")
            yield HandPanel(id="pencil-hands")
        yield Line(id="pencil-marks")
        yield Line(id="pencil-said", classes="quiet")

    def on_mount(self) -> None:
        """The music where it was."""
        self.query_one(MusicView).begin_like(self._under)  # Textual then calls the place's own

    # State

    def refresh_place(self) -> None:
        """Show the note pointed at and what stands there."""
        opened = self.session.opened
        if opened is None:
            self.leave()
            return
        if opened is not self._opened:
            self._take_piece(opened)
        view = self.query_one(MusicView)
        session = self.session
        look = replace(
            self._under.look,
            chosen=session.chosen,
            cut=opened.cut,
            marks=session.marks,
            bands=session.bands,
            breaths=session.breath_signs,
        )
        view.point(Pointing(self._at, self._stretched(), self._stretch.goal if self._stretch else ""))
        view.show(opened.piece, opened.piece.whole(), look, self.session.glyphs, self.session.copy)
        self.query_one("#pencil-info", Line).say(self._info(opened))
        marks, glyphs = self._here(), self.session.glyphs
        chosen = next((k for k, mark in enumerate(marks) if mark.id == self._mark), 0)
        width = max(self.size.width - 2, 20)
        line = marks_line(marks, chosen, self._at, opened.piece.part, glyphs, width)
        self.query_one("#pencil-marks", Line).say(self._with_ornament(line, marks))
        self._show_hands()
        self.query_one("#pencil-said", Line).say(self._telling())
        want_breaths(self.coach)

    def _with_ornament(self, line: Text, marks: Sequence[Mark]) -> Text:
        """The marks, and how the ornament here is played where no mark of it stands."""
        if any(mark.kind == "ornament" and not mark.struck for mark in marks):
            return line
        says = ornament_words(self.session.prepared, self._at, self.session.glyphs)
        if not says:
            return line
        told = Text(f"{self.coach.first_keys()['ossia']}: other ways   {says}", style="italic")
        return Text.assemble(line, "   ", told) if marks else told

    def _show_hands(self) -> None:
        """The fingering of the note pointed at, if it is asked for."""
        panel = self.query_one(HandPanel)
        panel.display = self.session.hands_shown
        if self.session.hands_shown:
            hands = current_hands(self.coach)
            waiting = self._tried != plan_key(self.coach) or bool(self.coach.busy)
            panel.show(hands or self._hands, self._at, self.session.glyphs, waiting)
            self._hands = hands or self._hands
            if hands is None and not self.coach.busy and self._tried != plan_key(self.coach):
                self._tried = plan_key(self.coach)  # once: what cannot be planned is told once
                plan_hands(self.coach, lambda _: None)

    def action_hands(self) -> None:
        """Show the fingering of the note pointed at beside the music, or no more."""
        self.session.hands_shown = not self.session.hands_shown
        self._said = ""
        self.refresh_place()

    def _take_piece(self, opened: Opened) -> None:
        self._opened, self._hands = opened, None
        self._order = {name: k for k, name in enumerate(_walk(opened))}
        self._stretch, self._said = None, ""
        here = opened.piece.part.measures[self.session.chosen]
        lit = self._under.lit
        inside = [note.id for note in here.notes]
        kept = self.session.pointed
        spot = find_place(opened.piece.part, kept) if kept else None
        self._at = lit if lit in self._order else kept if spot and spot.measure.id == here.id else inside[0]
        self._point(self._at)
        keys = self.coach.first_keys()
        hint = f"{keys['suggest']} and {keys['fingerings']} suggest; {keys['pencil_down']} puts the pencil down."
        self._said = f"A key writes a mark; {hint}"

    def show_now(self, now: "Now") -> None:
        """Light the note that sounds."""
        opened = self.session.opened
        if opened is not None:
            measure = opened.piece.measure_index(now.measure_id) if now.measure_id else None
            self.query_one(MusicView).light(now.note_id, measure)
            self.query_one("#pencil-info", Line).say(self._info(opened))

    def _info(self, opened: Opened) -> str:
        glyphs = self.session.glyphs
        playing = f"   {glyphs.playing} playing" if self.coach.sounding.wanted else ""
        level = self.session.prepared.levels.get(self._at)
        loud = f"   {level_words(level)}" if level is not None else ""
        return f"{glyphs.pencil} {place_text(self._spot(opened), glyphs)}{playing}{self._air(opened)}{loud}"

    def _air(self, opened: Opened) -> str:
        plan = self.session.breaths
        says = air_words(plan, opened.piece.part, self._at) if plan is not None else ""
        return f"   {says}" if says else ""

    def _telling(self) -> str:
        """What was done last; else what is being drawn; else the reason of the chosen mark."""
        if self._said:
            return signed(self._said, self.session.glyphs)
        if self._stretch is not None:
            return self._stretch_words(self._stretch)
        mark = self._chosen()
        return (mark.because if mark is not None else "") or self._breath_why(mark) or self._why()

    def _breath_why(self, mark: Mark | None) -> str:
        """Why there is a breath after the note, unless another mark is chosen."""
        plan = self.session.breaths
        if plan is None or (mark is not None and (mark.kind != "breath" or mark.struck)):
            return ""
        return signed(reason_words(plan, self._piece().piece.part, self._at, mark), self.session.glyphs)

    def _why(self) -> str:
        """Where the fingering is shown, its reason if there was a choice, else what is down in words."""
        from coach.prepare.fingering import words_of

        hands = self._hands if self.session.hands_shown else None
        note = hands.at(self._at) if hands is not None else None
        if hands is None or note is None:
            return ""
        return hands.because(note) if note.alternatives else words_of(hands, note)

    def _stretch_words(self, stretch: Stretch) -> str:
        keys = self.coach.first_keys()
        goal = f"{keys['phrase']} where it leads, " if stretch.name == "phrase" and not stretch.goal else ""
        return f"{stretch.name}: {goal}{keys['edit_mark']} at its last note, escape leaves it"

    # What is pointed at

    @property
    def pencil(self) -> "Pencil":
        """The pencil of the piece in hand."""
        return self._piece().pencil

    def _piece(self) -> Opened:
        if self._opened is None:
            raise RequestError("Nothing is on the stand.")
        return self._opened

    def _spot(self, opened: Opened) -> Spot:
        return self._spot_of(self._at)

    def _spot_of(self, note_id: str) -> Spot:
        spot = find_place(self._piece().piece.part, note_id)
        if spot is None:
            raise RequestError("The note is not in the score any more; step to another.")
        return spot

    def _here(self) -> tuple[Mark, ...]:
        """The marks at the cursor, those that end or lead here after those of the note itself."""
        prep = self.pencil.prep
        main = self.session.prepared.main_note(self._at)
        other = (mark for mark in prep.marks if mark.at != self._at and self._belongs(mark, main))
        return (*prep.at(self._at), *other)

    def _belongs(self, mark: Mark, main: str) -> bool:
        """Whether a mark at another note is told here too: it ends or leads here, or writes out this grace."""
        return self._at in note_ids(mark) or (mark.kind == "ornament" and mark.at == main)

    def _chosen(self) -> Mark | None:
        here = self._here()
        return next((mark for mark in here if mark.id == self._mark), here[0] if here else None)

    def _wanted(self) -> Mark:
        """The chosen mark. Raises RequestError where there is none."""
        mark = self._chosen()
        if mark is None:
            raise RequestError("There is no mark at this note.")
        return mark

    def _stretched(self) -> tuple[str, ...]:
        """The notes over which something is being drawn, in order."""
        if self._stretch is None:
            return ()
        ends = sorted((self._order[self._stretch.at], self._order[self._at]))
        return tuple(self._order)[ends[0] : ends[1] + 1]

    def _point(self, note_id: str, mark: str = "") -> None:
        """Point at a note and its measure; the marks there that stand come before those struck."""
        opened = self._piece()
        self._at, self._said = note_id, ""
        spot = self._spot(opened)
        self.session.pointed = note_id
        self.session.choose(opened.piece.measure_index(spot.measure.id))
        here = self._here()
        self._mark = mark or next((one.id for one in (*(m for m in here if not m.struck), *here)), "")

    # Moving

    def action_note(self, by: int) -> None:
        """One note, rest or grace on or back."""
        names = tuple(self._order)
        self._go(names[min(max(self._order[self._at] + by, 0), len(names) - 1)])

    def action_measure(self, by: int) -> None:
        """One measure on or back, to its first note."""
        self._go_to_measure(self.session.chosen + by)

    def action_end_of_cut(self, which: int) -> None:
        """To the first or the last measure asked for."""
        cut = self._piece().cut
        self._go_to_measure(cut.first if which < 0 else cut.last)

    def _go_to_measure(self, index: int) -> None:
        measures = self._piece().piece.part.measures
        self._go(measures[min(max(index, 0), len(measures) - 1)].notes[0].id)

    def _go(self, note_id: str, mark: str = "") -> None:
        self._point(note_id, mark)
        self.refresh_place()

    def action_go_to(self) -> None:
        """Ask for a measure."""
        from coach.screen.dialogs import Ask

        def take(text: str | None) -> None:
            if text:
                with self._quietly():
                    self._go_to_measure(self._piece().piece.measure_index(text.strip()))

        self.app.push_screen(Ask("Go to measure", "a printed measure number, such as 12"), take)

    def on_music_view_chosen(self, message: MusicView.Chosen) -> None:
        """A note was clicked, or a place near one."""
        with self._quietly():
            if message.note in self._order:
                self._go(message.note)
            else:
                self._go_to_measure(message.index)

    def action_choose(self, by: int) -> None:
        """Another of the marks at the note."""
        here = [mark.id for mark in self._here()]
        if here:
            k = here.index(self._mark) if self._mark in here else 0
            self._mark, self._said = here[(k + by) % len(here)], ""
            self.refresh_place()

    def action_marks(self) -> None:
        """All marks of the piece; go to one."""
        from coach.screen.stand.marks import choose_mark

        with self._quietly():
            choose_mark(self.coach, self._mark, lambda mark: self._go(mark.at, mark.id))

    @contextmanager
    def _quietly(self) -> Iterator[None]:
        """Tell what cannot be done in the line under the music, or over it where that is too short."""
        with self.coach.telling():
            try:
                yield
            except RequestError as error:
                if len(str(error)) + 4 > self.size.width:
                    raise
                self._said = f"! {error}"
                self.refresh_place()

    def leave(self) -> None:
        """Put the pencil down; the music stays where it is."""
        self._under.begin_like(self.query_one(MusicView))
        if self in self.app.screen_stack:
            self.app.pop_screen()


def _walk(opened: Opened) -> Iterator[str]:
    """All notes, rests and graces of the part, in order."""
    for note in opened.piece.part.notes():
        yield from (grace.id for grace in note.graces)
        yield note.id
        yield from (grace.id for grace in note.after_graces)

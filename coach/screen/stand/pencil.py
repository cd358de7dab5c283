"""The pencil: a cursor on the notes of the Stand, and a key for each kind of mark.

It lies over the Stand with the same music at the same place and as large. Whatever is decided is on the disk at once;
what was done is told in the line under the music.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING

from rich.text import Text
from textual.app import ComposeResult

from coach.errors import RequestError
from coach.prepare.follow import note_ids
from coach.prepare.mark import KINDS, Content, Dynamic, Mark, Pace, Phrase
from coach.prepare.place import Place as Spot
from coach.prepare.place import find_place
from coach.prepare.typed import HINTS, typed, typed_text
from coach.prepare.words import mark_words
from coach.screen.actions import PENCIL, bindings_of
from coach.screen.place import PLACE_STYLE, Line, Place
from coach.screen.session import Opened
from coach.screen.stand import deciding
from coach.screen.stand.stretch import Stretch, stretch_of, wants_end
from coach.screen.stand.telling import ORIGIN_WORDS, marks_line, place_text
from coach.screen.view.page import Look
from coach.screen.widgets.music import MusicView

if TYPE_CHECKING:
    from coach.lesson.marking import Pencil
    from coach.lesson.playing import Now

_TITLES = {
    "fingering": "Fingering of",
    "swap": "Change of fingering on",
    "ornament": "Written out, from",
    "dynamic": "Dynamic at",
    "alteration": "Played in place of",
    "pace": "Pace at",
    "comment": "Comment at",
    "breath": "Breath after",
    "reminder": "Reminder at",
}


class PencilScreen(Place):
    """The pencil in hand. `under` is the music it was taken up over."""

    PLACE = PENCIL
    UNDER = "stand"
    CSS_PATH = [PLACE_STYLE]
    BINDINGS = bindings_of(PENCIL)

    def __init__(self, under: MusicView) -> None:
        super().__init__()
        self._under = under
        self._opened: Opened | None = None
        self._order: dict[str, int] = {}
        self._at = ""
        self._mark = ""  # the id of the chosen mark
        self._said = ""
        self._stretch: Stretch | None = None

    def compose_body(self) -> ComposeResult:
        """Where the cursor is, the music, the marks there, what was done last."""
        yield Line(id="pencil-info", classes="strong")
        yield MusicView(id="pencil-music")
        yield Line(id="pencil-marks")
        yield Line(id="pencil-said", classes="quiet")

    def on_mount(self) -> None:
        """The music where it was."""
        self.query_one(MusicView).begin_like(self._under)
        super().on_mount()

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
        look = Look(self.session.chosen, self.session.range, opened.cut, self.session.marks)
        view.point(self._at, self._stretched())
        view.show(opened.piece, opened.piece.whole(), look, self.session.glyphs, self.session.copy)
        self.query_one("#pencil-info", Line).say(self._info(opened))
        marks, glyphs = self._here(), self.session.glyphs
        chosen = next((k for k, mark in enumerate(marks) if mark.id == self._mark), 0)
        width = max(self.size.width - 2, 20)
        self.query_one("#pencil-marks", Line).say(marks_line(marks, chosen, self._at, opened.piece.part, glyphs, width))
        self.query_one("#pencil-said", Line).say(self._telling())

    def _take_piece(self, opened: Opened) -> None:
        self._opened = opened
        self._order = {name: k for k, name in enumerate(_walk(opened))}
        self._stretch, self._said = None, ""
        here = opened.piece.part.measures[self.session.chosen]
        lit = self._under.lit
        inside = [note.id for note in here.notes]
        kept = self.session.pointed
        spot = find_place(opened.piece.part, kept) if kept else None
        self._at = lit if lit in self._order else kept if spot and spot.measure.id == here.id else inside[0]
        self._point(self._at)

    def show_now(self, now: "Now") -> None:
        """Light the note that sounds."""
        opened = self.session.opened
        if opened is not None:
            measure = opened.piece.measure_index(now.measure_id) if now.measure_id else None
            self.query_one(MusicView).light(now.note_id, measure)

    def _info(self, opened: Opened) -> Text:
        glyphs = self.session.glyphs
        return Text.assemble((f"{glyphs.pencil} ", "not bold"), place_text(self._spot(opened)))

    def _telling(self) -> str:
        """What was done last; else what is being drawn; else the reason of the chosen mark."""
        if self._said:
            return self._said
        if self._stretch is not None:
            return self._stretch_words(self._stretch)
        mark = self._chosen()
        return mark.because if mark is not None else ""

    def _stretch_words(self, stretch: Stretch) -> str:
        keys = self.coach.first_keys()
        goal = f", {keys['phrase']} where it leads" if stretch.name == "phrase" else ""
        return f"{stretch.name}: move to its last note{goal}, {keys['edit_mark']} ends it; escape leaves it"

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
        spot = find_place(opened.piece.part, self._at)
        if spot is None:
            raise RequestError("The note is not in the score any more; step to another.")
        return spot

    def _here(self) -> tuple[Mark, ...]:
        """The marks at the cursor, those that end or lead here after those of the note itself."""
        prep = self.pencil.prep
        other = (mark for mark in prep.marks if mark.at != self._at and self._at in note_ids(mark))
        return (*prep.at(self._at), *other)

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

    # Deciding

    def action_breath(self) -> None:
        """A breath after the note: full, catch, none."""
        with self._deciding():
            self._mark = deciding.next_breath(self.pencil, self._at)

    def action_finger(self, choice: str) -> None:
        """The left or the right little finger, or neither."""
        with self._deciding():
            self._mark = deciding.toggle(self.pencil, self._at, self._typed("fingering", choice))

    def action_reminder(self) -> None:
        """The note's own accidental, its plain name, none."""
        with self._deciding():
            self._mark = deciding.next_reminder(self.pencil, self._at, self._spot(self._piece()).pitch)

    def action_write(self, kind: str) -> None:
        """Type a mark of a kind."""
        self._ask(kind, deciding.one_there(self.pencil, self._at, kind))

    def action_edit(self) -> None:
        """End what is being drawn here; else edit the chosen mark."""
        with self._quietly():
            if self._stretch is not None:
                self._end_stretch(self._stretch)
                return
            mark = self._wanted()
            again = stretch_of(mark)
            if again is None:
                self._go(mark.at, mark.id)
                self._ask(mark.kind, mark)
            else:
                self._go(mark.to or mark.at, mark.id)
                self._begin_stretch(again)

    def action_strike(self) -> None:
        """Decide against the chosen mark."""
        with self._deciding():
            mark = self._wanted()
            if mark.struck:
                raise RequestError(f"It is struck already; {self.coach.first_keys()['keep']} restores it.")
            self.pencil.strike(mark.id)
            self._mark = mark.id

    def action_keep(self) -> None:
        """Decide for the chosen mark, suggested or struck."""
        with self._deciding():
            mark = self._wanted()
            if mark.state == "kept":
                raise RequestError("It is kept already.")
            self.pencil.keep(mark.id)
            self._mark = mark.id

    def action_undo(self) -> None:
        """Take the last change back."""
        self._walk_back("Taken back", "There is nothing to take back.", -1)

    def action_redo(self) -> None:
        """Make the change again that was taken back."""
        self._walk_back("Made again", "There is nothing to make again.", 1)

    def _walk_back(self, done: str, nothing: str, by: int) -> None:
        with self._quietly():
            before = self.pencil.prep
            if not (self.pencil.undo() if by < 0 else self.pencil.redo()):
                raise RequestError(nothing)
            changed = _changed(before.marks, self.pencil.prep.marks)
            if changed is None:
                self._said = f"{done}."
            else:
                self._point(changed.at, changed.id)
                there = any(mark.id == changed.id for mark in self.pencil.prep.marks)
                self._said = f"{done}: {self._words(changed)}{'' if there else ', gone'}."
            self.refresh_place()

    def action_like(self) -> None:
        """Offer the chosen mark at all like places."""
        from coach.screen.stand.alike import ask_like

        with self._quietly():
            ask_like(self.coach, self._piece(), self._wanted(), self._all_written)

    def _all_written(self, made: tuple[Mark, ...]) -> None:
        self._said = f"Written at {len(made)} more place{'' if len(made) == 1 else 's'}."
        self.refresh_place()

    # Stretches

    def action_stretch(self, sign: str) -> None:
        """Begin a hairpin here."""
        with self._quietly():
            content = self._typed("dynamic", sign)
            if isinstance(content, Dynamic):
                self._begin_stretch(Stretch(content, self._at))

    def action_phrase(self) -> None:
        """Begin a phrase here; while one is drawn, it leads here."""
        drawn = self._stretch
        if drawn is not None and isinstance(drawn.content, Phrase):
            self._begin_stretch(Stretch(drawn.content, drawn.at, self._at, drawn.mark))
            self._said = f"It leads here: {place_text(self._spot(self._piece()))}; now its last note and enter."
            self.refresh_place()
        else:
            self._begin_stretch(Stretch(Phrase(self._at), self._at))

    def _begin_stretch(self, stretch: Stretch) -> None:
        self._stretch, self._said = stretch, ""
        self.refresh_place()

    def _end_stretch(self, stretch: Stretch) -> None:
        first, last = stretch.at, self._at
        if not stretch.mark:
            first, last = sorted((first, last), key=self._order.__getitem__)
        content = stretch.finished(first, last, self._order)
        with self._deciding():
            made = self.pencil.edit(stretch.mark, content) if stretch.mark else self.pencil.put(content, first)
            self._mark, self._stretch = made.id, None

    # Typing

    def _typed(self, kind: str, text: str) -> Content:
        return typed(kind, text, self._piece().piece.part, self._at)

    def _ask(self, kind: str, old: Mark | None, text: str | None = None, fault: str = "") -> None:
        from coach.screen.dialogs import Ask

        opened = self._piece()
        if text is None:
            text = typed_text(old.content, opened.piece.part, old.at) if old is not None else ""
        title = f"{_TITLES[kind]} {place_text(self._spot(opened))}"
        hint = f"! {fault}" if fault else HINTS[kind]
        self.app.push_screen(Ask(title, hint, text), lambda answer: self._take(kind, old, answer))

    def _take(self, kind: str, old: Mark | None, answer: str | None) -> None:
        if answer is None or not answer.strip():
            return
        try:
            content = self._typed(kind, answer)
        except RequestError as error:
            self._ask(kind, old, answer, str(error))  # what was typed is not lost
            return
        if wants_end(content) and isinstance(content, Dynamic | Pace):
            self._begin_stretch(Stretch(content, self._at, "", old.id if old is not None else ""))
            return
        with self._deciding():
            self._mark = deciding.write(self.pencil, self._at, content, old)

    # Telling

    @contextmanager
    def _deciding(self) -> Iterator[None]:
        """Make a change, then tell the chosen mark as it is now, and what was struck for it."""
        with self._quietly():
            self._said = ""
            yield
            self._tell_mark()
        self.refresh_place()

    def _tell_mark(self) -> None:
        mark = next((mark for mark in self.pencil.prep.marks if mark.id == self._mark), None)
        if mark is None:
            return
        also = " ".join(self.pencil.said)
        count = 0 if mark.struck or also else len(self.pencil.like(mark))
        if count:
            key = self.coach.first_keys()["like"]
            also = f"{count} like place{'' if count == 1 else 's'}: {key} puts it there too."
        self._said = " ".join(filter(None, (f"{self._words(mark)}.", also)))

    def _words(self, mark: Mark) -> str:
        words = mark_words(mark, self._piece().piece.part)
        whose = f", {ORIGIN_WORDS[mark.origin]}" if mark.origin == "computed" else ""
        return f"{words[:1].upper()}{words[1:]}{whose}"

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

    # Coming and going

    def action_play(self) -> None:
        """Play from the measure of the cursor (or the range), or stop."""
        if self.coach.sounding.wanted:
            self.coach.stop_sound()
        else:
            self.coach.play(self.session.take())

    def action_notices(self) -> None:
        """What in the files was not understood."""
        from coach.screen.stand.state import notices_dialog

        self.app.push_screen(notices_dialog(self.session))

    def action_down(self) -> None:
        """Leave what is being drawn; else put the pencil down."""
        if self._stretch is not None:
            self._stretch, self._said = None, "Nothing was drawn."
            self.refresh_place()
        else:
            self.leave()

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


def _changed(before: tuple[Mark, ...], after: tuple[Mark, ...]) -> Mark | None:
    """The first mark that differs, as it is after the change, else as it was."""
    old, new = {mark.id: mark for mark in before}, {mark.id: mark for mark in after}
    for name in (*new, *old):
        if old.get(name) != new.get(name):
            return new.get(name) or old.get(name)
    return None


assert set(KINDS) - {"phrase"} == set(_TITLES)  # noqa: S101  a kind that cannot be typed could not be edited

"""The pencil: a cursor on the notes of the Stand, and a key for each kind of mark.

It lies over the Stand with the same music at the same place and as large. Whatever is decided is on the disk at once;
what was done is told in the line under the music.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING

from coach.errors import RequestError
from coach.prepare.mark import KINDS, Content, Dynamic, Mark, Ornament, Pace, Phrase
from coach.prepare.typed import HINTS, typed, typed_text
from coach.prepare.words import mark_words
from coach.screen.actions import PENCIL, bindings_of
from coach.screen.stand import deciding
from coach.screen.stand.air import fault_of
from coach.screen.stand.pointing import PointingScreen
from coach.screen.stand.stretch import Stretch, stretch_of, wants_end
from coach.screen.stand.telling import ORIGIN_WORDS, place_text

if TYPE_CHECKING:
    from coach.screen.stand.ways import Chosen

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


class PencilScreen(PointingScreen):
    """The pencil in hand."""

    BINDINGS = bindings_of(PENCIL)

    _checked: "tuple[Mark, tuple[str, ...]] | None" = None  # a breath decided just now, and what did not work before

    def refresh_place(self) -> None:
        """Show the note pointed at; when the plan around a breath that was just decided is there, tell what cannot
        work."""
        plan, checked = self.session.breaths, self._checked
        if plan is not None and checked is not None:
            self._checked = None
            fault = fault_of(plan, self._piece().piece.part, *checked) if self._at == checked[0].at else ""
            self._said = f"! {fault} {self._said}" if fault and self._said else self._said
        super().refresh_place()

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

    def action_ways(self) -> None:
        """The ways to play the ornament here; without one, notes are typed."""
        main = self.session.prepared.main_note(self._at)
        if not main:
            self.action_write("ornament")
            return
        with self._quietly():
            self._ask_way(main)

    def _ask_way(self, main: str) -> None:
        from coach.screen.stand.ways import WaysScreen, place_of

        session, opened = self.session, self._piece()
        decided = session.prepared
        title = f"How to play {place_text(self._spot_of(main), session.glyphs)}"
        self.app.push_screen(
            WaysScreen(
                title,
                decided.ways.get(main, ()),
                decided.ornament(main),
                place_of(session, opened.piece, main),
                session.glyphs,
                lambda content: self._hear(main, content),
            ),
            lambda chosen: self._take_way(main, chosen),
        )

    def _take_way(self, main: str, chosen: "Chosen | None") -> None:
        """Write the way that was chosen, and play it."""
        if chosen is None:
            return
        self._go(main)
        if chosen.content is None:
            self.action_write("ornament")
            return
        with self._deciding():
            old = deciding.one_there(self.pencil, main, "ornament")
            self._mark = deciding.write(self.pencil, main, chosen.content, old, chosen.because)
        self._hear(main, chosen.content)

    def _hear(self, main: str, content: Ornament) -> None:
        """Play the measures of an ornament with it, or stop."""
        from coach.screen.stand.ways import span_of

        with self._quietly():
            self.coach.play(self.session.take_of(span_of(self._piece().piece, main, content), (main, content)))

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

    def action_keep_all(self) -> None:
        """Decide for every suggestion, or for those of a kind."""
        from coach.screen.stand.suggesting import ask_keep

        with self._quietly():
            chosen = self._chosen()
            ask_keep(self.coach, chosen.kind if chosen is not None else "", self._all_kept)

    def _all_kept(self, done: str) -> None:
        self._said = " ".join((done, *self.pencil.said))
        self.refresh_place()

    def action_suggest(self) -> None:
        """Suggest ornaments, dynamics, breaths or reminders."""
        from coach.screen.stand.suggesting import ask_suggestions

        with self._quietly():
            ask_suggestions(self.coach)

    def action_fingerings(self) -> None:
        """Suggest fingerings, in place of those suggested before."""
        from coach.screen.stand.fingers import suggest_hands

        with self._quietly():
            suggest_hands(self.coach)

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
                self._said = f"{done}{'' if there else ', gone'}: {self._words(changed)}."
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
            self._said = f"It leads to {self._spot(self._piece()).name}: now enter at its last note."
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
        title = f"{_TITLES[kind]} {place_text(self._spot(opened), self.session.glyphs)}"
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
        """Make a change, then tell that it is made, what was struck for it, and where else it could stand."""
        with self._quietly():
            self._said = ""
            yield
            self._tell_mark()
        self.refresh_place()

    def _tell_mark(self) -> None:
        """What the mark says is told above, so that this is short."""
        mark = next((mark for mark in self.pencil.prep.marks if mark.id == self._mark), None)
        if mark is None:
            return
        keys = self.coach.first_keys()
        if mark.kind == "breath":
            plan = self.session.last_breaths  # that for the marks as they were
            self._checked = mark, plan.here.troubles if plan is not None else ()
        if mark.struck:
            told = (f"Struck; {keys['keep']} restores it.", *self.pencil.said)
        else:
            count = len(self.pencil.like(mark))
            like = f"{count} like place{'' if count == 1 else 's'}: {keys['like']} puts it there too." if count else ""
            told = ("Written.", *self.pencil.said, like)
        self._said = " ".join(filter(None, told))

    def _words(self, mark: Mark) -> str:
        words = mark_words(mark, self._piece().piece.part)
        whose = f", {ORIGIN_WORDS[mark.origin]}" if mark.origin == "computed" else ""
        return f"{words}{whose}"

    # Coming and going

    def action_play(self) -> None:
        """Play from the measure of the cursor (or the range), or stop."""
        if self.coach.sounding.wanted:
            self.coach.stop_sound()
        else:
            self.coach.play(self.session.take())

    def action_plain(self) -> None:
        """Play it as printed, or as it is decided; both can be compared from the same measure."""
        session = self.session
        session.plain = not session.plain
        self._said = "Heard just as printed." if session.plain else "Heard as it is decided."
        if self.coach.sounding.wanted:
            self.coach.play(session.take(), session.measure_id(session.chosen))
        self.refresh_place()

    def action_bands(self) -> None:
        """What stands under the staff: the level, the air, both, nothing."""
        self._said = self.session.turn_bands()
        self.refresh_place()

    def action_drills(self) -> None:
        """Make a drill of the note under the cursor, or of its measure."""
        from coach.screen.stand.drills import ask_drill

        with self._quietly():
            ask_drill(self.coach, self._at)

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


def _changed(before: tuple[Mark, ...], after: tuple[Mark, ...]) -> Mark | None:
    """The first mark that differs, as it is after the change, else as it was."""
    old, new = {mark.id: mark for mark in before}, {mark.id: mark for mark in after}
    for name in (*new, *old):
        if old.get(name) != new.get(name):
            return new.get(name) or old.get(name)
    return None


assert set(KINDS) - {"phrase"} == set(_TITLES)  # noqa: S101  a kind that cannot be typed could not be edited

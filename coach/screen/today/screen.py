"""Today: the spots by need, with their share of clean reps, and a plan for the minutes there are."""

from typing import TYPE_CHECKING

from rich.text import Text
from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.message import Message
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from coach.errors import CoachError
from coach.screen.actions import bindings_of
from coach.screen.place import Line, Place

if TYPE_CHECKING:
    from coach.practice.today import Need, Plan
    from coach.screen.today.words import Day

MINUTES = 30


class TodayScreen(Place):
    """What to work on."""

    PLACE = "today"
    BINDINGS = bindings_of("today")

    class Read(Message):
        """The day was read from the log."""

        def __init__(self, day: "Day") -> None:
            self.day = day
            super().__init__()

    def __init__(self) -> None:
        super().__init__()
        self.minutes = MINUTES
        self.needs: tuple[Need, ...] = ()
        self.plan: Plan | None = None

    def compose_body(self) -> ComposeResult:
        """The cautions; the spots and the plan follow."""
        yield Static(id="today-empty", markup=False)
        yield Static(CAUTION, classes="quiet", id="today-caution")

    def refresh_place(self) -> None:
        """Read the log in the background; the first paint does not wait for it."""
        if self.coach.ready:
            self.run_worker(self._read, thread=True, exclusive=True, group="today")

    def _read(self) -> None:
        from coach.screen.today.words import read_day

        try:
            self.post_message(self.Read(read_day(self.coach.desk, self.minutes)))
        except CoachError as error:
            self.app.call_later(self.coach.tell, error)

    async def on_today_screen_read(self, message: Read) -> None:
        """Show the day."""
        if not self.query(OptionList):
            await self._mount_lists()
        if len(self.query("#today-needs, #today-items, #today-empty")) < 3:
            return  # the program is being left, and its widgets are going
        from coach.screen.today.words import empty_text, need_text, plan_text

        day, glyphs = message.day, self.session.glyphs
        self.needs, self.plan = day.needs, day.plan
        self.set_class(not day.needs, "-empty")
        listed = self.query_one(OptionList)
        highlighted = listed.highlighted
        listed.clear_options()
        listed.add_options(
            [Option(need_text(need, day, glyphs, self.state_colours())) for need in day.needs],
        )
        if day.needs:
            listed.highlighted = min(highlighted or 0, len(day.needs) - 1)
        self.query_one("#today-empty", Static).update(empty_text(day))
        self.query_one("#today-items", Static).update(plan_text(day) if day.needs else Text(""))

    async def _mount_lists(self) -> None:
        """The list and the plan come with the first reading; the first paint does not wait for them."""
        head = Line("Spots by need: enter works on the marked one", classes="strong", id="today-head")
        plan = VerticalScroll(Static(id="today-items", markup=False), id="today-plan")
        needs = OptionList(id="today-needs")
        await self.query_one(".body").mount(head, needs, plan, before="#today-empty")
        needs.focus()

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        """Work on the spot chosen."""
        with self.coach.telling():
            self._work_on(self.needs[event.option_index], play=False)

    def _work_on_marked(self, play: bool) -> None:
        marked = self.query_one(OptionList).highlighted if self.query(OptionList) else None
        if marked is not None and marked < len(self.needs):
            self._work_on(self.needs[marked], play)

    def _work_on(self, need: "Need", play: bool) -> None:
        from coach.lesson.stand import find

        session = self.session

        def begin() -> None:
            session.spot = need.spot
            self.coach.action_place("drill")
            if play:
                self.coach.call_after_refresh(self.coach.run_action, "screen.play")

        if session.opened is not None and session.opened.set_piece.id == need.spot.piece:
            begin()
        else:
            self.coach.open(find(self.coach.desk, need.spot.piece), begin)

    def action_play(self) -> None:
        """Stop; or go to the marked spot and play it."""
        if self.coach.sounding.wanted:
            self.coach.stop_sound()
            return
        self._work_on_marked(play=True)

    def action_work(self) -> None:
        """Work on the marked spot."""
        self._work_on_marked(play=False)

    def action_minutes(self) -> None:
        """Ask how many minutes there are."""
        from coach.screen.dialogs import Ask

        self.app.push_screen(Ask("Minutes for today", "from 5 to 480", str(self.minutes)), self._set_minutes)

    def _set_minutes(self, text: str | None) -> None:
        if text and text.strip().isdigit():
            self.minutes = int(text)
            self.coach.show_state()
        elif text:
            self.coach.tell(f"{text!r} is no number of minutes; write one such as 30.")

    def action_open(self) -> None:
        """Open a piece or add a file."""
        from coach.screen.pieces import choose_piece

        choose_piece(self.coach)

    def action_demo(self) -> None:
        """Put the demo piece on the stand."""
        from coach.screen.pieces import open_demo

        open_demo(self.coach)


CAUTION = (
    "Pain means stop. Rest five minutes in each half hour. Dizzy means stop and sit down. "
    "A teacher or a clinician outranks this program."
)

"""Setup: the settings as a list of lines, then every key; what is changed is written at once."""

from dataclasses import replace

from rich.text import Text
from textual.app import ComposeResult
from textual.widgets import OptionList
from textual.widgets.option_list import Option

from coach.config import Settings, with_key
from coach.errors import CoachError
from coach.screen.actions import COMMANDS, Command, bindings_of, clashes, key_words, keys_in_force
from coach.screen.dialogs import Ask, AskKey, Choice, Choose
from coach.screen.drone import sounding_midi
from coach.screen.place import PLACE_STYLE, Line, Place
from coach.screen.setup.air_rows import AIR_ROWS, MEASURE
from coach.screen.setup.measuring import ask_measurement
from coach.screen.setup.rows import ROWS, Row

DRONE = len(ROWS)  # the line after the settings
FIRST_AIR = DRONE + 2  # after the drone and a heading
MEASURING = FIRST_AIR + len(AIR_ROWS)
FIRST_KEY = MEASURING + 2  # after the measurement and a heading


class SetupScreen(Place):
    """Sound, click, ladder, colours, keys."""

    PLACE = "setup"
    CSS_PATH = [PLACE_STYLE, "screen.tcss"]
    AUTO_FOCUS = "#setup-list"
    BINDINGS = bindings_of("setup")

    def __init__(self) -> None:
        super().__init__()
        self._drone = ""

    def compose_body(self) -> ComposeResult:
        """One list of everything."""
        yield Line("Enter changes the marked line; it is written at once", classes="strong")
        yield OptionList(id="setup-list")
        yield Line(_LOUD, id="setup-caution", classes="quiet")

    def refresh_place(self) -> None:
        """Show what holds."""
        listed = self.query_one(OptionList)
        marked, settings = listed.highlighted, self.coach.desk.settings
        lines = [_line(row.name, row.value(settings)) for row in ROWS]
        lines += [_line("Drone", self._drone or "silent")]
        options = [Option(line) for line in lines]
        options.append(Option(Text("Air: a model, and no medical test", style="bold"), disabled=True))
        options += [Option(_line(row.name, row.value(settings))) for row in AIR_ROWS]
        options.append(Option(_line(MEASURE, _measured_words(settings))))
        options.append(
            Option(Text("Keys (enter: another key; a: one more key; delete: as at first)", style="bold"), disabled=True)
        )
        keys = keys_in_force(dict(settings.keys))
        options += [Option(_line(key_words(keys[c.id]), _command_name(c))) for c in COMMANDS]
        listed.clear_options()
        listed.add_options(options)
        listed.highlighted = marked or 0

    def on_option_list_option_highlighted(self, event: OptionList.OptionHighlighted) -> None:
        """The caution that belongs to the marked line."""
        of_air = FIRST_AIR <= event.option_index <= MEASURING
        self.query_one("#setup-caution", Line).say(_DIZZY if of_air else _LOUD)

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        """Change the line chosen."""
        with self.coach.telling():
            self._change(event.option_index)

    def action_change(self) -> None:
        """Change the marked line."""
        marked = self.query_one(OptionList).highlighted
        if marked is not None:
            self._change(marked)

    def _change(self, index: int) -> None:
        if index == DRONE:
            self._ask_drone()
        elif index >= FIRST_KEY:
            self._ask_key(COMMANDS[index - FIRST_KEY], add=False)
        elif index == MEASURING:
            ask_measurement(self.coach, lambda air: self._put(replace(self.coach.desk.settings, air=air)))
        elif index >= FIRST_AIR:
            self._ask(AIR_ROWS[index - FIRST_AIR])
        elif ROWS[index].name == "Sound":
            self.coach.in_background("looking for MIDI ports", _outputs, self._ask_output)
        else:
            self._ask(ROWS[index])

    # Settings

    def _ask(self, row: Row) -> None:
        settings = self.coach.desk.settings

        def take(text: str | None) -> None:
            if text is not None:
                with self.coach.telling():
                    self._put(row.change(settings, text))

        if row.choices:
            self.app.push_screen(Choose(row.name, row.choices, row.now(settings)), take)
        else:
            self.app.push_screen(Ask(row.name, row.hint, row.now(settings)), take)

    def _put(self, settings: Settings) -> None:
        """Write settings and let them be heard and seen; they hold for this run even if they cannot be written."""
        before = self.coach.desk.settings
        try:
            self.coach.desk.change(settings)
        finally:
            self.coach.take_settings(before)
            self.coach.show_state()

    def _ask_output(self, ports: tuple[str, ...]) -> None:
        settings = self.coach.desk.settings
        choices = [Choice("this computer's sound", "", "audio"), Choice("no sound", "", "none")]
        choices += [Choice(f"MIDI: {port}", "", f"midi:{port}") for port in ports]

        def take(name: str | None) -> None:
            if name is not None:
                with self.coach.telling():
                    self._put(replace(settings, output=name))

        self.app.push_screen(Choose("Where the sound goes", choices, settings.output), take)

    def _ask_drone(self) -> None:
        hint = "a written pitch such as Bb4 or F#3, held until it is told otherwise; empty: silent"
        self.app.push_screen(Ask("Drone", hint, self._drone), self._take_drone)

    def _take_drone(self, text: str | None) -> None:
        if text is None:
            return
        with self.coach.telling():
            wanted = text.strip()
            self.coach.sounding.drone(sounding_midi(wanted, self.session.opened) if wanted else None)
            self._drone = wanted
            self.coach.show_state()

    # Keys

    def _ask_key(self, command: Command, add: bool) -> None:
        def take(key: str | None) -> None:
            if key is not None:
                with self.coach.telling():
                    self._put_key(command, key, add)

        self.app.push_screen(AskKey(_command_name(command)), take)

    def _put_key(self, command: Command, key: str, add: bool) -> None:
        in_force = keys_in_force(dict(self.coach.desk.settings.keys))
        taken = clashes(command, [key], in_force)
        if taken or key in _KEPT:
            what = _KEPT.get(key) or " and ".join(_command_name(other) for other in taken)
            raise CoachError(
                f"{key_words(key).capitalize()} is taken: {what}. Choose another key, or change that one first."
            )
        old = in_force[command.id].split(",")
        keys = [*old, key] if add and key not in old else [key]
        self._put(with_key(self.coach.desk.settings, command.id, ",".join(keys)))

    def action_more_keys(self) -> None:
        """One more key for the marked command."""
        marked = self.query_one(OptionList).highlighted
        if marked is not None and marked >= FIRST_KEY:
            self._ask_key(COMMANDS[marked - FIRST_KEY], add=True)
        else:
            self.coach.say("Mark a line below Keys first.")

    def action_reset(self) -> None:
        """The marked line as it was at first."""
        marked = self.query_one(OptionList).highlighted
        settings = self.coach.desk.settings
        if marked is not None and marked >= FIRST_KEY:
            gone = COMMANDS[marked - FIRST_KEY]
            taken = clashes(gone, gone.keys.split(","), keys_in_force({**dict(settings.keys), gone.id: ""}))
            if taken:
                raise CoachError(
                    f"{key_words(gone.keys).capitalize()} is taken by {_command_name(taken[0])}; change that first."
                )
            kept = tuple(pair for pair in settings.keys if pair[0] != gone.id)
            self._put(replace(settings, keys=kept))
        elif marked is not None and marked < len(ROWS):
            self._put(ROWS[marked].change(settings, ROWS[marked].now(Settings())))
        elif marked is not None and FIRST_AIR <= marked < MEASURING:
            row = AIR_ROWS[marked - FIRST_AIR]
            self._put(row.change(settings, row.now(Settings())))


_LOUD = "Keep it low in headphones; what rings in the ears afterwards was too loud."
_DIZZY = "Dizzy: stop and sit down. Rest between, force nothing. A doctor outranks this."
_KEPT = {"ctrl+c": "it stops the sound", "ctrl+p": "the palette", "escape": "it closes what lies over a screen"}


def _command_name(command: Command) -> str:
    places = f" ({', '.join(place.capitalize() for place in command.places)})" if command.places else ""
    return command.words + places


def _line(name: str, value: str) -> Text:
    return Text.assemble((f"{name:<24} ", "not bold"), (value, "bold"))


def _measured_words(settings: Settings) -> str:
    return "measured" if settings.air.measured_litres and settings.air.flows else "not measured yet; three tones"


def _outputs() -> tuple[str, ...]:
    from coach.lesson.playing import ports

    return ports()

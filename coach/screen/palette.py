"""The palette: everything that keys do at the place in front, by name."""

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from textual.app import SystemCommand

from coach.screen.actions import commands_of, key_words, keys_in_force

if TYPE_CHECKING:
    from coach.screen.app import CoachApp


def offers(app: "CoachApp") -> Iterator[SystemCommand]:
    """One entry for each key of the place, and one for the colours."""
    place = app.place
    keys = keys_in_force(dict(app.desk.settings.keys))
    for command in commands_of(place.PLACE) if place is not None else ():
        target = place if place is not None and place.PLACE in command.places else app

        async def run(action: str = command.action, target: Any = target) -> None:
            await app.run_action(action, target)

        yield SystemCommand(command.words.capitalize(), f"key: {key_words(keys[command.id])}", run)
    yield SystemCommand("Colours", "choose a theme", app.action_change_theme)

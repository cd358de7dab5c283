"""What the tests of the pencil share: taking it up, and reading the prep file with Python's own TOML reader."""

import tomllib
from typing import Any

from textual import events
from textual.widgets import Input

from tests.screen.sitting import Sitting


async def take_up(at: Sitting) -> None:
    """Go to the Stand and take up the pencil at the first note of the demo, an A flat."""
    await at.until(lambda: at.app.session.opened is not None)
    await at.press("2")
    await at.shows("measure 1 of 30")
    await at.press("p")
    await at.goes("pencil")
    flat = at.app.session.glyphs.accidentals[1]
    await at.shows(f"A{flat}4, beat 1 of measure 1", "puts the pencil down")


def on_disk(at: Sitting) -> list[dict[str, Any]]:
    """The marks in the file of the piece in hand, in its order."""
    assert at.app.session.opened is not None
    path = at.app.desk.paths.preps / f"{at.app.session.opened.set_piece.id}.toml"
    if not path.exists():
        return []
    found: list[dict[str, Any]] = tomllib.loads(path.read_text("utf-8")).get("mark", [])
    return found


def at_note(at: Sitting, note: str) -> list[dict[str, Any]]:
    """The marks at a note in the file."""
    return [mark for mark in on_disk(at) if mark["at"] == note]


class Hands:
    """Presses keys and counts them, each letter typed into a line too."""

    def __init__(self, at: Sitting) -> None:
        self.at = at
        self.pressed = 0

    async def press(self, *keys: str) -> None:
        self.pressed += len(keys)
        await self.at.press(*keys)

    async def type(self, text: str) -> None:
        """Type a text into the line in front, letter by letter, and press enter."""
        await self.at.until(lambda: isinstance(self.at.app.focused, Input))
        for letter in text:
            event = events.Key("space" if letter == " " else letter, letter)
            event.set_sender(self.at.app)
            assert self.at.app._driver is not None
            self.at.app._driver.send_message(event)
        await self.at.press("enter")
        await self.at.until(lambda: not isinstance(self.at.app.focused, Input))
        self.pressed += len(text) + 1


async def do(at: Sitting, keys: list[str]) -> None:
    for key in keys:
        await (at.write(key[1:]) if key.startswith("=") else at.press(key))

"""What every output offers the engine, and the output that makes no sound."""

from typing import Protocol

from coach.sound.action import Action
from coach.sound.deck import FRAMES_PER_S, Deck
from coach.sound.pacer import Pacer


class Output(Protocol):
    """Draws blocks from the deck and makes them heard, in a thread of its own."""

    @property
    def name(self) -> str:
        """ "audio", "none" or "midi:<port's name>"."""
        ...

    def start(self) -> None:
        """Begin to draw. Raises SoundError if nothing answers."""

    def lost(self) -> str | None:
        """One sentence if it has stopped working; asked 30 times a second."""
        ...

    def set_gain(self, what: str, db: float) -> None:
        """Set one gain in dB."""

    def drone(self, midi: float | None) -> None:
        """Hold a pitch until told None."""

    def close(self) -> None:
        """Silence everything and let the device go, within two seconds."""


class NoOutput:
    """Time passes and nothing sounds."""

    name = "none"

    def __init__(self, deck: Deck) -> None:
        self._pacer = Pacer(deck, self, block=FRAMES_PER_S // 100, spin_s=0.0)

    def start(self) -> None:
        """Let time pass."""
        self._pacer.start()

    def lost(self) -> str | None:
        """Never: it needs nothing."""
        return None

    def set_gain(self, what: str, db: float) -> None:
        """Nothing sounds."""

    def drone(self, midi: float | None) -> None:
        """Nothing sounds."""

    def perform(self, action: Action) -> None:
        """Nothing sounds."""

    def settle(self, now_s: float) -> None:
        """Nothing waits."""

    def close(self) -> None:
        """Let time stop."""
        self._pacer.close()

"""The player's protocol, and a player that makes no sound: the public fake, for tests and for screens without sound."""

from collections.abc import Callable
from typing import Protocol

from coach.sound.timeline import Timeline
from coach.sound.transport import Position, Transport, course

GAINS = ("voice", "others", "click", "drone", "all")
TICKS_PER_S = 48_000


class PlayerLike(Protocol):
    """What plays timelines. No call waits for the sound; what goes wrong comes out of `take_troubles`."""

    @property
    def position(self) -> Position:
        """Where playing is now; cheap enough to be read at every repaint."""
        ...

    def load(
        self, timeline: Timeline, *, loop: bool = False, rate: float = 1.0, silence: tuple[int, int] | None = None
    ) -> None:
        """Stop, and make a timeline ready. `rate` is nominal seconds per second; `silence` is measures with the click
        heard, then without, in turn. Raises RequestError for a rate or a silence that makes no sense."""

    def play(self, from_s: float | None = None) -> None:
        """Play what is loaded from a nominal time; None starts with the count-in."""

    def stop(self) -> None:
        """Stop; every note ends."""

    def set_rate(self, rate: float) -> None:
        """Change the speed while playing. Raises RequestError for a rate that is not above 0."""

    def set_gain(self, what: str, db: float) -> None:
        """Set the gain of "voice", "others", "click", "drone" or "all" in dB."""

    def drone(self, midi: float | None) -> None:
        """Hold a sounding pitch (MIDI number, fractions allowed) until told None."""

    def set_output(self, name: str) -> None:
        """Send the sound to "audio", "none" or "midi:<part of a port's name>"; also tries a lost output again."""

    def set_tuning(self, a_hz: float) -> None:
        """Tune the A above middle C to that many hertz; stops what plays."""

    def take_troubles(self) -> tuple[str, ...]:
        """What went wrong since last asked, a sentence each."""
        ...

    def close(self) -> None:
        """End every note and let the output go; takes two seconds at the most."""


class SilentPlayer:
    """Plays without sound by a clock that is given (seconds, rising); `calls` lists what was asked, in order."""

    def __init__(self, clock: Callable[[], float]) -> None:
        self._clock = clock
        self._transport = Transport(Timeline((), 0.0), sample_rate=TICKS_PER_S)
        self._from_s = clock()
        self.calls: list[tuple[object, ...]] = []
        self.troubles: list[str] = []

    @property
    def position(self) -> Position:
        """Where playing is by the clock."""
        self._catch_up()
        return self._transport.position

    def load(
        self, timeline: Timeline, *, loop: bool = False, rate: float = 1.0, silence: tuple[int, int] | None = None
    ) -> None:
        """Make a timeline ready."""
        self.calls.append(("load", timeline, loop, rate, silence))
        self._catch_up()
        self._transport.load(course(timeline, loop=loop, silence=silence))
        self._transport.set_rate(rate)

    def play(self, from_s: float | None = None) -> None:
        """Start the clock's time running."""
        self.calls.append(("play", from_s))
        self._catch_up()
        self._transport.play(from_s)

    def stop(self) -> None:
        """Stop."""
        self.calls.append(("stop",))
        self._catch_up()
        self._transport.stop()

    def set_rate(self, rate: float) -> None:
        """Change the speed from now on."""
        self.calls.append(("set_rate", rate))
        self._catch_up()
        self._transport.set_rate(rate)

    def set_gain(self, what: str, db: float) -> None:
        """Note the gain; nothing sounds."""
        self.calls.append(("set_gain", what, db))

    def drone(self, midi: float | None) -> None:
        """Note the drone; nothing sounds."""
        self.calls.append(("drone", midi))

    def set_output(self, name: str) -> None:
        """Note the output; nothing sounds."""
        self.calls.append(("set_output", name))

    def set_tuning(self, a_hz: float) -> None:
        """Note the tuning, and stop as every player does."""
        self.calls.append(("set_tuning", a_hz))
        self._catch_up()
        self._transport.stop()

    def take_troubles(self) -> tuple[str, ...]:
        """The sentences put into `troubles`."""
        taken = tuple(self.troubles)
        self.troubles.clear()
        return taken

    def close(self) -> None:
        """Stop."""
        self.calls.append(("close",))
        self._transport.stop()

    def _catch_up(self) -> None:
        now_s = self._clock()
        frames = int((now_s - self._from_s) * TICKS_PER_S)
        self._from_s += frames / TICKS_PER_S
        self._transport.advance(frames)

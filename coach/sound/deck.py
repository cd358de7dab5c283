"""The deck: the one transport of the sound process, and the orders that wait for the next block.

One output at a time draws blocks from it. Orders are left in a queue that needs no lock, so that the thread that makes
sound never waits for the one that talks.
"""

from collections import deque
from collections.abc import Callable
from dataclasses import replace
from time import perf_counter

from coach.sound.action import Action
from coach.sound.timeline import Timeline
from coach.sound.transport import Position, Transport

FRAMES_PER_S = 48_000
_STALE_S = 0.1  # a position is carried on by the clock no longer than this after its block


class Deck:
    """Gives out blocks of actions; `blocks` counts them, so that an output that has stopped drawing can be noticed."""

    def __init__(self) -> None:
        self.transport = Transport(Timeline((), 0.0), sample_rate=FRAMES_PER_S)
        self.blocks = 0
        self.turn = 0
        self._orders: deque[Callable[[], None]] = deque()
        self._heard: tuple[Position, float, float] = (self.transport.position, 1.0, perf_counter())

    def post(self, order: Callable[[], None], turn: int | None = None) -> None:
        """Have an order obeyed at the start of the next block, by the thread that draws it."""

        def obey() -> None:
            order()
            if turn is not None:
                self.turn = turn

        self._orders.append(obey)

    def block(self, frames: int, queued: int = 0) -> tuple[Action, ...]:
        """Obey what waits, then move on by so many frames; `queued` frames were given out and are not heard yet."""
        while self._orders:
            self._orders.popleft()()
        transport = self.transport
        self._heard = (transport.heard(queued), transport.rate, perf_counter())
        actions = transport.advance(frames)
        if self._heard[0].playing and not transport.playing:
            self._heard = (transport.position, transport.rate, perf_counter())
        self.blocks += 1
        return actions

    def now(self) -> tuple[Position, float]:
        """The position heard at this moment, and the rate."""
        position, rate, then_s = self._heard
        if position.playing:
            position = replace(position, at_s=position.at_s + min(perf_counter() - then_s, _STALE_S) * rate)
        return position, rate

"""The pacer: draws blocks from the deck by the clock and has each action performed at its own instant.

Deadlines are absolute, counted from one start, so nothing drifts. Near a deadline the thread stops sleeping and watches
the clock, because a sleep ends late by a tenth of a millisecond or more. A block is drawn a moment before it begins.
After a stall (the machine was busy or asleep) the music goes on from where it was; nothing is played in a burst.
"""

import sys
import threading
from time import perf_counter, sleep
from typing import Protocol

from coach.sound.action import Action
from coach.sound.deck import FRAMES_PER_S, Deck

STALL_S = 0.05


class Performer(Protocol):
    """Does what the pacer says when it says it."""

    def perform(self, action: Action) -> None:
        """Do it now."""

    def settle(self, now_s: float) -> None:
        """Do what is pending by the clock; called after every block."""


class Pacer:
    """A thread that plays the deck for a performer. `block` is in frames; `spin_s` is how long before a deadline the
    clock is watched (0: only sleep)."""

    def __init__(self, deck: Deck, performer: Performer, *, block: int, spin_s: float) -> None:
        self._deck = deck
        self._performer = performer
        self._block = block
        self._spin_s = spin_s
        self._stop = threading.Event()
        self._thread = threading.Thread(target=self._run, name="pacer", daemon=True)
        self.failure: BaseException | None = None

    def start(self) -> None:
        """Begin now."""
        self._thread.start()

    def close(self, timeout_s: float = 1.0) -> bool:
        """End the thread; whether it ended in time."""
        self._stop.set()
        if self._thread.is_alive():
            self._thread.join(timeout_s)
        return not self._thread.is_alive()

    def _run(self) -> None:
        try:
            self._pace()
        except BaseException as error:  # noqa: BLE001 - the engine asks for it and goes on without this output
            self.failure = error
            sys.excepthook(type(error), error, error.__traceback__)

    def _pace(self) -> None:
        begin_s, frames = perf_counter() + self._spin_s, 0
        while not self._stop.is_set():
            block_s = begin_s + frames / FRAMES_PER_S
            self._wait(block_s - self._spin_s)
            late_s = perf_counter() - block_s
            if late_s > STALL_S:
                sys.stderr.write(f"stalled for {late_s:.3f} s\n")
                begin_s += late_s
                block_s += late_s
            for action in self._deck.block(self._block):
                self._meet(block_s + action.offset / FRAMES_PER_S)
                self._performer.perform(action)
            self._performer.settle(perf_counter())
            frames += self._block

    def _wait(self, until_s: float) -> None:
        rest_s = until_s - perf_counter()
        if rest_s > 0:
            sleep(rest_s)

    def _meet(self, deadline_s: float) -> None:
        self._wait(deadline_s - self._spin_s)
        if self._spin_s:
            while perf_counter() < deadline_s:
                pass

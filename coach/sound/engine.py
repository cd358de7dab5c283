"""The sound process: owns the sound device or the MIDI port and plays what the player's process tells it.

Started by `coach.sound.player` as `python -m coach.sound.engine`. Orders come in on standard input and reports go out
on standard output, a line each (`codec`), at most 30 reports a second. Whatever ends it (an order, the end of its input
because the parent died, a signal), every note is ended first. Drivers print to standard error, which is a log file.
"""

import gc
import os
import signal
import sys
import threading
import traceback
from collections.abc import Callable
from contextlib import suppress
from queue import Empty, SimpleQueue
from time import perf_counter
from typing import IO, Any

from coach.errors import CoachError, SoundError
from coach.sound import codec
from coach.sound.deck import Deck
from coach.sound.output import NoOutput, Output
from coach.sound.timeline import Event, Timeline
from coach.sound.transport import course

REPORT_S = 1 / 30
_FAREWELL_S = 0.1  # what the releases of the last notes take
_PATIENCE_S = 2.0  # a driver that hangs while it is closed is left behind after this


class Engine:
    """Obeys orders one at a time and reports; `write` takes a report's line."""

    def __init__(self, write: Callable[[bytes], object]) -> None:
        self._write = write
        self._deck = Deck()
        self._output: Output = NoOutput(self._deck)
        self._output.start()
        self._gains: dict[str, float] = {}
        self._drone: float | None = None
        self._tuning_hz = 440.0
        self._wanted = "none"
        self._events: list[Event] = []
        self._troubles: list[str] = []
        self._told: codec.Report | None = None

    def run(self, orders: "SimpleQueue[bytes | None]") -> None:
        """Obey until None comes, report as time goes by; at the end, however it comes, end every note."""
        try:
            with suppress(BrokenPipeError):  # the parent has gone, nobody is left to tell
                self._serve(orders)
        finally:
            self._farewell()

    def _serve(self, orders: "SimpleQueue[bytes | None]") -> None:
        next_s = perf_counter()
        while True:
            with suppress(Empty):
                order = orders.get(timeout=max(0.0, next_s - perf_counter()))
                if order is None:
                    return
                self._obey(order)
            if perf_counter() >= next_s:
                next_s = perf_counter() + REPORT_S
                self._look()
                self._report()

    def _obey(self, text: bytes) -> None:
        order = codec.order(text)
        try:
            getattr(self, f"_do_{order.pop('do')}")(**order)
        except CoachError as error:
            self._troubles.append(str(error))

    def _do_events(self, rows: list[list[Any]]) -> None:
        self._events += codec.events(rows)

    def _do_load(self, shape: list[Any], loop: bool, rate: float, silence: list[int] | None, turn: int) -> None:
        events, self._events = tuple(self._events), []
        ready = course(Timeline(events, *shape), loop=loop, silence=(silence[0], silence[1]) if silence else None)
        transport = self._deck.transport

        def load() -> None:
            transport.load(ready)
            transport.set_rate(rate)

        self._deck.post(load, turn)

    def _do_play(self, from_s: float | None, turn: int) -> None:
        if self._output.name == "none" and self._wanted != "none":
            self._take_wanted(tell=False)  # it may be back; that it went was said then
        self._deck.post(lambda: self._deck.transport.play(from_s), turn)

    def _do_stop(self, turn: int) -> None:
        self._deck.post(self._deck.transport.stop, turn)

    def _do_rate(self, rate: float) -> None:
        self._deck.post(lambda: self._deck.transport.set_rate(rate))

    def _do_gain(self, what: str, db: float) -> None:
        self._gains[what] = db
        self._output.set_gain(what, db)

    def _do_drone(self, midi: float | None) -> None:
        self._drone = midi
        self._output.drone(midi)

    def _do_tuning(self, a_hz: float, turn: int) -> None:
        changed, self._tuning_hz = a_hz != self._tuning_hz, a_hz
        self._deck.post(self._deck.transport.stop, turn)
        if changed and self._output.name != "none":
            self._do_output(self._wanted)

    def _do_output(self, name: str) -> None:
        self._wanted = name
        self._take_wanted(tell=True)

    def _take_wanted(self, *, tell: bool) -> None:
        """Let the output in use go, then take the wanted one; where that fails time passes in silence."""
        self._let_go(self._output)
        try:
            self._use(self._made(self._wanted))
        except SoundError as error:
            if tell:
                self._troubles.append(str(error))
            self._use(NoOutput(self._deck))

    def _made(self, name: str) -> Output:
        """The output of that name; its module is imported only now. Raises SoundError."""
        if name == "audio":
            try:
                from coach.sound.audio import AudioOutput
            except (ImportError, OSError) as error:
                raise SoundError(f"The sound library cannot be loaded ({error}); install coach again.") from error
            return AudioOutput(self._deck, a_hz=self._tuning_hz)
        if name.startswith("midi:"):
            from coach.sound.midi import MidiOutput
            from coach.sound.port import open_port

            return MidiOutput(self._deck, open_port(name.removeprefix("midi:")), a_hz=self._tuning_hz)
        if name == "none":
            return NoOutput(self._deck)
        raise SoundError(f"There is no sound output {name!r}; choose audio, none or midi:<port> in Setup.")

    def _use(self, output: Output) -> None:
        try:
            output.start()
        except BaseException:
            self._let_go(output)
            raise
        self._output = output
        for what, db in self._gains.items():
            output.set_gain(what, db)
        output.drone(self._drone)

    def _let_go(self, output: Output) -> None:
        """Close an output, in a thread that is left behind if the driver hangs."""
        closing = threading.Thread(target=output.close, name="closing", daemon=True)
        closing.start()
        closing.join(_PATIENCE_S)

    def _look(self) -> None:
        """If the output has gone, say so once and let time go on in silence."""
        sentence = self._output.lost()
        if sentence is not None:
            self._troubles.append(sentence)
            self._let_go(self._output)
            self._use(NoOutput(self._deck))
        if not self._deck.transport.playing:
            gc.collect(0)

    def _report(self) -> None:
        position, rate = self._deck.now()
        troubles, self._troubles = tuple(self._troubles), []
        report = codec.Report(
            position.at_s, position.lap, position.playing, rate, self._deck.turn, self._output.name, troubles
        )
        if report != self._told:
            self._told = report
            self._write(report.line())

    def _farewell(self) -> None:
        """End every note, let the last ones fade, and let the output go."""
        self._deck.post(self._deck.transport.stop)
        self._output.drone(None)
        blocks = self._deck.blocks
        until_s = perf_counter() + _FAREWELL_S
        pause = threading.Event()
        while perf_counter() < until_s or (self._deck.blocks < blocks + 2 and perf_counter() < until_s + _FAREWELL_S):
            pause.wait(0.01)
        self._let_go(self._output)


def _read(stream: IO[bytes], orders: "SimpleQueue[bytes | None]") -> None:
    """Pass lines on; at the end of the input (the parent has gone) ask for the end, and make sure of it."""
    for text in stream:
        orders.put(text)
    orders.put(None)
    threading.Event().wait(2 * _PATIENCE_S)
    os._exit(1)


def _own_output() -> IO[bytes]:
    """Standard output for reports alone: what a driver prints there goes to standard error instead."""
    sys.stdout.flush()
    reports = os.fdopen(os.dup(1), "wb", buffering=0)
    os.dup2(2, 1)
    return reports


def _hurry() -> None:
    """Ask to be served before other programs; granted to those who may (an audio group, as a rule), else no matter.
    Threads that are started later inherit it."""
    if sys.platform == "linux":
        with suppress(OSError):
            os.sched_setscheduler(0, os.SCHED_RR, os.sched_param(5))


def main() -> None:
    """Run the sound process on this process's standard streams."""
    orders: SimpleQueue[bytes | None] = SimpleQueue()
    for name in ("SIGTERM", "SIGINT", "SIGHUP", "SIGBREAK"):
        if hasattr(signal, name):
            signal.signal(getattr(signal, name), lambda *_: orders.put(None))
    _hurry()
    reports = _own_output()
    sys.setswitchinterval(0.0005)
    threading.Thread(target=_read, args=(sys.stdin.buffer, orders), name="orders", daemon=True).start()
    engine = Engine(reports.write)
    # The collector may stop every thread for milliseconds. There are next to no cycles here; when nothing plays, the
    # youngest are looked through.
    gc.collect()
    gc.freeze()
    gc.disable()
    status = 1
    try:
        engine.run(orders)
        status = 0
    except Exception:
        traceback.print_exc()
    sys.stderr.flush()
    os._exit(status)  # a driver's thread may not outlive this, nor hold it up


if __name__ == "__main__":
    main()

"""The MIDI output: the timeline's notes and clicks as messages on a port, each at its own instant.

The practised part is on channel 1 with General MIDI's clarinet, other parts on the channels after it, clicks on channel
10 as wood blocks (GM level 1: program 72, keys 76 and 77, counted from 1 and as they are). A level in dB becomes a
velocity or controller value by the square law that GM synthesisers use for volume and expression, 40 log10(value /
127); trade practice, synthesisers differ. A hairpin within a note is drawn with expression (controller 11).
"""

import math
from collections import deque
from dataclasses import dataclass
from time import perf_counter, sleep

from coach.sound.action import Action
from coach.sound.deck import FRAMES_PER_S, Deck
from coach.sound.pacer import Pacer
from coach.sound.port import MidiPort
from coach.sound.timeline import Event

CLARINET = 71
PERCUSSION, DRONE = 9, 15
HIGH_BLOCK, LOW_BLOCK = 76, 77
CLICKS = {"accent": (HIGH_BLOCK, 0.0), "beat": (LOW_BLOCK, -4.0), "part": (LOW_BLOCK, -12.0)}
CLICK_S = 0.05
DEFAULT_LEVEL_DB = -20.0  # the level at which a channel's volume is the one synthesisers start with
DEFAULT_VOLUME = 100
_BANDS = tuple(range(1, 9)) + tuple(range(10, 15))  # channels of the other parts
_ALIVE_EVERY_S = 0.5
# JACK drops what does not fit into a short period, and a wire takes 1 ms for a message: no bursts at the ends.
_GAP_S = 0.002


def scaled(db: float, full: int = 127, least: int = 0) -> int:
    """The 7-bit value for a level in dB, 40 log10(value / full), kept between `least` and 127."""
    return min(127, max(least, round(full * 10 ** (db / 40))))


def channel(line: int) -> int:
    """The channel of a line, counted from 0."""
    return 0 if line == 0 else _BANDS[(line - 1) % len(_BANDS)]


def tuning(channel_number: int, a_hz: float) -> list[bytes]:
    """Fine tuning of a channel (registered parameter 1, 8192 steps to 100 cents), for A from about 416 to 466 Hz."""
    cents = min(100.0, max(-100.0, 1200 * math.log2(a_hz / 440.0)))
    value = min(16383, max(0, 8192 + round(cents / 100 * 8192)))
    control = 0xB0 | channel_number
    pairs = ((101, 0), (100, 1), (6, value >> 7), (38, value & 0x7F))
    return [bytes((control, number, amount)) for number, amount in pairs]


@dataclass(slots=True)
class _Glide:
    """Expression on its way along the level of a note, below its velocity, in seconds of playing."""

    begin_s: float
    length_s: float
    event: Event
    loudest_db: float

    def value(self, now_s: float) -> int:
        share = min(1.0, max(0.0, (now_s - self.begin_s) / self.length_s)) if self.length_s > 0 else 1.0
        return scaled(self.event.level_at(share) - self.loudest_db)


class MidiOutput:
    """Plays the deck on a port. What was started is ended before the port is let go."""

    def __init__(self, deck: Deck, port: MidiPort, *, a_hz: float) -> None:
        self._deck = deck
        self._port = port
        self._pacer = Pacer(deck, self, block=FRAMES_PER_S // 200, spin_s=0.002)
        self._keys: dict[int, tuple[int, int]] = {}  # key -> (channel, note)
        self._holders: dict[tuple[int, int], int] = {}  # (channel, note) -> the key that sounds it
        self._clicks: deque[tuple[float, int]] = deque()
        self._glides: dict[int, _Glide] = {}
        self._expression: dict[int, int] = {}
        self._channels: set[int] = {PERCUSSION}
        self._gains = {"voice": 0.0, "others": 0.0, "click": 0.0, "drone": 0.0, "all": DEFAULT_LEVEL_DB}
        self._drone: int | None = None
        self._a_hz = a_hz
        self._asked_s = perf_counter()
        self._gone = False
        self._gently = True

    @property
    def name(self) -> str:
        """The port in use."""
        return f"midi:{self._port.name}"

    def start(self) -> None:
        """Set the channels up and begin."""
        self._open_channel(0)
        self._set_volume(PERCUSSION)
        self._send(0xB0, 11, 127)
        self._gently = False
        self._pacer.start()

    def lost(self) -> str | None:
        """The sentence, once the port has gone or refuses."""
        if self._gone or self._pacer.failure is not None:
            return (
                f"The MIDI port {self._port.name!r} has gone; playing goes on in silence: connect it again, "
                "then choose the output again in Setup."
            )
        return None

    def set_gain(self, what: str, db: float) -> None:
        """Volume (controller 7) of the channels concerned."""
        self._deck.post(lambda: self._set_gain(what, db))

    def drone(self, midi: float | None) -> None:
        """Hold the nearest semitone."""
        self._deck.post(lambda: self._hold(midi))

    def _set_gain(self, what: str, db: float) -> None:
        self._gains[what] = db
        for number in sorted(self._channels):
            self._set_volume(number)

    def _hold(self, midi: float | None) -> None:
        if self._drone is not None:
            self._send(0x80 | DRONE, self._drone, 0)
        self._drone = None if midi is None else min(127, max(0, round(midi)))
        if self._drone is not None:
            self._open_channel(DRONE)
            self._send(0x90 | DRONE, self._drone, 80)

    def perform(self, action: Action) -> None:
        """Send what an action means."""
        match action.what, action.event:
            case "on", Event() as event:
                self._begin(action.key, event, action.rate)
            case "off", _:
                self._end(action.key)
            case "click", Event() as event:
                self._click(event)
            case "hush", _:
                self._hush()

    def settle(self, now_s: float) -> None:
        """End clicks, move expression, and look whether the port is there."""
        while self._clicks and self._clicks[0][0] <= now_s:
            self._send(0x80 | PERCUSSION, self._clicks.popleft()[1], 0)
        for number, glide in list(self._glides.items()):
            self._express(number, glide.value(now_s))
        if now_s - self._asked_s >= _ALIVE_EVERY_S:
            self._asked_s = now_s
            self._gone = self._gone or not self._port.alive(now_s)

    def close(self) -> None:
        """End what sounds, then all notes and all sound on every channel used, then let the port go."""
        self._pacer.close()
        self._gently = True
        self._hush()
        self._port.close()

    def _begin(self, key: int, event: Event, rate: float) -> None:
        number = channel(event.line)
        self._open_channel(number)
        loudest_db = max(db for _, db in event.curve)
        if len(event.curve) > 1:
            glide = _Glide(perf_counter(), event.length_s / rate, event, loudest_db)
            self._glides[number] = glide
            self._express(number, glide.value(glide.begin_s))
        else:
            self._glides.pop(number, None)
            self._express(number, 127)
        place = (number, min(127, max(0, event.midi)))
        if place in self._holders:
            self._send(0x80 | number, place[1], 0)
        self._keys[key], self._holders[place] = place, key
        self._send(0x90 | number, place[1], scaled(loudest_db, least=1))

    def _end(self, key: int) -> None:
        place = self._keys.pop(key, None)
        if place is not None and self._holders.get(place) == key:
            del self._holders[place]
            self._send(0x80 | place[0], place[1], 0)

    def _click(self, event: Event) -> None:
        note, db = CLICKS.get(event.click, CLICKS["beat"])
        self._send(0x90 | PERCUSSION, note, scaled(db + event.level_db, least=1))
        self._clicks.append((perf_counter() + CLICK_S, note))

    def _hush(self) -> None:
        for key in list(self._keys):
            self._end(key)
        self._hold(None)
        while self._clicks:
            self._send(0x80 | PERCUSSION, self._clicks.popleft()[1], 0)
        for number in sorted(self._channels):
            self._send(0xB0 | number, 123, 0)
            self._send(0xB0 | number, 120, 0)

    def _express(self, number: int, value: int) -> None:
        if self._expression.get(number, 127) != value:
            self._expression[number] = value
            self._send(0xB0 | number, 11, value)

    def _send(self, *message: int) -> None:
        self._port.send(bytes(message))
        if self._gently:
            sleep(_GAP_S)

    def _open_channel(self, number: int) -> None:
        if number in self._channels:
            return
        self._channels.add(number)
        if number not in _BANDS:
            self._send(0xC0 | number, CLARINET)
        for message in tuning(number, self._a_hz) if self._a_hz != 440.0 else ():
            self._send(*message)
        self._set_volume(number)

    def _set_volume(self, number: int) -> None:
        what = {0: "voice", PERCUSSION: "click", DRONE: "drone"}.get(number, "others")
        db = self._gains[what] + self._gains["all"] - DEFAULT_LEVEL_DB
        self._send(0xB0 | number, 7, scaled(db, DEFAULT_VOLUME))

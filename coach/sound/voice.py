"""The built-in instrument: turns the transport's actions into samples.

Actions start on their very frame, and the samples do not depend on how time is cut into blocks. On the practised line
a slurred note takes over the phase of the one before and the two cross over, so a slur has neither gap nor attack. The
sum is bent, never clipped, as it nears full scale. How notes begin, join and end is in articulation.py.
"""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from coach.sound.action import Action
from coach.sound.clarinet import Clarinet
from coach.sound.room import Room
from coach.sound.timeline import Event
from coach.sound.tone import Samples, Tone
from coach.sound.wood import SOUNDS, knock

HUSH_S = 0.01
# A slurred note still joins one whose end came this long before it.
LATE_S = 0.008
GAIN_S = 0.02
DRONE_FADE_S = 0.05
# Of full scale; a moderate default that the player can change. The settings carry the same figure.
DEFAULT_DB = -20.0
MOST_TONES = 48
_KNEE = 0.7
BUSES = ("voice", "others", "click", "drone")


class Gain:
    """A factor that moves to its target over `GAIN_S`, so that a change of level does not click."""

    def __init__(self, db: float, frames: int) -> None:
        self._now = self._from = self._to = 10.0 ** (db / 20)
        self._frames = self._age = frames

    def move(self, db: float) -> None:
        """Set off for a new level in dB."""
        self._from, self._to, self._age = self._now, 10.0 ** (db / 20), 0

    def apply(self, wave: Samples) -> None:
        """Multiply the next samples, in place."""
        if self._age >= self._frames:
            if self._now != 1.0:
                wave *= self._now
            return
        share = np.minimum((self._age + np.arange(1, wave.size + 1)) / self._frames, 1.0)
        gains = self._from + (self._to - self._from) * share
        wave *= gains
        self._age += wave.size
        self._now = float(gains[-1])


class Mixer:
    """Mono samples from actions. Gains are in dB; "all" is the level of a note at 0 dB against full scale.

    `chance` seeds the breath and the drift of the practised line (the same number, the same samples); None leaves both
    out. The voice and the other lines stand in a small room unless it is `dry`; click and drone are always dry.
    """

    def __init__(
        self, sample_rate: int = 48000, a_hz: float = 440.0, *, chance: int | None = 1, dry: bool = False
    ) -> None:
        self.sample_rate = sample_rate
        self._room = None if dry else Room(sample_rate)
        self._clarinet = Clarinet(sample_rate, a_hz, chance)
        self._tones: dict[int, tuple[Tone, Event]] = {}
        self._fading: list[tuple[str, Tone]] = []
        self._solo: Tone | None = None
        self._drone: Tone | None = None
        self._knocks = {sound: knock(sound, sample_rate) for sound in SOUNDS}
        self._clicks: list[tuple[Samples, int]] = []
        ramp = self._frames(GAIN_S)
        self._gains = {bus: Gain(0.0, ramp) for bus in BUSES}
        self._gains["all"] = Gain(DEFAULT_DB, ramp)

    @property
    def sounding(self) -> bool:
        """Whether anything is left to be heard, releases, the room and the drone included."""
        ringing = self._room is not None and self._room.sounding
        return bool(self._tones or self._fading or self._clicks or self._drone or ringing)

    def set_gain(self, what: str, db: float) -> None:
        """Set the level of "voice", "others", "click", "drone" or "all" in dB. Raises KeyError for another name."""
        self._gains[what].move(db)

    def drone(self, midi: float | None) -> None:
        """Hold a sounding pitch (MIDI number, fractions allowed), or let it end."""
        if self._drone is not None:
            self._drone.release(self._frames(DRONE_FADE_S))
            self._fading.append(("drone", self._drone))
        self._drone = None
        if midi is not None:
            self._drone = self._clarinet.drone(midi)
            self._drone.fade(self._frames(DRONE_FADE_S))

    def render(self, frames: int, actions: Sequence[Action] = ()) -> NDArray[np.float32]:
        """The next `frames` samples, each action taking effect on its own frame."""
        buses = {bus: np.zeros(frames) for bus in BUSES}
        at = 0
        for action in sorted(actions, key=lambda action: action.offset):
            offset = min(max(action.offset, at), frames)
            self._advance(buses, at, offset)
            at = offset
            self._act(action)
        self._advance(buses, at, frames)
        total = np.asarray(sum(buses.values()), dtype=np.float64)
        self._gains["all"].apply(total)
        return _bent(total).astype(np.float32)

    def _frames(self, length_s: float) -> int:
        return self._clarinet.frames(length_s)

    def _act(self, action: Action) -> None:
        if action.what == "on" and action.event is not None:
            self._start(action.key, action.event, action.rate)
        elif action.what == "off":
            self._stop(action.key)
        elif action.what == "click" and action.event is not None:
            wave = self._knocks[action.event.click or "beat"] * 10.0 ** (action.event.level_db / 20)
            self._clicks.append((wave, 0))
        elif action.what == "hush":
            self._hush()

    def _start(self, key: int, event: Event, rate: float) -> None:
        if event.line and len(self._tones) + len(self._fading) >= MOST_TONES:
            return
        self._stop(key)
        before = self._joined(event)
        if before is not None:
            tone = self._clarinet.slurred(event, rate, before)
        elif event.tongued:
            tone = self._clarinet.tongued(event, rate)
        else:
            tone = self._clarinet.alone(event, rate)
        self._tones[key] = tone, event
        if event.line == 0:
            self._solo = tone

    def _joined(self, event: Event) -> Tone | None:
        """The tone that a slurred note of the practised line takes over from, if it has not long ended."""
        before = self._solo
        if event.line or event.tongued or before is None or before.done:
            return None
        if before.released_for is None:
            self._stop(next(key for key, (tone, _) in self._tones.items() if tone is before))
        elif before.released_for > self._frames(LATE_S):
            return None
        return before

    def _stop(self, key: int) -> None:
        if key in self._tones:
            tone, event = self._let_go(key)
            self._clarinet.end(tone, event)

    def _let_go(self, key: int) -> tuple[Tone, Event]:
        tone, event = self._tones.pop(key)
        self._fading.append(("others" if event.line else "voice", tone))
        return tone, event

    def _hush(self) -> None:
        for key in tuple(self._tones):
            self._let_go(key)[0].release(self._frames(HUSH_S))
        self._clicks = [(_cut(wave[at:], self._frames(HUSH_S)), 0) for wave, at in self._clicks]
        if self._room is not None:
            self._room.hush(self._frames(HUSH_S))

    def _advance(self, buses: dict[str, Samples], start: int, stop: int) -> None:
        frames = stop - start
        if frames <= 0:
            return
        for tone, event in self._tones.values():
            buses["others" if event.line else "voice"][start:stop] += tone.samples(frames)
        for bus, tone in self._fading:
            buses[bus][start:stop] += tone.samples(frames)
        self._fading = [(bus, tone) for bus, tone in self._fading if not tone.done]
        if self._drone is not None:
            buses["drone"][start:stop] += self._drone.samples(frames)
        clicks = buses["click"][start:stop]
        for wave, at in self._clicks:
            heard = wave[at : at + frames]
            clicks[: heard.size] += heard
        self._clicks = [(wave, at + frames) for wave, at in self._clicks if at + frames < wave.size]
        for bus, gain in self._gains.items():
            if bus != "all":
                gain.apply(buses[bus][start:stop])
        if self._room is not None:
            buses["voice"][start:stop] += self._room.wet(buses["voice"][start:stop] + buses["others"][start:stop])


def _cut(wave: Samples, frames: int) -> Samples:
    kept = wave[:frames]
    return np.asarray(kept * np.linspace(1.0, 0.0, kept.size), dtype=np.float64)


def _bent(wave: Samples) -> Samples:
    size = np.abs(wave)
    if not wave.size or float(size.max()) <= _KNEE:
        return wave
    over = _KNEE + (1.0 - _KNEE) * np.tanh((size - _KNEE) / (1.0 - _KNEE))
    return np.asarray(np.where(size > _KNEE, np.sign(wave) * over, wave), dtype=np.float64)

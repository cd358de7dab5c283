"""The player: what lessons and screens hold to make sound. All sound is made in another process (`engine`).

Nothing here imports NumPy, miniaudio or rtmidi, and no call waits for the other process, `close` alone excepted.
"""

import json
import subprocess
import sys
import threading
from dataclasses import dataclass, replace
from pathlib import Path
from time import monotonic

from coach.child import surroundings
from coach.errors import RequestError
from coach.sound import codec
from coach.sound.link import Link
from coach.sound.silent import GAINS, PlayerLike, SilentPlayer
from coach.sound.timeline import Timeline
from coach.sound.transport import Course, Position, course

__all__ = ["GAINS", "Player", "PlayerLike", "SilentPlayer", "SoundCheck", "check_sound", "ports"]

_CARRY_S = 0.25  # a position is carried on by the clock no longer than this after a report
_ANSWER_S = 10.0  # a process that plays and says nothing for this long does not work
_CHECK_S = 10.0
ENDED = "The sound process ended unexpectedly; press play to start it again."
HANGS = "The sound process does not answer and was ended; press play to try again, or choose another output in Setup."


@dataclass(frozen=True, slots=True)
class _Loaded:
    course: Course
    rate: float


class Player:
    """Plays through the sound process, which is started by the first `load` or `play` and again after it has ended.

    `output` is "audio", "none" or "midi:<part of a port's name>"; `level_db` is relative to full scale; `log_path` is
    where the drivers' messages go (None: `coach.paths`). A PlayerLike.
    """

    def __init__(
        self,
        output: str = "audio",
        level_db: float = -20.0,
        tuning_hz: float = 440.0,
        log_path: Path | None = None,
    ) -> None:
        self._wanted = output
        self._gains = {"all": level_db}
        self._tuning_hz = tuning_hz
        self._drone: float | None = None
        self._log_path = log_path
        self._lock = threading.Lock()  # guards what follows; nothing is waited for while it is held
        self._link: Link | None = None
        self._loaded = _Loaded(course(Timeline((), 0.0)), 1.0)
        self._turn = 0
        self._expected = Position()
        self._report = codec.Report()
        self._report_s = self._asked_s = monotonic()
        self._troubles: list[str] = []

    @property
    def output(self) -> str:
        """The output in use: "audio", "none" or "midi:<port's name>"; "" before the first sound."""
        return self._report.output

    @property
    def pid(self) -> int | None:
        """The sound process's id, None while there is none."""
        link = self._link
        return link.pid if link is not None else None

    @property
    def position(self) -> Position:
        """Where playing is now, carried on from the last report by the clock."""
        with self._lock:
            now_s = monotonic()
            self._give_up_if_silent(now_s)
            report, loaded = self._report, self._loaded
            if report.turn != self._turn:
                return self._expected
            if not report.playing:
                return Position(report.at_s, report.lap, False)
            at_s = report.at_s + min(now_s - self._report_s, _CARRY_S) * report.rate
        return _within(loaded.course, at_s, report.lap)

    def load(
        self, timeline: Timeline, *, loop: bool = False, rate: float = 1.0, silence: tuple[int, int] | None = None
    ) -> None:
        """Stop, and make a timeline ready. Raises RequestError for a rate or a silence that makes no sense."""
        ready = course(timeline, loop=loop, silence=silence)
        with self._lock:
            self._loaded = _Loaded(ready, checked_rate(rate))
            if self._link is None:
                self._begin()
            else:
                self._send_load()

    def play(self, from_s: float | None = None) -> None:
        """Play what is loaded from a nominal time; None starts with the count-in."""
        with self._lock:
            if self._link is None:
                self._begin()
            start_s = self._loaded.course.start_s if from_s is None else from_s
            self._take_turn(Position(start_s, 0, True))
            self._send(codec.line("play", from_s=from_s, turn=self._turn))

    def stop(self) -> None:
        """Stop; every note ends."""
        here = self.position
        with self._lock:
            if self._link is not None:
                self._take_turn(replace(here, playing=False))
                self._send(codec.line("stop", turn=self._turn))

    def set_rate(self, rate: float) -> None:
        """Change the speed while playing. Raises RequestError for a rate that is not above 0."""
        with self._lock:
            self._loaded = replace(self._loaded, rate=checked_rate(rate))
            self._send(codec.line("rate", rate=rate))

    def set_gain(self, what: str, db: float) -> None:
        """Set the gain of "voice", "others", "click", "drone" or "all" in dB. Raises RequestError for another name."""
        if what not in GAINS:
            raise RequestError(f"There is no level {what!r}; the levels are {', '.join(GAINS)}.")
        with self._lock:
            self._gains[what] = db
            self._send(codec.line("gain", what=what, db=db))

    def drone(self, midi: float | None) -> None:
        """Hold a sounding pitch (MIDI number, fractions allowed) until told None."""
        with self._lock:
            self._drone = midi
            if self._link is None and midi is not None:
                self._begin()
            else:
                self._send(codec.line("drone", midi=midi))

    def set_output(self, name: str) -> None:
        """Send the sound elsewhere, or try a lost output again; what plays goes on."""
        with self._lock:
            self._wanted = name
            self._send(codec.line("output", name=name))

    def set_tuning(self, a_hz: float) -> None:
        """Tune the A above middle C; stops what plays."""
        here = self.position
        with self._lock:
            self._tuning_hz = a_hz
            if self._link is not None:
                self._take_turn(replace(here, playing=False))
                self._send(codec.line("tuning", a_hz=a_hz, turn=self._turn))

    def take_troubles(self) -> tuple[str, ...]:
        """What went wrong since last asked, a sentence each."""
        with self._lock:
            taken = tuple(self._troubles)
            self._troubles.clear()
        return taken

    def close(self) -> None:
        """End every note and the process; takes three seconds at the most, a tenth of one as a rule."""
        with self._lock:
            link, self._link = self._link, None
            self._drop()
        if link is not None:
            link.close()

    def _begin(self) -> None:
        """Start the process and bring it to the state that is wanted. The lock is held, as in all that follows."""
        self._link = Link(self._hear, self._lose, self._log())
        self._report, self._report_s = codec.Report(), monotonic()
        self._take_turn(Position(self._loaded.course.start_s))
        self._send(codec.line("tuning", a_hz=self._tuning_hz, turn=self._turn))
        for what, db in self._gains.items():
            self._send(codec.line("gain", what=what, db=db))
        self._send(codec.line("drone", midi=self._drone))
        self._send(codec.line("output", name=self._wanted))
        self._send_load()

    def _send_load(self) -> None:
        ready, rate = self._loaded.course, self._loaded.rate
        self._take_turn(Position(ready.start_s))
        if self._link is not None:
            self._link.send(
                codec.timeline_lines(ready.timeline, loop=ready.loop, rate=rate, silence=ready.silence, turn=self._turn)
            )

    def _send(self, line: bytes) -> None:
        if self._link is not None:
            self._link.send((line,))

    def _take_turn(self, expected: Position) -> None:
        self._turn += 1
        self._expected = expected
        self._asked_s = monotonic()

    def _log(self) -> Path:
        if self._log_path is None:
            from coach.paths import locate  # deferred: only a player that sounds needs a log

            self._log_path = locate().engine_log
        return self._log_path

    def _hear(self, link: Link, report: codec.Report) -> None:
        with self._lock:
            if link is self._link:
                self._report, self._report_s = report, monotonic()
                self._troubles += report.troubles

    def _lose(self, link: Link) -> None:
        with self._lock:
            if link is self._link:
                self._link = None
                self._drop()
                self._troubles.append(ENDED)

    def _drop(self) -> None:
        """Forget the process: nothing plays any more, and the place reached is kept."""
        here = self._expected if self._report.turn != self._turn else Position(self._report.at_s, self._report.lap)
        self._take_turn(replace(here, playing=False))
        self._report = codec.Report()

    def _give_up_if_silent(self, now_s: float) -> None:
        waits = self._expected.playing if self._report.turn != self._turn else self._report.playing
        if self._link is None or not waits or now_s - max(self._report_s, self._asked_s) < _ANSWER_S:
            return
        self._link.kill()
        self._link = None
        self._drop()
        self._troubles.append(HANGS)


def checked_rate(rate: float) -> float:
    """The rate, if it can be played. Raises RequestError."""
    if not 0 < rate < float("inf"):
        raise RequestError(f"The speed cannot be {rate:g} times the performance tempo; it must be above 0.")
    return rate


def _within(ready: Course, at_s: float, lap: int) -> Position:
    if not ready.loop:
        return Position(min(at_s, ready.timeline.length_s), lap, True)
    if at_s >= ready.period_s:
        return Position(at_s - ready.period_s, lap + 1, True)
    return Position(at_s, lap, True)


@dataclass(frozen=True, slots=True)
class SoundCheck:
    """What works here: the sound system that answers ("" if none), the MIDI ports, and a sentence for what does not."""

    audio: str = ""
    audio_problem: str = ""
    ports: tuple[str, ...] = ()
    ports_problem: str = ""


def ports() -> tuple[str, ...]:
    """The names of the MIDI ports that sound can be sent to, asked in a process of its own."""
    names = _asked("coach.sound.port", "The MIDI system does not answer; restart it.").get("names", [])
    return tuple(names) if isinstance(names, list) else ()


def check_sound() -> SoundCheck:
    """Look for a sound device and MIDI ports, each in a process of its own; nothing sounds."""
    audio = _asked("coach.sound.audio", "The sound system does not answer; restart it.")
    midi = _asked("coach.sound.port", "The MIDI system does not answer; restart it.")
    names = midi.get("names", [])
    return SoundCheck(
        str(audio.get("system", "")),
        str(audio.get("problem", "")),
        tuple(names) if isinstance(names, list) else (),
        str(midi.get("problem", "")),
    )


def _asked(module: str, problem: str) -> dict[str, object]:
    """The JSON object that a module prints when run; {"problem": ...} if it fails or hangs."""
    try:
        done = subprocess.run(
            [sys.executable, "-m", module], capture_output=True, timeout=_CHECK_S, check=True, **surroundings()
        )
        answer = json.loads(done.stdout.splitlines()[-1])
    except (OSError, subprocess.SubprocessError, ValueError, IndexError):
        return {"problem": problem}
    return answer if isinstance(answer, dict) else {"problem": problem}

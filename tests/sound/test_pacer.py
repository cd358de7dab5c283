"""The pacer by a clock of the test's own: deadlines, stalls, and what fails."""

from collections.abc import Callable

import pytest

from coach.sound import pacer
from coach.sound.action import Action
from coach.sound.deck import Deck
from coach.sound.timeline import Event, Timeline
from coach.sound.transport import course

TICK_S = 1e-6
SLEEPS_LATE_S = 0.0008


class Clock:
    """Looking at it takes a microsecond; sleeping ends late."""

    def __init__(self) -> None:
        self.now_s = 100.0

    def perf_counter(self) -> float:
        self.now_s += TICK_S
        return self.now_s

    def sleep(self, seconds: float) -> None:
        self.now_s += seconds + SLEEPS_LATE_S


@pytest.fixture
def clock(monkeypatch: pytest.MonkeyPatch) -> Clock:
    clock = Clock()
    monkeypatch.setattr(pacer, "perf_counter", clock.perf_counter)
    monkeypatch.setattr(pacer, "sleep", clock.sleep)
    return clock


class Performer:
    """Notes when things are done, and ends the pacer after so many."""

    def __init__(self, clock: Clock, enough: int, at_action: Callable[[int], None] = lambda number: None) -> None:
        self.clock = clock
        self.enough = enough
        self.at_action = at_action
        self.done: list[tuple[float, Action]] = []
        self.pacer: pacer.Pacer

    def perform(self, action: Action) -> None:
        self.done.append((self.clock.now_s, action))
        self.at_action(len(self.done))
        if len(self.done) >= self.enough:
            self.pacer._stop.set()

    def settle(self, now_s: float) -> None:
        """Nothing waits."""


def play(clock: Clock, every_s: float, enough: int, **more: Callable[[int], None]) -> Performer:
    deck = Deck()
    clicks = Timeline(tuple(Event(k * every_s, 0.0, "click", click="beat") for k in range(1000)), 1000 * every_s)
    deck.post(lambda: deck.transport.load(course(clicks)))
    deck.post(lambda: deck.transport.play(None))
    performer = Performer(clock, enough, **more)
    performer.pacer = pacer.Pacer(deck, performer, block=240, spin_s=0.002)
    performer.pacer._pace()
    return performer


def test_every_action_comes_at_its_absolute_deadline_though_sleeping_ends_late(clock: Clock) -> None:
    done = play(clock, 0.01, 500).done
    begin_s = done[0][0]
    late_s = [at_s - begin_s - k * 0.01 for k, (at_s, _) in enumerate(done)]
    assert max(late_s) < 5 * TICK_S and min(late_s) > -5 * TICK_S


def test_after_a_stall_the_music_goes_on_without_a_burst(clock: Clock) -> None:
    def stall(number: int) -> None:
        if number == 50:
            clock.now_s += 0.3

    done = play(clock, 0.01, 100, at_action=stall).done
    gaps_s = [after[0] - before[0] for before, after in zip(done, done[1:], strict=False)]
    assert len(done) == 100
    assert 0.3 <= gaps_s[49] < 0.31 + pacer.STALL_S
    assert min(gaps_s[50:]) > 0.01 - 5 * TICK_S


def test_a_short_delay_is_made_good(clock: Clock) -> None:
    def delay(number: int) -> None:
        if number == 50:
            clock.now_s += 0.025

    done = play(clock, 0.01, 100, at_action=delay).done
    assert done[-1][0] - done[0][0] == pytest.approx(0.99, abs=10 * TICK_S)


def test_a_performer_that_fails_is_told(monkeypatch: pytest.MonkeyPatch, clock: Clock) -> None:
    told: list[object] = []
    monkeypatch.setattr("sys.excepthook", lambda *what: told.append(what[1]))

    def fail(number: int) -> None:
        raise OSError("the port is gone")

    performer = Performer(clock, 9, fail)
    deck = Deck()
    deck.post(lambda: deck.transport.load(course(Timeline((Event(0.0, 0.0, "click"),), 1.0))))
    deck.post(lambda: deck.transport.play(None))
    performer.pacer = pacer.Pacer(deck, performer, block=240, spin_s=0.0)
    performer.pacer._run()
    assert isinstance(performer.pacer.failure, OSError) and told == [performer.pacer.failure]


def test_a_real_thread_ends_when_asked() -> None:
    deck = Deck()
    silent = pacer.Pacer(deck, Performer(Clock(), 1), block=480, spin_s=0.0)
    silent.start()
    assert silent.close()
    assert silent.failure is None

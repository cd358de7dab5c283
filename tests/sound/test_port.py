"""MIDI ports: choosing by name, and the library's traps as measured (a closed port, a server that is gone)."""

import subprocess
import sys
from importlib.util import find_spec
from typing import Any

import pytest

from coach.errors import SoundError
from coach.sound import player, port
from coach.sound.port import Found, MidiPort, choose

SYNTH = Found(1, "Synth:Synth port 0 128:0", "Synth:Synth port 0")
THROUGH = Found(1, "Midi Through:Midi Through Port-0 14:0", "Midi Through:Midi Through Port-0")
ORGAN = Found(2, "organ:midi in", "organ:midi in")
SMALL_ORGAN = Found(2, "small organ:midi in", "small organ:midi in")


@pytest.mark.parametrize(
    ("wanted", "found"),
    [
        ("Synth:Synth port 0", SYNTH),
        ("Synth:Synth port 0 129:3", SYNTH),  # the numbers of yesterday
        ("synth", SYNTH),
        ("organ:midi in", ORGAN),  # an equal name before one that contains it
        ("SMALL", SMALL_ORGAN),
    ],
)
def test_a_port_is_found_by_a_part_of_its_name(wanted: str, found: Found) -> None:
    assert choose((SMALL_ORGAN, SYNTH, THROUGH, ORGAN), wanted) == found


@pytest.mark.parametrize("wanted", ["piano", "", "  "])
def test_a_name_that_is_not_there_is_told_with_those_that_are(wanted: str) -> None:
    with pytest.raises(SoundError, match=r"there is: Synth:Synth port 0, organ:midi in\)"):
        choose((SYNTH, ORGAN), wanted)
    with pytest.raises(SoundError, match="none at all"):
        choose((), wanted)


class End:
    """One end of rtmidi's, as far as it is used."""

    def __init__(self, world: "World", api: int, name: str = "", queue_size_limit: int = 0) -> None:
        if api in world.absent:
            raise OSError("no such system")
        self.world = world
        self.name = name
        self.open = False
        self.deleted = False

    def get_ports(self) -> list[str]:
        return list(self.world.ports)

    def open_port(self, number: int, name: str) -> None:
        if self.world.refuses:
            raise OSError("error creating output port")
        self.open = True

    def send_message(self, message: bytes) -> None:
        assert self.open and not self.deleted, "this would have ended the process"
        self.world.sent.append(message)
        if self.world.serves:
            self.world.echoed.append(message)

    def get_message(self) -> Any:
        return self.world.echoed.pop(0) if self.world.echoed else None

    def close_port(self) -> None:
        self.open = False

    def delete(self) -> None:
        self.deleted = True


class World:
    """A stand-in for the module rtmidi, with ports that come and go."""

    API_LINUX_ALSA, API_UNIX_JACK = 2, 3

    def __init__(self) -> None:
        self.ports = ["synth:in", f"{port.CLIENT}:out", "coach-77 echo:in"]
        self.absent: set[int] = set()
        self.refuses = False
        self.serves = True
        self.sent: list[bytes] = []
        self.echoed: list[bytes] = []

    def get_compiled_api(self) -> list[int]:
        return [self.API_UNIX_JACK, self.API_LINUX_ALSA]

    def MidiOut(self, api: int, name: str = "") -> End:  # noqa: N802 - rtmidi's name
        return End(self, api, name)

    def MidiIn(self, api: int, name: str = "", queue_size_limit: int = 0) -> End:  # noqa: N802 - rtmidi's name
        return End(self, api, name, queue_size_limit)


@pytest.fixture
def world(monkeypatch: pytest.MonkeyPatch) -> World:
    world = World()
    monkeypatch.setitem(sys.modules, "rtmidi", world)
    return world


def test_jack_is_looked_through_last_and_our_own_ports_not_at_all(world: World) -> None:
    assert [(found.api, found.name) for found in port.find_ports()] == [(2, "synth:in"), (3, "synth:in")]


def test_a_system_that_is_not_there_is_passed_over(world: World) -> None:
    world.absent = {2}
    assert [found.api for found in port.find_ports()] == [3]
    world.absent = {2, 3}
    assert port.find_ports() == ()


def test_nothing_is_sent_after_closing(world: World) -> None:
    opened = port.open_port("synth")
    opened.send(b"\x90\x3c\x40")
    opened.close()
    opened.send(b"\x80\x3c\x40")
    opened.close()
    assert world.sent == [b"\x90\x3c\x40"]
    assert not opened.alive(0.0)


def test_a_port_in_use_is_told_with_the_remedy(world: World) -> None:
    world.refuses = True
    with pytest.raises(SoundError, match="close the other program"):
        port.open_port("synth")


def test_a_port_that_goes_away_while_it_is_opened_is_told(world: World, monkeypatch: pytest.MonkeyPatch) -> None:
    there = port.find_ports()
    monkeypatch.setattr(port, "find_ports", lambda: there)
    world.ports.clear()
    with pytest.raises(SoundError, match="'synth:in' cannot be opened"):
        port.open_port("synth")


def test_a_port_that_vanished_is_not_alive(world: World) -> None:
    opened = port.open_port("synth")
    assert opened.alive(0.0)
    world.ports.remove("synth:in")
    assert not opened.alive(0.5)


def jack_port(world: World) -> MidiPort:
    world.absent = {world.API_LINUX_ALSA}
    return port.open_port("synth")


def test_a_jack_server_that_is_gone_is_noticed_by_what_no_longer_comes_back(world: World) -> None:
    opened = jack_port(world)
    opened.send(b"\x90\x3c\x40")
    assert opened.alive(0.0)
    world.serves = False
    assert opened.alive(0.5), "nothing was sent, so nothing can be missing"
    opened.send(b"\x80\x3c\x40")
    assert opened.alive(1.0)
    assert not opened.alive(2.1)


def test_a_jack_server_that_is_gone_is_not_fed_until_its_queue_blocks(world: World) -> None:
    opened = jack_port(world)
    world.serves = False
    for _ in range(5000):
        opened.send(b"\x90\x3c\x40")
    assert len(world.sent) <= 1001
    assert not opened.alive(0.0)


def test_a_python_without_midi_is_told_in_one_sentence(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "rtmidi", None)
    with pytest.raises(SoundError, match="has no MIDI ports"):
        port.open_port("synth")


def test_the_child_that_lists_ports_answers_in_json() -> None:
    check = player.check_sound()
    assert (check.ports_problem == "") == (find_spec("rtmidi") is not None)
    assert (check.audio == "") != (check.audio_problem == "")


def test_a_child_that_hangs_is_given_up(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(player, "_CHECK_S", 0.01)
    assert player.ports() == ()
    assert "does not answer" in player.check_sound().ports_problem


def test_rtmidi_is_not_imported_with_the_module() -> None:
    code = "import sys, coach.sound.port; sys.exit('rtmidi' in sys.modules or '_rtmidi' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0

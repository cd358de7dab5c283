"""Servers of a test's own, found by every process the test starts."""

from collections.abc import Iterator
from contextlib import ExitStack
from pathlib import Path

import pytest

from tests.servers import Recording, Server, jack, pulse, recording


def _entered(monkeypatch: pytest.MonkeyPatch, server: Server) -> Server:
    for name, value in server.environment.items():
        monkeypatch.setenv(name, value)
    return server


@pytest.fixture
def jack_server(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Server]:
    with jack(tmp_path) as server:
        yield _entered(monkeypatch, server)


@pytest.fixture
def pulse_server(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Server]:
    with pulse(tmp_path) as server:
        yield _entered(monkeypatch, server)


@pytest.fixture
def record(pulse_server: Server) -> Iterator[Recording]:
    with ExitStack() as stack:
        yield stack.enter_context(recording(pulse_server))


@pytest.fixture
def no_device(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """A machine without sound: no server to be found, and an ALSA that knows of nothing."""
    empty = tmp_path / "empty.conf"
    empty.write_text("")
    monkeypatch.setenv("PULSE_SERVER", f"unix:{tmp_path / 'nothing'}")
    monkeypatch.setenv("ALSA_CONFIG_PATH", str(empty))
    monkeypatch.setenv("JACK_DEFAULT_SERVER", "coach-nothing")

"""The command line as a player calls it: in this process where that is enough, as a program of its own where not."""

import json
import os
import subprocess
import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from coach.cli.main import main

WEBER = "corpus:weber/concertino_clarinet"


@dataclass(frozen=True)
class Done:
    """What a command left behind."""

    status: int
    out: str
    err: str

    @property
    def document(self) -> dict[str, Any]:
        """The one document on standard output."""
        value = json.loads(self.out)
        assert isinstance(value, dict)
        return value


Coach = Callable[..., Done]


@pytest.fixture
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A home of its own, and no sound."""
    folder = tmp_path / "home"
    monkeypatch.setenv("COACH_HOME", str(folder))
    silence(folder)
    return folder


def silence(home: Path) -> None:
    """Settings that send the sound nowhere."""
    (home / "config").mkdir(parents=True, exist_ok=True)
    (home / "config" / "settings.toml").write_text('output = "none"\n')


@pytest.fixture
def coach(home: Path, capsys: pytest.CaptureFixture[str]) -> Coach:
    """Run one command line in this process."""

    def run(*arguments: object) -> Done:
        capsys.readouterr()
        try:
            status = main([str(argument) for argument in arguments])
        except SystemExit as error:
            assert isinstance(error.code, int)
            status = error.code
        out, err = capsys.readouterr()
        assert "Traceback" not in err
        return Done(status, out, err)

    return run


@pytest.fixture
def program(home: Path) -> Coach:
    """Run one command line as a program of its own."""

    def run(*arguments: object, stdin: str | None = None) -> Done:
        done = subprocess.run(
            command(*arguments), input=stdin, capture_output=True, text=True, encoding="utf-8", timeout=60
        )
        assert "Traceback" not in done.stderr
        return Done(done.returncode, done.stdout, done.stderr)

    return run


def command(*arguments: object) -> list[str]:
    """The command line of a program of its own."""
    return [sys.executable, "-m", "coach.cli.main", *map(str, arguments)]


def environment(home: Path) -> dict[str, str]:
    """An environment with this home."""
    return {**os.environ, "COACH_HOME": str(home)}


def sentence(done: Done) -> str:
    """The one sentence of a request that could not be met."""
    assert done.status == 1, (done.status, done.out, done.err)
    assert done.out == ""
    lines = done.err.splitlines()
    assert len(lines) == 1 and lines[0].startswith("coach: ") and lines[0].endswith((".", "`.")), done.err
    return lines[0].removeprefix("coach: ")

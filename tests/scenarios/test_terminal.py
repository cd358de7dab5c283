"""The main job, key by key as README.md tells it, in a real terminal of 80 by 24."""

import json
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from tests.scenarios.terminal import Terminal

pytestmark = pytest.mark.server

Open = Callable[..., Terminal]


@pytest.fixture
def home(tmp_path: Path) -> Path:
    """A home where the sound goes nowhere."""
    folder = tmp_path / "home"
    (folder / "config").mkdir(parents=True)
    (folder / "config" / "settings.toml").write_text('output = "none"\n')
    return folder


@pytest.fixture
def opened(home: Path) -> Iterator[Open]:
    """Open terminals that are closed at the end."""
    terminals: list[Terminal] = []

    def make(*arguments: str, columns: int = 80, lines: int = 24) -> Terminal:
        terminals.append(Terminal(home, *arguments, columns=columns, lines=lines))
        return terminals[-1]

    yield make
    for terminal in terminals:
        terminal.close()


def reps(home: Path) -> list[dict[str, object]]:
    """The bodies of the reps in the log, retracted ones included."""
    done = subprocess.run(
        [sys.executable, "-m", "coach.cli.main", "log", "export"],
        capture_output=True,
        text=True,
        env={"COACH_HOME": str(home), "PYTHONPATH": str(Path(__file__).parents[2])},
        timeout=60,
        check=True,
    )
    entries = [json.loads(line) for line in done.stdout.splitlines()]
    return [entry["body"] for entry in entries if entry.get("kind") == "rep"]


def test_the_main_job_at_the_keys(opened: Open, home: Path) -> None:
    at = opened("demo")
    at.wait_for(r"\[2 Stand\].*\n.*measure 1 of 30")
    at.press("Right")
    at.wait_for("measure 2 of 30")
    at.press("l")
    at.wait_for("loop measure 2")
    at.press("=")
    at.wait_for("per cent|%")
    at.press("6", "0", "%", "Enter")
    at.wait_for(r"= 30 \(60 % of 50\)")
    at.press("Space")
    at.wait_for("▶ count-in")
    at.wait_for("▶ playing")
    at.press("Down")
    at.wait_for(r"= (28|29) \(\d+ % of 50\)")
    at.press("Space")
    at.wait_for("■ stopped")

    at.press("3")
    at.wait_for(r"\[3 Drill\](.*\n)*.*0 of 3 clean in a row")
    for said in ("1 of 3 in a row", "2 of 3 in a row", r"up to 31\.5"):
        at.press("c")
        at.wait_for(said)
    at.press("s")
    at.wait_for("✗ slip at 31.5")
    at.press("f")
    at.wait_for(r"\(fingers\)")
    at.press("BSpace")
    at.wait_for("taken back: slip at 31.5")

    at.press("4")
    at.wait_for(r"\[4 Progress\](.*\n)*.*needs work: 3")
    at.press("1")
    at.wait_for(r"\[1 Today\](.*\n)*.*clean in 3 of 3 complete reps")
    at.press("C-q")
    assert at.wait_to_leave() == 0
    assert [rep["outcome"] for rep in reps(home)][:3] == ["clean"] * 3

    again = opened()
    again.wait_for(r"clean in 3 of 3|measure \d+ of 30")
    again.press("C-q")
    assert again.wait_to_leave() == 0


def test_a_killed_terminal_loses_no_rep(opened: Open, home: Path) -> None:
    at = opened("demo")
    at.wait_for("measure 1 of 30")
    at.press("3")
    at.wait_for("0 of 3 clean in a row")
    at.press("c")
    at.wait_for("1 of 3 in a row")  # shown, so logged
    at.close()
    assert [rep["outcome"] for rep in reps(home)] == ["clean"]


def test_ctrl_c_stops_the_sound_and_then_leaves(opened: Open) -> None:
    at = opened("demo")
    at.wait_for("measure 1 of 30")
    at.press("Space")
    at.wait_for("▶ playing")
    at.press("C-c")
    at.wait_for("■ stopped")
    at.press("C-c")
    assert at.wait_to_leave() == 0


def test_a_small_window_says_what_it_needs_and_comes_back(opened: Open) -> None:
    at = opened("demo", columns=20, lines=5)
    at.wait_for("needs a")
    at.resize(80, 24)
    at.wait_for("measure 1 of 30")
    at.resize(120, 40)
    at.wait_for(r"measure 1 of 30(.*\n){30}")


def test_a_first_start_offers_the_demo(opened: Open) -> None:
    at = opened()
    at.wait_for("demo")
    at.press("d")
    at.wait_for("measure 1 of 30|the held low F")

"""What the two guides say is so: commands, keys, rooms, files and the lines to type exist as written."""

import argparse
import re
import shlex
from pathlib import Path

import pytest

from coach.cli.main import COMMANDS, build_parser
from coach.screen.actions import COMMANDS as KEYS
from coach.screen.actions import key_words

ROOT = Path(__file__).parent.parent
README = (ROOT / "README.md").read_text("utf-8")
GUIDE = (ROOT / "DEVELOPERS.md").read_text("utf-8")
CI = (ROOT / ".ci" / "run").read_text("utf-8")


def options_of(command: str) -> set[str]:
    """The options that a command's help names."""
    (commands,) = (one for one in build_parser()._actions if isinstance(one, argparse._SubParsersAction))
    return set(re.findall(r"--[a-z-]+", commands.choices[command].format_help()))


def test_every_command_is_named() -> None:
    for command in COMMANDS:
        assert re.search(rf"`coach {command}\b", README), command


def test_every_command_that_is_named_exists() -> None:
    text = re.sub(r"```.*?```", "", README, flags=re.DOTALL)
    named = set(re.findall(r"\bcoach ([a-z]+)\b", "\n".join(re.findall(r"`([^`\n]+)`", text))))
    assert set(COMMANDS) == named


@pytest.mark.parametrize("row", re.findall(r"^\| (`coach [a-z]+.*) \|$", README, re.MULTILINE))
def test_every_option_of_a_row_exists(row: str) -> None:
    match = re.match(r"`coach ([a-z]+)", row)
    assert match
    wanted = set(re.findall(r"--[a-z-]+", row))
    assert wanted <= options_of(match[1])


def test_the_lines_to_type_are_those_that_ci_runs() -> None:
    """Install and test as README.md says; CI only puts the environment elsewhere."""
    blocks = re.findall(r"```sh\n(.*?)```", README, re.DOTALL)
    assert len(blocks) == 2 and all(block.count("\n") == 1 for block in blocks)
    run, test = (block.strip().split(" && ") for block in blocks)
    assert shlex.split(run[2]) == [".venv/bin/coach", "demo"]
    for line in test[1:]:
        words = shlex.split(line)
        assert words[0].startswith(".venv/bin/")
        wanted = line.removeprefix(".venv/bin/").split(" ", 1)[1]  # the words after the program
        assert wanted.replace("install ", "") in CI, wanted


def test_a_new_user_can_run_it_by_line_25() -> None:
    lines = README.splitlines()
    assert any(line.endswith(".venv/bin/coach demo") for line in lines[:25])
    assert any(line.startswith("![") for line in lines[:25])


def test_the_picture_is_of_the_program() -> None:
    (picture,) = re.findall(r"!\[.*\]\((.*)\)", README)
    drawn = (ROOT / picture).read_text("utf-8").replace("&#160;", " ")
    assert "Slow Étude in D flat" in drawn and "60 % of 50" in drawn
    assert "@font-face" not in drawn


def test_the_keys_are_those_of_the_program() -> None:
    """Keys that the main job names, in the words of the one table of keys."""
    keys = {key for command in KEYS for key in key_words(command.keys).split(" or ")}
    arrows = {"←": "left", "→": "right", "↑": "up", "↓": "down"}
    job = README.partition("## The main job")[2].partition("## Commands")[0]
    named = {arrows.get(word, word) for word in re.findall(r"`(\S{1,9})`", job)} - {"60%", "corpus:"}
    assert {"space", "c", "s", "l", "backspace", "ctrl+q"} <= named
    assert named <= keys


def test_every_room_is_in_the_guide() -> None:
    rooms = {path.parent.name for path in (ROOT / "coach").glob("*/__init__.py")}
    listed = set(re.findall(r"^\| `coach/([a-z]+)/` \|", GUIDE, re.MULTILINE))
    assert listed == rooms


def test_every_path_in_the_guide_exists() -> None:
    for name in re.findall(
        r"\b((?:coach|tests|content|scenarios|store|practice|files|screen|cli|sound)/[\w/.]+)", GUIDE
    ):
        path = name.rstrip(".")
        assert (ROOT / path).exists() or (ROOT / "coach" / path).exists(), path


def test_every_bench_in_the_guide_exists() -> None:
    for name in re.findall(r"python -m (tests[\w.]+)", GUIDE):
        assert (ROOT / (name.replace(".", "/") + ".py")).exists(), name

"""The program starts light: help and paths need none of the heavy libraries (issue 2, section 7)."""

import json
import subprocess
import sys
from pathlib import Path

import pytest

from tests.cli.conftest import Coach

HEAVY = (
    *("music21", "numpy", "rtmidi", "textual", "sqlite3", "miniaudio", "lxml", "mido", "rich", "platformdirs"),
    *("verovio", "resvg_py", "typst", "textual_image", "PIL"),
)
PROBE = """
import json, sys
from coach.cli.main import main
try:
    main(sys.argv[1:])
except SystemExit:
    pass
print()
print(json.dumps(sorted({name.partition(".")[0] for name in sys.modules})))
"""


def loaded_by(*arguments: str) -> set[str]:
    """The top-level modules that are loaded once a command has run."""
    done = subprocess.run([sys.executable, "-c", PROBE, *arguments], capture_output=True, text=True, timeout=60)
    return set(json.loads(done.stdout.splitlines()[-1]))


@pytest.mark.parametrize("arguments", [["--help"], ["--version"], ["add", "--help"], ["where"], ["where", "--json"]])
def test_help_and_where_load_nothing_heavy(arguments: list[str], home: Path) -> None:
    assert loaded_by(*arguments) & set(HEAVY) == set()


@pytest.mark.parametrize("arguments", [["pieces"], ["today"], ["rep", "demo", "octaves", "--tempo", "40", "clean"]])
def test_the_log_needs_no_sound_no_screen_and_no_foreign_reader(arguments: list[str], coach: Coach) -> None:
    coach("demo")
    assert loaded_by(*arguments) & {"music21", "numpy", "rtmidi", "textual", "miniaudio"} == set()


def test_reopening_a_score_needs_no_parser(coach: Coach) -> None:
    """The reading kept at the first opening is enough: no XML parser is loaded at the second."""
    coach("demo")
    assert loaded_by("prepare", "demo", "--json") & {"music21", "lxml", "numpy"} == set()


def test_the_probe_sees_what_is_loaded(coach: Coach) -> None:
    coach("demo")
    assert {"sqlite3", "coach"} <= loaded_by("pieces")

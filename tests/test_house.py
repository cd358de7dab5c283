"""The house stands as DEVELOPERS.md says: layers, pure rooms, one door to each library, small files."""

import ast
import json
import subprocess
import sys
from pathlib import Path
from typing import cast

import pytest

ROOT = Path(__file__).parent.parent
PACKAGE = ROOT / "coach"
SOURCES = sorted(PACKAGE.rglob("*.py"))
PURE_ROOMS = ("music", "instruments", "practice", "prepare")
# The modules of `sound` that compute what will be heard, and touch no device. They hold no samples, so no NumPy either.
PURE_SOUND = ("performance", "clicks", "timeline", "compile", "tempo_map", "transport", "action")
HEAVY = {"music21", "numpy", "rtmidi", "textual", "miniaudio", "lxml", "mido", "rich", "verovio", "PIL"}
# What the player waits for at every start: the command line without any command.
FRONT = "coach.cli.main"
LONGEST_FILE, LONGEST_FUNCTION = 400, 60

# Each foreign library has one door.
DOORS = {
    "music21": "files/foreign.py",
    "rtmidi": "sound/port.py",
    "sqlite3": "store/",
    "verovio": "files/engraving/toolkit.py",
    "resvg_py": "files/engraving/picture.py",
}
# Time, chance and the world are arguments in the pure rooms.
WORLD = {"os", "io", "pathlib", "time", "random", "uuid", "secrets", "socket", "subprocess", "threading", "tempfile"}


def name_of(path: Path) -> str:
    return ".".join(path.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__")


def pure_modules() -> list[str]:
    rooms = [name_of(path) for room in PURE_ROOMS for path in sorted((PACKAGE / room).rglob("*.py"))]
    return rooms + [f"coach.sound.{name}" for name in PURE_SOUND]


def in_a_new_interpreter(code: str) -> object:
    """What a program of its own prints, as JSON."""
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, cwd=ROOT, timeout=60)
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout)


def loaded_by(module: str) -> set[str]:
    """The top-level packages that importing a module brings in, in a new interpreter."""
    code = (
        "import sys, json; before = set(sys.modules)\n"
        f"import {module}\n"
        "print(json.dumps(sorted({name.partition('.')[0] for name in set(sys.modules) - before})))"
    )
    return set(cast(list[str], in_a_new_interpreter(code)))


def imports_of(path: Path) -> set[str]:
    """The top-level packages that a file names in its imports, wherever they stand."""
    found = set()
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if isinstance(node, ast.Import):
            found |= {alias.name.partition(".")[0] for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            found.add(node.module.partition(".")[0])
    return found


def test_the_layers_point_down() -> None:
    code = (
        "import sys; from importlinter.cli import lint_imports_command as run\n"
        "sys.argv = ['lint-imports', '--no-cache']; run()"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, cwd=ROOT, timeout=120)
    assert done.returncode == 0, done.stdout + done.stderr
    assert "0 broken" in done.stdout


@pytest.mark.parametrize("module", pure_modules())
def test_a_pure_module_needs_the_standard_library_only(module: str) -> None:
    foreign = loaded_by(module) - set(sys.stdlib_module_names) - {"coach"}
    assert foreign == set()


def test_the_command_line_starts_light() -> None:
    assert loaded_by(FRONT) & HEAVY == set()


def test_help_loads_nothing_heavy() -> None:
    code = f"""
import contextlib, io, json, sys
from {FRONT} import run
sys.argv = ["coach", "--help"]
told = io.StringIO()
with contextlib.redirect_stdout(told), contextlib.suppress(SystemExit):
    run()
print(json.dumps([told.getvalue(), sorted(name.partition(".")[0] for name in sys.modules)]))
"""
    told, loaded = cast(tuple[str, list[str]], in_a_new_interpreter(code))
    assert "demo" in told
    assert "progress" in told
    assert set(loaded) & HEAVY == set()


@pytest.mark.parametrize("library", DOORS)
def test_a_library_has_one_door(library: str) -> None:
    users = {path.relative_to(PACKAGE).as_posix() for path in SOURCES if library in imports_of(path)}
    assert users
    assert {user for user in users if not user.startswith(DOORS[library])} == set()


@pytest.mark.parametrize("room", PURE_ROOMS)
def test_pure_rooms_ask_nothing_of_the_world(room: str) -> None:
    for path in sorted((PACKAGE / room).rglob("*.py")):
        assert imports_of(path) & WORLD == set(), path
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute):
                of = node.func.value.id if isinstance(node.func.value, ast.Name) else ""
                assert (of, node.func.attr) not in {("datetime", "now"), ("datetime", "utcnow"), ("date", "today")}, (
                    path
                )
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Name):
                assert node.func.id not in {"open", "print", "input"}, path


def test_practice_touches_nothing_while_it_computes() -> None:
    """A day's work under an audit hook: no file, socket, process or database is asked for (PEP 578)."""
    code = """
import json, sys
from datetime import timedelta
from tests.practice.factory import START, rep
from tests.practice.test_today import record, practised
from coach.music.tempo import Tempo
from coach.practice.standing import standing
from coach.practice.today import plan
from fractions import Fraction
asked = []
sys.addaudithook(lambda event, _: asked.append(event))
now = START + timedelta(hours=1)
found = record("abc", [*practised("a", 60, 5, 2), *practised("b", 48, 2, 5)])
assert len(plan(found, 60, now).document()["items"]) > 5
assert found.climb("a").per_minute > 0
assert standing(found.reps, ("1", "2"), Tempo(Fraction(72)), now).measures[0].state != "unknown"
worldly = ("open", "os.", "socket.", "subprocess.", "sqlite3.", "shutil.", "tempfile.", "import")
print(json.dumps(sorted({event for event in asked if event.startswith(worldly)})))
"""
    assert in_a_new_interpreter(code) == []


def test_nothing_names_a_machine() -> None:
    folders = ("/wo" + "rk/", "/ro" + "ot/", "/tmp/bash" + "_jobs", "/ho" + "me/")
    kept = [path for name in ("coach", "content", "scenarios", "tests", ".ci") for path in (ROOT / name).rglob("*")]
    texts = [*ROOT.glob("*.md"), *ROOT.glob("*.toml"), *(path for path in kept if "__pycache__" not in path.parts)]
    for path in texts:
        if path.is_file():
            text = path.read_text("utf-8", errors="replace")
            assert [folder for folder in folders if folder in text] == [], path


@pytest.mark.parametrize("path", SOURCES, ids=name_of)
def test_files_and_functions_stay_small(path: Path) -> None:
    text = path.read_text("utf-8")
    assert len(text.splitlines()) <= LONGEST_FILE
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, (ast.FunctionDef, ast.AsyncFunctionDef)):
            last = node.end_lineno or node.lineno
            assert last - node.lineno + 1 <= LONGEST_FUNCTION, f"{node.name} in {path.name}, line {node.lineno}"

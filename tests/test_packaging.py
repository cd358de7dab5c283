"""The program travels: a wheel holds code, content and scenarios, and runs where nothing of the repository is near.

The wheel is built without isolation: setuptools comes with the extra `test`, so that the test needs no network and
builds with what it was installed with.
"""

import json
import os
import subprocess
import sys
import tomllib
import zipfile
from pathlib import Path

import pytest
from packaging.markers import Marker
from packaging.requirements import Requirement

ROOT = Path(__file__).parent.parent
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))


@pytest.fixture(scope="session")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A wheel built from a copy of the tree, as a fresh clone would hold it."""
    source, out = tmp_path_factory.mktemp("source"), tmp_path_factory.mktemp("wheel")
    for name in ("coach", "content", "scenarios"):
        _copy(ROOT / name, source / name)
    for name in ("pyproject.toml", "README.md"):
        (source / name).write_bytes((ROOT / name).read_bytes())
    done = subprocess.run(
        [sys.executable, "-m", "build", "--wheel", "--no-isolation", "--outdir", str(out), str(source)],
        capture_output=True,
        text=True,
        timeout=120,
    )
    assert done.returncode == 0, done.stdout + done.stderr
    (built,) = out.glob("*.whl")
    return built


def _copy(folder: Path, target: Path) -> None:
    for path in sorted(folder.rglob("*")):
        if path.is_file() and "__pycache__" not in path.parts:
            place = target / path.relative_to(folder)
            place.parent.mkdir(parents=True, exist_ok=True)
            place.write_bytes(path.read_bytes())


@pytest.fixture(scope="session")
def installed(wheel: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The wheel, and nothing else, installed into a folder of its own."""
    folder = tmp_path_factory.mktemp("installed")
    arguments = ["--quiet", "--no-deps", "--no-index", "--target", str(folder), str(wheel)]
    command = [sys.executable, "-m", "pip", "install", *arguments]
    subprocess.run(command, check=True, timeout=120, capture_output=True)
    return folder


def names_in(wheel: Path) -> set[str]:
    with zipfile.ZipFile(wheel) as archive:
        return set(archive.namelist())


def test_the_wheel_holds_every_file_of_the_program(wheel: Path) -> None:
    held = names_in(wheel)
    code = {path.relative_to(ROOT).as_posix() for path in (ROOT / "coach").rglob("*.py")}
    styles = {
        path.relative_to(ROOT).as_posix()
        for ending in ("tcss", "css", "typ")
        for path in (ROOT / "coach").rglob(f"*.{ending}")
    }
    data = {
        f"coach/{path.relative_to(ROOT).as_posix()}"
        for folder in ("content", "scenarios")
        for path in (ROOT / folder).rglob("*")
        if path.is_file() and path.suffix in {".toml", ".musicxml", ".md", ".ttf", ".txt"}
    }
    assert code - held == set()
    assert styles and styles - held == set()
    assert "coach/content/pieces/demo.musicxml" in data and any(name.startswith("coach/scenarios/") for name in data)
    assert data - held == set()
    assert "coach/py.typed" in held


def test_the_wheel_holds_nothing_but_the_program(wheel: Path) -> None:
    assert {name.split("/")[0] for name in names_in(wheel)} == {"coach", _dist_info(wheel)}


def _dist_info(wheel: Path) -> str:
    name, version = wheel.name.split("-")[:2]
    return f"{name}-{version}.dist-info"


def run(installed: Path, folder: Path, *arguments: str) -> subprocess.CompletedProcess[str]:
    """Run the installed program, far from the repository."""
    away = folder / "away"
    away.mkdir(exist_ok=True)
    environment = {**os.environ, "PYTHONPATH": str(installed), "COACH_HOME": str(folder / "home")}
    return subprocess.run(
        [sys.executable, "-m", "coach.cli.main", *arguments],
        cwd=away,
        env=environment,
        capture_output=True,
        text=True,
        encoding="utf-8",
        timeout=60,
    )


def test_the_installed_program_runs_the_demo(installed: Path, tmp_path: Path) -> None:
    demo = run(installed, tmp_path, "demo", "--json")
    assert demo.returncode == 0, demo.stderr
    piece = json.loads(demo.stdout)["piece"]
    listed = run(installed, tmp_path, "pieces")
    assert listed.returncode == 0 and piece["title"] in listed.stdout
    written = run(
        installed, tmp_path, "render", piece["id"], "--measures", "1-2", "--wav", "out.wav", "--midi", "o.mid"
    )
    assert written.returncode == 0, written.stderr
    assert (tmp_path / "away" / "out.wav").read_bytes()[:4] == b"RIFF"
    assert (tmp_path / "away" / "o.mid").read_bytes()[:4] == b"MThd"
    printed = run(installed, tmp_path, "part", piece["id"], "--pdf", "part.pdf", "--html", "part.html")
    assert printed.returncode == 0, printed.stderr
    assert (tmp_path / "away" / "part.pdf").read_bytes()[:5] == b"%PDF-"
    assert "font/ttf" in (tmp_path / "away" / "part.html").read_text("utf-8")


def test_the_installed_program_is_the_one_that_runs(installed: Path, tmp_path: Path) -> None:
    """The tests above would prove nothing if the repository's own package were found first."""
    code = (
        "import coach.cli.main, json; from coach.paths import content, scenarios; "
        "print(json.dumps([coach.cli.main.__file__, str(content('pieces')), str(scenarios())]))"
    )
    environment = {**os.environ, "PYTHONPATH": str(installed)}
    done = subprocess.run([sys.executable, "-c", code], cwd=tmp_path, env=environment, capture_output=True, text=True)
    assert all(Path(place).is_relative_to(installed) for place in json.loads(done.stdout)), done.stderr


def test_midi_ports_are_left_out_where_there_are_no_wheels() -> None:
    """python-rtmidi 1.5.8 has wheels up to CPython 3.12; PEP 508 decides by the marker."""
    (requirement,) = [
        Requirement(text) for text in PROJECT["project"]["dependencies"] if text.startswith("python-rtmidi")
    ]
    marker = requirement.marker
    assert isinstance(marker, Marker)
    assert marker.evaluate({"python_version": "3.12"}) and marker.evaluate({"python_version": "3.11"})
    assert not marker.evaluate({"python_version": "3.13"}) and not marker.evaluate({"python_version": "3.14"})


def test_every_package_of_the_tree_is_declared() -> None:
    """setuptools is told each package by name; a forgotten one would be missing from the wheel."""
    declared = set(PROJECT["tool"]["setuptools"]["packages"])
    packages = {".".join(path.parent.relative_to(ROOT).parts) for path in (ROOT / "coach").rglob("__init__.py")}
    assert packages - declared == set()
    assert {name for name in declared if not name.startswith(("coach.content", "coach.scenarios"))} == packages

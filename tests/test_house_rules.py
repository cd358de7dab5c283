"""What every file of the repository keeps to: no traces of one machine, nothing left undone, small files."""

import ast
import re
import subprocess
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
TOP = {"README.md", "DEVELOPERS.md", "pyproject.toml", "coach", "content", "tests", "scenarios"}
LONGEST_FILE, LONGEST_FUNCTION = 500, 60

# Split, so that this file does not find itself.
MACHINE = re.compile(r"(?<![\w./~<-])/(?:wo" r"rk|ro" r"ot|home/\w+|Users/\w+|tmp/bash_" r"jobs|tmp/v3" r"11)(?![\w-])")
UNDONE = re.compile(r"\b(?:TO" r"DO|FIX" r"ME|X" r"XX|HA" r"CK)\b")
REGISTRIES = re.compile(
    r"py"
    r"pi\.(?:org|python)|python"
    r"hosted|npm"
    r"js\.|registry\.|index-"
    r"url|conda\."
    r"anaconda|crates\."
    r"io",
    re.IGNORECASE,
)


def repository() -> list[Path]:
    """The files of the repository: those that git holds, or would hold, and that are there."""
    listed = subprocess.run(
        ["git", "-c", "safe.directory=*", "ls-files", "-z", "--cached", "--others", "--exclude-standard"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=True,
    )
    return sorted(path for name in listed.stdout.split("\0") if name and (path := ROOT / name).is_file())


FILES = repository()
TEXTS = [
    path for path in FILES if path.suffix in {".py", ".md", ".toml", ".tcss", ".sql", ".sh", ""} or path.name == "run"
]
PYTHON = [path for path in FILES if path.suffix == ".py"]


def name_of(path: Path) -> str:
    return path.relative_to(ROOT).as_posix()


def found(pattern: re.Pattern[str], paths: list[Path]) -> list[str]:
    """Where a pattern occurs, as file:line: text."""
    return [
        f"{name_of(path)}:{k}: {line.strip()}"
        for path in paths
        for k, line in enumerate(path.read_text("utf-8").splitlines(), 1)
        if pattern.search(line)
    ]


def test_the_repository_was_found() -> None:
    assert {"pyproject.toml", "coach/cli/main.py", ".ci/run"} <= set(map(name_of, FILES))


def test_nothing_names_the_machine_it_was_written_on() -> None:
    assert found(MACHINE, TEXTS) == []


def test_nothing_is_left_to_be_done() -> None:
    assert found(UNDONE, TEXTS) == []


def test_no_registry_is_named() -> None:
    assert found(REGISTRIES, TEXTS) == []


@pytest.mark.parametrize(
    ("pattern", "line"),
    [
        (MACHINE, "see /wo" + "rk/main for it"),
        (MACHINE, "'/ro" + "ot/.cache'"),
        (UNDONE, "# TO" + "DO: later"),
        (REGISTRIES, "https://py" + "pi.org/simple"),
    ],
)
def test_the_patterns_find_what_they_are_for(pattern: re.Pattern[str], line: str) -> None:
    assert pattern.search(line)


def test_the_top_of_the_tree_holds_the_agreed_names_only() -> None:
    top = {path.relative_to(ROOT).parts[0] for path in FILES}
    assert {name for name in top if not name.startswith(".")} <= TOP


def test_files_and_functions_stay_small() -> None:
    large = [name_of(path) for path in PYTHON if len(path.read_text("utf-8").splitlines()) >= LONGEST_FILE]
    long = [
        f"{name_of(path)}:{node.lineno}: {node.name}"
        for path in PYTHON
        for node in ast.walk(ast.parse(path.read_text("utf-8")))
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)
        and (node.end_lineno or node.lineno) - node.lineno + 1 >= LONGEST_FUNCTION
    ]
    assert (large, long) == ([], [])


def test_every_module_says_what_it_is_for() -> None:
    """A head for every module that holds something; an empty `__init__.py` needs none."""
    trees = {name_of(path): ast.parse(path.read_text("utf-8")) for path in PYTHON}
    assert [name for name, tree in trees.items() if tree.body and not ast.get_docstring(tree)] == []


def test_text_files_end_with_one_newline() -> None:
    untidy = [
        name_of(path) for path in TEXTS if (text := path.read_text("utf-8")) and not re.search(r"[^\n]\n\Z", text)
    ]
    assert untidy == []

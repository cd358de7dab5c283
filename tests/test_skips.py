"""Where every test must run, a skip is a failure; only what the platform or this Python cannot have is excused."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.conftest import EXCUSED

ROOT = Path(__file__).parent.parent
SKIPS = {
    "in a test": "import pytest\ndef test_it():\n    pytest.skip('no server')\n",
    "by a mark": "import pytest\n@pytest.mark.skip(reason='no server')\ndef test_it():\n    pass\n",
    "in a fixture": (
        "import pytest\n@pytest.fixture\ndef it():\n    pytest.skip('no server')\ndef test_it(it):\n    pass\n"
    ),
    "as a module": "import pytest\npytest.skip('no server', allow_module_level=True)\n",
}


def status_of(code: str, folder: Path, required: str) -> int:
    test = folder / "test_inner.py"
    test.write_text(code)
    done = subprocess.run(
        [
            sys.executable,
            "-m",
            "pytest",
            "-q",
            "-p",
            "tests.conftest",
            "-p",
            "no:cacheprovider",
            "--rootdir",
            folder,
            test,
        ],
        cwd=ROOT,
        env={**os.environ, "COACH_REQUIRE_SERVERS": required},
        capture_output=True,
        timeout=60,
    )
    return done.returncode


@pytest.mark.parametrize("how", SKIPS)
def test_a_skip_fails_where_everything_must_run(how: str, tmp_path: Path) -> None:
    assert status_of(SKIPS[how], tmp_path, "1") in (1, 2)  # 2: pytest's status for a module that cannot be collected


def test_a_skip_is_a_skip_elsewhere(tmp_path: Path) -> None:
    assert status_of(SKIPS["in a test"], tmp_path, "") == 0


def test_an_excused_reason_stays_a_skip(tmp_path: Path) -> None:
    words = next(iter(EXCUSED))
    code = (
        f"import pytest, tests.conftest as c\nc.EXCUSED[{words!r}] = True\ndef test_it():\n    pytest.skip({words!r})\n"
    )
    assert status_of(code, tmp_path, "1") == 0

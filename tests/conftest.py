"""For all tests: the player's own data are out of reach, and where everything must run a skip is a failure."""

import os
import signal
import sys
import tempfile
from collections.abc import Generator, Iterator
from typing import TypeVar

import pytest

Report = TypeVar("Report", pytest.TestReport, pytest.CollectReport)

# Reasons that excuse a skip even there: what this platform or this Python cannot have.
EXCUSED = {
    "permissions of folders work otherwise there": sys.platform == "win32",
    "there are no limits on the size of files there": sys.platform == "win32",
    "there is no /dev/full on this system": not sys.platform.startswith("linux"),
    "signals of POSIX": sys.platform == "win32",
    "no MIDI ports on this Python": sys.version_info >= (3, 13),
}


@pytest.fixture(scope="session", autouse=True)
def _out_of_reach() -> Iterator[None]:
    """A home of its own for whatever a test forgets to place."""
    before = os.environ.get("COACH_HOME")
    with tempfile.TemporaryDirectory(prefix="coach-tests-", ignore_cleanup_errors=True) as folder:
        os.environ["COACH_HOME"] = folder
        yield
    if before is None:
        del os.environ["COACH_HOME"]
    else:
        os.environ["COACH_HOME"] = before


@pytest.fixture(scope="session", autouse=True)
def _interruptible() -> None:
    """A shell that starts the tests in the background has them ignore Ctrl-C, and the programs they start with them."""
    if signal.getsignal(signal.SIGINT) is signal.SIG_IGN:
        signal.signal(signal.SIGINT, signal.default_int_handler)


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Tests of real servers run one after the other: each measures time, and two at once would measure each other."""
    for item in items:
        if item.get_closest_marker("server"):
            item.add_marker(pytest.mark.xdist_group("server"))


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport() -> Generator[None, pytest.TestReport, pytest.TestReport]:
    """Let a skip fail."""
    return unexcused((yield))


@pytest.hookimpl(wrapper=True)
def pytest_make_collect_report() -> Generator[None, pytest.CollectReport, pytest.CollectReport]:
    """Let a whole module that skips itself fail."""
    return unexcused((yield))


def unexcused(report: Report) -> Report:
    """The report, turned into a failure if it is a skip without an excuse where everything must run."""
    required = os.environ.get("COACH_REQUIRE_SERVERS") == "1"
    if not required or report.outcome != "skipped" or hasattr(report, "wasxfail"):
        return report
    reason = report.longrepr[2] if isinstance(report.longrepr, tuple) else str(report.longrepr)
    if not any(words in reason and holds for words, holds in EXCUSED.items()):
        report.outcome = "failed"
        report.longrepr = f"Skipped where every test must run: {reason}"
    return report

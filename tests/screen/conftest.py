"""Homes for the tests of the screens."""

from pathlib import Path

import pytest

from tests.screen.sitting import demo_home


@pytest.fixture(scope="session")
def with_demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A home with the demo on the stand; copy it, do not write to it."""
    return demo_home(tmp_path_factory.mktemp("demo"))

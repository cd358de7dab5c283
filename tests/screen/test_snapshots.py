"""The Stand looks as it did when it was last looked at; after a change that is wanted, `python -m tests.picture`."""

from pathlib import Path

import pytest

from tests.screen.shots import SHOTS, SNAPSHOTS, Shot, shoot


@pytest.mark.parametrize("shot", SHOTS, ids=lambda shot: shot.name)
async def test_the_stand_looks_as_it_did(shot: Shot, tmp_path: Path, with_demo: Path) -> None:
    text, _ = await shoot(shot, tmp_path / "home", with_demo)
    expected = (SNAPSHOTS / f"{shot.name}.txt").read_text("utf-8")
    assert text.splitlines() == expected.splitlines()


def test_every_snapshot_is_one_of_a_shot() -> None:
    assert {path.stem for path in SNAPSHOTS.iterdir()} == {shot.name for shot in SHOTS}

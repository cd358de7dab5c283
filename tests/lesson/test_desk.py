"""What every use case has at hand, and what works here."""

from dataclasses import replace
from datetime import UTC
from pathlib import Path

import pytest

from coach.config import Settings
from coach.errors import SettingsError, StoreError
from coach.lesson.check import check
from coach.lesson.desk import Desk
from coach.lesson.drilling import log_run
from coach.music.piece import Piece
from coach.paths import Paths
from coach.practice.set_piece import SetPiece
from tests.lesson.conftest import START, Clock


def paths_in(folder: Path) -> Paths:
    return Paths(folder / "data", folder / "config", folder / "cache")


def test_opening_touches_nothing(tmp_path: Path) -> None:
    desk = Desk.open(paths_in(tmp_path / "home"))
    assert desk.settings == Settings() and not (tmp_path / "home").exists()


def test_the_time_is_told_in_utc_and_in_the_players_zone(desk: Desk) -> None:
    assert desk.now().tzinfo is UTC and (desk.now() - START).total_seconds() < 1
    assert desk.local().hour == 18 and desk.zone() == "+01:00"


def test_settings_are_kept(tmp_path: Path) -> None:
    paths = paths_in(tmp_path)
    Desk.open(paths).change(replace(Settings(), tuning_hz=442.0))
    assert Desk.open(paths).settings.tuning_hz == 442.0


def test_settings_that_cannot_be_written_hold_for_now(tmp_path: Path) -> None:
    paths = paths_in(tmp_path)
    paths.config.write_text("")  # a file in the place of the folder
    desk = Desk(paths, Settings())
    with pytest.raises(SettingsError, match="for this session only"):
        desk.change(replace(Settings(), tuning_hz=442.0))
    assert desk.settings.tuning_hz == 442.0


def test_the_record_is_folded_once_and_again_when_something_came(desk: Desk, piece: SetPiece, sheet: Piece) -> None:
    first = desk.record()
    assert desk.record() is first
    log_run(desk, piece, sheet, 60, "clean")
    assert desk.record() is not first and len(desk.record().reps) == 1


def test_a_closed_desk_opens_its_log_again(desk: Desk, piece: SetPiece) -> None:
    desk.close()
    assert piece.id in desk.record().pieces


def test_check_says_what_does_not_work_and_why(desk: Desk, piece: SetPiece, clock: Clock) -> None:
    found = {finding.what: finding for finding in check(desk)}
    assert found["practice log"].works and "0 reps" in found["practice log"].found
    desk.close()
    desk.paths.log.write_bytes(b"no database" * 500)
    broken = Desk(desk.paths, desk.settings, clock)
    log = next(finding for finding in check(broken) if finding.what == "practice log")
    assert not log.works and str(desk.paths.log) in log.found
    with pytest.raises(StoreError):
        broken.record()

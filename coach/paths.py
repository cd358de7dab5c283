"""Every path that coach uses. `COACH_HOME` moves them all into one folder; nothing is created by asking for a path."""

import os
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from importlib.resources.abc import Traversable


@dataclass(frozen=True, slots=True)
class Paths:
    """Where things live: the player's data, their settings, and a cache that may be deleted at any time."""

    data: Path
    config: Path
    cache: Path

    @property
    def log(self) -> Path:
        """The practice log (SQLite)."""
        return self.data / "log.sqlite3"

    @property
    def scores(self) -> Path:
        """Copies of the scores on the stand, one file a score, named by content."""
        return self.data / "scores"

    @property
    def preps(self) -> Path:
        """The marks of the pieces on the stand, one file a piece, named by its id (TOML)."""
        return self.data / "preps"

    @property
    def settings(self) -> Path:
        """The settings file (TOML)."""
        return self.config / "settings.toml"

    @property
    def readings(self) -> Path:
        """Cached readings of scores."""
        return self.cache / "readings"

    @property
    def engraving(self) -> Path:
        """Cached engravings of parts."""
        return self.cache / "engraving"

    @property
    def drills(self) -> Path:
        """Drills written out for the engraver, one file each, named by content; a cache."""
        return self.cache / "drills"

    @property
    def engine_log(self) -> Path:
        """What audio and MIDI drivers of the sound process print."""
        return self.cache / "sound.log"


def locate() -> Paths:
    """The paths in force: under `COACH_HOME` if that is set, else where the platform keeps such things."""
    home = os.environ.get("COACH_HOME")
    if home:
        root = Path(home).expanduser()
        return Paths(root / "data", root / "config", root / "cache")
    from platformdirs import PlatformDirs  # deferred: `coach --help` needs no path

    dirs = PlatformDirs("coach", appauthor=False)
    return Paths(Path(dirs.user_data_dir), Path(dirs.user_config_dir), Path(dirs.user_cache_dir))


def content(*names: str) -> "Traversable":
    """A data file that travels with the program, such as `content("pieces", "demo.musicxml")`."""
    return _data_folder("content").joinpath(*names)


def scenarios(*names: str) -> "Traversable":
    """A scenario file that travels with the program."""
    return _data_folder("scenarios").joinpath(*names)


def _data_folder(name: str) -> "Traversable":
    from importlib.resources import files  # deferred: most commands need no data file

    installed = files("coach").joinpath(name)
    if installed.is_dir():
        return installed
    return Path(__file__).resolve().parent.parent / name  # a checkout: the folder stands beside the package

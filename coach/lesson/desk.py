"""What every use case needs at hand: the paths, the settings, the log, the time."""

from collections.abc import Callable
from datetime import UTC, datetime
from typing import TYPE_CHECKING

from coach.config import Settings, load, save
from coach.paths import Paths, locate

if TYPE_CHECKING:
    from coach.practice.entry import Entry
    from coach.practice.record import Record
    from coach.practice.rep import Rep
    from coach.store.log import Log

Clock = Callable[[], datetime]


def _now() -> datetime:
    return datetime.now().astimezone()


class Desk:
    """Paths, settings, log and clock of one run of the program. The log opens at its first use."""

    def __init__(self, paths: Paths, settings: Settings, clock: Clock = _now) -> None:
        self.paths = paths
        self.settings = settings
        self._clock = clock
        self._log: Log | None = None
        self._record: tuple[int, Record] | None = None
        self._parsed: dict[str, Rep] = {}

    @classmethod
    def open(cls, paths: Paths | None = None, *, clock: Clock = _now) -> "Desk":
        """A desk with the settings read from their file. Raises SettingsError."""
        paths = paths or locate()
        return cls(paths, load(paths.settings), clock)

    @property
    def log(self) -> "Log":
        """The practice log. Raises StoreError if it cannot be opened."""
        if self._log is None:
            from coach.store.log import Log  # deferred: the first paint needs no database

            self._log = Log.open(self.paths.log)
        return self._log

    def record(self) -> "Record":
        """What the log adds up to now, entries of other running programs included. Raises StoreError."""
        from coach.practice.record import fold  # deferred with the log

        version = self.log.version
        if self._record is None or self._record[0] != version:
            self._record = version, fold(self.log.entries(), self._parsed)
        return self._record[1]

    def append(self, *entries: "Entry") -> None:
        """Add entries to the log; they are on the disk when this returns. Raises StoreError."""
        self.log.append(*entries)

    def now(self) -> datetime:
        """The time, in UTC."""
        return self._clock().astimezone(UTC)

    def local(self) -> datetime:
        """The time in the player's zone."""
        return self._clock()

    def zone(self) -> str:
        """The player's zone as an offset, such as "+02:00"."""
        return self._clock().isoformat()[-6:]

    def change(self, settings: Settings) -> None:
        """Take new settings and write them. They hold for this run even where SettingsError is raised."""
        self.settings = settings
        save(settings, self.paths.settings)

    def close(self) -> None:
        """Close the log."""
        if self._log is not None:
            self._log.close()
            self._log = None

"""A spot: a few notes or measures worth separate work. Renamed or widened, it keeps its identity."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from coach.practice import body as read
from coach.practice.entry import Entry


@dataclass(frozen=True, slots=True)
class Spot:
    """A spot of a piece, from one note id to another; `first` and `last` are measure ids, `why` the reason for it."""

    uuid: str
    piece: str
    name: str
    from_note: str
    to_note: str
    first: str
    last: str
    created: datetime
    why: str = ""
    removed: bool = False

    def to_entry(self, uuid: str, at: datetime, zone: str) -> Entry:
        """The spot as it is now, as an entry of the log; `uuid` names the entry, not the spot."""
        body: dict[str, Any] = {
            "spot": self.uuid,
            "name": self.name,
            "from": self.from_note,
            "to": self.to_note,
            "measures": [self.first, self.last],
            "why": self.why,
            "removed": self.removed,
        }
        return Entry(uuid, at, zone, "spot", self.piece, body)

    @classmethod
    def from_body(cls, piece: str, created: datetime, body: Mapping[str, Any]) -> "Spot":
        """Read a spot from the merged bodies of its entries. Raises ValueError naming the field that is wrong."""
        first, last = read.pair(body, "measures")
        return cls(
            uuid=read.filled(body, "spot"),
            piece=piece,
            name=read.text(body, "name"),
            from_note=read.text(body, "from", ""),
            to_note=read.text(body, "to", ""),
            first=first,
            last=last,
            created=created,
            why=read.text(body, "why", ""),
            removed=read.flag(body, "removed", False),
        )

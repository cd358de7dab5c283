"""A spot: a few notes or measures worth separate work. Renamed or widened, it keeps its identity."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from coach.practice import body as read
from coach.practice.entry import Entry

NO_KEYS = ("", "")


@dataclass(frozen=True, slots=True)
class Spot:
    """A spot of a piece, from one note id to another; `first` and `last` are measure ids, `why` the reason for it.

    A drill is a spot too, with its own ladder and reps: `drill` is the id of its recipe ("" for the notes as they are
    printed), `keys` are the two fingerings of a swap where they are known.
    """

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
    drill: str = ""
    keys: tuple[str, str] = NO_KEYS

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
        if self.drill:
            body |= {"drill": self.drill, "keys": list(self.keys)}
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
            drill=read.text(body, "drill", ""),
            keys=_keys(body),
        )


def _keys(body: Mapping[str, Any]) -> tuple[str, str]:
    value = body.get("keys", list(NO_KEYS))
    if not isinstance(value, list) or len(value) != 2 or not all(isinstance(key, str) for key in value):
        raise ValueError(f"keys is {value!r}; it must be two texts, the fingerings of a swap")
    return value[0], value[1]

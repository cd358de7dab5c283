"""One line of the practice log. The log only grows; every state is computed from its entries."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any


@dataclass(frozen=True, slots=True)
class Entry:
    """An entry: `at` is UTC and aware, `zone` the player's zone then ("Europe/Vienna" or "+02:00"), `kind` one of
    "piece", "spot", "rep", "retraction", "ladder"; `piece` the id it belongs to; `body` plain JSON values."""

    uuid: str
    at: datetime
    zone: str
    kind: str
    piece: str
    body: dict[str, Any]

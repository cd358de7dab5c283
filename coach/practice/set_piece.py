"""A set piece: a piece on the stand with what is asked of it (the cut, the tempo, the day)."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from fractions import Fraction
from typing import Any

from coach.music.rhythm import beat_unit
from coach.music.tempo import Tempo
from coach.music.text import one_line, shown
from coach.practice import body as read
from coach.practice.entry import Entry


@dataclass(frozen=True, slots=True)
class SetPiece:
    """A piece on the stand.

    `id` stays when the score is corrected, `score_hash` then changes. `score` is the name of the copied score file,
    `source` where the player took it from, `part` the practised part as the reader was asked for it ("" for its own
    choice). `tempo` is the performance tempo, `first` and `last` the measure ids of the cut, `by` the day it must be
    ready. `shared_from` is the lasting id of the share that it was last taken from, "" where there was none.
    """

    id: str
    title: str
    score_hash: str
    score: str
    first: str
    last: str
    tempo: Tempo
    added: datetime
    composer: str = ""
    source: str = ""
    part: str = ""
    instrument: str = ""
    by: date | None = None
    removed: bool = False
    shared_from: str = ""

    def to_entry(self, uuid: str, at: datetime, zone: str) -> Entry:
        """The piece as it stands now, as an entry of the log; `uuid` names the entry, not the piece."""
        body: dict[str, Any] = {
            "title": self.title,
            "composer": self.composer,
            "score_hash": self.score_hash,
            "score": self.score,
            "source": self.source,
            "part": self.part,
            "instrument": self.instrument,
            "measures": [self.first, self.last],
            "tempo": {"per_minute": float(self.tempo.per_minute), "beat": self.tempo.beat.name},
            "by": self.by.isoformat() if self.by else None,
            "removed": self.removed,
        }
        if self.shared_from:
            body["shared_from"] = self.shared_from
        return Entry(uuid, at, zone, "piece", self.id, body)

    @classmethod
    def from_body(cls, piece: str, added: datetime, body: Mapping[str, Any]) -> "SetPiece":
        """Read a piece from the merged bodies of its entries. Raises ValueError naming the field that is wrong."""
        first, last = read.pair(body, "measures")
        tempo = read.table(body, "tempo")
        per_minute = Fraction(read.per_minute(tempo, "per_minute")).limit_denominator(1000)
        return cls(
            id=piece,
            title=one_line(read.filled(body, "title")) or "-",
            composer=one_line(read.text(body, "composer", "")),
            score_hash=read.text(body, "score_hash"),
            score=read.text(body, "score", ""),
            source=read.text(body, "source", ""),
            part=shown(read.text(body, "part", "")),
            instrument=one_line(read.text(body, "instrument", "")),
            first=first,
            last=last,
            tempo=Tempo(per_minute, beat_unit(read.beat(tempo))),
            by=_day(body.get("by")),
            added=added,
            removed=read.flag(body, "removed", False),
            shared_from=read.text(body, "shared_from", ""),
        )


def _day(value: object) -> date | None:
    if value is None:
        return None
    try:
        return date.fromisoformat(str(value))
    except ValueError:
        raise ValueError(f"by is {value!r}; it must be a day such as 2026-03-14") from None

"""A rep: one attempt at a spot, or one run through the whole cut, at one tempo."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from coach.music.rhythm import beat_unit
from coach.practice import body as read
from coach.practice.entry import Entry

OUTCOMES = ("clean", "slip")
KINDS = ("rep", "run", "cold")
# What can slip, in the order in which the screens offer it.
WHAT = ("notes", "rhythm", "fingers", "tone", "breath", "tuning", "dynamics")


@dataclass(frozen=True, slots=True)
class Slip:
    """Something that went wrong: `at` is a note or measure id or "" (not said where), `what` a word of WHAT or ""."""

    at: str = ""
    what: str = ""


@dataclass(frozen=True, slots=True)
class Rep:
    """One attempt.

    `kind` is "rep" (a spot), "run" (the whole cut) or "cold" (the first run of the day, nothing played before); `spot`
    is the spot's uuid, "" for runs. `from_note` and `to_note` are note ids, `first` and `last` measure ids. The tempo
    is `per_minute` of the beat unit `beat`. `complete` is False if the attempt was broken off. `drill` is the
    recipe of the drill that was played, "" for the notes as printed. `rule` and `rung` tell
    what the ladder stood at before the attempt (`rung` None where there was no ladder). `length` tells which of how
    many growing lengths of a phrase was played, None for all that there is.
    """

    uuid: str
    at: datetime
    zone: str
    piece: str
    score_hash: str
    spot: str
    from_note: str
    to_note: str
    first: str
    last: str
    per_minute: float
    beat: str
    outcome: str
    complete: bool = True
    kind: str = "rep"
    slips: tuple[Slip, ...] = ()
    drill: str = ""
    rule: str = ""
    rung: float | None = None
    length: tuple[int, int] | None = None

    @property
    def clean(self) -> bool:
        """Whether the attempt was played to its end without a slip."""
        return self.outcome == "clean" and self.complete

    def per_minute_in(self, beat: str) -> float:
        """The tempo counted in another beat unit."""
        if beat == self.beat:
            return self.per_minute
        return float(self.per_minute * beat_unit(self.beat).length_q / beat_unit(beat).length_q)

    def to_entry(self) -> Entry:
        """The rep as an entry of the log."""
        body: dict[str, Any] = {
            "score_hash": self.score_hash,
            "spot": self.spot,
            "from": self.from_note,
            "to": self.to_note,
            "measures": [self.first, self.last],
            "tempo": {"per_minute": self.per_minute, "beat": self.beat},
            "outcome": self.outcome,
            "complete": self.complete,
            "kind": self.kind,
            "slips": [{"at": slip.at, "what": slip.what} for slip in self.slips],
            "drill": self.drill,
            "rule": self.rule,
            "rung": self.rung,
        }
        if self.length is not None:
            body["length"] = list(self.length)
        return Entry(self.uuid, self.at, self.zone, "rep", self.piece, body)

    @classmethod
    def from_entry(cls, entry: Entry) -> "Rep":
        """Read a rep back from its entry. Raises ValueError naming the field that is wrong."""
        body = entry.body
        tempo = read.table(body, "tempo")
        first, last = read.pair(body, "measures")
        rep = cls(
            uuid=entry.uuid,
            at=entry.at,
            zone=entry.zone,
            piece=entry.piece,
            score_hash=read.text(body, "score_hash", ""),
            spot=read.text(body, "spot", ""),
            from_note=read.text(body, "from", ""),
            to_note=read.text(body, "to", ""),
            first=first,
            last=last,
            per_minute=read.per_minute(tempo, "per_minute"),
            beat=read.beat(tempo),
            outcome=read.choice(body, "outcome", OUTCOMES),
            complete=read.flag(body, "complete", True),
            kind=read.choice(body, "kind", KINDS, "rep"),
            slips=_slips(body),
            drill=read.text(body, "drill", ""),
            rule=read.text(body, "rule", ""),
            rung=None if body.get("rung") is None else read.per_minute(body, "rung"),
            length=_length(body),
        )
        _check(rep)
        return rep


def _slips(body: Mapping[str, Any]) -> tuple[Slip, ...]:
    listed = body.get("slips", [])
    if not isinstance(listed, list) or not all(isinstance(item, dict) for item in listed):
        raise ValueError(f"slips is {listed!r}; it must be a list of slips")
    return tuple(Slip(read.text(item, "at", ""), read.choice(item, "what", (*WHAT, ""), "")) for item in listed)


def _length(body: Mapping[str, Any]) -> tuple[int, int] | None:
    value = body.get("length")
    if value is None:
        return None
    whole = isinstance(value, list) and len(value) == 2 and all(type(number) is int for number in value)
    if not whole or not 1 <= value[0] <= value[1]:
        raise ValueError(f"length is {value!r}; it must be two whole numbers, which of how many")
    return value[0], value[1]


def _check(rep: Rep) -> None:
    if rep.outcome == "clean" and rep.slips:
        raise ValueError("outcome is clean, yet slips are named")
    if rep.kind == "rep" and not rep.spot:
        raise ValueError("spot is empty; only a run goes without a spot")
    if rep.kind != "rep" and rep.spot:
        raise ValueError(f"spot is {rep.spot!r}; a run belongs to no spot")

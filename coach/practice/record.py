"""The record: what the entries of the log add up to.

Entries are folded in order of time (then uuid), so the record does not depend on the order in which two computers'
logs were merged. Entries of one piece or spot replace each other field by field: renamed here and widened there, a spot
ends up with both. A retraction takes one entry back, whatever its kind; a later retraction of the retraction restores
it. Kinds that this version does not know are counted and otherwise left alone.
"""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from types import MappingProxyType
from typing import Any, TypeVar

from coach.practice import body as read
from coach.practice.entry import Entry
from coach.practice.ladder import PRESETS, Climb, Ladder, Rule, attempts, climb, first_ladder
from coach.practice.rep import Rep
from coach.practice.set_piece import SetPiece
from coach.practice.spot import Spot

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Unread:
    """An entry that the fold had to leave out: why, in words."""

    entry: Entry
    because: str


@dataclass(frozen=True, slots=True)
class Record:
    """Pieces by id, spots by uuid (removed ones included), reps in order, ladders by spot uuid.

    `unread` holds entries of known kinds with a body that makes no sense, `unknown` counts those of unknown kinds.
    """

    pieces: Mapping[str, SetPiece]
    spots: Mapping[str, Spot]
    reps: tuple[Rep, ...]
    ladders: Mapping[str, Ladder]
    unread: tuple[Unread, ...] = ()
    unknown: int = 0
    by_spot: Mapping[str, tuple[Rep, ...]] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        found: dict[str, list[Rep]] = {}
        for rep in self.reps:
            found.setdefault(rep.spot, []).append(rep)
        object.__setattr__(self, "by_spot", MappingProxyType({spot: tuple(reps) for spot, reps in found.items()}))

    def stand(self) -> tuple[SetPiece, ...]:
        """The pieces on the stand, in the order in which they were added."""
        return tuple(sorted((p for p in self.pieces.values() if not p.removed), key=lambda p: (p.added, p.id)))

    def spots_of(self, piece: str) -> tuple[Spot, ...]:
        """The spots of a piece, in the order in which they were made, without removed ones."""
        found = (spot for spot in self.spots.values() if spot.piece == piece and not spot.removed)
        return tuple(sorted(found, key=lambda spot: (spot.created, spot.uuid)))

    def reps_of(self, spot: str) -> tuple[Rep, ...]:
        """The reps of a spot, in order."""
        return self.by_spot.get(spot, ())

    def reps_in(self, piece: str) -> tuple[Rep, ...]:
        """All reps and runs of a piece, in order."""
        return tuple(rep for rep in self.reps if rep.piece == piece)

    def ladder_of(self, spot: str, rule: Rule = PRESETS[0]) -> Ladder | None:
        """The ladder of a spot: the one that was set up, else the one offered under `rule`; None for unknown spots."""
        if spot in self.ladders:
            return self.ladders[spot]
        piece = self.pieces.get(self.spots[spot].piece) if spot in self.spots else None
        return first_ladder(float(piece.tempo.per_minute), piece.tempo.beat.name, rule) if piece else None

    def climb(self, spot: str, rule: Rule = PRESETS[0]) -> Climb | None:
        """Where the ladder of a spot stands; None for unknown spots."""
        ladder = self.ladder_of(spot, rule)
        return None if ladder is None else climb(ladder, attempts(ladder, self.reps_of(spot)))


def fold(entries: Iterable[Entry], parsed: dict[str, Rep] | None = None) -> Record:
    """Fold entries, in any order, into the record.

    `parsed` holds reps already read, by uuid. Whoever folds a growing log again and again keeps one such table for it,
    empty at first; reps, which are most of a log, are then read once.
    """
    ordered = _standing(sorted(entries, key=_place))
    unread: list[Unread] = []
    known = ("piece", "spot", "rep", "ladder", "retraction")
    pieces = _merged(ordered, "piece", lambda entry: entry.piece, SetPiece.from_body, unread)
    spots = _merged(ordered, "spot", lambda entry: read.filled(entry.body, "spot"), Spot.from_body, unread)
    read_once = _Reps({} if parsed is None else parsed)
    reps = [rep for _, rep in _each(ordered, "rep", read_once, unread)]
    ladders = {entry.body["spot"]: ladder for entry, ladder in _each(ordered, "ladder", Ladder.from_entry, unread)}
    _each(ordered, "retraction", lambda entry: read.filled(entry.body, "of"), unread)
    return Record(
        MappingProxyType(pieces),
        MappingProxyType(spots),
        tuple(reps),
        MappingProxyType(ladders),
        tuple(sorted(unread, key=lambda item: _place(item.entry))),
        sum(entry.kind not in known for entry in ordered),
    )


def retraction(target: Entry | Rep, uuid: str, at: datetime, zone: str) -> Entry:
    """The entry that takes another one back."""
    return Entry(uuid, at, zone, "retraction", target.piece, {"of": target.uuid})


def check(entry: Entry) -> None:
    """Raises ValueError if the entry is of a known kind and its body makes no sense."""
    if entry.kind == "rep":
        Rep.from_entry(entry)
    elif entry.kind == "ladder":
        Ladder.from_entry(entry)
    elif entry.kind == "retraction":
        read.filled(entry.body, "of")
    elif entry.kind == "spot":
        Spot.from_body(entry.piece, entry.at, {"name": "-", "measures": ["1", "1"], **entry.body})
    elif entry.kind == "piece":
        SetPiece.from_body(entry.piece, entry.at, {**_ANY_PIECE, **entry.body})


# Stands in for the fields that an entry leaves as they were.
_ANY_PIECE: dict[str, Any] = {
    "title": "-",
    "score_hash": "-",
    "measures": ["1", "1"],
    "tempo": {"per_minute": 60.0, "beat": "quarter"},
}


class _Reps:
    """Reads reps, each of them once."""

    def __init__(self, parsed: dict[str, Rep]) -> None:
        self._parsed = parsed

    def __call__(self, entry: Entry) -> Rep:
        found = self._parsed.get(entry.uuid)
        if found is None:
            found = self._parsed[entry.uuid] = Rep.from_entry(entry)
        return found


def _place(entry: Entry) -> tuple[datetime, str]:
    return entry.at, entry.uuid


def _standing(ordered: list[Entry]) -> list[Entry]:
    """The entries that were not taken back. A retraction itself can only be taken back by a later one."""
    gone: set[str] = set()
    retractions = {entry.uuid for entry in ordered if entry.kind == "retraction"}
    earlier = set(retractions)
    for entry in reversed(ordered):
        if entry.kind != "retraction":
            continue
        earlier.discard(entry.uuid)
        of = entry.body.get("of")
        if entry.uuid not in gone and isinstance(of, str) and (of in earlier or of not in retractions):
            gone.add(of)
    return [entry for entry in ordered if entry.uuid not in gone]


def _merged(
    ordered: list[Entry],
    kind: str,
    key: Callable[[Entry], str],
    build: Callable[[str, datetime, Mapping[str, Any]], T],
    unread: list[Unread],
) -> dict[str, T]:
    """One object for each key, from its entries laid over each other."""
    built: dict[str, T] = {}
    layers: dict[str, tuple[Entry, dict[str, Any]]] = {}
    for entry in ordered:
        if entry.kind != kind:
            continue
        try:
            name = key(entry)
            first, below = layers.get(name, (entry, {}))
            body = {**below, **entry.body}
            built[name] = build(first.piece, first.at, body)
            layers[name] = first, body
        except ValueError as error:
            unread.append(Unread(entry, str(error)))
    return built


def _each(ordered: list[Entry], kind: str, build: Callable[[Entry], T], unread: list[Unread]) -> list[tuple[Entry, T]]:
    result = []
    for entry in ordered:
        if entry.kind == kind:
            try:
                result.append((entry, build(entry)))
            except ValueError as error:
                unread.append(Unread(entry, str(error)))
    return result

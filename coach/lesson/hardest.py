"""The hardest changes of a piece, each with the drills that are made of it."""

from dataclasses import dataclass

from coach.errors import RequestError
from coach.lesson.desk import Desk
from coach.lesson.drilling import spots
from coach.lesson.drills import Offer, offers_for
from coach.music.piece import Piece, Span
from coach.practice.set_piece import SetPiece
from coach.practice.spot import NO_KEYS
from coach.prepare.changes import HardChange, hard_changes
from coach.prepare.fingering import Hands
from coach.prepare.over import measure_of


@dataclass(frozen=True, slots=True)
class Hardest:
    """A hard change, the printed number of its measure, and its drills in the order in which they are worked."""

    change: HardChange
    measure: str
    offers: tuple[Offer, ...]


def hardest(piece: Piece, hands: Hands, most: int = 10, span: Span | None = None) -> tuple[Hardest, ...]:
    """The hardest changes of a piece that a drill can be made of, at most `most`, the hardest first; with a span only
    those in it. A change to a grace or from one is worked on apart from its measure."""
    here = {measure.id for measure in piece.measures(span or piece.whole())}

    def allowed(at: str, to: str) -> bool:
        inside = measure_of(at) in here and measure_of(to) in here
        return inside and bool(_offers(piece, at, to))

    found = hard_changes(hands, most, allowed)
    numbers = {measure.id: measure.number for measure in piece.part.measures}
    return tuple(Hardest(one, numbers[measure_of(one.at)], _offers(piece, one.at, one.to, one.keys)) for one in found)


def change_told(one: Hardest) -> str:
    """A hard change in a line: where, which notes, how often, why."""
    return f"Measure {one.measure}, {notes_told(one.change)}{often(one.change)}: {one.change.because}"


def notes_told(change: HardChange) -> str:
    """The notes of a hard change, such as "B4-C#5" or "F3 held"."""
    return f"{change.names[0]} held" if change.swap else "-".join(change.names)


def often(change: HardChange) -> str:
    """How often the piece has a change, "" for once."""
    return f" ({change.times} times)" if change.times > 1 else ""


def offered(desk: Desk, set_piece: SetPiece, found: tuple[Hardest, ...]) -> tuple[Offer, ...]:
    """For each hard change the drill that comes next: the first that is not among the piece's spots, else the last."""
    kept = {(spot.drill, spot.from_note, spot.to_note, spot.keys) for spot in spots(desk, set_piece.id)}
    return tuple(next((each for each in one.offers if _key(each) not in kept), one.offers[-1]) for one in found)


def _key(offer: Offer) -> tuple[str, str, str, tuple[str, str]]:
    return offer.recipe.id, offer.from_note, offer.to_note, offer.keys


def _offers(piece: Piece, at: str, to: str, keys: tuple[str, str] = NO_KEYS) -> tuple[Offer, ...]:
    try:
        found = offers_for(piece, at, to, ("held" if at == to else "change",), keys)
        return tuple(one for one in found if not one.recipe.least_semitones)  # a leap is worked for the air
    except RequestError:  # a note that a drill cannot begin or end at: it has none
        return ()

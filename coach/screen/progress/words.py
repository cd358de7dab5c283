"""What Progress reads from the log, and says in words."""

from dataclasses import dataclass

from coach.lesson.desk import Desk
from coach.lesson.drilling import ladder_of, spots
from coach.lesson.progress import progress
from coach.practice.ladder import Ladder
from coach.practice.rep import Rep
from coach.practice.share import share_of
from coach.practice.spot import Spot
from coach.practice.standing import PieceStanding, Standing
from coach.screen.session import Opened


@dataclass(frozen=True, slots=True)
class Reading:
    """The standing of a piece; its spots with their ladders and reps; the printed numbers of the measures asked for."""

    standing: Standing
    names: tuple[str, ...]
    spots: tuple[Spot, ...]
    ladders: tuple[Ladder, ...]
    reps: tuple[tuple[Rep, ...], ...]


def read(desk: Desk, opened: Opened) -> Reading:
    """Read everything from the log. Raises CoachError."""
    set_piece, piece = opened.set_piece, opened.piece
    known = spots(desk, set_piece.id)
    record = desk.record()
    return Reading(
        progress(desk, set_piece, piece),
        tuple(measure.number or measure.id for measure in piece.measures(opened.cut)),
        known,
        tuple(ladder_of(desk, set_piece, piece, spot) for spot in known),
        tuple(record.reps_of(spot.uuid) for spot in known),
    )


def spot_words(spot: Spot, reps: tuple[Rep, ...]) -> str:
    """A spot and its share of clean reps."""
    return f"{spot.name}   {share_of(reps).words}"


def chance_words(whole: PieceStanding) -> str:
    """The chance of a clean run in words; it is known from runs alone."""
    if whole.now is None:
        return "a clean run of the whole: not known yet (r on the Stand notes one)"
    text = f"a clean run of the whole now: about {100 * whole.now:.0f} in 100"
    if whole.low is not None and whole.high is not None:
        text += f" (between {100 * whole.low:.0f} and {100 * whole.high:.0f})"
    return text

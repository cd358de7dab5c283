"""What is asked of a piece on the stand, changed one thing at a time: tempo, cut, day, instrument, part."""

from dataclasses import replace
from datetime import date

from coach.errors import RequestError
from coach.lesson.desk import Desk
from coach.lesson.sharing import holds_share
from coach.lesson.stand import add, change, open_piece, parse_tempo
from coach.music.piece import parse_measures
from coach.practice.set_piece import SetPiece


def ask_tempo(desk: Desk, piece: SetPiece, text: str) -> SetPiece:
    """Another performance tempo: "72", or "eighth=72" with another beat. Raises RequestError."""
    return change(desk, replace(piece, tempo=parse_tempo(text, piece.tempo)))


def ask_cut(desk: Desk, piece: SetPiece, text: str) -> SetPiece:
    """Another cut: "A-B", or "all" for the whole piece. Raises RequestError."""
    page = open_piece(desk, piece)
    whole = text.strip().casefold() in ("", "all")
    span = page.whole() if whole else page.span(*parse_measures(text))
    measures = page.part.measures
    return change(desk, replace(piece, first=measures[span.first].id, last=measures[span.last].id))


def ask_day(desk: Desk, piece: SetPiece, text: str) -> SetPiece:
    """The day it must be ready, such as "2026-03-14"; "none" for no day. Raises RequestError."""
    if text.strip().casefold() in ("", "none"):
        return change(desk, replace(piece, by=None))
    try:
        day = date.fromisoformat(text.strip())
    except ValueError:
        raise RequestError(f"{text!r} is no day; write it like 2026-03-14.") from None
    if day < desk.local().date():
        raise RequestError(f"{day.isoformat()} has passed; give a day from today on.")
    return change(desk, replace(piece, by=day))


def ask_instrument(desk: Desk, piece: SetPiece, text: str) -> SetPiece:
    """The instrument it is played on. Raises RequestError for none."""
    if not text.strip():
        raise RequestError("Write the instrument, such as clarinet in A.")
    return change(desk, replace(piece, instrument=text.strip()))


def parts(desk: Desk, piece: SetPiece) -> tuple[tuple[str, bool], ...]:
    """The parts of a piece's score, each with whether it is a clarinet's. Raises ScoreError."""
    return offered(str(desk.paths.scores / piece.score))


def offered(source: str) -> tuple[tuple[str, bool], ...]:
    """The parts of a score, each with whether it is a clarinet's. Raises ScoreError."""
    from coach.files.score import parts_on_offer  # deferred with all reading of scores

    return parts_on_offer(source)


def open_choice(source: str) -> tuple[tuple[str, bool], ...]:
    """The parts of a score where the player must choose, having several and none of them a clarinet's; else (), also
    for a share, whose part was chosen by who marked it."""
    if holds_share(source):
        return ()
    found = offered(source)
    return found if len(found) > 1 and not any(clarinet for _, clarinet in found) else ()


def add_part(desk: Desk, piece: SetPiece, number: int) -> SetPiece:
    """Put another part of the same score on the stand, by its number from 1: a piece of its own, with its own spots
    and reps. Raises ScoreError, RequestError."""
    return add(desk, str(desk.paths.scores / piece.score), part=str(number), by=piece.by)

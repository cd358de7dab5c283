"""Today's plan over all pieces on the stand."""

from dataclasses import replace
from datetime import date, datetime, time

from coach.errors import CoachError
from coach.lesson.desk import Desk
from coach.lesson.drilling import ladder_of
from coach.lesson.stand import open_piece
from coach.practice.record import Record
from coach.practice.today import Need, Plan, needs, plan


def today(desk: Desk, minutes: int, on: date | None = None) -> Plan:
    """The plan for so many minutes, today or on another day. Raises RequestError for minutes that cannot be planned."""
    return plan(_with_ladders(desk), minutes, _moment(desk, on))


def spots_by_need(desk: Desk) -> tuple[Need, ...]:
    """All spots of the pieces on the stand, the neediest first."""
    return needs(_with_ladders(desk), desk.local())


def _with_ladders(desk: Desk) -> Record:
    """The record with every spot's ladder up to the performance tempo printed where the spot stands. A piece whose
    score cannot be read keeps the ladders it has; opening it says why."""
    record = desk.record()
    ladders = dict(record.ladders)
    for set_piece in record.stand():
        try:
            page = open_piece(desk, set_piece)
            for spot in record.spots_of(set_piece.id):
                ladders[spot.uuid] = ladder_of(desk, set_piece, page, spot)
        except CoachError:
            continue
    return replace(record, ladders=ladders)


def _moment(desk: Desk, on: date | None) -> datetime:
    now = desk.local()
    return now if on is None or on == now.date() else datetime.combine(on, time(9), now.tzinfo)

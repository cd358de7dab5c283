"""Today's plan over all pieces on the stand."""

from datetime import date, datetime, time

from coach.errors import CoachError
from coach.lesson.desk import Desk
from coach.lesson.drilling import span_of
from coach.lesson.playing import stretch_tempo
from coach.lesson.stand import open_piece
from coach.music.tempo import Tempo
from coach.practice.today import Need, Plan, needs, plan


def today(desk: Desk, minutes: int, on: date | None = None) -> Plan:
    """The plan for so many minutes, today or on another day. Raises RequestError for minutes that cannot be planned."""
    return plan(desk.record(), minutes, _moment(desk, on), targets(desk))


def spots_by_need(desk: Desk) -> tuple[Need, ...]:
    """All spots of the pieces on the stand, the neediest first."""
    return needs(desk.record(), desk.local(), targets(desk))


def targets(desk: Desk) -> dict[str, Tempo]:
    """The performance tempo of every spot, in the beat unit printed where it stands. A piece whose score cannot be read
    is left out; opening it says why."""
    found: dict[str, Tempo] = {}
    record = desk.record()
    for set_piece in record.stand():
        try:
            page = open_piece(desk, set_piece)
            for spot in record.spots_of(set_piece.id):
                found[spot.uuid] = stretch_tempo(page, set_piece.tempo, span_of(page, spot))
        except CoachError:
            continue
    return found


def _moment(desk: Desk, on: date | None) -> datetime:
    now = desk.local()
    return now if on is None or on == now.date() else datetime.combine(on, time(9), now.tzinfo)

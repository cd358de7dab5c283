"""The air and the breaths of the piece in hand as the screens show them, for the tempo in hand: planned off the app's
thread, one plan at a time, and kept by tempo, so that the tempo can be notched quickly."""

from collections.abc import Iterable
from typing import TYPE_CHECKING

from coach.errors import CoachError
from coach.lesson.breathing import Breaths, breath_places
from coach.music.part import Part
from coach.prepare.breath.chains import chains
from coach.prepare.breath.planner import THIN
from coach.prepare.mark import Mark
from coach.screen.background import Arrived
from coach.screen.view.band import Band, Held
from coach.screen.view.breathing import BreathSign

if TYPE_CHECKING:
    from coach.screen.app import CoachApp

AIR = "air"
_FILL = 0.5  # the middle one of a band's shades: air is something there


def air_band(part: Part, plan: Breaths) -> Band:
    """The litres left at every head as a share of the usable ones; within a tied chain they go down evenly."""
    left = {one.at: one for one in plan.here.air}
    notes: dict[str, Held | None] = {note.id: None for note in part.notes() if note.is_rest}
    for chain in chains(part):
        at = left.get(chain.first.id)
        if at is None:
            continue
        start, end = at.start / plan.air.litres, at.end / plan.air.litres
        done_q = 0.0
        for head in chain.heads:
            whole_q = float(chain.length_q)
            begins = start + (end - start) * done_q / whole_q
            done_q += float(head.length_q)
            notes[head.id] = Held(begins, start + (end - start) * done_q / whole_q, _FILL)
    return Band(AIR, notes, low=THIN)


def breath_signs(part: Part, plan: Breaths, marks: Iterable[Mark]) -> tuple[BreathSign, ...]:
    """The breaths of a plan that neither a mark writes down nor the page prints."""
    places = breath_places(part)
    written = {places.get(mark.at, mark.at) for mark in marks if mark.kind == "breath"}
    written |= {note.id for note in part.notes() if note.breath is not None}
    return tuple(BreathSign(one.at, one.size, one.practice) for one in plan.here.breaths if one.at not in written)


def want_breaths(app: "CoachApp") -> None:
    """Have the breaths planned for the tempo in hand, unless they are or are being planned; then the place in front
    shows them. What is wrong with the air of the settings is told once."""
    session = app.session
    if session.opened is None or session.planning or session.breaths is not None:
        return
    prepared, share = session.prepared, session.share
    if session.unplanned is prepared:
        return
    session.planning = True

    def job() -> Arrived:
        fault: CoachError | None = None
        try:
            prepared.breaths(share)
        except CoachError as error:
            fault = error
        return Arrived(lambda: done(fault))

    def done(fault: CoachError | None) -> None:
        session.planning = False
        if fault is not None:
            session.unplanned = prepared
            app.tell(fault)
        app.show_state()

    app.run_worker(lambda: app.post_message(job()), thread=True, exit_on_error=True)

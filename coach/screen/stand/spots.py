"""Making a spot of what is chosen on the Stand, and going to work on it."""

from typing import TYPE_CHECKING

from coach.lesson.drilling import mark_spot, span_of, spots, widen_spot
from coach.music.piece import Span
from coach.practice.spot import Spot

if TYPE_CHECKING:
    from coach.screen.app import CoachApp
    from coach.screen.session import Opened


def ask_spot(app: "CoachApp") -> None:
    """Ask for a name and make a spot of the range or the chosen measure. An old spot's name moves that spot here."""
    from coach.screen.dialogs import Ask

    session = app.session
    opened = session.opened
    if opened is None:
        return
    words = session.span_words(session.work())
    names = ", ".join(spot.name for spot in _plain_spots(app, opened)) or "none yet"
    hint = f"enter keeps it; empty: “{words}”. The name of a spot that is there moves it here, history and all: {names}"

    def keep(name: str | None) -> None:
        if name is not None:
            with app.telling():
                _keep(app, session.work(), name.strip())

    app.push_screen(Ask(f"A spot of {words}: its name", hint), keep)


def _keep(app: "CoachApp", span: Span, name: str) -> None:
    session = app.session
    opened = session.opened
    if opened is None:
        return
    first, last = session.measure_id(span.first), session.measure_id(span.last)
    known = next((s for s in _plain_spots(app, opened) if name and s.name == name), None)
    if known is not None:
        session.spot = widen_spot(app.desk, opened.piece, known, first, last)
        app.say(f"{session.spot.name} is now {session.span_words(span)}; its history stays.")
    else:
        session.spot = mark_spot(app.desk, opened.set_piece, opened.piece, first, last, name)
        app.say(f"Kept as a spot: {session.spot.name}.")
    app.show_state()


def drill_here(app: "CoachApp") -> None:
    """Go to Drill with the spot that is exactly the range, or lies around the chosen measure; else make one."""
    session = app.session
    opened = session.opened
    if opened is None:
        return
    spot = _spot_here(app)
    if spot is None:
        _keep(app, session.work(), "")
    else:
        session.spot = spot
    app.action_place("drill")


def _spot_here(app: "CoachApp") -> Spot | None:
    session = app.session
    opened = session.opened
    if opened is None:
        return None
    placed = [(span_of(opened.piece, spot), spot) for spot in _plain_spots(app, opened)]
    exact = [spot for span, spot in placed if span == session.work()]
    if exact or session.range is not None:
        return exact[0] if exact else None
    around = [(span.last - span.first, spot) for span, spot in placed if span.first <= session.chosen <= span.last]
    return min(around, key=lambda pair: pair[0])[1] if around else None


def _plain_spots(app: "CoachApp", opened: "Opened") -> list[Spot]:
    """The spots that are measures as printed; drills are found on Drill."""
    return [spot for spot in spots(app.desk, opened.set_piece.id) if not spot.drill]

"""The fingerings of the piece in hand: planned in the background, suggested to the pencil, kept all at once."""

from typing import TYPE_CHECKING

from coach.errors import RequestError
from coach.lesson.fingering import Wanted, piece_hands, problems_told, suggest

if TYPE_CHECKING:
    from collections.abc import Callable

    from coach.prepare.fingering import Hands
    from coach.screen.app import CoachApp
    from coach.screen.session import Opened

_AT_FULL_TEMPO = Wanted()  # what is practised slowly is fingered as it will be performed


def current_hands(app: "CoachApp") -> "Hands | None":
    """The plan of the piece in hand around its marks as they are now, None if it is still to be made."""
    session = app.session
    return session.hands[1] if session.hands is not None and session.hands[0] == plan_key(app) else None


def plan_hands(app: "CoachApp", then: "Callable[[Hands], None]") -> None:
    """Plan the fingerings of the piece in hand off the app's thread, if that is not done yet; `then` takes them."""
    known = current_hands(app)
    if known is not None:
        then(known)
        return
    opened, key = _opened(app), plan_key(app)
    prep = opened.pencil.prep

    def job() -> "Hands":
        asked = opened.set_piece
        hands = piece_hands(app.desk, opened.piece, prep, tempo=asked.tempo, set_piece=asked, wanted=_AT_FULL_TEMPO)
        for note in hands.notes:
            if note.matters:
                hands.because(note)  # reckoned here, so that the app's own thread need not
        return hands

    def done(hands: "Hands") -> None:
        if app.session.opened is opened:
            app.session.hands = key, hands
            then(hands)

    app.in_background(f"planning the fingerings {app.session.glyphs.ellipsis}", job, done)


def suggest_hands(app: "CoachApp") -> None:
    """Write the fingerings that are worth a mark as suggestions, in place of those suggested before."""
    opened = _opened(app)

    def done(hands: "Hands") -> None:
        count = suggest(opened.pencil, hands, _AT_FULL_TEMPO)
        for problem in problems_told(hands):
            app.tell(problem)
        keys = app.first_keys()
        app.say(
            f"{count} fingerings suggested, in brackets: with the pencil {keys['keep']} keeps one, {keys['keep_all']} "
            f"all, {keys['strike']} strikes one."
            if count
            else "No fingering needs a mark here."
        )
        app.show_state()

    plan_hands(app, done)


def plan_key(app: "CoachApp") -> tuple[object, ...]:
    """What the plan depends on: the piece, its tempo and instrument, the player's settings, what is decided."""
    opened, settings = _opened(app), app.desk.settings
    asked = opened.set_piece
    decided = tuple(mark for mark in opened.pencil.prep.shown if mark.kind in _COUNTED and mark.state != "suggested")
    return (
        opened.piece.score_hash,
        asked.id,
        asked.tempo,
        asked.instrument,
        settings.instrument,
        settings.fingering,
        decided,
    )


_COUNTED = ("fingering", "swap", "breath")


def _opened(app: "CoachApp") -> "Opened":
    opened = app.session.opened
    if opened is None:
        raise RequestError("Nothing is on the stand; press o for the pieces, or d for the demo.")
    return opened

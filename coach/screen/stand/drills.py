"""Making a drill of what is chosen on the Stand, and going to work on it."""

from typing import TYPE_CHECKING

from coach.errors import RequestError
from coach.lesson.drills import Offer, add_drill, decided_of, drills_at, drills_in
from coach.lesson.fingering import can_swap
from coach.practice.drills.decided import Decided
from coach.prepare.place import find_place
from coach.screen.drill.state import breathing_of
from coach.screen.session import Opened

if TYPE_CHECKING:
    from coach.lesson.hardest import Hardest
    from coach.prepare.fingering import Hands
    from coach.screen.app import CoachApp

_HARDEST = "hardest"
_TITLE = "The hardest changes of the piece"


def ask_drill(app: "CoachApp", note_id: str = "") -> None:
    """Offer the drills of a note, or of the range; without either those of the chosen measure, and of the note in it
    where the pencil was put down; and the hardest changes of the piece. The one chosen is kept as a spot, and Drill
    goes to it. Raises RequestError."""
    from coach.screen.dialogs import Choice, Choose

    session = app.session
    opened = session.opened
    if opened is None:
        raise RequestError("Nothing is on the stand; press o for the pieces, or d for the demo.")
    offers, about = _offers(app, opened, note_id)
    if not offers:
        raise RequestError(f"No drill fits {about}; choose a note, or one or two measures with notes.")
    choices = [Choice(one.name, one.recipe.purpose, str(k)) for k, one in enumerate(offers)]
    choices.append(Choice(_TITLE, "Found by its fingerings, each with the reason.", _HARDEST))
    hint = "enter keeps the drill as a spot and goes to Drill, escape leaves it"
    if not note_id and all(one.recipe.works_on == "notes" for one in offers):
        hint = f"for a held note or a change of notes: {app.first_keys()['pencil']}, the cursor on it, then this key"

    def chosen(answer: str | None) -> None:
        if answer is not None:
            with app.telling():
                if answer == _HARDEST:
                    ask_hardest(app)
                else:
                    _keep(app, opened, offers[int(answer)])

    app.push_screen(Choose(f"Drills of {about}", choices, "", hint), chosen)


def ask_hardest(app: "CoachApp") -> None:
    """Offer the hardest changes of the piece in hand, as soon as its fingerings are planned. Raises RequestError."""
    from coach.lesson.hardest import hardest
    from coach.screen.stand.fingers import plan_hands

    opened = app.session.opened
    if opened is None:
        raise RequestError("Nothing is on the stand; press o for the pieces, or d for the demo.")

    def planned(hands: "Hands") -> None:
        def done(found: "tuple[Hardest, ...]") -> None:
            if app.session.opened is opened:
                _choose_hardest(app, opened, found)

        looking = f"looking for the hardest changes {app.session.glyphs.ellipsis}"
        app.in_background(looking, lambda: hardest(opened.piece, hands), done)

    plan_hands(app, planned)


def _choose_hardest(app: "CoachApp", opened: Opened, found: "tuple[Hardest, ...]") -> None:
    from coach.lesson.hardest import offered, often
    from coach.screen.dialogs import Choice, Choose

    if not found:
        raise RequestError(f"No change in {opened.piece.title} is hard for the fingers at its tempo.")
    offers = offered(app.desk, opened.set_piece, found)
    rows = enumerate(zip(found, offers, strict=True))
    choices = [Choice(f"{offer.name}{often(one.change)}", one.change.because, str(k)) for k, (one, offer) in rows]

    def chosen(answer: str | None) -> None:
        if answer is not None:
            with app.telling():
                _keep(app, opened, offers[int(answer)])

    hint = "enter keeps the drill as a spot and goes to Drill; its next drill stands here then"
    app.push_screen(Choose(_TITLE, choices, "", hint), chosen)


def _offers(app: "CoachApp", opened: Opened, note_id: str) -> tuple[tuple[Offer, ...], str]:
    """The drills there are, and of what."""
    session, part = app.session, opened.piece.part
    pointed = note_id or ("" if session.range is not None else session.pointed)
    place = find_place(part, pointed) if pointed else None
    here = place is not None and place.measure.id == part.measures[session.chosen].id
    if place is not None and (note_id or here) and place.pitch is not None:
        if place.grace:  # it is worked on with the note that it is played with
            place = find_place(part, session.prepared.main_note(pointed) or place.note.id) or place
        note = place.note
        swappable = note.pitch is not None and can_swap(
            app.desk.settings, opened.piece, note.pitch.midi, opened.set_piece
        )
        offers = drills_at(opened.piece, opened.pencil.prep, note.id, swappable, _decided(app, opened))
        return offers, f"{place.name}, measure {place.measure.number}"
    if note_id:
        raise RequestError("A drill begins at a note, not at a rest; step to one.")
    return drills_in(opened.piece, session.work(), _decided(app, opened)), session.span_words(session.work())


def _decided(app: "CoachApp", opened: Opened) -> Decided:
    """What is decided of the piece in hand, as drills take it."""
    prepared = app.session.prepared
    return decided_of(opened.piece, breathing_of(prepared), prepared.ways)


def _keep(app: "CoachApp", opened: Opened, offer: Offer) -> None:
    app.session.spot = add_drill(
        app.desk,
        opened.set_piece,
        opened.piece,
        offer.recipe.id,
        offer.from_note,
        offer.to_note,
        offer.keys,
        _decided(app, opened),
    )
    app.action_place("drill")

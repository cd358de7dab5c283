"""Pieces: choosing one from the stand, putting a new one there, the demo."""

import os
from pathlib import Path
from typing import TYPE_CHECKING

from coach.lesson.asked import open_choice
from coach.lesson.desk import Desk
from coach.lesson.sharing import Taken, put
from coach.lesson.stand import find, pieces
from coach.practice.set_piece import SetPiece
from coach.screen.asked import ask_changes, ask_removal, part_choices
from coach.screen.dialogs import Choice, Choose, ChooseOrEdit

if TYPE_CHECKING:
    from coach.screen.app import CoachApp

_ADD, _DEMO = "+add", "+demo"


def choose_piece(app: "CoachApp") -> None:
    """Offer the pieces on the stand, a file to add, the demo."""
    known = pieces(app.desk)
    choices = [Choice(piece.title, _words(piece), piece.id) for piece in known]
    choices += [Choice("Add a score", "a file: MusicXML, MXL, MIDI, ABC, Humdrum, or what a teacher shared", _ADD)]
    choices += [Choice("The demo piece", "a slow study for clarinet, to try everything with", _DEMO)]
    now = app.session.opened.set_piece.id if app.session.opened else ""

    def chosen(answer: str | None) -> None:
        what, _, value = (answer or "").rpartition(":")
        if value == _ADD:
            pick_file(app)
        elif value == _DEMO:
            open_demo(app)
        elif value:
            piece = next(piece for piece in known if piece.id == value)
            ask = {"edit": ask_changes, "remove": ask_removal}.get(what)
            ask(app, piece) if ask else app.open(piece)

    hint = "enter opens it; e changes its tempo, measures, day; delete removes it; escape leaves"
    app.push_screen(ChooseOrEdit("Pieces on the stand", choices, now, hint, (_ADD, _DEMO)), chosen)


def named(desk: Desk, text: str) -> SetPiece:
    """The piece with this id or title. Raises RequestError."""
    return find(desk, text)


def last_worked_on(desk: Desk) -> SetPiece | None:
    """The piece of the latest rep, or the one added last; None where nothing is on the stand."""
    known = pieces(desk)
    worked = {rep.piece: rep.at for rep in desk.record().reps}  # in order, so the latest rep of each piece stays
    return max(known, key=lambda piece: worked.get(piece.id, piece.added), default=None)


def _words(piece: SetPiece) -> str:
    by = f", by {piece.by.isoformat()}" if piece.by else ""
    return (
        f"{piece.composer + ', ' if piece.composer else ''}measures {piece.first}-{piece.last}, {piece.tempo.name}{by}"
    )


def pick_file(app: "CoachApp") -> None:
    """Ask for a file and put it on the stand."""
    from coach.screen.picker import PickFile

    def picked(source: str | None) -> None:
        if source:
            add_source(app, source)

    app.push_screen(PickFile(Path.home()), picked)


def add_source(app: "CoachApp", source: str) -> None:
    """Put a score or a share on the stand and open it; where there are several parts and no clarinet, ask for the part
    first."""
    wanted = source if source.startswith("corpus:") else os.path.expanduser(source)
    saying = f"reading {Path(wanted).name} {app.session.glyphs.ellipsis}"

    def chosen(part: str | None) -> None:
        if part is not None:
            app.in_background(saying, lambda: put(app.desk, wanted, part=part or None), taken)

    def taken(result: Taken) -> None:
        if result.told:
            app.say(result.told)
        app.open(result.piece)

    def ask(on_offer: tuple[tuple[str, bool], ...]) -> None:
        if on_offer:
            title = f"{Path(wanted).name} has no clarinet: which part do you play?"
            app.push_screen(Choose(title, part_choices(on_offer)), chosen)
        else:
            chosen("")

    app.in_background(saying, lambda: open_choice(wanted), ask)


def open_demo(app: "CoachApp") -> None:
    """Put the demo piece on the stand and open it."""
    from coach.lesson.demo import put_demo

    app.in_background(f"reading the demo {app.session.glyphs.ellipsis}", lambda: put_demo(app.desk), app.open)

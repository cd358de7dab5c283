"""Offering a mark at the places that are like its own."""

from collections.abc import Callable
from typing import TYPE_CHECKING

from coach.errors import RequestError
from coach.prepare.mark import Mark
from coach.prepare.place import place_words
from coach.prepare.words import content_words
from coach.screen.dialogs import Choice, Choose
from coach.screen.session import Opened
from coach.screen.view.words import signed

if TYPE_CHECKING:
    from coach.screen.app import CoachApp

_ALL = "all"


def ask_like(app: "CoachApp", opened: Opened, mark: Mark, then: Callable[[tuple[Mark, ...]], None]) -> None:
    """Ask whether a mark is to stand at all like places, or at one of them; `then` takes the marks made. Raises
    RequestError where there are none."""
    ids = opened.pencil.like(mark)
    if not ids:
        raise RequestError("There is no other place like this one where it does not stand yet.")
    part, glyphs = opened.piece.part, app.session.glyphs
    places = [Choice(signed(place_words(part, name), glyphs), "", name) for name in ids]
    everywhere = [Choice(f"at all {len(ids)} like places", "", _ALL)] if len(ids) > 1 else []

    def take(answer: str | None) -> None:
        if answer is not None:
            with app.telling():
                then(opened.pencil.put_at_all(mark, ids if answer == _ALL else (answer,)))

    app.push_screen(Choose(f"{content_words(mark.content)}: where else?", [*everywhere, *places]), take)

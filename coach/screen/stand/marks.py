"""All marks of the piece as a list to choose from, and what is wrong with their file."""

from collections import Counter
from collections.abc import Callable
from typing import TYPE_CHECKING

from coach.errors import RequestError
from coach.music.text import one_line
from coach.prepare.mark import Mark
from coach.prepare.over import measure_of
from coach.prepare.words import mark_words
from coach.screen.dialogs import Choice, Choose
from coach.screen.session import Opened
from coach.screen.stand.telling import mark_signed, standing_words, state_sign
from coach.screen.view.glyphs import Glyphs

if TYPE_CHECKING:
    from coach.screen.app import CoachApp

_APART = "apart:"


def choose_mark(app: "CoachApp", chosen: str, go: Callable[[Mark], None]) -> None:
    """List all marks by measure, the one with the id `chosen` marked; `go` takes the one to go to. Raises RequestError
    where there is none."""
    opened = app.session.opened
    if opened is None:
        return
    prep = opened.pencil.prep
    if not (prep.marks or prep.unplaced):
        raise RequestError(f"There are no marks yet; press {app.first_keys()['pencil']} for the pencil.")
    glyphs = app.session.glyphs
    choices = [_choice(mark, opened, glyphs) for mark in prep.marks]
    choices += [_apart(mark, opened, glyphs) for mark in prep.unplaced]

    def take(mark_id: str | None) -> None:
        mark = next((mark for mark in prep.marks if mark.id == mark_id), None)
        if mark is not None:
            go(mark)

    title = f"Marks of {opened.set_piece.title}: {counts(prep.marks)}"
    app.push_screen(Choose(title, choices, chosen, "enter goes there, escape leaves the list"), take)


def counts(marks: tuple[Mark, ...]) -> str:
    """How many marks there are by state: "12 kept, 3 suggested"."""
    found = Counter(mark.state for mark in marks)
    return ", ".join(f"{found[state]} {state}" for state in ("kept", "suggested", "struck") if found[state])


def faults_text(opened: Opened) -> str:
    """What was wrong with the marks when they were read, a line each; "" if nothing was."""
    return "\n".join(f"- {one_line(fault)}" for fault in opened.faults)


def _choice(mark: Mark, opened: Opened, glyphs: Glyphs) -> Choice:
    part = opened.piece.part
    words = mark_words(mark, part).removesuffix(", struck").removesuffix(", suggested").removesuffix(", your teacher's")
    says = mark_signed(mark, words, glyphs)
    name = f"{measure_of(mark.at):>3}  {state_sign(mark, glyphs)} {says} ({standing_words(mark)})"
    return Choice(name, f"       {one_line(mark.because)}" if mark.because else "", mark.id)


def _apart(mark: Mark, opened: Opened, glyphs: Glyphs) -> Choice:
    words = mark_words(mark, opened.piece.part)
    return Choice(
        f"  -  {state_sign(mark, glyphs)} {words}",
        "     finds no note in the score as it is now; it is not lost",
        _APART,
    )

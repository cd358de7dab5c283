"""Noting a run-through of the cut: clean, or where it slipped."""

from typing import TYPE_CHECKING

from coach.errors import RequestError
from coach.lesson.drilling import log_run
from coach.practice.rep import Slip

if TYPE_CHECKING:
    from coach.screen.app import CoachApp


def ask_run(app: "CoachApp") -> None:
    """Ask how a run through the cut went, and log it."""
    from coach.screen.dialogs import Ask

    session = app.session
    opened = session.opened
    if opened is None:
        return
    tempo = session.per_minute_at(opened.cut.first)
    title = f"A run through {session.span_words(opened.cut)} at {tempo:g}"
    hint = "clean, or the measures that slipped, such as 5 9 12; measures not named count as clean"

    def log(text: str | None) -> None:
        if text is not None and text.strip():
            with app.telling():
                slips = slips_from(app, text)
                outcome = "slip" if slips else "clean"
                rep = log_run(app.desk, opened.set_piece, opened.piece, tempo, outcome, slips=slips)
                kind = "the first of the day, cold" if rep.kind == "cold" else "a run"
                glyph = session.glyphs.clean if rep.clean else session.glyphs.slip
                app.say(f"{glyph} {outcome} at {tempo:g}: written down as {kind}.")

    app.push_screen(Ask(title, hint), log)


def slips_from(app: "CoachApp", text: str) -> tuple[Slip, ...]:
    """The measures named in a text, none for "clean". Raises RequestError for one that is not in the cut."""
    opened = app.session.opened
    if opened is None or text.strip().casefold() in ("clean", "c"):
        return ()
    slips = []
    for name in text.replace(",", " ").split():
        index = opened.piece.measure_index(name)
        if not opened.cut.first <= index <= opened.cut.last:
            raise RequestError(
                f"Measure {name} is outside {app.session.span_words(opened.cut)}, which the run is about."
            )
        slips.append(Slip(opened.piece.part.measures[index].id))
    return tuple(slips)

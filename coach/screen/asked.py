"""Changing what is asked of a piece: a list of lines, each asked for in words; taking it off the stand."""

from collections.abc import Callable
from typing import TYPE_CHECKING

from coach.errors import CoachError
from coach.lesson.asked import add_part, ask_cut, ask_day, ask_instrument, ask_tempo, parts
from coach.lesson.desk import Desk
from coach.lesson.stand import remove
from coach.practice.set_piece import SetPiece
from coach.screen.dialogs import Ask, Choice, Choose
from coach.screen.session import Opened, read_opened
from coach.screen.view.words import number

if TYPE_CHECKING:
    from coach.screen.app import CoachApp

Change = Callable[[Desk, SetPiece, str], SetPiece]
_TEMPO, _CUT, _DAY, _INSTRUMENT, _PART, _REMOVE = "tempo", "cut", "day", "instrument", "part", "remove"
_CHANGES: dict[str, tuple[str, Change]] = {
    _TEMPO: ("a number of this beat, such as 72; or with another beat: eighth=72", ask_tempo),
    _CUT: ("the measures that are asked for, such as 5-32; all: the whole piece", ask_cut),
    _DAY: ("the day it must be ready, such as 2026-03-14; none: no day", ask_day),
    _INSTRUMENT: ("what you play it on, such as clarinet in A; the page stays as it is", ask_instrument),
}


def ask_changes(app: "CoachApp", piece: SetPiece, marked: str = _TEMPO) -> None:
    """Offer what is asked of a piece, and take changes until escape."""
    tempo = f"{piece.tempo.beat.name}={number(piece.tempo.per_minute)}"
    now = {
        _TEMPO: tempo,
        _CUT: f"{piece.first}-{piece.last}",
        _DAY: piece.by.isoformat() if piece.by else "none",
        _INSTRUMENT: piece.instrument,
    }
    lines = [
        Choice(f"Performance tempo: {tempo}", "what the ladders climb to", _TEMPO),
        Choice(f"Measures asked for: {now[_CUT]}", "the plan and the runs concern these", _CUT),
        Choice(f"Ready by: {now[_DAY]}", "what is due soon comes first in the plan", _DAY),
        Choice(f"Instrument: {piece.instrument}", "", _INSTRUMENT),
        Choice("Another part of this score", "becomes a piece of its own; this one stays", _PART),
        Choice("Take it off the stand", "its reps stay in the log", _REMOVE),
    ]

    def chosen(what: str | None) -> None:
        if what == _REMOVE:
            ask_removal(app, piece)
        elif what == _PART:
            app.in_background("reading the parts", lambda: parts(app.desk, piece), lambda on: _ask_part(app, piece, on))
        elif what is not None:
            hint, how = _CHANGES[what]
            title = next(line.name.partition(":")[0] for line in lines if line.value == what)
            app.push_screen(Ask(title, hint, now[what]), lambda text: _take(app, piece, what, how, text))

    hint = "enter changes the marked line, escape leaves it"
    app.push_screen(Choose(piece.title, lines, marked, hint), chosen)


def _take(app: "CoachApp", piece: SetPiece, what: str, how: Change, text: str | None) -> None:
    if text is None:
        ask_changes(app, piece, what)
        return

    def job() -> Opened | CoachError:
        try:
            changed = how(app.desk, piece, text)
            return read_opened(app.desk, changed)
        except CoachError as error:
            return error  # told with the list in front again

    def done(result: Opened | CoachError) -> None:
        if isinstance(result, CoachError):
            app.tell(result)
            ask_changes(app, piece, what)
            return
        if app.session.opened is not None and app.session.opened.set_piece.id == piece.id:
            app.stop_sound()
            app.session.take_changes(result)
        ask_changes(app, result.set_piece, what)

    app.in_background("writing it down", job, done)


def _ask_part(app: "CoachApp", piece: SetPiece, on_offer: tuple[tuple[str, bool], ...]) -> None:
    def chosen(value: str | None) -> None:
        if value is not None:
            app.in_background("reading the part", lambda: add_part(app.desk, piece, int(value)), app.open)

    app.push_screen(Choose(f"Parts of {piece.title}", part_choices(on_offer)), chosen)


def part_choices(on_offer: tuple[tuple[str, bool], ...]) -> list[Choice]:
    """The parts of a score by number, the clarinet marked."""
    return [
        Choice(f"{k} {name}", "the clarinet" if clarinet else "", str(k))
        for k, (name, clarinet) in enumerate(on_offer, 1)
    ]


def ask_removal(app: "CoachApp", piece: SetPiece) -> None:
    """Ask once, then take a piece off the stand."""
    choices = [Choice("keep it", "", "keep"), Choice("take it off the stand", "its reps stay in the log", "remove")]

    def chosen(answer: str | None) -> None:
        if answer == "remove":
            with app.telling():
                remove(app.desk, piece)
                if app.session.opened is not None and app.session.opened.set_piece.id == piece.id:
                    app.stop_sound()
                    app.session.put_away()
                app.say(f"{piece.title} is off the stand.")
                app.show_state()

    app.push_screen(Choose(f"Take “{piece.title}” off the stand?", choices, "keep"), chosen)

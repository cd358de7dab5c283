"""Suggestions for the piece in hand: asked for by kind, with the style and the density they are computed by; kept all
at once."""

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from coach.errors import RequestError
from coach.lesson.preparing import KINDS, Choices, Wished, choices_of, wished, with_suggestions
from coach.prepare.mark import Mark
from coach.prepare.ornaments.realisation import STYLES
from coach.prepare.prep import Prep
from coach.prepare.reminders.reminding import DENSITIES
from coach.screen.dialogs import Choice, Choose
from coach.screen.rows import Row, Rows

if TYPE_CHECKING:
    from coach.screen.app import CoachApp
    from coach.screen.session import Opened

_FINGERING = "fingering"
_ALL = "all"
_ROWS: tuple[tuple[tuple[str, ...], str, str], ...] = (
    ((*KINDS, "breath"), "ornaments, dynamics, breaths and reminders", ""),
    (("ornament",), "ornaments", "graces, turns and trills written out, to be counted"),
    (("dynamic",), "dynamics", "what a good player adds to those printed"),
    (("reminder",), "reminders", "accidentals that are easily missed"),
    ((_FINGERING,), "fingerings", "the little fingers, and changes on held notes"),
    (("breath",), "breaths", "where to breathe at the performance tempo, and why"),
)
_STYLE, _DENSITY = len(_ROWS), len(_ROWS) + 1
_STYLE_WORDS = {
    "lyrical": "Graces before the beat, taken from the note before; trills from the main note.",
    "treatise": "Appoggiaturas on the beat, as the treatises of the 18th century teach; trills from the upper note.",
}
_DENSITY_WORDS = {
    "sparing": "Only what trips up nearly everybody.",
    "usual": "What a careful player would pencil.",
    "full": "Whatever could be misread, for a first reading.",
}
# Kinds that are told and kept together, by what a player calls them.
NAMES = {
    "ornament": "ornament",
    "dynamic": "dynamic",
    "reminder": "reminder",
    _FINGERING: "fingering",
    "swap": "fingering",
    "breath": "breath",
    "pace": "change of pace",
    "phrase": "phrase",
    "alteration": "alteration",
    "comment": "comment",
}
_PLURALS = {"change of pace": "changes of pace"}


@dataclass(frozen=True, slots=True)
class Asked:
    """What is to be suggested, and by which choices."""

    kinds: tuple[str, ...]
    choices: Choices


class SuggestScreen(Rows[Asked]):
    """Asks what to suggest."""

    def __init__(self, choices: Choices) -> None:
        self._choices = choices
        super().__init__(
            "Suggest for the whole piece", "enter or a number suggests; left and right change; escape leaves"
        )

    def rows(self) -> Sequence[Row]:
        """What can be suggested, then the style and the density."""
        numbered = [Row(f"{k} {name}") for k, (_, name, _) in enumerate(_ROWS, 1)]
        return (
            *numbered,
            Row(f"  style of the ornaments: {_among(self._choices.style, STYLES)}"),
            Row(f"  how many reminders: {_among(self._choices.density, DENSITIES)}"),
        )

    def numbered(self) -> int:
        """What can be suggested."""
        return len(_ROWS)

    def about(self, index: int) -> str:
        """The choice in a sentence."""
        if index == _STYLE:
            return _STYLE_WORDS[self._choices.style]
        return _DENSITY_WORDS[self._choices.density] if index == _DENSITY else _ROWS[index][2]

    def turned(self, index: int, by: int) -> None:
        """Another style or density."""
        if index == _STYLE:
            self._choices = replace(self._choices, style=_next(self._choices.style, STYLES, by))
        elif index == _DENSITY:
            self._choices = replace(self._choices, density=_next(self._choices.density, DENSITIES, by))

    def taken(self, index: int) -> None:
        """Suggest a kind; on a row with a value, turn it."""
        if index in (_STYLE, _DENSITY):
            self.action_turn(1)
        else:
            self.dismiss(Asked(_ROWS[index][0], self._choices))


def ask_suggestions(app: "CoachApp") -> None:
    """Ask what to suggest, and suggest it. Raises RequestError where nothing is on the stand."""
    prep = _opened(app).pencil.prep

    def take(asked: Asked | None) -> None:
        if asked is not None:
            with app.telling():
                suggest(app, asked)

    app.push_screen(SuggestScreen(choices_of(prep)), take)


def suggest(app: "CoachApp", asked: Asked) -> None:
    """Write suggestions in place of those of the same kinds that nobody has decided on; computed off the app's
    thread."""
    from coach.screen.stand.fingers import suggest_hands

    if asked.kinds == (_FINGERING,):
        suggest_hands(app)
        return
    opened = _opened(app)
    prep, piece = opened.pencil.prep, opened.set_piece

    def job() -> tuple[Wished, ...]:
        return wished(app.desk, opened.piece, prep, asked.choices, asked.kinds, tempo=piece.tempo, set_piece=piece)

    def done(found: tuple[Wished, ...]) -> None:
        if app.session.opened is not opened:
            return
        taken = with_suggestions(opened.pencil.prep, found, asked.kinds, asked.choices)
        if taken is not opened.pencil.prep:
            opened.pencil.take(taken)
        app.say(_told(app, taken, asked.kinds))
        app.show_state()

    app.in_background(f"deciding {app.session.glyphs.ellipsis}", job, done)


def _told(app: "CoachApp", prep: Prep, kinds: Sequence[str]) -> str:
    counts = Counter(mark.kind for mark in waiting(prep))
    said = ", ".join(counted(counts[kind], NAMES[kind]) for kind in kinds)
    keys = app.first_keys()
    if not any(counts[kind] for kind in kinds):
        return f"{said} to suggest beside what is decided."
    how = f"with the pencil {keys['keep']} keeps one, {keys['keep_all']} all"
    return f"{said} suggested; {how}, {keys['strike']} strikes one."


def counted(count: int, name: str) -> str:
    """A number of things: "1 reminder", "23 reminders", "no ornaments"."""
    return f"1 {name}" if count == 1 else f"{count or 'no'} {_PLURALS.get(name, f'{name}s')}"


def waiting(prep: Prep) -> tuple[Mark, ...]:
    """The suggestions that nobody has decided on."""
    return tuple(mark for mark in prep.marks if mark.state == "suggested")


def ask_keep(app: "CoachApp", first: str, then: Callable[[str], None]) -> None:
    """Keep every suggestion of a kind, or of all kinds; where there is more than one kind, ask which, that of the
    chosen mark (`first`) first. `then` takes what was done in words. Raises RequestError where there is none."""
    pencil = _opened(app).pencil
    found = waiting(pencil.prep)
    counts = Counter(NAMES[mark.kind] for mark in found)
    if not counts:
        key = app.first_keys()["suggest"]
        raise RequestError(f"No suggestion waits to be kept; press {key} for suggestions.")

    def keep(name: str | None) -> None:
        if name is not None:
            ids = tuple(mark.id for mark in found if name in (_ALL, NAMES[mark.kind]))
            with app.telling():
                pencil.keep_all(ids)
                then(f"{counted(len(ids), 'suggestion' if name == _ALL else name)} kept.")

    if len(counts) == 1:
        keep(next(iter(counts)))
        return
    chosen = NAMES.get(first, "")
    names = sorted(counts, key=lambda name: (name != chosen, [*NAMES.values()].index(name)))
    kinds = [Choice(counted(counts[name], name), "", name) for name in names]
    every = Choice(f"all {counts.total()} suggestions", "", _ALL)
    choices = [*kinds, every] if chosen in counts else [every, *kinds]
    hint = f"enter keeps them; {app.first_keys()['unmark']} takes it back"
    app.push_screen(Choose("Keep every suggested", choices, hint=hint), keep)


def _among(value: str, values: Sequence[str]) -> str:
    """A value among those it may have: "[lyrical] treatise"."""
    return " ".join(f"[{one}]" if one == value else f" {one} " for one in values)


def _next(value: str, values: Sequence[str], by: int) -> str:
    return values[(values.index(value) + by) % len(values)]


def _opened(app: "CoachApp") -> "Opened":
    opened = app.session.opened
    if opened is None:
        raise RequestError("Nothing is on the stand; press o for the pieces, or d for the demo.")
    return opened

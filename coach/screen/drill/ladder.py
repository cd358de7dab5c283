"""Asking for a ladder, in three steps: how it moves, how big its rungs are, where it starts."""

from collections.abc import Callable

from textual.app import App

from coach.practice.ladder import NOTCHES, PER_CENT, PRESETS, Ladder, Scale
from coach.screen.dialogs import Ask, Choice, Choose
from coach.screen.view.words import number

SCALES = (
    Scale(NOTCHES, 1),
    Scale(NOTCHES, 2),
    Scale(NOTCHES, 3),
    Scale(PER_CENT, 2),
    Scale(PER_CENT, 5),
    Scale(PER_CENT, 10),
)
_NOTCH = "marks of the metronome, 3 to 6 per cent each"
_PER_CENT = "of the rung below"


def ask_ladder(app: App[int], ladder: Ladder, here: float, made: Callable[[str, Scale, str], None]) -> None:
    """Ask with the present ladder marked; `made` gets the rule's name, the scale and the start as written. Escape
    leaves all as it is. `here` is where the ladder stands now."""
    rules = [Choice(rule.name, rule.words, rule.name) for rule in PRESETS]
    sizes = [Choice(scale.words, _NOTCH if scale.kind == NOTCHES else _PER_CENT, scale.words) for scale in SCALES]

    def ruled(rule: str | None) -> None:
        if rule is not None:
            app.push_screen(Choose("How big a rung is", sizes, ladder.scale.words), lambda words: sized(rule, words))

    def sized(rule: str, words: str | None) -> None:
        if words is not None:
            scale = next(scale for scale in SCALES if scale.words == words)
            goal = number(round(ladder.target, 1))
            hint = f"the tempo of the lowest rung to begin with, up to the goal of {goal}"
            if ladder.falls:
                hint = f"the tempo to begin with, down to the goal of {goal}: slower is harder here"
            app.push_screen(
                Ask("Where it starts", hint, number(round(here, 2))), lambda start: started(rule, scale, start)
            )

    def started(rule: str, scale: Scale, start: str | None) -> None:
        if start is not None:
            made(rule, scale, start)

    app.push_screen(Choose("How the ladder moves", rules, ladder.rule.name), ruled)

"""What the page leaves to the player: ornaments, dynamics, reminders and breaths, computed, suggested, and taken by
the reference."""

import secrets
from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction

from coach.errors import RequestError
from coach.instruments.air import Air
from coach.lesson.breathing import Breaths, air_of, breaths_of, with_breaths
from coach.lesson.desk import Desk
from coach.music.piece import Piece
from coach.music.tempo import Tempo
from coach.practice.set_piece import SetPiece
from coach.prepare import pencil
from coach.prepare.dynamics.shaping import shapings
from coach.prepare.interpretation import Interpretation, interpretation
from coach.prepare.mark import Breath, Content, Mark, Ornament
from coach.prepare.ornaments.realisation import STYLES, Fastest, Realisation
from coach.prepare.ornaments.realising import realisations
from coach.prepare.prep import Prep
from coach.prepare.reminders.reminding import DENSITIES, reminders

KINDS = ("ornament", "dynamic", "reminder")
Ways = Mapping[str, tuple[Realisation, ...]]


@dataclass(frozen=True, slots=True)
class Choices:
    """What a piece is prepared by: the style of its ornaments (of STYLES), and how many reminders (of DENSITIES)."""

    style: str = STYLES[0]
    density: str = "usual"


@dataclass(frozen=True, slots=True)
class Wished:
    """A mark to suggest: where, what, why."""

    at: str
    content: Content
    because: str


def choices_of(prep: Prep) -> Choices:
    """The choices that a prep was computed by; the defaults where it says nothing, or nothing that is one."""
    said = dict(prep.settings)
    style, density = said.get("ornament_style", ""), said.get("reminder_density", "")
    usual = Choices()
    return Choices(
        style if style in STYLES else usual.style,
        density if density in DENSITIES else usual.density,
    )


def ways_of(desk: Desk, piece: Piece, style: str, *, tempo: Tempo, set_piece: SetPiece | None = None) -> Ways:
    """The ways to play every ornament of a piece at its performance tempo, by the id of its main note; the one that the
    style asks for first."""
    fastest = _fastest(desk, piece, set_piece)
    return realisations(piece.part, style=style, pace=_pace(piece, tempo), fastest=fastest)


def wished(
    desk: Desk,
    piece: Piece,
    prep: Prep,
    choices: Choices,
    kinds: Collection[str],
    *,
    tempo: Tempo,
    set_piece: SetPiece | None = None,
    ways: Ways | None = None,
) -> tuple[Wished, ...]:
    """The marks of some kinds (of KINDS, and "breath") that would be suggested beside what is decided in a prep. `ways`
    are what `ways_of` answers, where that is known."""
    ornaments: dict[str, Realisation] = {}
    if "ornament" in kinds or "reminder" in kinds:
        if ways is None:
            ways = ways_of(desk, piece, choices.style, tempo=tempo, set_piece=set_piece)
        ornaments = {at: found[0] for at, found in ways.items() if found}
    found: list[Wished] = []
    if "ornament" in kinds:
        found += [Wished(at, one.content, one.because) for at, one in ornaments.items()]
    if "dynamic" in kinds:
        decided = [mark for mark in prep.shown if mark.state == "kept" and mark.kind == "dynamic"]
        found += [Wished(s.at, s.content, s.because) for s in shapings(piece.part, _pace(piece, tempo), decided)]
    if "reminder" in kinds:
        played = _played(prep, {at: one.content for at, one in ornaments.items()})
        found += [Wished(r.at, r.content, r.because) for r in reminders(piece.part, played, choices.density)]
    if "breath" in kinds:
        found += wished_breaths(plan_of(desk, piece, prep, tempo=tempo, set_piece=set_piece, ways=ways))
    return tuple(found)


def _played(prep: Prep, ornaments: Mapping[str, Ornament]) -> Mapping[str, Ornament]:
    """The ornaments as they will be played: those decided on, and what would be suggested where nobody has decided."""
    settled = [mark for mark in prep.marks if mark.kind == "ornament" and mark.state != "suggested"]
    struck = {mark.at for mark in settled if mark.struck}
    return {at: one for at, one in ornaments.items() if at not in struck} | dict(interpretation(settled).ornaments)


def plan_of(
    desk: Desk,
    piece: Piece,
    prep: Prep,
    *,
    tempo: Tempo,
    set_piece: SetPiece | None = None,
    ways: Ways | None = None,
    taken: Interpretation | None = None,
    share: float = 1.0,
    air: Air | None = None,
) -> Breaths:
    """Where to breathe in a piece at its performance tempo and at a share of it, beside what is decided in a prep and
    with what is suggested of ornaments and dynamics, or with what is `taken` of them; with the settings' air unless
    another is given. Raises RequestError for an air of the settings that is nobody's."""
    if taken is None:
        taken = _taken(desk, piece, prep, choices_of(prep), tempo=tempo, set_piece=set_piece, ways=ways)
    return breaths_of(piece, prep, taken, air or air_of(desk.settings.air), tempo=tempo, share=share)


def _taken(
    desk: Desk,
    piece: Piece,
    prep: Prep,
    choices: Choices,
    *,
    tempo: Tempo,
    set_piece: SetPiece | None,
    ways: Ways | None,
) -> Interpretation:
    """The marks that stand, and the ornaments and dynamics that would be suggested where nobody has decided."""
    kinds = ("ornament", "dynamic")
    found = wished(desk, piece, prep, choices, kinds, tempo=tempo, set_piece=set_piece, ways=ways)
    return interpretation(with_suggestions(prep, found, kinds, choices).marks)


def wished_breaths(plan: Breaths) -> tuple[Wished, ...]:
    """The breaths of a plan that would be suggested: those of the performance that nobody has decided."""
    return tuple(Wished(one.at, Breath(one.size), one.because) for one in plan.suggested)


def with_suggestions(prep: Prep, found: Iterable[Wished], kinds: Collection[str], choices: Choices) -> Prep:
    """The prep with these suggestions in place of those of the kinds that nobody has decided on; what was kept or
    struck stays. The same prep if nothing changes."""
    known = {(mark.at, mark.kind, mark.content): mark.id for mark in prep.marks if mark.origin == "computed"}
    fresh = [Mark("", one.at, one.content, "computed", "suggested", one.because) for one in found]
    named = [
        replace(mark, id=known.get((mark.at, mark.kind, mark.content), "") or secrets.token_hex(6)) for mark in fresh
    ]
    waiting = [mark for mark in prep.marks if mark.origin == "computed" and mark.state == "suggested"]
    taken = pencil.take_computed(prep, (*(mark for mark in waiting if mark.kind not in kinds), *named))
    settings = {**dict(prep.settings), "ornament_style": choices.style, "reminder_density": choices.density}
    if taken.marks == prep.marks and choices == choices_of(prep):
        return prep
    return replace(taken, settings=tuple(settings.items()))


def interpretation_of(
    desk: Desk,
    piece: Piece,
    prep: Prep,
    *,
    tempo: Tempo,
    set_piece: SetPiece | None = None,
    style: str = "",
    ways: Ways | None = None,
    share: float = 1.0,
) -> Interpretation:
    """What the reference plays at a `share` of the performance tempo: the marks that stand, and for what nobody has
    decided what would be suggested; it breathes where it is planned for that tempo, by the air of the settings. What
    was struck is played as printed. `style` counts for the undecided ornaments in place of the prep's; `ways` are those
    of the style, where they are known. Raises RequestError for an air of the settings that is nobody's."""
    choices = choices_of(prep)
    choices = replace(choices, style=style) if style else choices
    taken = _taken(desk, piece, prep, choices, tempo=tempo, set_piece=set_piece, ways=ways)
    plan = breaths_of(piece, prep, taken, air_of(desk.settings.air), tempo=tempo, share=share)
    return with_breaths(taken, plan)


def checked_style(style: str) -> str:
    """A style as it was asked for, "" for none. Raises RequestError."""
    if style and style not in STYLES:
        raise RequestError(f"There is no style {style[:40]!r}; choose {' or '.join(STYLES)}.")
    return style


def ornament_at(marks: Iterable[Mark], at: str) -> Ornament | None:
    """The ornament that stands at a note, None if there is none."""
    return interpretation(marks).ornaments.get(at)


def _pace(piece: Piece, tempo: Tempo) -> Callable[[Fraction], float]:
    from coach.sound.tempo_map import tempo_map

    speeds = tempo_map(piece.tempos, tempo, piece.part.measures[0].onset_q)
    return lambda at_q: 60 / float(speeds.speed(at_q))


def _fastest(desk: Desk, piece: Piece, set_piece: SetPiece | None) -> Fastest:
    from coach.instruments.trill_speed import fastest_trill
    from coach.lesson.fingering import instrument_of, planner_for

    try:
        chart = planner_for(desk.settings, instrument_of(desk.settings, piece, set_piece)).chart
    except RequestError:
        chart = None
    return lambda low, high: fastest_trill(chart, low, high)

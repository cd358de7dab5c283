"""The fingering of a piece, or of a few notes: planned on the player's own chart, suggested to the pencil."""

import secrets
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import lru_cache
from typing import TYPE_CHECKING

from coach.config import FingeringSettings, Settings
from coach.errors import RequestError
from coach.instruments.planning import Planner
from coach.instruments.remedies import Remedy, remedies
from coach.lesson.desk import Desk
from coach.music.tempo import Tempo
from coach.prepare import pencil
from coach.prepare.few_notes import Typed, few_notes
from coach.prepare.fingering import Hands, fingered, hands_of, marks_from
from coach.prepare.over import measure_of
from coach.prepare.prep import Prep

if TYPE_CHECKING:
    from coach.instruments.chart import Chart
    from coach.lesson.marking import Pencil
    from coach.music.piece import Piece
    from coach.practice.set_piece import SetPiece

KINDS = ("fingering", "swap")
MOST_TOLD = 3  # notes that are named, of those that cannot be fingered


@dataclass(frozen=True, slots=True)
class Wanted:
    """What to plan for: the instrument ("" as the piece or the settings have it), whether it has the left A-flat/E-flat
    lever (None: as in the settings), and the tempo as a share of the performance tempo."""

    instrument: str = ""
    left_eflat_lever: bool | None = None
    share: float = 1.0


@dataclass(frozen=True, slots=True)
class FewNotes:
    """A few typed notes with their fingering: what was typed, how it is fingered, on which chart, and what would help
    where a finger must slide."""

    typed: tuple[Typed, ...]
    hands: Hands
    chart: "Chart"
    remedies: tuple[Remedy, ...] = ()


def planner_for(settings: Settings, instrument: str, lever: bool | None = None) -> Planner:
    """The planner on the player's own chart of an instrument. Raises RequestError for an instrument without a chart,
    SettingsError for fingerings in the settings that cannot be."""
    from coach.files.charts import chart_for, serves
    from coach.files.instrument_names import charted

    chart = chart_for(charted(instrument) or instrument)
    own = settings.fingering if serves(chart, charted(settings.instrument)) else FingeringSettings()
    has = own.left_eflat_lever if lever is None else lever
    return _planner(chart.name, replace(own, left_eflat_lever=has and bool(chart.options)))


@lru_cache(maxsize=8)
def _planner(chart: str, own: FingeringSettings) -> Planner:
    """Kept, since a planner remembers what it has reckoned."""
    from coach.files.charts import chart_for
    from coach.files.player import fitted_chart

    return Planner(fitted_chart(chart_for(chart), own))


def charted_instruments() -> tuple[tuple[str, str], ...]:
    """The instruments that there are fingering charts for, each with the name of its chart."""
    from coach.files.charts import chart_for, charts

    return tuple((name, chart_for(name).name) for name in charts())


def chart_words(instrument: str) -> str:
    """The name of an instrument's fingering chart; where there is none, that."""
    from coach.files.charts import chart_for
    from coach.files.instrument_names import charted

    name = charted(instrument)
    return chart_for(name).name if name else f"none for {instrument}"


def instrument_of(settings: Settings, piece: "Piece", set_piece: "SetPiece | None" = None) -> str:
    """What a piece is played on: as it was put on the stand, else as its file says, else as in the settings."""
    return (set_piece.instrument if set_piece else "") or piece.part.instrument or settings.instrument


def can_swap(settings: Settings, piece: "Piece", midi: int, set_piece: "SetPiece | None" = None) -> bool:
    """Whether a note (written, as a MIDI number) can be held while one little finger takes over from the other; True
    where there is no chart to tell."""
    try:
        chart = planner_for(settings, instrument_of(settings, piece, set_piece)).chart
    except RequestError:
        return True
    return {"L", "R"} <= {fingering.choice for fingering in chart.fingerings(midi)}


def piece_hands(
    desk: Desk, piece: "Piece", prep: Prep, *, tempo: Tempo, set_piece: "SetPiece | None" = None, wanted: Wanted
) -> Hands:
    """The fingering of a piece at a performance tempo, around what its marks decide. Raises RequestError for an
    instrument without a chart, SettingsError."""
    from coach.sound.tempo_map import tempo_map

    planner = planner_for(
        desk.settings, wanted.instrument or instrument_of(desk.settings, piece, set_piece), wanted.left_eflat_lever
    )
    speeds = tempo_map(piece.tempos, tempo, piece.part.measures[0].onset_q)

    def quarter_s(at_q: Fraction) -> float:
        return 60 / (float(speeds.speed(at_q)) * wanted.share)

    return hands_of(planner, piece.part, quarter_s, prep)


def with_suggestions(prep: Prep, hands: Hands, wanted: Wanted) -> Prep:
    """The prep with the fingerings that are worth a mark in place of those suggested before; what was kept or struck
    stays. The same prep if nothing changes."""
    fresh = marks_from(hands, prep, lambda: secrets.token_hex(6))
    others = (mark for mark in prep.marks if mark.origin == "computed" and mark.kind not in KINDS)
    taken = pencil.take_computed(prep, (*(mark for mark in others if mark.state == "suggested"), *fresh))
    from_what = {"fingering_chart": hands.search.planner.chart.name, "fingering_percent": f"{100 * wanted.share:g}"}
    settings = {**dict(prep.settings), **from_what}
    return prep if taken.marks == prep.marks else replace(taken, settings=tuple(settings.items()))


def suggest(held: "Pencil", hands: Hands, wanted: Wanted) -> int:
    """Write the suggestions into the marks of a piece, and save if they changed; returns how many there are now. Raises
    StoreError."""
    changed = with_suggestions(held.prep, hands, wanted)
    if changed is not held.prep:
        held.take(changed)
    return len(suggested(held.prep))


def suggested(prep: Prep) -> tuple[str, ...]:
    """The ids of the fingerings that wait to be kept or struck."""
    return tuple(mark.id for mark in prep.marks if mark.kind in KINDS and mark.state == "suggested")


def few_hands(desk: Desk, text: str, *, per_minute: float, joined: bool = True, wanted: Wanted) -> FewNotes:
    """The fingering of a few notes typed by hand, `per_minute` quarters a minute, slurred if `joined`. Raises
    RequestError for an instrument without a chart and where nothing typed is a note, SettingsError."""
    typed = few_notes(text, 60 / per_minute, joined)
    steps = [one.step for one in typed if one.step is not None]
    if not steps:
        fault = next((one.fault for one in typed if one.fault), "nothing was typed; write notes such as G#3 F#3:2 E#3")
        raise RequestError(f"There is no note to finger: {fault}.")
    instrument = wanted.instrument or desk.settings.instrument
    planner = planner_for(desk.settings, instrument, wanted.left_eflat_lever)
    hands = fingered(planner, steps)
    return FewNotes(typed, hands, planner.chart, remedies_of(desk.settings, instrument, hands))


def remedies_of(settings: Settings, instrument: str, hands: Hands) -> tuple[Remedy, ...]:
    """What would help where a finger must slide, a lever that the player's instrument lacks among it. Raises as
    `planner_for` does."""
    planner = hands.search.planner
    if not hands.plan.slides:
        return ()
    better = planner_for(settings, instrument, True)
    more = {name: better for _, name in planner.chart.options} if better is not planner else {}
    return remedies(planner, hands.search.steps, hands.plan, more)


def slides_told(
    desk: Desk, piece: "Piece", hands: Hands, wanted: Wanted, set_piece: "SetPiece | None" = None
) -> tuple[str, ...]:
    """Where a finger must slide in a piece, and what would help, a sentence each."""
    instrument = wanted.instrument or instrument_of(desk.settings, piece, set_piece)
    return slide_words(hands, remedies_of(desk.settings, instrument, hands), places=True)


def slide_words(hands: Hands, helping: tuple[Remedy, ...], places: bool = False) -> tuple[str, ...]:
    """Where a finger must slide from key to key, and what would help, a sentence each; with `places` the measure is
    named."""
    told = []
    for at in dict.fromkeys(hands.plan.slides):
        note, after = (hands.notes[n].chosen.step for n in (at, at + 1))
        where = f"Measure {measure_of(note.id)}: a" if places else "A"
        helps = "; or ".join(one.says for one in helping if one.at == at)
        ways = f"; what would help: {helps}" if helps else ""
        told.append(f"{where} finger must slide from key to key, from {note.name} to {after.name}{ways}.")
    return tuple(told)


def problems_told(hands: Hands) -> tuple[str, ...]:
    """What could not be fingered, or not as asked: a sentence each, of many only the first."""
    found: dict[str, str] = {}
    for problem in hands.plan.problems:
        found.setdefault(problem.says, measure_of(hands.notes[problem.at].at))
    told = [f"Measure {where}: {says}." if where else f"{says[:1].upper()}{says[1:]}." for says, where in found.items()]
    more = len(told) - MOST_TOLD
    left = f"{more} more {'note' if more == 1 else 'notes'} could not be fingered."
    return (*told[:MOST_TOLD], left) if more > 0 else tuple(told)

"""What the tables of a chart must be to each other: every name known, every pitch fingered, nothing impossible."""

from collections.abc import Callable, Iterable, Iterator, Mapping
from graphlib import CycleError
from typing import Any

from coach.files.chart_tables import Faults
from coach.instruments.chart import Chart
from coach.instruments.fingering import Fingering
from coach.instruments.sounding import in_order
from coach.music.pitch import from_midi

Told = Iterator[tuple[object, str]]


def check(chart: Chart, places: Mapping[int, str], faults: Faults) -> None:
    """Note every mistake; `places` knows each entry's place by its identity."""
    for look in (_names, _sources, _mechanism, _holes, _rules):
        _note(look(chart), places, faults)
    if not faults.found:  # what follows asks the chart for what was just looked for
        for look in (_fingerings, _pitches, _trills, _slides):
            _note(look(chart), places, faults)


def _note(told: Told, places: Mapping[int, str], faults: Faults) -> None:
    for entry, what in told:
        faults.add(places.get(id(entry), ""), what)


def _names(chart: Chart) -> Told:
    """Ids are unique; controls and holes share one set, since a hole may be moved by either."""
    keyed: tuple[tuple[Iterable[Any], Callable[[Any], object]], ...] = (
        (chart.fingers, lambda one: one.id),
        ((*chart.controls, *chart.holes), lambda one: one.id),
        (chart.rules, lambda one: one.id),
        (chart.advice, lambda one: one.id),
        (chart.sources, lambda one: one.id),
        (chart.options, lambda one: one[0]),
        (chart.slides, lambda one: f"{one.start} to {one.end}"),
    )
    for entries, name in keyed:
        yield from _twice(entries, name, lambda key: f'"{key}" stands twice; give one of them another id or remove it')
    yield from _twice(
        chart.all_fingerings,
        lambda one: (one.midi, one.choice),
        lambda key: f'{_pitch(key[0])} has the choice "{key[1]}" twice; name one of them otherwise',
    )


def _twice(entries: Iterable[Any], name: Callable[[Any], Any], told: Callable[[Any], str]) -> Told:
    seen = set()
    for one in entries:
        if name(one) in seen:
            yield one, told(name(one))
        seen.add(name(one))


def _sources(chart: Chart) -> Told:
    known = {one.id for one in chart.sources}
    sourced: tuple[Iterable[Any], ...] = (
        chart.controls, chart.holes, chart.rules, chart.all_fingerings, chart.trills, chart.slides, chart.advice,
    )  # fmt: skip
    for entries in sourced:
        for one in entries:
            yield from _unknown(one, one.source, known, "source", "[[source]]")


def _mechanism(chart: Chart) -> Told:
    fingers = {one.id for one in chart.fingers}
    options = {name for name, _ in chart.options}
    for control in chart.controls:
        yield from _unknown(control, (control.finger,), fingers, "finger", "[[finger]]")
        if control.option:
            yield from _unknown(control, (control.option,), options, "option", "[[option]]")
    worked = {one.id: one.finger for one in chart.controls}
    for finger in chart.fingers:
        for name in sorted(frozenset().union(*finger.together)):
            if worked.get(name) != finger.id:
                yield finger, f"together names {name}, which this finger does not work; write its own controls only"


def _holes(chart: Chart) -> Told:
    controls, holes = {one.id for one in chart.controls}, {one.id for one in chart.holes}
    for hole in chart.holes:
        yield from _unknown(hole, sorted(hole.moved_by | hole.held_by), controls | holes, "control", "[[control]]")
        yield from _unknown(hole, (name for name, _ in hole.raises_over), holes, "hole", "[[hole]]")
        if hole.low is not None and hole.raises:
            yield hole, "has both low and raises; keep the one that holds"
    tone = [hole for hole in chart.holes if hole.low is not None]
    if not tone or not tone[-1].open or tone[-1].moved_by:
        yield None, "the last [[hole]] with a low must stand open and be moved by nothing, as the bell; add it"
    for upper, lower in zip(tone, tone[1:], strict=False):
        if (upper.low or 0) < (lower.low or 0):
            yield lower, f"sounds higher than {upper.id} before it; write the holes from the reed down"
    try:
        in_order(chart.holes)
    except CycleError as error:
        circle = " -> ".join(error.args[1])
        yield None, f"the holes move each other in a circle ({circle}); take one of them out of another's moved_by"


def _rules(chart: Chart) -> Told:
    controls = {one.id for one in chart.controls}
    for rule in chart.rules:
        others = frozenset().union(*(one.covered for one in rule.others))
        named = rule.down | rule.up | rule.any_of | rule.covered | others
        yield from _unknown(rule, sorted(named), controls, "control", "[[control]]")
    last = chart.rules[-1] if chart.rules else None
    if last is None or last.down or last.up or last.any_of or last.lowest is not None:
        yield last, "the last [[rule]] must hold for every state; add one without down, up, any and from"


def _fingerings(chart: Chart) -> Told:
    controls = {one.id for one in chart.controls}
    uses = {word for word, _ in chart.uses}
    for one in chart.all_fingerings:
        yield from _unknown(one, sorted(one.controls), controls, "control", "[[control]]")
        yield from _unknown(one, one.uses, uses, "use", "[uses]")
        yield from _unknown(one, (one.register,), chart.registers, "register", "registers")
        if not chart.lowest <= one.midi <= chart.highest:
            yield one, f"{_pitch(one.midi)} lies outside {_pitch(chart.lowest)} to {_pitch(chart.highest)}; widen that"
        if one.controls <= controls:
            yield from _impossible(chart, one)


def _impossible(chart: Chart, one: Fingering) -> Told:
    for finger, held in chart.by_finger(one.controls).items():
        if not chart.held_together(held):
            keys = " and ".join(sorted(held))
            yield one, f"{finger} cannot hold {keys} at once; leave one out, or let the finger hold them together"


def _pitches(chart: Chart) -> Told:
    if chart.highest < chart.lowest:
        yield None, f"highest lies below lowest ({_pitch(chart.lowest)}); exchange them"
    for midi in chart.bare_pitches():
        yield None, f"{_pitch(midi)} has no fingering; add a [[fingering]] for it, or narrow lowest and highest"


def _trills(chart: Chart) -> Told:
    controls = {one.id for one in chart.controls}
    for one in chart.trills:
        yield from _unknown(one, sorted(one.hold | one.move), controls, "control", "[[control]]")
        if not one.low < one.high:
            yield one, "upper must be higher than lower; exchange them"
        if not one.move or one.hold & one.move:
            yield one, "move must name at least one control, and none that is in hold; mend the two lists"


def _slides(chart: Chart) -> Told:
    controls = {one.id for one in chart.controls}
    for one in chart.slides:
        strange = {one.start, one.end} - controls
        yield from _unknown(one, sorted(strange), controls, "control", "[[control]]")
        if not strange and (one.start == one.end or chart.finger_of(one.start) != chart.finger_of(one.end)):
            yield one, "from and to must be two controls of one finger; name such a pair"


def _unknown(entry: object, named: Iterable[str], known: Iterable[str], what: str, where: str) -> Told:
    known = set(known)
    for name in named:
        if name not in known:
            yield entry, f'there is no {what} "{name}"; write one of the chart\'s, or add it under {where}'


def _pitch(midi: int) -> str:
    return from_midi(midi).name

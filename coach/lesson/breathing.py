"""Where to breathe in a piece: the player's air, the plan at the tempo in hand, the breaths as suggestions."""

from bisect import bisect_right
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from math import ceil

from coach.config import AirSettings
from coach.errors import RequestError
from coach.instruments.air import DYNAMICS, FLOWS, LEAST_FLOW, LEAST_LITRES, MOST_FLOW, MOST_LITRES, USUAL_LITRES, Air
from coach.instruments.lungs import Body, vital_capacity
from coach.music.part import Part
from coach.music.piece import Piece
from coach.music.tempo import Tempo
from coach.prepare.breath.breathing import Asked, Breathing, Planned, breathing
from coach.prepare.breath.chains import chains
from coach.prepare.dynamics.level import levels
from coach.prepare.interpretation import BreathTimes, Interpretation
from coach.prepare.mark import Breath
from coach.prepare.pace import bend
from coach.prepare.prep import Prep


@dataclass(frozen=True, slots=True)
class Breaths:
    """The plan for the performance and the one for the tempo in hand, a `share` of the performance tempo: where that is
    slower, the breaths of the first are in the second, with practice breaths added."""

    performance: Breathing
    here: Breathing
    air: Air
    share: float = 1.0

    @property
    def suggested(self) -> tuple[Planned, ...]:
        """The breaths of the performance that neither the page nor anybody has decided."""
        return tuple(one for one in self.performance.breaths if not one.decided)


def usable_litres(settings: AirSettings) -> tuple[float, str]:
    """The litres that one breath has, and where the figure is from, in words. Raises RequestError."""
    if settings.litres:
        return settings.litres, "as set"
    if settings.sex and settings.age and settings.height_cm:
        from coach.files.lungs import lung_tables

        body = Body(settings.sex, settings.age, settings.height_cm)
        try:
            whole = vital_capacity(settings.equation, body, lung_tables()).litres
        except ValueError as error:
            raise RequestError(f"The lungs cannot be reckoned: {error}.") from None
        return settings.share * whole, f"{settings.share:.0%} of {whole:.1f} litres by {settings.equation}"
    return USUAL_LITRES, "a default; measure yours in Setup"


def air_of(settings: AirSettings, *, litres: float | None = None, flows: str = "", reserve: float | None = None) -> Air:
    """The player's air; `litres`, `flows` ("pp=0.10,p=0.13") and `reserve` (a share) in place of the settings'. Raises
    RequestError for figures that are no person's."""
    litres = usable_litres(settings)[0] if litres is None else litres
    if not LEAST_LITRES <= litres <= MOST_LITRES:
        raise RequestError(
            f"{litres:g} litres in one breath are nobody's; give {LEAST_LITRES:g} to {MOST_LITRES:g}, or leave it out."
        )
    reserve = settings.reserve if reserve is None else reserve
    if not 0 <= reserve <= 0.9:
        raise RequestError(f"A reserve of {reserve:g} is no share of the lungs; give 0 to 0.9.")
    table = settings.flows or tuple(FLOWS[name] for name in DYNAMICS)
    registers = settings.registers or (1.0, 1.0, 1.0, 1.0)
    return Air(
        litres=litres,
        flows=_flows(flows, table),
        full_s=settings.full_s,
        catch_s=settings.catch_s,
        catch_share=settings.catch_share,
        keep_share=settings.keep_share,
        keep_s=settings.keep_s,
        reserve=reserve,
        registers=(registers[0], registers[1], registers[2], registers[3]),
    )


def _flows(text: str, table: tuple[float, ...]) -> tuple[float, ...]:
    found = dict(zip(DYNAMICS, table, strict=True))
    for word in filter(None, (part.strip() for part in text.split(","))):
        name, _, number = word.partition("=")
        try:
            value = float(number)
        except ValueError:
            value = -1.0
        if name.strip() not in DYNAMICS or not LEAST_FLOW <= value <= MOST_FLOW:
            raise RequestError(
                f"{word[:40]!r} is no flow; write litres a second from {LEAST_FLOW:g} to {MOST_FLOW:g}, "
                "such as pp=0.10,mf=0.20,ff=0.30."
            )
        found[name.strip()] = value
    return tuple(found[name] for name in DYNAMICS)


def breaths_of(
    piece: Piece,
    prep: Prep,
    taken: Interpretation,
    air: Air,
    *,
    tempo: Tempo,
    share: float = 1.0,
    known: Breaths | None = None,
) -> Breaths:
    """The breaths of a piece, planned around those decided in a prep, with the dynamics and the pace that are `taken`,
    at its performance tempo and at a share of it. `known` are those for another share, all else being the same."""
    asked = replace(_asked(piece.part, prep), tempo=_tempo_name(piece, tempo, 1.0))
    shaped = levels(piece.part, taken.dynamics, taken.phrases)
    clock = _clock(piece, tempo, taken)
    closed = _but(asked, _leading_on(piece.part, taken, air, clock))
    performance = known.performance if known else breathing(piece.part, air, clock, shaped, closed)
    if share == 1:
        return Breaths(performance, performance, air)
    slow = _at_share(clock, share)
    asked = replace(asked, tempo=_tempo_name(piece, tempo, share))
    asked = _but(asked, _leading_on(piece.part, taken, air, slow))
    also = [one.at for one in performance.breaths] if share < 1 else None
    return Breaths(performance, breathing(piece.part, air, slow, shaped, asked, also), air, share)


def _tempo_name(piece: Piece, tempo: Tempo, share: float) -> Callable[[Fraction, float], str]:
    """What the tempo is called at a place, in the beats that are printed there, at a factor of its speed."""
    from coach.sound.tempo_map import tempo_map

    printed = tempo_map(piece.tempos, tempo, piece.part.measures[0].onset_q)
    marks = [(mark.onset_q, mark.tempo.beat) for mark in piece.tempos if mark.tempo is not None]

    def name(at_q: Fraction, factor: float) -> str:
        beat = next((beat for onset_q, beat in reversed(marks) if onset_q <= at_q), tempo.beat)
        per_minute = float(printed.speed(at_q) / beat.length_q) * share
        return f"{per_minute:.0f}" if factor == 1 else f"{ceil(per_minute * factor - 1e-6)}"

    return name


def _but(asked: Asked, closed: frozenset[str]) -> Asked:
    return replace(asked, struck=asked.struck | (closed - set(asked.decided)))


def _leading_on(part: Part, taken: Interpretation, air: Air, clock: Callable[[Fraction], float]) -> frozenset[str]:
    """The notes whose ornament leads on to the next one: its last note, of which a breath would have to take its time,
    is too short, and there is no rest."""
    found = set()
    for chain in chains(part):
        ornament = taken.ornaments.get(chain.first.id)
        if ornament is None or not ornament.notes:
            continue
        shake = ornament.shake
        last_q = (shake.close_q if shake.close else 1 / shake.last) if shake else ornament.notes[-1].length_q
        last_s = clock(chain.end_q) - clock(chain.end_q - min(last_q, chain.length_q))
        rest_s = clock(chain.end_q + chain.rest_q) - clock(chain.end_q)
        if min(last_s * (1 - air.keep_share), last_s - air.keep_s) < air.catch_s - rest_s:
            found.add(chain.at)
    return frozenset(found)


def breath_places(part: Part) -> Mapping[str, str]:
    """Where a breath that is marked at a note or a rest is taken: the last note of the tied chain, that before the
    rest."""
    found = {}
    last = {chain.first.id: chain.at for chain in chains(part)}
    place = ""
    for note in part.notes():
        place = last.get(note.id, place)
        found[note.id] = place
    return {name: place for name, place in found.items() if place}


def with_breaths(taken: Interpretation, plan: Breaths) -> Interpretation:
    """An interpretation that breathes where the plan for the tempo in hand does; a breath takes its seconds of that
    tempo, which are fewer of the performance tempo's where that is slower."""
    air, share = plan.air, plan.share
    times = BreathTimes(air.full_s * share, air.catch_s * share, air.keep_share, air.keep_s * share)
    return replace(taken, breaths={one.at: one.size for one in plan.here.breaths}, times=times)


def _asked(part: Part, prep: Prep) -> Asked:
    places = breath_places(part)
    marks = [mark for mark in prep.marks if isinstance(mark.content, Breath)]
    decided = {
        places.get(mark.at, mark.at): mark.content.size
        for mark in marks
        if mark.state == "kept" and isinstance(mark.content, Breath)
    }
    struck = {places.get(mark.at, mark.at) for mark in marks if mark.struck}
    return Asked(
        decided=decided,
        struck=frozenset(struck - set(decided)),
        phrase_ends=frozenset(mark.to for mark in prep.shown if mark.kind == "phrase"),
    )


def _clock(piece: Piece, tempo: Tempo, taken: Interpretation) -> Callable[[Fraction], float]:
    """The seconds of the performance, fermatas and changes of pace among them. Where phrases end the music waits in
    silence, which costs no air and is left out."""
    from coach.sound.tempo_map import tempo_map

    printed = tempo_map(piece.tempos, tempo, piece.part.measures[0].onset_q)
    bent = bend(piece.part, piece.tempos, replace(taken, phrases=()), printed.speed)
    seconds = printed.bent(bent.steps)
    # In floating point: a plan asks for thousands of places, and a clock runs on evenly over every change of tempo.
    onsets_q, starts_s = [float(q) for q in seconds.onsets_q], [float(s) for s in seconds.starts_s]
    quarters_s = [60 / float(speed) for speed in seconds.speeds]

    def at_s(at_q: Fraction) -> float:
        q = float(at_q)
        k = max(0, bisect_right(onsets_q, q) - 1)
        return starts_s[k] + (q - onsets_q[k]) * quarters_s[k]

    return at_s


def _at_share(clock: Callable[[Fraction], float], share: float) -> Callable[[Fraction], float]:
    return lambda at_q: clock(at_q) / share

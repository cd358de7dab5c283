"""The air in a drill of the breath: what is left at each of its notes, at the tempo in hand.

A phrase is as loud as it is decided on the piece; the other drills are as loud as they are printed. Nothing is planned
here: the breaths are those of the drill, and where the air does not last it is told by how much.
"""

from collections.abc import Mapping
from dataclasses import replace
from fractions import Fraction

from coach.instruments.air import Air
from coach.lesson.breathing import Breaths
from coach.lesson.drills import Work
from coach.music.part import Part
from coach.music.piece import Piece
from coach.practice.spot import Spot
from coach.prepare.breath.breathing import AirAt, Asked, breathing
from coach.prepare.breath.chains import chains
from coach.prepare.dynamics.level import levels
from coach.prepare.interpretation import Interpretation

KINDS = ("phrase", "breath", "tone")  # what the recipes work on that show the air


def drill_air(
    work: Work, piece: Piece, spot: Spot, played: Interpretation, air: Air, per_minute: float
) -> Breaths | None:
    """The air in the drill of a spot, played so many beats a minute (those of the work's tempo); None for a drill of
    something else."""
    drill = work.drill
    if drill is None or drill.recipe.works_on not in KINDS:
        return None
    part, loud = drill.piece.part, levels(drill.piece.part)
    phrase = drill.recipe.works_on == "phrase"
    if phrase:
        first = next(iter(part.pitched()))
        part = _moved(part, piece.note(spot.from_note).onset_q - first.onset_q)
        loud = levels(piece.part, played.dynamics, played.phrases)
    quarter_s = 60 / (per_minute * float(work.tempo.beat.length_q))
    ends = {} if phrase else _ends(part)
    struck = frozenset(one.at for one in chains(part)) - set(ends)
    asked = Asked({**ends, **({} if phrase else drill.interpretation.breaths)}, struck)
    plan = breathing(part, air, lambda at_q: float(at_q) * quarter_s, loud, asked)
    return Breaths(plan, plan, air)


def air_share(plan: Breaths, part: Part, at_q: float) -> float:
    """The share of the usable litres that is left at a place of the drill, in quarters from its start."""
    left = {one.at: one for one in plan.here.air}
    after = {one.at: one.air_after for one in plan.here.breaths}
    litres = plan.air.litres
    for chain in chains(part):
        if at_q < chain.onset_q:
            break
        one = left.get(chain.first.id, AirAt(chain.first.id, litres, litres))
        done = min((at_q - float(chain.onset_q)) / float(chain.length_q), 1.0)
        litres = one.start + (one.end - one.start) * done
        litres = after.get(chain.at, litres) if done == 1.0 else litres
    return litres / plan.air.litres


def _ends(part: Part) -> Mapping[str, str]:
    """The notes that a rest of a beat or more follows, with a full breath in it."""
    beats = {measure.id: measure.metre.beat_q if measure.metre else Fraction(1) for measure in part.measures}
    return {one.at: "full" for one in chains(part) if one.rest_q >= beats[one.last.measure]}


def _moved(part: Part, by_q: Fraction) -> Part:
    """A part that begins so many quarters later."""
    return replace(
        part,
        measures=tuple(
            replace(
                measure,
                onset_q=measure.onset_q + by_q,
                notes=tuple(replace(note, onset_q=note.onset_q + by_q) for note in measure.notes),
            )
            for measure in part.measures
        ),
    )

"""The measures of a stretch in the order in which they are passed, on one clock of their own.

`at_q` counts quarters as played from the start of the stretch; where nothing is repeated it runs along the page.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction

from coach.music.measure import Measure
from coach.music.metre import Metre
from coach.music.piece import Piece
from coach.music.tempo import Tempo
from coach.prepare.interpretation import Interpretation
from coach.prepare.pace import Bend, bend
from coach.sound.tempo_map import TempoMap, from_steps, tempo_map

# Where the page sets no metre the click goes in quarters, four to a count-in measure.
FREE_METRE = Metre(4, 4)


@dataclass(frozen=True, slots=True)
class Bar:
    """A measure as passed once: `number` counts from 0 in the stretch, `index` is the measure's in its part; `jump`
    tells that another measure than the one before it on the page was played before."""

    number: int
    index: int
    measure: Measure
    at_q: Fraction
    jump: bool = False

    @property
    def end_q(self) -> Fraction:
        """Where it ends, in quarters as played."""
        return self.at_q + self.measure.length_q

    @property
    def metre(self) -> Metre:
        """Its metre, or quarters in four where the page sets none."""
        return self.measure.metre or FREE_METRE

    @property
    def lead_q(self) -> Fraction:
        """How far into a full measure its first beat lies: more than 0 for a pickup, or for the second half of a
        measure split by a repeat, whose beats count from its end."""
        missing = self.metre.length_q - self.measure.length_q
        counted_back = self.measure.pickup or self.measure.implicit or self.index == 0
        return missing if missing > 0 and counted_back and self.measure.metre else Fraction(0)


@dataclass(frozen=True, slots=True)
class Passage:
    """A stretch as played. `clock` turns its quarters into nominal seconds from its start; `waits` are the seconds that
    the music waits before a place on the page, which are silent."""

    bars: tuple[Bar, ...]
    clock: TempoMap
    waits: Mapping[Fraction, float] = field(default_factory=dict)

    @property
    def end_q(self) -> Fraction:
        """Length in quarters as played."""
        return self.bars[-1].end_q

    def at_s(self, at_q: Fraction) -> float:
        """Nominal seconds at a place; places before 0 go at the first tempo."""
        return float(self.clock.at_s(at_q))


def passage(piece: Piece, order: Sequence[int], tempo: Tempo, interpretation: Interpretation | None = None) -> Passage:
    """The passage through the measures of `order` (indices), the piece's first measure going at `tempo`. The clock
    bends as an interpretation has it; what is counted before the stretch goes at the printed tempo."""
    measures = piece.part.measures
    printed = tempo_map(piece.tempos, tempo, measures[0].onset_q)
    bent = Bend() if interpretation is None else bend(piece.part, piece.tempos, interpretation, printed.speed)
    page = printed.bent(bent.steps)
    bars: list[Bar] = []
    steps: list[tuple[Fraction, Fraction]] = []
    at_q = Fraction(0)
    for number, index in enumerate(order):
        measure = measures[index]
        bars.append(Bar(number, index, measure, at_q, jump=bool(bars) and bars[-1].index + 1 != index))
        steps.append((at_q, page.speed(measure.onset_q)))
        changes = page.changes(measure.onset_q, measure.end_q)
        steps += [(at_q + change_q - measure.onset_q, speed) for change_q, speed in changes]
        at_q += measure.length_q
    lead = printed.speed(measures[order[0]].onset_q) if bent.steps else None
    return Passage(tuple(bars), from_steps(steps, lead), {at_q: float(wait_s) for at_q, wait_s in bent.waits.items()})

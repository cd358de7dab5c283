"""How fast the fingers of a trill can go.

Model: notes a second of a trill kept up evenly, by how many fingers move between its two fingerings: the median of what
players did, never more for more fingers. Where a finger goes from one key to another it counts as `SLIDE` fingers.
Units: notes a second (twice the trills a second of the source). Defaults: CLOSE for a semitone or a tone, WIDE for
anything wider or with more fingers; 10.5 where no chart is known.

Source: Libricky and Hajic 2025, "Modeling the difficulty of saxophone music" (ISMIR; arXiv:2507.04963), aggregates of
their published measurements: up to a tone, one key 10.5 (95th percentile 14.2), two keys 8.4, three keys 9.9; the
fastest of all 16.5; any interval, from one key to eleven 9.6, 7.1, 5.4, 4.1, 4.1, 3.8, 3.5, 3.4, 3.0, 3.1, 3.1.

Not known: anything measured on the clarinet (five players of the tenor saxophone), the weaker fingers apart from the
stronger ones, what sliding costs (`SLIDE` is a guess), how far practice takes one player. Three keys were faster than
two there, of few pairs; more fingers being no help, they are taken for as slow as two.
"""

from coach.instruments.chart import Chart
from coach.instruments.fingering import Trill

CLOSE = (10.5, 8.4, 8.4)
WIDE = (9.6, 7.1, 5.4, 4.1, 4.1, 3.8, 3.5, 3.4, 3.0)
SPURT = 14.2  # what the quickest fingers do: the 95th percentile of trills with one key
LIMIT = 16.5  # what nobody exceeded
SLIDE = 4
_PASSING = 9  # the rank of fingerings that are only passed through
_TONE = 2


def fastest_trill(chart: Chart | None, low: int, high: int) -> float:
    """Notes a second of the fastest even trill between two written pitches (MIDI numbers, either first) on an
    instrument; of an easy one where there is no chart, or none for these pitches."""
    low, high = sorted((low, high))
    fingers = moving_fingers(chart, low, high) if chart is not None else 1
    close = high - low <= _TONE and fingers <= len(CLOSE)
    medians = CLOSE if close else WIDE
    return medians[min(max(fingers, 1), len(medians)) - 1]


def moving_fingers(chart: Chart, low: int, high: int) -> int:
    """How many fingers a trill moves: those of the chart's first trill for it, else of the two fingerings that have
    most in common. 0 for a pitch that the chart lacks, and for a unison."""
    listed = chart.trill(low, high)
    if listed:
        return _of_listed(chart, listed[0])
    pairs = (
        _between(chart, a.controls, b.controls)
        for a in chart.fingerings(low)
        for b in chart.fingerings(high)
        if max(a.rank, b.rank) < _PASSING
    )
    return min(pairs, default=0)


def _of_listed(chart: Chart, trill: Trill) -> int:
    return _between(chart, trill.lower, trill.upper)


def _between(chart: Chart, start: frozenset[str], end: frozenset[str]) -> int:
    lifted, pressed = chart.by_finger(start - end), chart.by_finger(end - start)
    slides = lifted.keys() & pressed.keys()
    return len(lifted.keys() | pressed.keys()) + (SLIDE - 1) * len(slides)

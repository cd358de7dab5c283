"""All ways to play the ornaments of a part: the proposed one first, then its alternatives."""

from collections.abc import Mapping

from coach.music.part import Part
from coach.prepare.ornaments.figure import Figure, figures
from coach.prepare.ornaments.graces import grace_ways, graces_of
from coach.prepare.ornaments.realisation import Fastest, Pace, Realisation


def realisations(part: Part, *, style: str, pace: Pace, fastest: Fastest) -> Mapping[str, tuple[Realisation, ...]]:
    """For every note of a part with an ornament (by the id of the main note, the first of a tied chain) the ways to
    play it: the one that the style asks for first, then an alternative or more."""
    found: dict[str, tuple[Realisation, ...]] = {}
    for figure in figures(part, pace):
        ways = _ways(figure, style, pace, fastest)
        if ways:
            found[figure.head.id] = ways
    return found


def _ways(figure: Figure, style: str, pace: Pace, fastest: Fastest) -> tuple[Realisation, ...]:
    del pace, fastest
    if graces_of(figure) or figure.chain.after_graces:
        return grace_ways(figure, style)
    return ()

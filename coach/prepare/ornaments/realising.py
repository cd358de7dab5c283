"""All ways to play the ornaments of a part: the proposed one first, then its alternatives."""

from collections.abc import Mapping

from coach.music.part import Part
from coach.prepare.mark import OssiaNote
from coach.prepare.ornaments import mordents, turns
from coach.prepare.ornaments.figure import Figure, figures
from coach.prepare.ornaments.graces import grace_ways, graces_of, is_trilled
from coach.prepare.ornaments.realisation import Fastest, Pace, Realisation
from coach.prepare.ornaments.trills import trill_ways
from coach.prepare.ossia import LARGEST


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
    """The ways of one figure that can be written down; a trill before a turn before a mordent, where one note has
    several signs. Tremolos and signs of unknown names are left as printed."""
    ways = _as_printed(figure, style, pace, fastest)
    return tuple(way for way in ways if all(_writable(note) for note in way.content.notes))


def _as_printed(figure: Figure, style: str, pace: Pace, fastest: Fastest) -> tuple[Realisation, ...]:
    if is_trilled(figure.chain):
        return trill_ways(figure, style, pace, fastest)
    for ornament in figure.ornaments:
        if ornament.kind in turns.KINDS:
            return turns.turn_ways(figure, ornament, style)
    for ornament in figure.ornaments:
        if ornament.kind in mordents.KINDS:
            return mordents.mordent_ways(figure, ornament, style)
        if ornament.kind == mordents.SLIDE:
            return mordents.slide_ways(figure, style)
    if graces_of(figure) or figure.chain.after_graces:
        return grace_ways(figure, style)
    return ()


def _writable(note: OssiaNote) -> bool:
    """Whether a prep can hold a note: on a staff, and in fractions that are read back."""
    pitch = note.pitch
    staff = pitch is None or (abs(pitch.alter) <= 2 and 0 <= pitch.octave <= 9)
    return staff and max(note.onset_q.denominator, note.length_q.denominator) <= LARGEST

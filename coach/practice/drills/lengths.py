"""Where a phrase on one breath may end before it is all of it: at good places for a breath, a measure apart or more.

A good place has more for it than against it (coach/prepare/breath/places.py). Where there is none, the least bad one of
those that may be is taken, so that there is a length before the whole where the phrase has two measures or more.
Also: the phrase between two breaths.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from coach.music.part import Part
from coach.practice.drills.stretch import Stretch
from coach.prepare.breath.chains import chains
from coach.prepare.breath.places import POINTS, Place, places


def ends_of(part: Part, stretch: Stretch, most: int) -> tuple[str, ...]:
    """The last notes of at most so many growing lengths of a stretch, in order, its own last note at the end."""
    line = chains(part)
    gaps = places(part, line, [bool(one.rest_q) for one in line])
    known = {chain.at: gap for chain, gap in zip(line, gaps, strict=False) if not gap.barred}
    inside = [(chain.notes[-1].id, chain.end_q) for chain in stretch.chains[:-1] if chain.notes[-1].id in known]
    apart_q = stretch.frame.length_q
    good = [one for one in inside if _good(known[one[0]])]
    taken = [stretch.first.onset_q, stretch.last.end_q]
    chosen: set[str] = set()
    for wanted, at_most in ((good, most - 1), (inside, min(most - 1, 1))):
        for name, end_q in sorted(wanted, key=lambda one: (known[one[0]].points, one[1])):
            if len(chosen) < at_most and all(abs(end_q - other) >= apart_q for other in taken):
                chosen.add(name)
                taken.append(end_q)
    return (*(name for name, _ in inside if name in chosen), stretch.last.notes[-1].id)


@dataclass(frozen=True, slots=True)
class BreathPhrase:
    """What is played on one breath: the id of its first note, that of the last one (`at`, which the breath follows),
    and that of the note after the breath, "" at the end of the part."""

    first: str
    at: str
    after: str


def breath_phrase(part: Part, breaths: Mapping[str, str], note_id: str) -> BreathPhrase | None:
    """The stretch between two breaths, decided or printed, that a note is in; None where the part has no breath."""
    line = chains(part)
    ends = [k for k, one in enumerate(line) if one.at in breaths or one.last.breath is not None]
    here = next((k for k, one in enumerate(line) if any(head.id == note_id for head in one.heads)), None)
    if here is None or not ends:
        return None
    first = max((k + 1 for k in ends if k < here), default=0)
    last = min((k for k in ends if k >= here), default=len(line) - 1)
    after = line[last + 1].first.id if last + 1 < len(line) else ""
    return BreathPhrase(line[first].first.id, line[last].at, after)


def _good(place: Place) -> bool:
    return place.points < POINTS["no rest"]

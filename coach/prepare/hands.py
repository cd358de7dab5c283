"""From a part to the passage that the hands have to play."""

from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import replace
from fractions import Fraction

from coach.instruments.passage import Step
from coach.music.measure import Measure
from coach.music.note import Grace, Note
from coach.music.part import Part
from coach.music.pitch import Pitch
from coach.prepare.interpretation import Interpretation
from coach.prepare.mark import Alteration
from coach.prepare.ornaments.neighbour import TRILLS, neighbour
from coach.prepare.played import played

# Defaults: how long a grace is, and how long a breath, which takes of its note what no rest gives.
GRACE_S = 0.1
BREATH_S = 0.3
_MORE = "+"
# The seconds of a quarter at an onset in quarters.
Pace = Callable[[Fraction], float]


def steps_of(
    part: Part,
    pace: float | Pace,
    fixed: Mapping[str, str] | None = None,
    breaths: frozenset[str] = frozenset(),
    alterations: Mapping[str, Alteration] | None = None,
) -> tuple[Step, ...]:
    """The part's notes as steps, each chain of ties one step under the id of its first note, graces included. `pace` is
    the seconds of a quarter, everywhere or at each onset; `fixed` holds the player's own fingerings and `breaths` the
    notes after which one is taken, by note id; `alterations` what is played in a note's place: of several notes the
    first has its id, the others ids that no note of the page has (`page_id`)."""
    steps: list[Step] = []
    breathing: set[int] = set()
    lines: Iterable[tuple[Note, ...]] = (measure.notes for measure in part.measures)
    if alterations:
        decided = Interpretation(alterations=alterations, breaths=dict.fromkeys(breaths, "full"))
        lines, breaths = played(part.measures, decided), frozenset()
    for measure, notes in zip(part.measures, lines, strict=True):
        for note in notes:
            quarter_s = pace(note.onset_q) if callable(pace) else pace
            if note.pitch is None:
                _silence(steps, float(note.length_q) * quarter_s)
            elif note.tie in ("stop", "continue") and steps and steps[-1].midi == note.pitch.midi:
                steps[-1] = _tied(steps[-1], note, quarter_s)
            else:
                steps += [_grace(grace) for grace in note.graces]
                steps.append(_step(measure, note, note.pitch, quarter_s))
            if note.breath or note.id in breaths:
                breathing.add(len(steps) - 1)
            steps += [_grace(grace) for grace in note.after_graces]
    own = fixed or {}
    steps = [_breathed(step) if k in breathing else step for k, step in enumerate(steps)]
    steps = _told_apart(steps) if alterations else steps
    return tuple(replace(step, fixed=own[step.id]) if step.id in own else step for step in steps)


def page_id(step_id: str) -> str:
    """The id on the page of the note that a step belongs to."""
    return step_id.partition(_MORE)[0]


def _told_apart(steps: Sequence[Step]) -> list[Step]:
    """Steps with ids of their own: those that follow in the place of one note are counted."""
    seen: Counter[str] = Counter()
    found = []
    for step in steps:
        found.append(replace(step, id=f"{step.id}{_MORE}{seen[step.id]}") if seen[step.id] else step)
        seen[step.id] += 1
    return found


def _silence(steps: list[Step], gap_s: float) -> None:
    if steps:
        steps[-1] = replace(steps[-1], gap_s=steps[-1].gap_s + gap_s, joined=False)


def _tied(step: Step, note: Note, quarter_s: float) -> Step:
    length_s = step.length_s + float(note.length_q) * quarter_s
    return replace(step, length_s=length_s, length_q=step.length_q + note.length_q, joined=note.slurred)


def _breathed(step: Step) -> Step:
    taken_s = min(max(BREATH_S - step.gap_s, 0.0), step.length_s / 2)
    return replace(step, length_s=step.length_s - taken_s, gap_s=step.gap_s + taken_s, joined=False)


def _grace(grace: Grace) -> Step:
    quarters = Fraction(1, 4)
    return Step(grace.id, grace.pitch.midi, GRACE_S, True, name=grace.pitch.name, length_q=quarters)


def _step(measure: Measure, note: Note, pitch: Pitch, quarter_s: float) -> Step:
    into_q = note.onset_q - measure.onset_q
    beat_q = measure.metre.beat_q if measure.metre else Fraction(1)
    return Step(
        note.id,
        pitch.midi,
        float(note.length_q) * quarter_s,
        note.slurred or note.tie in ("start", "continue"),
        trill=_upper(measure, note),
        name=pitch.name,
        length_q=note.length_q,
        to_beat_q=-into_q % beat_q,
        beat_q=beat_q,
    )


def _upper(measure: Measure, note: Note) -> int | None:
    """The upper note of a trill: by the accidental over it, else as the measure and the key have it."""
    trills = tuple(one for one in note.ornaments if one.kind in TRILLS)
    upper = neighbour(measure, note, upper=True, ornaments=trills) if trills else None
    return None if upper is None else upper.midi

"""The goal of a drill that leads to a trill: how many notes a beat it has, from its beginning to its close."""

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from coach.music.part import Part
from coach.music.pitch import Pitch
from coach.practice.drills.drill import Drill
from coach.prepare.mark import Shake
from coach.prepare.ornaments.shake import shaken
from coach.screen.view.canvas import Canvas
from coach.screen.view.glyphs import Glyphs
from coach.screen.view.shake_curve import draw_shake

ROWS = 8


@dataclass(frozen=True, slots=True)
class Goal:
    """A trill to be reached: its main note, how it is shaken, the length of a beat in quarters, and the beats from its
    beginning to its end by their onsets (as the shake counts them), with their numbers."""

    main: Pitch
    shake: Shake
    beat_q: Fraction
    beats: tuple[tuple[Fraction, str], ...]


def goal_of(drill: Drill | None) -> Goal | None:
    """The trill that a drill leads to, None for a drill without one."""
    if drill is None or drill.goal is None:
        return None
    note, shake = drill.goal
    measure = next(measure for measure in drill.piece.part.measures if measure.id == note.measure)
    if note.pitch is None or measure.metre is None:
        return None
    end_q = shake.onset_q + shake.length_q
    beats = [one for one in _beats(drill.piece.part, measure.onset_q) if shake.onset_q <= one[0] <= end_q]
    return Goal(note.pitch, shake, measure.metre.beat_q, tuple(beats))


def _beats(part: Part, since_q: Fraction) -> Iterator[tuple[Fraction, str]]:
    """The beats of the measures from a place on, with the end of the last one."""
    for measure in part.measures:
        if measure.onset_q >= since_q and measure.metre is not None:
            for number, at_q in enumerate(measure.metre.beat_onsets_q(), 1):
                yield measure.onset_q + at_q - since_q, str(number)


def goal_rows(height: int) -> int:
    """How many of the rows beside the music the goal takes."""
    return min(ROWS, height // 2)


def draw_goal(goal: Goal, size: tuple[int, int], glyphs: Glyphs) -> Canvas:
    """The goal in `size` (columns, rows): what it is in words, and the curve of its notes a beat."""
    width, height = size
    canvas = Canvas(width, height)
    canvas.put(0, 0, f"{glyphs.goal} notes a beat", "goal")
    curve = draw_shake(goal.shake, shaken(goal.main, goal.shake), goal.beats, goal.beat_q, (width, height - 1), glyphs)
    canvas.paste(curve, 1)
    return canvas

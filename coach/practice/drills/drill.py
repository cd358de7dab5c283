"""A drill: a recipe applied to some notes of a piece."""

from bisect import bisect_right
from dataclasses import dataclass
from fractions import Fraction

from coach.errors import RequestError
from coach.music.part import Part
from coach.music.piece import Piece
from coach.practice.drills.bricks import bars_of
from coach.practice.drills.laying import Step, lay
from coach.practice.drills.recipe import Recipe
from coach.practice.drills.stretch import Stretch, fits, stretch_of


@dataclass(frozen=True, slots=True)
class Drill:
    """A recipe made into a small piece of its own, and what to do in it, step by step. The piece has whole measures in
    the metre, the key, the clef and the transposition of the place, no tempo and no dynamics; its note ids are its
    own."""

    recipe: Recipe
    piece: Piece
    steps: tuple[Step, ...]

    def step_at(self, at_q: Fraction | float) -> Step:
        """What to do at a place, in quarters from the start of the drill."""
        k = bisect_right(self.steps, at_q, key=lambda step: step.onset_q) - 1
        return self.steps[max(k, 0)]


def make(recipe: Recipe, piece: Piece, first_id: str, last_id: str, keys: tuple[str, str] = ("", "")) -> Drill:
    """The drill of the notes from one id to another; `keys` are the two fingerings of a swap ("L", "R" or a choice of
    the chart; "" where they are not known). Raises RequestError for notes that are not there or do not fit."""
    stretch = stretch_for(recipe, piece, first_id, last_id, keys)
    if not fits(recipe, stretch):
        raise RequestError(f"“{recipe.name}” does not fit there; {_WANTED[recipe.works_on]}.")
    laid = lay(bars_of(recipe.bricks, stretch))
    part = piece.part
    small = Part(
        id="P1",
        name=part.name,
        instrument=part.instrument,
        transposition=part.transposition_at(stretch.first.onset_q),
        measures=tuple(laid.measures),
        words=tuple(laid.words),
        midi_program=part.midi_program,
    )
    return Drill(recipe, Piece(spot_name(recipe, stretch), "", small), tuple(laid.steps))


def stretch_for(recipe: Recipe, piece: Piece, first_id: str, last_id: str, keys: tuple[str, str]) -> Stretch:
    """The notes that a recipe works on: held notes and changes with all that is tied to them, a stretch as it is cut
    out. Raises RequestError."""
    return stretch_of(piece, first_id, last_id, keys, held=recipe.works_on != "notes")


def spot_name(recipe: Recipe, stretch: Stretch) -> str:
    """What a drill is called, such as "F4-Ab4 back and forth, measure 12"."""
    names = [measure.number for measure in stretch.measures]
    one = len(names) == 1
    measures = f"measure {names[0]}" if one else f"measures {names[0]}-{names[-1]}"
    return recipe.spot.format(first=stretch.first.pitch.name, last=stretch.last.pitch.name, measures=measures)


_WANTED = {
    "held": "choose a note that lasts a beat or more",
    "change": "choose a note that another one follows at once, in one or two measures",
    "notes": "choose two notes or more in one or two measures",
}

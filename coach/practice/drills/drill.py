"""A drill: a recipe applied to some notes of a piece."""

from bisect import bisect_right
from dataclasses import dataclass, replace
from fractions import Fraction

from coach.errors import RequestError
from coach.music.note import Note
from coach.music.part import Part
from coach.music.piece import Piece
from coach.practice.drills.bricks import bars_of
from coach.practice.drills.decided import NOTHING, Decided
from coach.practice.drills.laying import Step, lay
from coach.practice.drills.lengths import ends_of
from coach.practice.drills.recipe import Recipe
from coach.practice.drills.stretch import Stretch, fits, stretch_of
from coach.practice.spot import NO_KEYS
from coach.prepare.interpretation import Interpretation
from coach.prepare.mark import Shake


@dataclass(frozen=True, slots=True)
class Drill:
    """A recipe made into a small piece of its own, and what to do in it, step by step. The piece has whole measures in
    the metre, the key, the clef and the transposition of the place, no tempo, and the dynamics that the recipe works
    on; its note ids are its own. What sounds of its ornaments is in `interpretation`."""

    recipe: Recipe
    piece: Piece
    steps: tuple[Step, ...]
    interpretation: Interpretation = Interpretation()

    @property
    def goal(self) -> tuple[Note, Shake] | None:
        """The trill that it leads to: its first note and how it is shaken; None for a drill without."""
        if self.recipe.works_on != "trill":
            return None
        for note in self.piece.part.pitched():
            ornament = self.interpretation.ornaments.get(note.id)
            if ornament is not None and ornament.shake is not None:
                return note, ornament.shake
        return None

    def step_at(self, at_q: Fraction | float) -> Step:
        """What to do at a place, in quarters from the start of the drill."""
        k = bisect_right(self.steps, at_q, key=lambda step: step.onset_q) - 1
        return self.steps[max(k, 0)]


def make(
    recipe: Recipe,
    piece: Piece,
    first_id: str,
    last_id: str,
    keys: tuple[str, str] = ("", ""),
    decided: Decided = NOTHING,
    length: int | None = None,
) -> Drill:
    """The drill of the notes from one id to another; `keys` are the two fingerings of a swap ("L", "R" or a choice of
    the chart; "" where they are not known), `decided` is how the piece's ornaments and dynamics are played and where a
    breath is taken; `length` is which of its growing lengths is played, from 1, None for all of them one after another.
    Raises RequestError for notes that are not there or do not fit."""
    stretch = replace(stretch_for(recipe, piece, first_id, last_id, keys, decided), length=length)
    if not fits(recipe, stretch):
        raise RequestError(f"“{recipe.name}” does not fit there; {_wanted(recipe)}.")
    laid = lay(bars_of(recipe.bricks, stretch))
    part = piece.part
    small = Part(
        id="P1",
        name=part.name,
        instrument=part.instrument,
        transposition=part.transposition_at(stretch.first.onset_q),
        measures=tuple(laid.measures),
        dynamics=tuple(laid.dynamics),
        hairpins=tuple(laid.hairpins),
        words=tuple(laid.words),
        midi_program=part.midi_program,
    )
    small_piece = Piece(spot_name(recipe, stretch), "", small)
    played = Interpretation(ornaments=laid.ornaments, breaths=laid.breaths, times=decided.times)
    return Drill(recipe, small_piece, tuple(laid.steps), played)


def stretch_for(
    recipe: Recipe, piece: Piece, first_id: str, last_id: str, keys: tuple[str, str], decided: Decided = NOTHING
) -> Stretch:
    """The notes that a recipe works on: held notes and changes with all that is tied to them, a stretch as it is cut
    out. Raises RequestError."""
    held = recipe.works_on not in ("notes", "phrase")
    stretch = stretch_of(
        piece, first_id, last_id, keys, held=held, decided=decided, lead=recipe.leads, landing=recipe.lands
    )
    return replace(stretch, ends=ends_of(piece.part, stretch, recipe.lengths)) if recipe.lengths else stretch


def lengths_of(recipe: Recipe, piece: Piece, first_id: str, last_id: str) -> int:
    """In how many lengths the drill of these notes grows; 1 for one that does not. Raises RequestError."""
    return max(len(stretch_for(recipe, piece, first_id, last_id, NO_KEYS).ends), 1)


def spot_name(recipe: Recipe, stretch: Stretch) -> str:
    """What a drill is called, such as "F4-Ab4 back and forth, measure 12"."""
    names = [measure.number for measure in stretch.own]
    one = len(names) == 1
    measures = f"measure {names[0]}" if one else f"measures {names[0]}-{names[-1]}"
    return recipe.spot.format(first=stretch.first.pitch.name, last=stretch.last.pitch.name, measures=measures)


_WANTED = {
    "held": "choose a note that lasts a beat or more",
    "change": "choose a note that another one follows at once, in one or two measures",
    "notes": "choose two notes or more in one or two measures",
    "trill": "choose a note with a trill, of four measures at most",
    "grace": "choose a note with graces, of four measures at most",
    "phrase": "choose three notes or more, in 16 measures at most",
    "breath": "choose a note that a breath follows, and the next one",
    "tone": "choose one note, of four measures at most",
}


def _wanted(recipe: Recipe) -> str:
    """What to choose for a recipe."""
    size = recipe.least_semitones
    far = f", and that lies {abs(size)} semitones {'higher' if size > 0 else 'lower'} or more" if size else ""
    return f"{_WANTED[recipe.works_on]}{far}"

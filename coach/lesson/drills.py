"""Drills: a recipe for a few notes of a piece, kept as a spot of its own with its ladder and its reps."""

import hashlib
import uuid
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from coach.errors import RequestError, StoreError
from coach.lesson.breathing import breath_places
from coach.lesson.desk import Desk
from coach.lesson.drilling import span_of, spots
from coach.lesson.engraving import Copy
from coach.lesson.playing import stretch_tempo
from coach.music.piece import Piece, Span
from coach.music.tempo import Tempo
from coach.practice.drills.decided import NOTHING, Decided
from coach.practice.drills.drill import Drill, make, spot_name, stretch_for
from coach.practice.drills.lengths import breath_phrase
from coach.practice.drills.recipe import Recipe
from coach.practice.drills.stretch import Stretch, fits, stretch_of
from coach.practice.set_piece import SetPiece
from coach.practice.spot import NO_KEYS, Spot
from coach.prepare.dynamics.level import levels
from coach.prepare.interpretation import Interpretation
from coach.prepare.mark import Swap
from coach.prepare.ornaments.realisation import Realisation
from coach.prepare.prep import Prep


@dataclass(frozen=True, slots=True)
class Offer:
    """A drill that can be made: the recipe, its notes, the two fingerings of a swap, and what it would be called."""

    recipe: Recipe
    from_note: str
    to_note: str
    keys: tuple[str, str]
    name: str


@dataclass(frozen=True, slots=True)
class Work:
    """What is played of a spot: the piece itself over the spot's measures, or its drill from end to end; `tempo` is the
    performance tempo of that piece's first measure, `interpretation` what sounds of its decisions (None: nothing was
    decided). `drill` is None for a spot as printed."""

    piece: Piece
    span: Span
    tempo: Tempo
    drill: Drill | None = None
    interpretation: Interpretation | None = None


def decided_of(piece: Piece, interpretation: Interpretation, ways: Mapping[str, tuple[Realisation, ...]]) -> Decided:
    """What drills take from the decisions on a piece: its ornaments (the first of the `ways` for one that was struck,
    so that it can be worked on all the same), the level of every note, and its breaths."""
    proposed = {at: found[0].content for at, found in ways.items() if found}
    course = levels(piece.part, interpretation.dynamics, interpretation.phrases)
    loud = {note.id: (course.at(note.onset_q), course.until(note.end_q)) for note in piece.part.pitched()}
    places = breath_places(piece.part)
    breaths = {places[at]: size for at, size in interpretation.breaths.items() if at in places}
    return Decided(proposed | dict(interpretation.ornaments), loud, breaths, interpretation.times)


def recipes() -> tuple[Recipe, ...]:
    """All recipes. Raises RecipeError."""
    from coach.files.drills import own_recipes  # deferred: a spot as printed needs none

    return own_recipes()


def find_recipe(name: str) -> Recipe:
    """A recipe by its id. Raises RequestError naming those there are."""
    for recipe in recipes():
        if recipe.id == name:
            return recipe
    raise RequestError(f"There is no recipe {name!r} for a drill; there are {', '.join(one.id for one in recipes())}.")


def drills_at(
    piece: Piece, prep: Prep, note_id: str, swappable: bool = True, decided: Decided = NOTHING
) -> tuple[Offer, ...]:
    """The drills that fit a note: of the breath after it and the phrase that leads to it, of its trill or its graces,
    of the note held (unless nothing can be exchanged on it and no swap is marked there), of the change to the next one,
    of its measure, of the note at some dynamics, and of the phrase that it is in, where its breaths are known. Raises
    RequestError for a rest or a grace."""
    held = stretch_of(piece, note_id, note_id)
    first, last = held.first.notes[0].id, held.last.notes[-1].id
    keys = _swap_keys(prep, held)
    phrase = breath_phrase(piece.part, decided.breaths, note_id)
    ends = phrase is not None and phrase.at == last
    found: list[Offer] = []
    if phrase is not None and ends:
        if phrase.after:
            found += offers_for(piece, first, phrase.after, ("breath",), decided=decided)
        found += offers_for(piece, phrase.first, phrase.at, ("phrase",), decided=decided)
    found += offers_for(piece, first, last, ("trill", "grace"), decided=decided)
    if swappable or keys != NO_KEYS:
        found += offers_for(piece, first, last, ("held",), keys)
    if held.after is not None:
        found += offers_for(piece, first, held.after.notes[0].id, ("change",), decided=decided)
    measure = piece.note(note_id).measure
    found += drills_in(piece, piece.span(measure, measure))
    found += offers_for(piece, first, last, ("tone",), decided=decided)
    if phrase is not None and not ends:
        found += offers_for(piece, phrase.first, phrase.at, ("phrase",), decided=decided)
    return tuple(found)


def drills_in(piece: Piece, span: Span, decided: Decided = NOTHING) -> tuple[Offer, ...]:
    """The drills that fit a stretch of measures, of two or more on one breath too; none where it holds fewer than two
    notes or is too long."""
    ids = [note.id for measure in piece.measures(span) for note in measure.notes if not note.is_rest]
    kinds = (("notes",), ("phrase",)) if span.first < span.last else (("notes",),)
    if not ids:
        return ()
    return tuple(offer for kind in kinds for offer in offers_for(piece, ids[0], ids[-1], kind, decided=decided))


def add_drill(
    desk: Desk,
    set_piece: SetPiece,
    piece: Piece,
    recipe_id: str,
    from_id: str,
    to_id: str,
    keys: tuple[str, str] = NO_KEYS,
    decided: Decided = NOTHING,
) -> Spot:
    """Keep a drill as a spot; the same drill, if it is on the list, is that spot again. `keys` are the fingerings of a
    swap, from and to. Raises RequestError for a recipe or notes that are not there, or do not fit each other."""
    recipe = find_recipe(recipe_id)
    make(recipe, piece, from_id, to_id, keys, decided)  # refuses what does not fit
    stretch = stretch_for(recipe, piece, from_id, to_id, keys, decided)
    first, last = stretch.first.notes[0].id, stretch.last.notes[-1].id
    wanted = recipe.id, first, last, keys
    for spot in spots(desk, set_piece.id):
        if (spot.drill, spot.from_note, spot.to_note, spot.keys) == wanted:
            return spot
    made = Spot(
        uuid=str(uuid.uuid4()),
        piece=set_piece.id,
        name=spot_name(recipe, stretch),
        from_note=first,
        to_note=last,
        first=stretch.own[0].id,
        last=stretch.own[-1].id,
        created=desk.now(),
        why=recipe.purpose,
        drill=recipe.id,
        keys=keys,
    )
    desk.append(made.to_entry(str(uuid.uuid4()), desk.now(), desk.zone()))
    return desk.record().spots[made.uuid]


def drill_of(piece: Piece, spot: Spot, decided: Decided = NOTHING, length: int | None = None) -> Drill | None:
    """The drill of a spot as a piece of its own, None for a spot as printed; `length` is which of its growing lengths
    it is. Raises RequestError if the score no longer has its notes, or this program not its recipe."""
    if not spot.drill:
        return None
    try:
        return make(find_recipe(spot.drill), piece, spot.from_note, spot.to_note, spot.keys, decided, length)
    except RequestError as error:
        raise RequestError(f"The drill “{spot.name}” cannot be played: {error}") from None


def work_of(
    set_piece: SetPiece,
    piece: Piece,
    spot: Spot,
    decided: Decided = NOTHING,
    interpretation: Interpretation | None = None,
    length: int | None = None,
) -> Work:
    """What is played of a spot, by what was decided on the piece; of a drill that grows the `length` that is played,
    None for all of them. Raises RequestError if the score no longer has it."""
    span, drill = span_of(piece, spot), drill_of(piece, spot, decided, length)
    if drill is None:
        return Work(piece, span, set_piece.tempo, interpretation=interpretation)
    tempo = stretch_tempo(piece, set_piece.tempo, span)
    return Work(drill.piece, drill.piece.whole(), tempo, drill, drill.interpretation)


def drill_copy(desk: Desk, drill: Drill) -> Copy | None:
    """What is engraved of a drill: a score written into the cache; None where nothing can be written."""
    from coach.files.monophonic import piece_xml  # deferred with all that needs XML
    from coach.whole_file import write_whole

    data = piece_xml(drill.piece)
    path = desk.paths.drills / f"{hashlib.sha256(data).hexdigest()[:32]}.musicxml"
    try:
        if not path.exists():
            write_whole(path, data, folders=True)
    except StoreError:
        return None
    return Copy(str(path), None)


def offers_for(
    piece: Piece,
    from_id: str,
    to_id: str,
    kinds: tuple[str, ...],
    keys: tuple[str, str] = NO_KEYS,
    decided: Decided = NOTHING,
) -> Iterator[Offer]:
    """The drills of some kinds of recipe that fit the notes from one id to another. Raises RequestError."""
    for recipe in recipes():
        if recipe.works_on in kinds:
            stretch = stretch_for(recipe, piece, from_id, to_id, keys, decided)
            if fits(recipe, stretch):
                yield Offer(recipe, from_id, to_id, keys, spot_name(recipe, stretch))


def _swap_keys(prep: Prep, held: Stretch) -> tuple[str, str]:
    """The fingerings of the swap that is marked on a held note."""
    ids = {note.id for note in held.first.notes}
    for mark in prep.shown:
        if mark.at in ids and isinstance(mark.content, Swap):
            return mark.content.start, mark.content.end
    return NO_KEYS

"""Spots and reps: mark a stretch, climb its ladder, log every attempt, take back a mistaken key."""

import uuid
from collections.abc import Sequence
from dataclasses import replace

from coach.errors import RequestError, SettingsError
from coach.lesson.desk import Desk
from coach.lesson.playing import stretch_tempo
from coach.music.measure import Measure
from coach.music.piece import Piece, Span
from coach.music.rhythm import beat_unit
from coach.practice.drills.drill import lengths_of
from coach.practice.ladder import (
    MOST_LENGTHS,
    PRESETS,
    Climb,
    Ladder,
    Rule,
    Scale,
    attempts,
    falling_ladder,
    first_ladder,
    preset,
)
from coach.practice.ladder import climb as follow
from coach.practice.record import retraction
from coach.practice.rep import Rep, Slip
from coach.practice.set_piece import SetPiece
from coach.practice.spot import Spot

SLOWEST, FASTEST = 4.0, 600.0  # beats per minute that a rep can claim


def spots(desk: Desk, piece_id: str) -> tuple[Spot, ...]:
    """The spots of a piece, in the order in which they were made."""
    return desk.record().spots_of(piece_id)


def find_spot(desk: Desk, set_piece: SetPiece, text: str) -> Spot:
    """A spot by name or a part of it, number in the list (from 1) or the start of its uuid. Raises RequestError."""
    known = spots(desk, set_piece.id)
    wanted = text.casefold()
    for match in (
        [spot for spot in known if spot.name.casefold() == wanted],
        [known[int(text) - 1]] if text.isdigit() and 0 < int(text) <= len(known) else [],
        [spot for spot in known if len(text) >= 4 and spot.uuid.startswith(wanted)],
        [spot for spot in known if len(text) >= 3 and wanted in spot.name.casefold()],
    ):
        if len(match) == 1:
            return match[0]
    listed = ", ".join(f"{k} {spot.name}" for k, spot in enumerate(known, 1)) or "none yet"
    raise RequestError(f"{set_piece.title} has no spot {text!r}; its spots are: {listed}.")


def mark_spot(
    desk: Desk, set_piece: SetPiece, piece: Piece, first: str, last: str, name: str = "", why: str = ""
) -> Spot:
    """Make a spot of a range of measures. Raises RequestError for a range that is not there or holds no note."""
    span = piece.span(first, last)
    made = Spot(str(uuid.uuid4()), set_piece.id, name.strip(), "", "", "", "", desk.now(), why)
    return _keep(desk, _place(made, piece.measures(span)))


def rename_spot(desk: Desk, spot: Spot, name: str) -> Spot:
    """Give a spot another name; it stays the same spot."""
    if not name.strip():
        raise RequestError("A spot needs a name; write one or keep the old one.")
    return _keep(desk, replace(spot, name=name.strip()))


def widen_spot(desk: Desk, piece: Piece, spot: Spot, first: str, last: str) -> Spot:
    """Give a spot other measures; it stays the same spot, with its ladder and its reps. A drill keeps to its notes:
    RequestError.
    """
    if spot.drill:
        raise RequestError(f"“{spot.name}” is a drill and keeps to its notes; make another drill of the others.")
    named_by_place = spot.name == _default_name(spot.first, spot.last)
    moved = replace(spot, name="") if named_by_place else spot
    return _keep(desk, _place(moved, piece.measures(piece.span(first, last))))


def drop_spot(desk: Desk, spot: Spot) -> None:
    """Take a spot off the list. Its reps stay in the log."""
    _keep(desk, replace(spot, removed=True))


def span_of(piece: Piece, spot: Spot) -> Span:
    """The measures of a spot. Raises RequestError if the score no longer has them."""
    return piece.span(spot.first, spot.last)


def ladder_of(desk: Desk, set_piece: SetPiece, piece: Piece, spot: Spot) -> Ladder:
    """The ladder of a spot, up to the performance tempo that the piece has now, or down from it if slower is harder."""
    tempo = stretch_tempo(piece, set_piece.tempo, span_of(piece, spot))
    target, beat = float(tempo.per_minute), tempo.beat.name
    kept = desk.record().ladders.get(spot.uuid)
    lengths = _falling_lengths(piece, spot)
    if lengths:
        return _falling(kept, target, beat, lengths, _rule_of(desk, spot))
    if kept is None:
        return first_ladder(target, beat, _rule_of(desk, spot))
    if kept.beat == beat and kept.target == target:
        return kept
    fresh = first_ladder(target, beat, kept.rule, kept.scale)
    start = float(kept.start * beat_unit(kept.beat).length_q / beat_unit(beat).length_q)
    return replace(kept, start=start if start <= target else fresh.start, target=target, beat=beat)


def climb(desk: Desk, set_piece: SetPiece, piece: Piece, spot: Spot) -> Climb:
    """Where the reps so far have led on the ladder of a spot."""
    ladder = ladder_of(desk, set_piece, piece, spot)
    return follow(ladder, attempts(ladder, desk.record().reps_of(spot.uuid)))


def choose_ladder(
    desk: Desk,
    set_piece: SetPiece,
    piece: Piece,
    spot: Spot,
    rule_name: str,
    *,
    scale: Scale | None = None,
    start: float | None = None,
) -> Ladder:
    """Set up another ladder for a spot; it starts where the spot stands now, or at `start`. Raises RequestError."""
    old = ladder_of(desk, set_piece, piece, spot)
    here = climb(desk, set_piece, piece, spot).per_minute if start is None else start
    try:
        changed = replace(old, start=here, rule=preset(rule_name), scale=scale or old.scale, since=None)
        whole = old.falls and climb(desk, set_piece, piece, spot).level >= old.lengths - 1
        ladder = replace(changed, lengths=1) if whole else changed
    except ValueError as error:
        raise RequestError(f"This ladder cannot be set up: {error}.") from error
    desk.append(ladder.to_entry(str(uuid.uuid4()), desk.now(), desk.zone(), set_piece.id, spot.uuid))
    return ladder


def log_rep(
    desk: Desk,
    set_piece: SetPiece,
    piece: Piece,
    spot: Spot,
    per_minute: float,
    outcome: str,
    *,
    what: str = "",
    where: str = "",
    complete: bool = True,
) -> Rep:
    """Log one attempt at a spot, at a tempo in the spot's beat unit; it is on the disk when this returns."""
    ladder = ladder_of(desk, set_piece, piece, spot)
    standing = climb(desk, set_piece, piece, spot)
    span = span_of(piece, spot)
    attempt = _attempt(desk, set_piece, piece, span, per_minute, outcome)
    slip = Slip(_where(piece, span, where), what)
    rep = replace(
        attempt,
        kind="rep",
        spot=spot.uuid,
        from_note=spot.from_note or attempt.from_note,
        to_note=spot.to_note or attempt.to_note,
        complete=complete,
        slips=(slip,) if outcome == "slip" and (what or where) else (),
        drill=spot.drill,
        rule=ladder.rule.name,
        rung=standing.per_minute,
        length=_length(ladder, standing),
    )
    return _log(desk, rep)


def name_slip(desk: Desk, rep: Rep, what: str, where: str = "") -> Rep:
    """Say afterwards what slipped in a rep: the rep is taken back and logged again with the reason, at its own time."""
    told = replace(rep, uuid=str(uuid.uuid4()), slips=(Slip(where, what),))
    desk.append(told.to_entry(), retraction(rep, str(uuid.uuid4()), desk.now(), desk.zone()))
    return told


def log_run(
    desk: Desk,
    set_piece: SetPiece,
    piece: Piece,
    per_minute: float,
    outcome: str,
    *,
    slips: Sequence[Slip] = (),
    complete: bool = True,
) -> Rep:
    """Log one run through the cut, at a tempo in the beat unit of its start. The first of the day, with nothing played
    before it, is a cold run."""
    whole = piece.span(set_piece.first, set_piece.last)
    attempt = _attempt(desk, set_piece, piece, whole, per_minute, outcome)
    kind = "run" if _played_today(desk) else "cold"
    named = tuple(Slip(_where(piece, whole, slip.at), slip.what) for slip in slips) if outcome == "slip" else ()
    return _log(desk, replace(attempt, kind=kind, complete=complete, slips=named))


def undo(desk: Desk, piece_id: str) -> Rep | None:
    """Take back the latest rep or run of a piece; returns it, or None if there is none. The log keeps both."""
    reps = desk.record().reps_in(piece_id)
    if not reps:
        return None
    desk.append(retraction(reps[-1], str(uuid.uuid4()), desk.now(), desk.zone()))
    return reps[-1]


def _log(desk: Desk, rep: Rep) -> Rep:
    entry = rep.to_entry()
    try:
        Rep.from_entry(entry)
    except ValueError as error:
        raise RequestError(f"This rep cannot be logged: {error}.") from error
    desk.append(entry)
    return rep


def _attempt(desk: Desk, set_piece: SetPiece, piece: Piece, span: Span, per_minute: float, outcome: str) -> Rep:
    """A run over a stretch, as it would be logged."""
    if not SLOWEST <= per_minute <= FASTEST:
        raise RequestError(f"A tempo of {per_minute:g} cannot be logged; give one from {SLOWEST:g} to {FASTEST:g}.")
    measures = piece.measures(span)
    ids = _note_ids(measures)
    return Rep(
        uuid=str(uuid.uuid4()),
        at=desk.now(),
        zone=desk.zone(),
        piece=set_piece.id,
        score_hash=piece.score_hash,
        spot="",
        from_note=ids[0] if ids else "",
        to_note=ids[-1] if ids else "",
        first=measures[0].id,
        last=measures[-1].id,
        per_minute=float(per_minute),
        beat=stretch_tempo(piece, set_piece.tempo, span).beat.name,
        outcome=outcome,
        kind="run",
    )


def _where(piece: Piece, span: Span, text: str) -> str:
    """The place of a slip as the id of a measure or a note of the stretch ("" stays). Raises RequestError."""
    if not text:
        return ""
    measures = piece.measures(span)
    for measure in measures:
        if text in (measure.id, measure.number):
            return measure.id
        for note in measure.notes:
            if text in (note.id, *(grace.id for grace in (*note.graces, *note.after_graces))):
                return text
    stretch = _default_name(measures[0].id, measures[-1].id)
    raise RequestError(f"{text!r} is no measure or note of {stretch}; name where it slipped there.")


def growing_length(ladder: Ladder, standing: Climb) -> int | None:
    """Which of the growing lengths of a drill is to be played, from 1, a number beyond them for all of it; None for a
    ladder that does not fall."""
    if not ladder.falls:
        return None
    number = ladder.length_at(standing.level)
    return number if number < ladder.lengths else MOST_LENGTHS


def _length(ladder: Ladder, standing: Climb) -> tuple[int, int] | None:
    """Which of how many growing lengths the ladder stands at, None for all that there is."""
    number = ladder.length_at(standing.level)
    return (number, ladder.lengths) if number < ladder.lengths else None


def _falling_lengths(piece: Piece, spot: Spot) -> int:
    """In how many lengths a drill grows where slower is harder; 0 for all other spots."""
    from coach.files.drills import own_recipes  # deferred: a spot as printed needs none

    if not spot.drill:
        return 0
    recipe = next((one for one in own_recipes() if one.id == spot.drill), None)
    if recipe is None or not recipe.falls:
        return 0
    try:
        return lengths_of(recipe, piece, spot.from_note, spot.to_note)
    except RequestError:  # the score has lost its notes, as is told where it is played
        return 1


def _falling(kept: Ladder | None, performance: float, beat: str, lengths: int, rule: Rule) -> Ladder:
    """A ladder down from the performance tempo that the piece has now; one set up before keeps its start if it can."""
    fresh = falling_ladder(performance, beat, lengths, rule)
    if kept is None or not kept.falls:
        return fresh
    start = float(kept.start * beat_unit(kept.beat).length_q / beat_unit(beat).length_q)
    fresh = replace(fresh, rule=kept.rule, scale=kept.scale, since=kept.since, lengths=min(kept.lengths, fresh.lengths))
    return replace(fresh, start=start) if start >= fresh.target else fresh


def _rule_of(desk: Desk, spot: Spot) -> Rule:
    """The rule of a spot whose ladder nobody chose: the one it was begun with. The settings' is for new spots alone."""
    begun = {rule.name: rule for rule in PRESETS}
    named = (begun[rep.rule] for rep in desk.record().reps_of(spot.uuid) if rep.rule in begun)
    return next(named, None) or _rule(desk)


def _rule(desk: Desk) -> Rule:
    try:
        return preset(desk.settings.ladder)
    except ValueError as error:
        raise SettingsError(f"{desk.paths.settings}: ladder: {error}.") from error


def _played_today(desk: Desk) -> bool:
    today = desk.local().date()
    zone = desk.local().tzinfo
    return any(rep.at.astimezone(zone).date() == today for rep in desk.record().reps)


def _keep(desk: Desk, spot: Spot) -> Spot:
    desk.append(spot.to_entry(str(uuid.uuid4()), desk.now(), desk.zone()))
    return desk.record().spots[spot.uuid]


def _place(spot: Spot, measures: Sequence[Measure]) -> Spot:
    """The spot on these measures, named after them if it has no name. Raises RequestError if they hold no note."""
    ids = _note_ids(measures)
    first, last = measures[0].id, measures[-1].id
    if not ids:
        raise RequestError(f"{_default_name(first, last).capitalize()} holds only rests; choose measures with notes.")
    name = spot.name or _default_name(first, last)
    return replace(spot, name=name, from_note=ids[0], to_note=ids[-1], first=first, last=last)


def _note_ids(measures: Sequence[Measure]) -> list[str]:
    return [note.id for measure in measures for note in measure.notes if not note.is_rest]


def _default_name(first: str, last: str) -> str:
    return f"measure {first}" if first == last else f"measures {first}-{last}"

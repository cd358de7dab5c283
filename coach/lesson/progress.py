"""What holds and what needs work, from everything that was logged."""

from collections.abc import Iterable
from dataclasses import replace

from coach.errors import RequestError
from coach.lesson.desk import Desk
from coach.lesson.playing import stretch_tempo
from coach.lesson.stand import cut
from coach.music.piece import Piece, Span
from coach.music.tempo import Tempo
from coach.practice.rep import Rep
from coach.practice.set_piece import SetPiece
from coach.practice.standing import MeasureStanding, Standing, standing


def progress(desk: Desk, set_piece: SetPiece, piece: Piece) -> Standing:
    """The standing of a piece over its cut; each measure's tempi are in the beat unit printed there."""
    span = cut(set_piece, piece)
    ids = [measure.id for measure in piece.part.measures]
    asked = (ids[span.first], ids[span.last])
    reps = in_first_beats(desk.record().reps_in(set_piece.id), set_piece.tempo, piece)
    found = standing(reps, ids, set_piece.tempo, desk.local(), asked)
    measures = tuple(
        _in_local_beats(one, set_piece.tempo, stretch_tempo(piece, set_piece.tempo, Span(k, k)))
        for k, one in enumerate(found.measures, span.first)
    )
    return replace(found, measures=measures)


def in_first_beats(reps: Iterable[Rep], performance: Tempo, piece: Piece) -> tuple[Rep, ...]:
    """The reps with their tempi carried over to the piece's first tempo, keeping their share of the performance tempo
    where they were played. A rep on measures that the score no longer has stays as it is."""
    return tuple(_in_first_beats(rep, performance, piece) for rep in reps)


def _in_first_beats(rep: Rep, performance: Tempo, piece: Piece) -> Rep:
    try:
        here = stretch_tempo(piece, performance, piece.span(rep.first, rep.last))
    except RequestError:
        return rep
    share = rep.per_minute_in(here.beat.name) / float(here.per_minute)
    return replace(rep, per_minute=share * float(performance.per_minute), beat=performance.beat.name)


def _in_local_beats(one: MeasureStanding, performance: Tempo, here: Tempo) -> MeasureStanding:
    ratio = float(here.per_minute / performance.per_minute)
    scaled = (None if value is None else value * ratio for value in (one.hold_tempo, one.low, one.high))
    hold, low, high = scaled
    return replace(one, hold_tempo=hold, low=low, high=high)

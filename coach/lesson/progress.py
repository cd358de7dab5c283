"""What holds and what needs work, from everything that was logged."""

from coach.lesson.desk import Desk
from coach.lesson.playing import stretch_tempo
from coach.lesson.stand import cut
from coach.lesson.today import spots_by_need
from coach.music.piece import Piece, Span
from coach.practice.set_piece import SetPiece
from coach.practice.standing import Standing, standing
from coach.practice.today import because


def progress(desk: Desk, set_piece: SetPiece, piece: Piece) -> Standing:
    """The standing of a piece over its cut; each measure's tempi are in the beat unit printed there."""
    span = cut(set_piece, piece)
    ids = [measure.id for measure in piece.part.measures]
    return standing(
        desk.record().reps_in(set_piece.id),
        ids,
        set_piece.tempo,
        desk.local(),
        (ids[span.first], ids[span.last]),
        {measure: stretch_tempo(piece, set_piece.tempo, Span(k, k)) for k, measure in enumerate(ids)},
    )


def spot_words(desk: Desk, set_piece: SetPiece) -> tuple[tuple[str, str], ...]:
    """The spots of a piece that were tried, the neediest first: name, and what the log says of it."""
    tried = (need for need in spots_by_need(desk) if need.spot.piece == set_piece.id and need.share.attempts)
    return tuple((need.spot.name, because(need, desk.local())) for need in tried)

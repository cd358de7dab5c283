"""From options to what is played: the SOURCE, the range and the tempo."""

import argparse
from dataclasses import dataclass, replace

from coach.cli.marks import tell_faults
from coach.errors import RequestError
from coach.lesson.desk import Desk
from coach.lesson.marking import Marks, marks_of
from coach.lesson.part import carried_marks
from coach.lesson.playing import Take, stretch_tempo
from coach.lesson.preparing import interpretation_of
from coach.lesson.stand import cut, parse_tempo, performance_tempo, resolve
from coach.music.piece import Piece, Span, parse_measures
from coach.music.tempo import Tempo
from coach.practice.set_piece import SetPiece
from coach.prepare.interpretation import Interpretation


@dataclass(frozen=True, slots=True)
class Chosen:
    """What the options name: the page, the performance tempo, the stretch, and the piece of the stand if it is one."""

    piece: Piece
    tempo: Tempo
    span: Span
    part: str
    set_piece: SetPiece | None = None


def choose(desk: Desk, options: argparse.Namespace) -> Chosen:
    """Find the source and the stretch. Raises ScoreError, RequestError."""
    known, piece = resolve(desk, options.source, options.part)
    tempo = known.tempo if known else performance_tempo(piece)
    if options.measures:
        span = piece.span(*parse_measures(options.measures))
    else:
        span = cut(known, piece) if known else piece.whole()
    return Chosen(piece, tempo, span, options.part or "", known)


def interpretation_for(
    desk: Desk, chosen: Chosen, options: argparse.Namespace, *, share: float = 1.0
) -> Interpretation:
    """What is played beside the page at a share of the performance tempo: by the marks of the piece on the stand, by
    those that a marked part carries, and by what would be suggested where nobody has decided; what is wrong with the
    marks is told on standard error. Raises StoreError for marks that cannot be read."""
    known, piece = chosen.set_piece, chosen.piece
    marks = marks_of(desk, known, piece) if known else Marks(carried_marks(options.source, piece))
    tell_faults(marks.faults)
    prep = marks.prep
    style = options.style or ""
    return interpretation_of(desk, piece, prep, tempo=chosen.tempo, set_piece=known, style=style, share=share)


def take_of(desk: Desk, options: argparse.Namespace) -> Take:
    """The take that the options describe."""
    chosen = choose(desk, options)
    here = stretch_tempo(chosen.piece, chosen.tempo, chosen.span)
    per_minute = float(here.per_minute)
    if options.percent:
        per_minute *= options.percent / 100
    if options.tempo:
        per_minute = float(parse_tempo(options.tempo, here).counted_in(here.beat).per_minute)
    if options.repeats and options.measures:
        raise RequestError("Repeats can be followed in a whole run only; leave out --measures or --repeats.")
    take = Take(
        piece=chosen.piece,
        span=chosen.span,
        tempo=chosen.tempo,
        per_minute=per_minute,
        click=desk.settings.click,
        others=options.others,
        repeats=options.repeats,
    )
    take.check()
    if options.plain:
        return take
    return replace(take, interpretation=interpretation_for(desk, chosen, options, share=take.rate))

"""coach rep: log a rep or a run without the screens."""

import argparse
from typing import TYPE_CHECKING

from coach.cli.document import json_option, print_json

if TYPE_CHECKING:
    from coach.lesson.desk import Desk
    from coach.music.piece import Piece
    from coach.practice.set_piece import SetPiece
    from coach.practice.spot import Spot

RUN = "run"


def declare(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Declare the command."""
    parser = commands.add_parser("rep", help="log a rep without the screens")
    parser.add_argument("source", metavar="PIECE", help="the id or title of a piece on the stand")
    spots = f"a spot by name or number, measures A-B (a new spot if need be), or {RUN!r}"
    parser.add_argument("spot", metavar="SPOT", help=spots)
    parser.add_argument("--tempo", required=True, help="what it was played at: 54 of the printed beat, or eighth=54")
    parser.add_argument("outcome", choices=("clean", "slip"))
    parser.add_argument("--what", default="", help="notes, rhythm, fingers, tone, breath, tuning or dynamics")
    parser.add_argument("--where", default="", metavar="MEASURE", help="the measure or note where it slipped")
    parser.add_argument("--broken-off", action="store_true", help="it was not played to the end")
    json_option(parser)
    parser.set_defaults(run=_run)


def _run(options: argparse.Namespace) -> int:
    from coach.errors import RequestError
    from coach.lesson.desk import Desk
    from coach.lesson.drilling import climb, log_rep, log_run, span_of
    from coach.lesson.playing import stretch_tempo
    from coach.lesson.stand import cut, find, open_piece, parse_tempo
    from coach.practice.rep import Slip

    if options.outcome == "clean" and (options.what or options.where):
        raise RequestError("What slipped is told of a slip; leave out --what and --where, or log a slip.")
    desk = Desk.open()
    set_piece = find(desk, options.source)
    piece = open_piece(desk, set_piece)
    spot = None if options.spot == RUN else _spot(desk, set_piece, piece, options.spot)
    here = stretch_tempo(piece, set_piece.tempo, span_of(piece, spot) if spot else cut(set_piece, piece))
    per_minute = float(parse_tempo(options.tempo, here).counted_in(here.beat).per_minute)
    complete = not options.broken_off
    if spot is None:
        slips = (Slip(options.where, options.what),) if options.what or options.where else ()
        rep = log_run(desk, set_piece, piece, per_minute, options.outcome, slips=slips, complete=complete)
        next_tempo = None
    else:
        rep = log_rep(
            desk, set_piece, piece, spot, per_minute, options.outcome,
            what=options.what, where=options.where, complete=complete,
        )  # fmt: skip
        next_tempo = climb(desk, set_piece, piece, spot).per_minute
    if options.json:
        print_json("coach.rep/1", {"rep": {"uuid": rep.uuid, **rep.to_entry().body}, "next_tempo": next_tempo})
        return 0
    what = spot.name if spot else f"measures {rep.first}-{rep.last}"
    print(f"Logged: {what}, {rep.outcome} at {rep.beat} = {rep.per_minute:g}.")
    if next_tempo is not None:
        print(f"Next: {rep.beat} = {next_tempo:g}.")
    return 0


def _spot(desk: "Desk", set_piece: "SetPiece", piece: "Piece", text: str) -> "Spot":
    """The spot of that name, else one on these measures, made if there is none yet."""
    from coach.errors import RequestError
    from coach.lesson.drilling import find_spot, mark_spot, spots
    from coach.music.piece import parse_measures

    try:
        return find_spot(desk, set_piece, text)
    except RequestError:
        first, last = parse_measures(text)
        if "-" not in text or not _there(piece, first):
            raise
    span = piece.span(first, last)
    ends = piece.part.measures[span.first].id, piece.part.measures[span.last].id
    known = next(
        (spot for spot in spots(desk, set_piece.id) if (spot.first, spot.last) == ends and not spot.drill), None
    )
    return known or mark_spot(desk, set_piece, piece, *ends)


def _there(piece: "Piece", name: str) -> bool:
    return any(name in (measure.id, measure.number) for measure in piece.part.measures)

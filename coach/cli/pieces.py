"""coach pieces: what is on the stand."""

import argparse
from typing import TYPE_CHECKING, Any

from coach.cli.document import json_option, print_json, tempo

if TYPE_CHECKING:
    from coach.practice.set_piece import SetPiece


def declare(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Declare the command."""
    parser = commands.add_parser("pieces", help="list what is on the stand, or take a piece off it")
    parser.add_argument("--remove", metavar="PIECE", help="take this piece off the stand; its reps stay in the log")
    json_option(parser)
    parser.set_defaults(run=_run)


def _run(options: argparse.Namespace) -> int:
    from coach.lesson.desk import Desk
    from coach.lesson.stand import find, pieces, remove

    desk = Desk.open()
    if options.remove:
        remove(desk, find(desk, options.remove))
    on_stand = pieces(desk)
    if options.json:
        print_json("coach.pieces/1", {"pieces": [as_document(piece) for piece in on_stand]})
    elif on_stand:
        print("\n".join(as_line(piece) for piece in on_stand))
    else:
        print("The stand is empty; `coach demo` puts the demo piece on it, `coach add FILE` one of yours.")
    return 0


def as_line(piece: "SetPiece") -> str:
    """A piece in one line."""
    by = f", ready by {piece.by.isoformat()}" if piece.by else ""
    part = piece.part or piece.instrument
    return f"{piece.id}  {piece.title} ({part}), measures {piece.first}-{piece.last}, {piece.tempo.name}{by}"


def as_document(piece: "SetPiece") -> dict[str, Any]:
    """A piece as a document gives it."""
    return {
        "id": piece.id,
        "title": piece.title,
        "composer": piece.composer,
        "part": piece.part,
        "instrument": piece.instrument,
        "tempo": tempo(piece.tempo),
        "measures": [piece.first, piece.last],
        "by": piece.by.isoformat() if piece.by else None,
        "score_hash": piece.score_hash,
    }

"""The demo piece: an ordinary piece on the stand, with spots to begin with."""

import hashlib
import tomllib
from datetime import timedelta
from importlib.resources import as_file
from typing import Any

from coach.lesson.desk import Desk
from coach.lesson.drilling import mark_spot
from coach.lesson.stand import add, open_piece, pieces
from coach.paths import content
from coach.practice.set_piece import SetPiece


def put_demo(desk: Desk) -> SetPiece:
    """Put the demo piece on the stand with its suggested spots; as it was left if it is there already."""
    card: dict[str, Any] = tomllib.loads(content("pieces", "demo.toml").read_text("utf-8"))
    score = content("pieces", "demo.musicxml")
    digest = hashlib.sha256(score.read_bytes()).hexdigest()
    known = next((piece for piece in pieces(desk) if piece.score_hash == digest), None)
    if known is not None:
        return known
    with as_file(score) as path:
        piece = add(
            desk,
            str(path),
            tempo_text=f"{card['tempo']['beat']}={card['tempo']['per_minute']}",
            id_words="demo",
            by=desk.local().date() + timedelta(days=card["setting"]["days_ahead"]),
        )
    page = open_piece(desk, piece)
    for spot in card["spot"]:
        mark_spot(desk, piece, page, spot["from"], spot["to"], spot["name"], spot["why"])
    return piece

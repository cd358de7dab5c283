"""Readings kept (first form)."""

from pathlib import Path
from coach.music.piece import Piece


def kept_reading(cache: Path, digest: str, part: str | None) -> Piece | None:
    return None


def keep_reading(cache: Path, digest: str, part: str | None, piece: Piece) -> None:
    return None

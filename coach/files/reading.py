"""Readings of scores, kept in our own form so that reopening is instant. The folder may be deleted at any time.

A file holds one line with the SHA-256 of the rest, then the packed piece as JSON. It is named by the content of the
score, the part asked for, the reader's version and the schema of the page: a reading by another reader is never found.
Whatever is wrong with a file, the score is simply read again.
"""

import hashlib
import json
from contextlib import suppress
from pathlib import Path

from coach.errors import StoreError
from coach.files.codec import SCHEMA, Damaged, pack, unpack
from coach.music.piece import Piece
from coach.whole_file import write_whole

READER_VERSION = 7


def kept_reading(cache: Path, digest: str, part: str | None) -> Piece | None:
    """The reading of a score with this SHA-256 and wanted part, or None if there is none that can be trusted."""
    try:
        data = _file(cache, digest, part).read_bytes()
        seal, _, body = data.partition(b"\n")
        if seal.decode("ascii") != hashlib.sha256(body).hexdigest():
            return None
        piece = unpack(json.loads(body))
    except (OSError, ValueError, RecursionError, Damaged):
        return None
    return piece if isinstance(piece, Piece) else None


def keep_reading(cache: Path, digest: str, part: str | None, piece: Piece) -> None:
    """Keep a reading, whole or not at all; where nothing can be written, nothing is kept."""
    body = json.dumps(pack(piece), ensure_ascii=False, separators=(",", ":")).encode()
    with suppress(StoreError):
        write_whole(_file(cache, digest, part), hashlib.sha256(body).hexdigest().encode() + b"\n" + body, folders=True)


def _file(cache: Path, digest: str, part: str | None) -> Path:
    wanted = "" if part is None else f"part {part}"
    key = "\n".join((digest, wanted, str(READER_VERSION), SCHEMA))
    return cache / f"{hashlib.sha256(key.encode('utf-8', 'surrogatepass')).hexdigest()}.json"

"""The MEI of practised parts, kept so that a piece is engraved at once when it is opened again. The folder may be
deleted at any time.

A file holds one line with the SHA-256 of the rest, then the MEI, deflated. It is named by the content of the score, the
part asked for, and the versions of all that made it. Whatever is wrong with a file, the MEI is simply made again.
"""

import hashlib
import zlib
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from lxml import etree

from coach.errors import StoreError
from coach.files.engraving.engraver import Engraver
from coach.files.engraving.mei import part_mei
from coach.files.engraving.toolkit import version
from coach.files.reading import READER_VERSION, kept_reading
from coach.files.score import score_bytes, written_score
from coach.whole_file import write_whole

MEI_VERSION = 1  # to be raised whenever `part_mei` may make other MEI of the same score than before
_LARGEST = 64 << 20  # bytes of MEI: more is no part that we engraved


@dataclass(frozen=True, slots=True)
class Shelf:
    """Where kept readings of scores and kept MEI lie."""

    readings: Path
    engraving: Path


def engraver_of(source: str | Path, part: str | None, shelf: Shelf | None) -> Engraver:
    """The engraver of a part, from what is kept if that is whole. Raises ScoreError."""
    if shelf is None:
        score = written_score(source, part=part)
        return Engraver(score.piece, part_mei(score))
    digest = hashlib.sha256(score_bytes(source)[0]).hexdigest()
    file = shelf.engraving / _name(digest, part)
    piece, mei = kept_reading(shelf.readings, digest, part), _kept(file)
    if piece is not None and mei is not None:
        return Engraver(piece, mei)
    score = written_score(source, part=part)
    mei = part_mei(score)
    _keep(file, mei)
    return Engraver(score.piece, mei)


def _kept(file: Path) -> etree._Element | None:
    try:
        seal, _, body = file.read_bytes().partition(b"\n")
        if seal.decode("ascii") != hashlib.sha256(body).hexdigest():
            return None
        text = zlib.decompressobj().decompress(body, _LARGEST)
        return etree.fromstring(text, etree.XMLParser(resolve_entities=False, no_network=True, huge_tree=True))
    except (OSError, ValueError, zlib.error, etree.XMLSyntaxError):
        return None


def _keep(file: Path, mei: etree._Element) -> None:
    """Keep MEI, whole or not at all; where nothing can be written, nothing is kept."""
    body = zlib.compress(etree.tostring(mei), 1)
    with suppress(StoreError):
        write_whole(file, hashlib.sha256(body).hexdigest().encode() + b"\n" + body, folders=True)


def _name(digest: str, part: str | None) -> str:
    wanted = "" if part is None else f"part {part}"
    key = "\n".join((digest, wanted, str(READER_VERSION), str(MEI_VERSION), version()))
    return f"{hashlib.sha256(key.encode('utf-8', 'surrogatepass')).hexdigest()}.mei"

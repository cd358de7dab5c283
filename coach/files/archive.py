"""Compressed MusicXML (.mxl): the score out of its archive, with a hand on what it may expand to."""

import struct
import zipfile
import zlib
from io import BytesIO

from coach.errors import ScoreError

_LARGEST_BYTES = 128 * 1024 * 1024
_HARMLESS_BYTES = 8 * 1024 * 1024  # up to here no ratio is suspicious
_HIGHEST_RATIO = 200
_MOST_ENTRIES = 4096
_CHUNK = 1 << 20
_DAMAGES = (zipfile.BadZipFile, zlib.error, struct.error, EOFError, OSError, ValueError, RuntimeError)
_CONTAINER = "META-INF/container.xml"


def is_archive(data: bytes) -> bool:
    """Whether the bytes begin like a zip archive."""
    return data[:4] in (b"PK\x03\x04", b"PK\x05\x06")


def score_in_archive(data: bytes, name: str) -> bytes:
    """The bytes of the score that the archive's container names. Raises ScoreError."""
    try:
        with zipfile.ZipFile(BytesIO(data)) as archive:
            entries = archive.infolist()
            if len(entries) > _MOST_ENTRIES:
                raise ScoreError(f"{name} holds {len(entries)} entries, which is no score; export it again.")
            for entry in entries:
                _refuse_outside(entry.filename, name)
            return _expand(archive, _root_file(archive, name), name)
    except _DAMAGES as error:
        reason = str(error).split("\n")[0][:80] or type(error).__name__
        raise ScoreError(f"{name} is a damaged archive ({reason}); export the score again.") from None


def _refuse_outside(entry: str, name: str) -> None:
    parts = entry.replace("\\", "/").split("/")
    if entry.startswith(("/", "\\")) or ".." in parts or ":" in parts[0]:
        raise ScoreError(f"{name} names {entry[:60]!r}, a path outside itself, and is refused; export the score again.")


def _root_file(archive: zipfile.ZipFile, name: str) -> str:
    from coach.files.tree import parse_xml  # deferred: reopening needs no XML

    names = archive.namelist()
    if _CONTAINER in names:
        root = parse_xml(_expand(archive, _CONTAINER, name), name)
        for rootfile in root.iter("rootfile", "{*}rootfile"):
            path = rootfile.get("full-path", "")
            _refuse_outside(path, name)
            if path not in names:
                raise ScoreError(f"{name} names {path[:60]!r} as its score and does not hold it; export it again.")
            return path
    scores = [entry for entry in names if entry.endswith((".musicxml", ".xml")) and not entry.startswith("META-INF/")]
    if not scores:
        raise ScoreError(f"{name} is an archive without a score in it; export it again as MusicXML.")
    return scores[0]


def _expand(archive: zipfile.ZipFile, entry: str, name: str) -> bytes:
    packed = max(archive.getinfo(entry).compress_size, 1)
    expanded = bytearray()
    with archive.open(entry) as stream:
        while chunk := stream.read(_CHUNK):
            expanded += chunk
            ratio = len(expanded) / packed
            if len(expanded) > _LARGEST_BYTES or (len(expanded) > _HARMLESS_BYTES and ratio > _HIGHEST_RATIO):
                raise ScoreError(f"{name} expands to more than a score can hold and is refused; export it again.")
    return bytes(expanded)

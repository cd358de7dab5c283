"""The share: a score with its prep in one file, for somebody else. Suffix `.coach`, an ordinary zip archive.

It holds three entries: `share.json` (the cover, SCHEMA), `score` with the suffix of the score's file, and `prep.toml`.
They are stored as they are, in this order, under one date, so that the same share has the same bytes on every system
(what a compressor makes differs between its versions).

A share comes from elsewhere: nothing in it is extracted to a path, only the three names are ever read, and sizes are
counted while an entry is read, whatever its header says of them.
"""

import json
import re
import struct
import zipfile
import zlib
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from io import BytesIO
from typing import TYPE_CHECKING, Any

from coach.errors import StoreError
from coach.files.foreign import FORMATS
from coach.music.rhythm import beat_unit
from coach.music.tempo import Tempo
from coach.music.text import one_line
from coach.practice import body as read

if TYPE_CHECKING:
    from coach.files.prep import Parsed

SCHEMA, VERSION = "coach.share", 1
SUFFIX = ".coach"
_COVER, _SCORE, _PREP = "share.json", "score", "prep.toml"
_SCORE_NAMES = frozenset(_SCORE + suffix for suffix in ("", ".xml", ".musicxml", ".mxl", *FORMATS))
_LARGEST: Mapping[str, int] = {_COVER: 64 << 10, _PREP: 2 << 20, _SCORE: 16 << 20}
_LARGEST_FILE = 24 << 20
_HARMLESS, _HIGHEST_RATIO = 1 << 20, 150  # MusicXML packs 20 to 50 times smaller; up to a megabyte any ratio will do
_LARGEST_DIRECTORY = 4096
_CHUNK = 1 << 16
_LONGEST_TITLE, _LONGEST_ID = 200, 100
_END, _END_64 = b"PK\x05\x06", b"PK\x06\x07"
_AGAIN = "ask for the file again"
_DAMAGES = (zipfile.BadZipFile, zlib.error, struct.error, EOFError, OSError, ValueError, RuntimeError)


@dataclass(frozen=True, slots=True)
class Cover:
    """What a share says of itself. `id` is the piece's id at the sender and stays when the share is made anew; `part`
    is the part as the reader is asked for it, `tempo` the performance tempo, `first` and `last` the measure ids of the
    cut; `written_by` the program with its version."""

    id: str
    title: str
    part: str
    tempo: Tempo
    first: str
    last: str
    written_by: str = ""


@dataclass(frozen=True, slots=True)
class Share:
    """An opened share: its cover, the score's bytes with the suffix of its file, and the prep as it was parsed."""

    cover: Cover
    score: bytes
    suffix: str
    prep: "Parsed"


def is_share(data: bytes) -> bool:
    """Whether the bytes are a share, or were one before they were cut off; its name does not count."""
    if not data.startswith(b"PK\x03\x04"):
        return False
    return data[30 : 30 + len(_COVER)] == _COVER.encode() or _COVER.encode() in data[-_LARGEST_DIRECTORY:]


def pack_share(cover: Cover, score: bytes, suffix: str, prep_text: str) -> bytes:
    """The bytes of a share; the same arguments make the same bytes. Raises StoreError for what is too large for one."""
    plain_suffix = suffix if _is_score(_SCORE + suffix) else ""
    entries = (
        (_COVER, _cover_text(cover, plain_suffix).encode()),
        (_SCORE + plain_suffix, score),
        (_PREP, prep_text.encode()),
    )
    packed = BytesIO()
    with zipfile.ZipFile(packed, "w") as archive:
        for name, data in entries:
            if len(data) > _limit(name):
                raise StoreError(
                    f"{cover.title} cannot be shared: its {_called(name)} is larger than {_limit(name) >> 20} MB; "
                    "save the score as compressed MusicXML and add that."
                )
            archive.writestr(_entry(name), data)
    return packed.getvalue()


def open_share(data: bytes, name: str) -> Share:
    """The share in the bytes of a file, `name` for messages. Raises StoreError, one sentence that names the file, the
    place in it and the remedy."""
    texts = _entries(data, name)
    body = _json(texts[_COVER], f"{name}, {_COVER}")
    score_name = _score_name(texts)
    try:
        cover = _cover(body)
        if read.text(body, "score") != score_name:
            raise ValueError(f"it names another score than {score_name}")
    except (ValueError, OverflowError, RecursionError) as error:
        raise StoreError(f"{name}, {_COVER}: {one_line(str(error), 200)}; {_AGAIN}.") from None
    try:
        prep = texts[_PREP].decode("utf-8-sig")
    except UnicodeDecodeError:
        raise StoreError(f"{name}, {_PREP}: this is no UTF-8 text; {_AGAIN}.") from None
    from coach.files.prep import parse_prep  # deferred: asking whether a file is a share needs none

    return Share(cover, texts[score_name], score_name.removeprefix(_SCORE), parse_prep(prep, f"{name}, {_PREP}"))


def _cover_text(cover: Cover, suffix: str) -> str:
    body = {
        "schema": f"{SCHEMA}/{VERSION}",
        "share": cover.id,
        "title": one_line(cover.title, _LONGEST_TITLE),
        "part": cover.part,
        "tempo": {"per_minute": float(cover.tempo.per_minute), "beat": cover.tempo.beat.name},
        "measures": [cover.first, cover.last],
        "score": _SCORE + suffix,
        "written_by": cover.written_by,
    }
    return json.dumps(body, ensure_ascii=False, indent=1) + "\n"


def _entry(name: str) -> zipfile.ZipInfo:
    entry = zipfile.ZipInfo(name, (1980, 1, 1, 0, 0, 0))  # the first date that a zip archive knows
    entry.create_system = 3
    entry.external_attr = 0o100644 << 16
    return entry


def _cover(body: Mapping[str, Any]) -> Cover:
    first, last = (one_line(name, _LONGEST_ID) for name in read.pair(body, "measures"))
    tempo = read.table(body, "tempo")
    per_minute = Fraction(read.per_minute(tempo, "per_minute")).limit_denominator(1000)
    cover = Cover(
        id=one_line(read.filled(body, "share"), _LONGEST_ID),
        title=one_line(read.filled(body, "title"), _LONGEST_TITLE),
        part=one_line(read.text(body, "part", ""), _LONGEST_TITLE),
        tempo=Tempo(per_minute, beat_unit(read.beat(tempo))),
        first=first,
        last=last,
        written_by=one_line(read.text(body, "written_by", ""), _LONGEST_ID),
    )
    for field in ("id", "title", "first", "last"):
        if not getattr(cover, field):
            raise ValueError(f"{field} holds nothing that can be read")
    return cover


def _json(data: bytes, place: str) -> Mapping[str, Any]:
    try:
        body = json.loads(data.decode("utf-8-sig"))
        if not isinstance(body, dict):
            raise ValueError("no table")
    except (ValueError, RecursionError):
        raise StoreError(f"{place}: this is no cover of a share; {_AGAIN}.") from None
    schema, _, version = str(body.get("schema", "")).partition("/")
    if schema != SCHEMA or not re.fullmatch("[1-9][0-9]{0,8}", version):
        raise StoreError(f"{place}: it does not say that it is a share of coach; {_AGAIN}.")
    if int(version) > VERSION:
        raise StoreError(
            f"{place}: it was written by a newer coach (version {version}, this one reads {VERSION}); update coach."
        )
    return body


def _entries(data: bytes, name: str) -> dict[str, bytes]:
    """The three entries by their names."""
    if len(data) > _LARGEST_FILE:
        raise StoreError(f"{name} is larger than {_LARGEST_FILE >> 20} MB, which is no share; {_AGAIN}.")
    if not data.startswith(b"PK"):
        raise StoreError(f"{name} is no share of coach (it is no zip archive); {_AGAIN}.")
    _refuse_crowded(data, name)
    whole = BytesIO(data)
    try:
        with zipfile.ZipFile(whole) as archive:
            infos = archive.infolist()
            for info in infos:
                _refuse_strange(info, name)
            names = [info.filename for info in infos]
            if len(set(names)) < len(names) or sum(map(_is_score, names)) > 1:
                raise StoreError(f"{name} holds an entry twice and is refused; {_AGAIN}.")
            if len(names) < 3:
                raise StoreError(f"{name} is no whole share (it needs {_COVER}, a {_SCORE} and {_PREP}); {_AGAIN}.")
            return {info.filename: _expanded(archive, whole, info, name) for info in infos}
    except _DAMAGES as error:
        reason = one_line(str(error), 80) or type(error).__name__
        raise StoreError(f"{name} is a damaged share ({reason}); {_AGAIN}.") from None


def _refuse_crowded(data: bytes, name: str) -> None:
    """Refuse a list of entries far longer than three before it is read."""
    end = data.rfind(_END, max(0, len(data) - (22 + 0xFFFF)))
    if end < 0 or len(data) < end + 22:
        raise StoreError(f"{name} breaks off or is damaged (the list at its end is missing); {_AGAIN}.")
    listed = int.from_bytes(data[end + 12 : end + 16], "little")
    if listed > _LARGEST_DIRECTORY or data[max(0, end - 20) : end].startswith(_END_64):
        raise StoreError(f"{name} holds more entries than a share has and is refused; {_AGAIN}.")


def _refuse_strange(info: zipfile.ZipInfo, name: str) -> None:
    if info.orig_filename not in (_COVER, _PREP) and not _is_score(info.orig_filename):
        raise StoreError(
            f"{name} holds {ascii(info.orig_filename[:60])}, which no share does, and is refused; {_AGAIN}."
        )
    if info.flag_bits & 0x41:  # PKWARE's application note 4.4.4: encrypted, or strongly encrypted
        raise StoreError(f"{name}, {info.filename}: it is encrypted; ask for the file without a password.")
    if info.compress_type not in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED):
        raise StoreError(f"{name}, {info.filename}: it is packed in an unusual way and refused; {_AGAIN}.")


def _expanded(archive: zipfile.ZipFile, whole: BytesIO, info: zipfile.ZipInfo, name: str) -> bytes:
    """An entry, read in chunks and refused as soon as it has grown too large, or grows too fast for what was read."""
    expanded = bytearray()
    with archive.open(info) as stream:
        while chunk := stream.read(_CHUNK):
            expanded += chunk
            packed = max(whole.tell() - info.header_offset, 1)
            too_fast = len(expanded) > _HARMLESS and len(expanded) > _HIGHEST_RATIO * packed
            if too_fast or len(expanded) > _limit(info.filename):
                raise StoreError(f"{name}, {info.filename}: it expands to more than it may and is refused; {_AGAIN}.")
    return bytes(expanded)


def _is_score(entry: str) -> bool:
    return entry in _SCORE_NAMES


def _score_name(entries: Mapping[str, bytes]) -> str:
    return next(entry for entry in entries if _is_score(entry))


def _limit(entry: str) -> int:
    return _LARGEST[_SCORE if _is_score(entry) else entry]


def _called(entry: str) -> str:
    return "score" if _is_score(entry) else "prep"

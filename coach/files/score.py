"""Reading a score into a piece: what a source is, which reader takes it, and the readings that are kept."""

import hashlib
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from coach.errors import RequestError, ScoreError
from coach.files.choice import is_clarinet
from coach.files.reading import keep_reading, kept_reading
from coach.files.source import locate, read_bytes
from coach.music.piece import Notice, Piece
from coach.music.text import one_line

if TYPE_CHECKING:
    from lxml import etree

    from coach.files.musicxml.written import Written


def read_score(source: str | Path, *, part: str | None = None, cache: Path | None = None) -> Piece:
    """The piece in a file or in `corpus:<path>`, with the part of that name or number (from 1) chosen; without one the
    clarinet, else the first part with notes. `cache` is a folder for readings. Raises ScoreError, one sentence."""
    path = locate(source)
    data = read_bytes(path)
    digest = hashlib.sha256(data).hexdigest()
    piece = kept_reading(cache, digest, part) if cache is not None else None
    if piece is None:
        piece = replace(_read(data, path, part), score_hash=digest)
        if cache is not None:
            keep_reading(cache, digest, part, piece)
    return piece if piece.title else replace(piece, title=one_line(path.stem))


def score_bytes(source: str | Path) -> tuple[bytes, str]:
    """The bytes of a score and the suffix of its file, such as ".mxl". Raises ScoreError."""
    path = locate(source)
    return read_bytes(path), path.suffix.lower()


def part_names(source: str | Path) -> tuple[str, ...]:
    """The names of the parts in order; one without a name is "Part 2" or so. Raises ScoreError."""
    return tuple(name for name, _ in parts_on_offer(source))


def parts_on_offer(source: str | Path) -> tuple[tuple[str, bool], ...]:
    """Each part's name, in order, and whether it is a clarinet's. Raises ScoreError."""
    from coach.files.musicxml import reader  # deferred: reopening needs no XML

    path = locate(source)
    root = _page(read_bytes(path), path)[0]
    try:
        headers = [sheet.header for sheet in reader.read_sheets(root)]
    except reader.Unfit as error:
        raise _unfit(path, error) from None
    return tuple((header.name, is_clarinet(header)) for header in headers)


@dataclass(frozen=True, slots=True)
class WrittenScore:
    """A piece with the MusicXML tree it was read from, and where its notes stand in it."""

    piece: Piece
    root: "etree._Element"
    written: "Written"


def written_score(source: str | Path, *, part: str | None = None) -> WrittenScore:
    """A score as `read_score` reads it, with its tree (of other formats, the MusicXML they were translated to). Raises
    ScoreError, one sentence."""
    from coach.files.musicxml.written import Written

    path = locate(source)
    data = read_bytes(path)
    written = Written()
    root, said, marked = _page(data, path)
    piece = replace(_piece(root, said, path, part or marked, written), score_hash=hashlib.sha256(data).hexdigest())
    return WrittenScore(piece if piece.title else replace(piece, title=one_line(path.stem)), root, written)


def _read(data: bytes, path: Path, part: str | None) -> Piece:
    root, said, marked = _page(data, path)
    return _piece(root, said, path, part or marked)


def _piece(
    root: "etree._Element", said: tuple[str, ...], path: Path, part: str | None, written: "Written | None" = None
) -> Piece:
    from coach.files.musicxml import reader  # deferred: reopening needs no XML

    try:
        piece = reader.read_tree(root, part, written)
    except reader.Unfit as error:
        raise _unfit(path, error) from None
    except reader.Malformed as error:
        raise ScoreError(f"{path} is no valid MusicXML at {error}; correct it or export it again.") from None
    except RequestError as error:
        raise ScoreError(f"{path} {error}.") from None
    return replace(piece, notices=(*map(Notice, said), *piece.notices)) if said else piece


def _unfit(path: Path, error: Exception) -> ScoreError:
    return ScoreError(f"{path} cannot be practised: {error}; choose another file.")


def own_tree(source: str | Path) -> "etree._Element | None":
    """The tree of a MusicXML file as it is, the marks of a marked part included; None for a file of another kind.
    Raises ScoreError."""
    from coach.files.foreign import format_of
    from coach.files.share import is_share

    path = locate(source)
    data = read_bytes(path)
    if format_of(data, path) is not None or is_share(data):
        return None
    root: etree._Element = _tree(data, path)[0]
    return root


def _page(data: bytes, path: Path) -> tuple[Any, tuple[str, ...], str | None]:
    """The tree as printed, without the marks of a marked part; what was said; the number of the part that had marks."""
    from coach.files.marked.embedded import marked_part, unmarked  # deferred: reopening needs no XML

    root, said = _tree(data, path)
    marked = marked_part(root)
    return unmarked(root), said, marked


def _tree(data: bytes, path: Path) -> tuple[Any, tuple[str, ...]]:
    """The score as a MusicXML tree, and what was said on the way there."""
    from coach.files.archive import is_archive, score_in_archive  # deferred, all of these: reopening needs none
    from coach.files.foreign import format_of, translate
    from coach.files.share import is_share
    from coach.files.tree import looks_like_xml, parse_xml

    suffix = format_of(data, path)
    if suffix is not None:
        translated = translate(data, path, suffix)
        return parse_xml(translated.data, str(path)), translated.notices
    if is_share(data):
        raise ScoreError(
            f"{path} is a share, not a score alone; put it on the stand with `coach add`, or press o there."
        )
    if is_archive(data):
        data = score_in_archive(data, str(path))
    if not looks_like_xml(data):
        raise ScoreError(f"{path} holds no MusicXML; export the score as MusicXML, MIDI, ABC or Humdrum.")
    return parse_xml(data, str(path)), ()

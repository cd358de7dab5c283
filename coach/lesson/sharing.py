"""A piece with its marks to somebody else in one file, and such a file taken: put on the stand, or merged into a piece
that is there. The receiver's own marks, log, cut, tempo and day stay as they are."""

from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

from coach import __version__
from coach.errors import RequestError, ScoreError, StoreError
from coach.lesson.desk import Desk
from coach.lesson.part import take_carried_marks
from coach.lesson.stand import (
    FASTEST,
    SLOWEST,
    add,
    as_asked,
    change,
    find,
    keep_score,
    new_piece,
    open_piece,
    pieces,
    refuse_passed,
    resolve,
    whole_name,
)
from coach.music.piece import Piece
from coach.practice.set_piece import SetPiece
from coach.whole_file import write_whole

if TYPE_CHECKING:
    from coach.files.share import Cover, Share
    from coach.prepare.mark import Mark
    from coach.prepare.prep import Prep


@dataclass(frozen=True, slots=True)
class Taken:
    """A piece that was put on the stand, and what there is to say of it in one sentence ("" for an ordinary score)."""

    piece: SetPiece
    told: str = ""


@dataclass(frozen=True, slots=True)
class Shared:
    """The bytes of a share, how many marks are in it, and what is wrong with their file, a sentence each."""

    data: bytes
    marks: int
    faults: tuple[str, ...] = ()


def share(desk: Desk, source: str) -> Shared:
    """A piece on the stand, named by id, title or score file, as a share: its score, and the marks that stand. Raises
    RequestError for what is not on the stand, ScoreError, StoreError."""
    from coach.files.prep import prep_text
    from coach.files.score import score_bytes
    from coach.files.share import Cover, pack_share
    from coach.lesson.marking import marks_of
    from coach.prepare.merge import for_sharing

    piece = _on_stand(desk, source)
    page = open_piece(desk, piece)
    marks = marks_of(desk, piece, page)
    prep = for_sharing(marks.prep)
    score, suffix = score_bytes(desk.paths.scores / piece.score)
    written_by = f"coach {__version__}"
    cover = Cover(piece.id, piece.title, piece.part, piece.tempo, piece.first, piece.last, written_by)
    return Shared(pack_share(cover, score, suffix, prep_text(prep, page.part)), len(prep.marks), marks.faults)


def write_share(desk: Desk, source: str, file: str) -> Shared:
    """Write a share, also over an older one, but over no other file; returns what was written. Raises as `share`
    does."""
    shared = share(desk, source)
    path = Path(file).expanduser()
    if path.is_file() and not _holds_older_share(path):
        raise RequestError(f"{path} is there already and is no share; choose another name, such as {path.stem}.coach.")
    write_whole(path, shared.data)
    return shared


def put(
    desk: Desk,
    source: str,
    *,
    part: str | None = None,
    instrument: str | None = None,
    tempo_text: str | None = None,
    measures: str | None = None,
    by: date | None = None,
) -> Taken:
    """Put a score on the stand as `stand.add` does, with the marks that a marked part carries, or take a share. Raises
    what they raise."""
    if not holds_share(source):
        before = {piece.id: piece for piece in pieces(desk)}
        piece = add(desk, source, part=part, instrument=instrument, tempo_text=tempo_text, measures=measures, by=by)
        _keep_places(desk, before.get(piece.id), piece.score_hash)
        return Taken(piece, take_carried_marks(desk, piece))
    if part is not None:
        raise RequestError(f"{source} holds the part that was marked; leave out the part.")
    return take_share(desk, source, instrument=instrument, tempo_text=tempo_text, measures=measures, by=by)


def holds_share(source: str) -> bool:
    """Whether a source is a share, by what is in it, or by its suffix where it is damaged. Raises ScoreError for a file
    that cannot be read."""
    from coach.files.share import SUFFIX, is_share
    from coach.files.source import CORPUS, locate, read_bytes

    if source.startswith(CORPUS):
        return False
    path = locate(source)
    return is_share(read_bytes(path)) or path.suffix.lower() == SUFFIX


def take_share(
    desk: Desk,
    source: str,
    *,
    instrument: str | None = None,
    tempo_text: str | None = None,
    measures: str | None = None,
    by: date | None = None,
) -> Taken:
    """Take a share: a piece of its own with the sender's tempo, cut and marks, or an update of the piece that came from
    the same sender's piece or has the same part of the same score.

    An update brings the sender's marks up to date and a corrected score with them; whatever the player wrote, struck or
    set stays. Nothing is put anywhere unless all of it can be read. Raises StoreError, ScoreError, RequestError.
    """
    from coach.files.share import open_share
    from coach.files.source import locate, read_bytes
    from coach.lesson.marking import open_pencil
    from coach.prepare.merge import merge
    from coach.prepare.news import news

    refuse_passed(desk, by)
    path = locate(source)
    shared = open_share(read_bytes(path), str(path))
    page = _page(desk, shared, path)
    own = next((piece for piece in pieces(desk) if piece.id == shared.cover.id), None)
    if own is not None:
        return Taken(own, f"{path} was shared from this stand; nothing was changed.")
    known = _known(desk, shared.cover, page)
    before = known or _arrived(desk, shared.cover, page, path)
    corrected = replace(before, score_hash=page.score_hash, part=shared.cover.part, shared_from=shared.cover.id)
    wanted = as_asked(corrected, page, instrument, tempo_text, measures, by)
    _keep_places(desk, known, page.score_hash)
    pencil = open_pencil(desk, wanted, page)
    mine, (sent, mistakes) = pencil.prep, _sent(shared, page)
    merged = merge(mine, sent if before.shared_from in ("", shared.cover.id) else _with_others(sent, mine))
    wanted = replace(wanted, score=keep_score(desk, shared.score, shared.suffix))
    pencil.take(merged)
    is_corrected = known is not None and known.score_hash != page.score_hash
    return Taken(change(desk, wanted), _told(news(mine, merged), is_corrected, len(merged.unplaced), mistakes))


def _keep_places(desk: Desk, before: SetPiece | None, score_hash: str) -> None:
    """Before the marks of a piece meet a corrected score: say what they were written over, if the file does not. What
    cannot be read stays as it is, and is told when the marks are read."""
    from coach.lesson.marking import keep_places

    if before is not None and before.score_hash != score_hash:
        with suppress(ScoreError, StoreError):
            keep_places(desk, before, open_piece(desk, before))


def _sent(shared: "Share", page: Piece) -> "tuple[Prep, int]":
    """The sender's prep over the page, and how many mistakes were in it; what runs backwards is left out as one."""
    from coach.prepare.follow import follow
    from coach.prepare.over import place_key

    def runs_on(mark: "Mark") -> bool:
        return not mark.to or place_key(prep.over, mark.at) <= place_key(prep.over, mark.to)

    prep = follow(shared.prep.prep, page.part, page.score_hash)
    marks = tuple(filter(runs_on, prep.marks))
    return replace(prep, marks=marks), len(shared.prep.faults) + len(prep.marks) - len(marks)


def _with_others(sent: "Prep", mine: "Prep") -> "Prep":
    """A sender's prep with the marks that came from another sender before, so that none of those is taken back."""
    ids = {mark.id for mark in (*sent.marks, *sent.unplaced)}

    def others(marks: "tuple[Mark, ...]") -> "tuple[Mark, ...]":
        return tuple(replace(one, state="kept") for one in marks if one.origin == "teacher" and one.id not in ids)

    return replace(
        sent,
        marks=(*sent.marks, *others(mine.marks)),
        unplaced=(*sent.unplaced, *others(mine.unplaced)),
        unplaced_over=(*sent.unplaced_over, *mine.unplaced_over),
    )


def _told(brought: str, corrected: bool, loose: int, mistakes: int) -> str:
    """The sentence on what was taken."""
    said = [brought]
    if corrected:
        said.append("the score was corrected")
    if loose:
        said.append(
            f"{loose} {'has' if loose == 1 else 'have'} no place in this score and stay{'s' * (loose == 1)} apart"
        )
    if mistakes:
        said.append(f"{mistakes} mistake{'' if mistakes == 1 else 's'} in the file, the rest is taken")
    return f"{'; '.join(said)}."


@contextmanager
def _unpacked(shared: "Share", path: Path) -> Iterator[Path]:
    """The score of a share as a file of its own for a moment; what is wrong with it is told of the share."""
    with TemporaryDirectory(prefix="coach-", ignore_cleanup_errors=True) as folder:
        file = Path(folder) / f"score{shared.suffix}"
        try:
            file.write_bytes(shared.score)
            yield file
        except OSError as error:
            raise StoreError(f"{path} cannot be unpacked ({error.strerror}); make room in {folder}.") from None
        except ScoreError as error:
            raise ScoreError(str(error).replace(str(file), f"{path}, {file.name}")) from None


def _page(desk: Desk, shared: "Share", path: Path) -> Piece:
    """The page of a share's score, under the share's title, fit for the share's tempo and cut."""
    from coach.files.score import read_score

    cover = shared.cover
    with _unpacked(shared, path) as file:
        page = replace(read_score(file, part=cover.part or None, cache=desk.paths.readings), title=cover.title)
    try:
        page.span(cover.first, cover.last)
        if not SLOWEST <= cover.tempo.per_minute <= FASTEST:
            raise RequestError(f"a tempo of {float(cover.tempo.per_minute):g} cannot be practised.")
    except RequestError as error:
        raise StoreError(f"{path}, share.json: {str(error).rstrip('.')}; ask for the file again.") from None
    return page


def _known(desk: Desk, cover: "Cover", page: Piece) -> SetPiece | None:
    """The piece on the stand that a share updates."""
    same_share = [piece for piece in pieces(desk) if piece.shared_from == cover.id]
    same_part = [piece for piece in pieces(desk) if (piece.score_hash, piece.part) == (page.score_hash, cover.part)]
    return next(iter((*same_share, *same_part)), None)


def _arrived(desk: Desk, cover: "Cover", page: Piece, path: Path) -> SetPiece:
    """A new piece as its sender has set it."""
    piece = new_piece(desk, page, cover.title)
    return replace(piece, source=whole_name(str(path)), tempo=cover.tempo, first=cover.first, last=cover.last)


def _on_stand(desk: Desk, source: str) -> SetPiece:
    known, page = resolve(desk, source)
    if known is not None:
        return known
    found = [piece for piece in pieces(desk) if piece.score_hash == page.score_hash]
    if len(found) == 1:
        return found[0]
    if found:
        return find(desk, source)
    raise RequestError(f"{source} is not on the stand, so it has no marks; put it there with `coach add {source}`.")


def _holds_older_share(path: Path) -> bool:
    from coach.files.share import is_share

    try:
        with path.open("rb") as file:
            return is_share(file.read(64))
    except OSError:
        return False

"""The marked part: a part with its marks, to hand on or to print."""

import os
from dataclasses import dataclass
from pathlib import Path

from coach.errors import RequestError, StoreError
from coach.lesson.desk import Desk
from coach.lesson.stand import open_piece, performance_tempo, pieces, resolve
from coach.music.piece import Piece
from coach.music.tempo import Tempo
from coach.practice.set_piece import SetPiece
from coach.prepare.follow import follow
from coach.prepare.prep import Prep
from coach.whole_file import write_whole


@dataclass(frozen=True, slots=True)
class PartToWrite:
    """A part with its marks: `source` is the score file (or its copy on the stand), `part` the name or number of the
    part in it (None: the usual choice), `tempo` the performance tempo, `guarded` the files that are never written
    over, `faults` what is wrong with the file of its marks, a sentence each."""

    source: str
    part: str | None
    piece: Piece
    prep: Prep
    tempo: Tempo
    guarded: tuple[Path, ...] = ()
    faults: tuple[str, ...] = ()


def part_to_write(desk: Desk, source: str, part: str | None = None) -> PartToWrite:
    """The part that a SOURCE names. Its marks are those of the piece on the stand; a score that is not there has those
    that it carries as a marked part, else none. Raises ScoreError, RequestError, StoreError."""
    known, piece = resolve(desk, source, part)
    guarded = [Path(source).expanduser()] if known is None and not source.startswith("corpus:") else []
    if known is None:
        known = _on_stand(desk, piece)
    if known is None:
        return PartToWrite(source, part, piece, carried_marks(source, piece), performance_tempo(piece), tuple(guarded))
    from coach.lesson.marking import marks_of

    copy = _copy(desk, known)
    guarded += [copy] if known.source.startswith("corpus:") else [copy, Path(known.source)]
    page = open_piece(desk, known)
    marks = marks_of(desk, known, page)
    return PartToWrite(str(copy), known.part or None, page, marks.prep, known.tempo, tuple(guarded), marks.faults)


def write_musicxml(part: PartToWrite, file: str) -> None:
    """Write the marked part as MusicXML, whole or not at all; compressed where the name ends with .mxl. Raises
    ScoreError, StoreError, and RequestError for a file that is guarded."""
    from coach.files.marked.compressed import compressed
    from coach.files.marked.writing import marked_musicxml

    path = free_path(part, file)
    data = marked_musicxml(part.source, part.prep, part=part.part)
    write_whole(path, compressed(data) if path.suffix.lower() == ".mxl" else data)


def free_path(part: PartToWrite, file: str) -> Path:
    """The path to write to. Raises RequestError if that is the score itself."""
    path = Path(file).expanduser()
    for guarded in part.guarded:
        if path.exists() and guarded.exists() and os.path.samefile(path, guarded):
            raise RequestError(f"{file} is the score itself, which stays as it is; choose another name.")
    return path


def take_carried_marks(desk: Desk, set_piece: SetPiece) -> str:
    """Take the marks that the score of a piece on the stand carries, if it is a marked part and the piece has none yet;
    returns what there is to say of it, "" for an ordinary score. Raises StoreError if they cannot be kept."""
    from coach.files.marked.embedded import carried_prep
    from coach.lesson.marking import open_pencil

    try:
        carried = carried_prep(_copy(desk, set_piece))
    except StoreError as error:
        return f"Its marks are not taken: {error}"
    if carried is None or not (carried.prep.marks or carried.prep.unplaced):
        return ""
    page = open_piece(desk, set_piece)
    pencil = open_pencil(desk, set_piece, page)
    here = follow(carried.prep, page.part, page.score_hash)
    if pencil.prep.marks or pencil.prep.unplaced:
        same = (pencil.prep.marks, pencil.prep.unplaced) == (here.marks, here.unplaced)
        return "" if same else "The piece has marks already; those in the file are not taken."
    pencil.take(here)
    count = len(pencil.prep.marks)
    told = f"It came with {count} mark{'' if count == 1 else 's'}."
    return " ".join((told, *carried.faults))


def _on_stand(desk: Desk, piece: Piece) -> SetPiece | None:
    """The one piece on the stand that is this part of this score. Where there is no log yet, none is begun."""
    if not desk.paths.log.exists():
        return None
    same = [one for one in pieces(desk) if one.score_hash == piece.score_hash and _copy(desk, one).exists()]
    found = [one for one in same if open_piece(desk, one).part.id == piece.part.id]
    return found[0] if len(found) == 1 else None


def _copy(desk: Desk, set_piece: SetPiece) -> Path:
    return desk.paths.scores / set_piece.score


def carried_marks(source: str, piece: Piece) -> Prep:
    """The marks that a score carries as a marked part, none for an ordinary one. Raises ScoreError, StoreError."""
    from coach.files.marked.embedded import embedded_prep

    prep = embedded_prep(source)
    return follow(prep, piece.part, piece.score_hash) if prep is not None else Prep(score_hash=piece.score_hash)

"""Pieces on the stand: put there, found, opened, changed, taken away. Their history stays in the log."""

import hashlib
import os
import re
import secrets
import unicodedata
import uuid
from dataclasses import replace
from datetime import date
from fractions import Fraction
from pathlib import Path

from coach.errors import RequestError, StoreError
from coach.lesson.desk import Desk
from coach.music.piece import Piece, Span, parse_measures
from coach.music.rhythm import beat_unit
from coach.music.tempo import Tempo
from coach.practice.set_piece import SetPiece
from coach.whole_file import write_whole

SLOWEST, FASTEST = 10, 400  # beats per minute that a performance tempo may have


def pieces(desk: Desk) -> tuple[SetPiece, ...]:
    """The pieces on the stand, the latest added first."""
    on_stand = [piece for piece in desk.record().pieces.values() if not piece.removed]
    return tuple(sorted(on_stand, key=lambda piece: piece.added, reverse=True))


def find(desk: Desk, text: str) -> SetPiece:
    """The piece with this id or title, or the only one whose id or title begins so. Raises RequestError."""
    on_stand = pieces(desk)
    wanted = text.casefold()
    exact = [piece for piece in on_stand if wanted in (piece.id.casefold(), piece.title.casefold())]
    near = exact or [piece for piece in on_stand if wanted and _begins(piece, wanted)]
    if len(near) == 1:
        return near[0]
    if near:
        raise RequestError(f"{text!r} fits several pieces; name one by its id: {', '.join(p.id for p in near)}.")
    raise RequestError(f"No file and no piece on the stand is called {text!r}; `coach pieces` lists what is there.")


def add(
    desk: Desk,
    source: str,
    *,
    part: str | None = None,
    instrument: str | None = None,
    tempo_text: str | None = None,
    measures: str | None = None,
    by: date | None = None,
    id_words: str = "",
) -> SetPiece:
    """Put a score on the stand, or change the piece if this part of it is there already. A corrected score, from the
    same file and with the same title, keeps its id, its spots and its reps.

    `id_words` begin the new id; otherwise the title does. `tempo_text` is "72" (of the printed beat unit) or
    "eighth=72". Raises ScoreError for a score that cannot be read, RequestError for a cut, a part, a tempo or a day
    that makes no sense.
    """
    from coach.files.score import score_bytes

    refuse_passed(desk, by)
    data, suffix = score_bytes(source)
    piece = _read(desk, source, part)
    score = keep_score(desk, data, suffix)
    chosen = _part_name(desk, source, piece)
    known = _known(desk, source, piece, chosen)
    if known is None:
        known = replace(new_piece(desk, piece, id_words or piece.title), source=whole_name(source), part=chosen)
    corrected = replace(known, score_hash=piece.score_hash, score=score)
    return change(desk, as_asked(corrected, piece, instrument, tempo_text, measures, by))


def refuse_passed(desk: Desk, by: date | None) -> None:
    """Raises RequestError for a day that has passed."""
    if by is not None and by < desk.local().date():
        raise RequestError(f"{by.isoformat()} has passed; give a day from today on.")


def as_asked(
    known: SetPiece,
    piece: Piece,
    instrument: str | None = None,
    tempo_text: str | None = None,
    measures: str | None = None,
    by: date | None = None,
) -> SetPiece:
    """What is asked of a piece, changed by what was said; the rest stays. Raises RequestError, also where the cut is no
    longer in the score."""
    span = piece.span(*parse_measures(measures)) if measures else piece.span(known.first, known.last)
    return replace(
        known,
        instrument=instrument or known.instrument,
        tempo=parse_tempo(tempo_text, known.tempo) if tempo_text else known.tempo,
        first=piece.part.measures[span.first].id,
        last=piece.part.measures[span.last].id,
        by=by or known.by,
    )


def change(desk: Desk, piece: SetPiece) -> SetPiece:
    """Log the piece as it now is; returns it as the log has it."""
    desk.append(piece.to_entry(str(uuid.uuid4()), desk.now(), desk.zone()))
    return desk.record().pieces[piece.id]


def remove(desk: Desk, piece: SetPiece) -> None:
    """Take a piece off the stand. Its reps stay in the log, and adding it again brings it back as new."""
    change(desk, replace(piece, removed=True))


def open_piece(desk: Desk, piece: SetPiece) -> Piece:
    """Read a piece's score from its copy. Raises ScoreError, StoreError if the copy is gone."""
    path = desk.paths.scores / piece.score
    if not path.exists():
        raise StoreError(f"The copy of {piece.title} is gone from {path}; add the score again with `coach add`.")
    return replace(_read(desk, str(path), piece.part or None), title=piece.title)


def cut(set_piece: SetPiece, piece: Piece) -> Span:
    """The stretch that the plan, the breaths and the runs concern."""
    return piece.span(set_piece.first, set_piece.last)


def resolve(desk: Desk, source: str, part: str | None = None) -> tuple[SetPiece | None, Piece]:
    """The piece that a SOURCE names: a file, a `corpus:` name, or a piece on the stand (then with its settings)."""
    if source.startswith("corpus:") or Path(source).exists() or _looks_like_file(source):
        return None, _read(desk, source, part)
    known = find(desk, source)
    return known, open_piece(desk, known)


def performance_tempo(piece: Piece) -> Tempo:
    """The tempo that the page gives its first measure, or 60 of the metre's beats where it gives no number."""
    printed = piece.first_tempo
    if printed is not None:
        return printed
    metre = next((measure.metre for measure in piece.part.measures if measure.metre is not None), None)
    return Tempo(Fraction(60), metre.beat_unit) if metre else Tempo(Fraction(60))


def parse_tempo(text: str, like: Tempo) -> Tempo:
    """Read "72" (of the printed beat unit, `like`) or "eighth=72". Raises RequestError."""
    beat, equals, number = text.rpartition("=")
    try:
        unit = beat_unit(beat) if equals else like.beat
        per_minute = Fraction(number.strip())
    except (ValueError, ZeroDivisionError):
        raise RequestError(f"{text!r} is no tempo; write it like 72 or eighth=72.") from None
    if not SLOWEST <= per_minute <= FASTEST:
        raise RequestError(f"A tempo of {number.strip()} cannot be practised; give one from {SLOWEST} to {FASTEST}.")
    return Tempo(per_minute, unit)


def keep_score(desk: Desk, data: bytes, suffix: str) -> str:
    """Keep a copy of a score among the player's data, named by its content; returns the file name."""
    name = hashlib.sha256(data).hexdigest()[:32] + suffix
    path = desk.paths.scores / name
    if path.exists():
        return name
    write_whole(path, data, folders=True)
    return name


def _read(desk: Desk, source: str, part: str | None) -> Piece:
    from coach.files.score import read_score

    return read_score(source, part=part, cache=desk.paths.readings)


def _known(desk: Desk, source: str, piece: Piece, part: str) -> SetPiece | None:
    """The piece on the stand that this part of a score is, or corrects."""
    of_part = [known for known in pieces(desk) if known.part == part]
    same = [known for known in of_part if known.score_hash == piece.score_hash]
    corrected = [known for known in of_part if (known.source, known.title) == (whole_name(source), piece.title)]
    return next(iter((*same, *corrected)), None)


def whole_name(source: str) -> str:
    """A source as it is remembered: a file by its whole path."""
    return source if source.startswith("corpus:") else str(Path(source).expanduser().resolve())


def new_piece(desk: Desk, piece: Piece, id_words: str) -> SetPiece:
    """A piece as the page gives it, under a new id that begins with these words; its score is not kept yet."""
    return SetPiece(
        id=_new_id(id_words),
        title=piece.title,
        score_hash=piece.score_hash,
        score="",
        first=piece.part.measures[0].id,
        last=piece.part.measures[-1].id,
        tempo=performance_tempo(piece),
        added=desk.now(),
        composer=piece.composer,
        instrument=piece.part.instrument or desk.settings.instrument,
    )


def _part_name(desk: Desk, source: str, piece: Piece) -> str:
    """The part's name, or its number where several parts bear that name."""
    from coach.files.score import part_names

    names = part_names(source)
    if names.count(piece.part.name) == 1:
        return piece.part.name
    numbers = [str(k) for k, name in enumerate(names, 1) if name == piece.part.name]
    return next((k for k in numbers if _read(desk, source, k).part.id == piece.part.id), "")


def _begins(piece: SetPiece, wanted: str) -> bool:
    return piece.id.casefold().startswith(wanted) or piece.title.casefold().startswith(wanted)


def _looks_like_file(source: str) -> bool:
    return os.sep in source or bool(re.search(r"\.(musicxml|mxl|xml|midi?|abc|krn|hum|coach)$", source, re.IGNORECASE))


def _new_id(words_of: str) -> str:
    plain = unicodedata.normalize("NFKD", words_of.casefold()).encode("ascii", "ignore").decode()
    words = re.findall(r"[a-z0-9]+", plain)
    return "-".join([*words[:3], secrets.token_hex(2)])

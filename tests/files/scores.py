"""Small MusicXML scores for the tests, written as the MusicXML 4.0 schema orders them."""

from pathlib import Path

from coach.files.score import read_score
from coach.music.note import Note
from coach.music.piece import Piece

FOUR_FOUR = (
    "<attributes><divisions>{divisions}</divisions><key><fifths>0</fifths></key>"
    "<time><beats>4</beats><beat-type>4</beat-type></time><clef><sign>G</sign><line>2</line></clef></attributes>"
)


def note(
    pitch: str = "C5",
    kind: str = "quarter",
    duration: int | None = 1,
    inside: str = "",
    notations: str = "",
    before: str = "",
    voice: str = "1",
) -> str:
    """One `<note>`; "R" is a rest. `before` comes first (grace, chord), `inside` after the type."""
    height = (
        "<rest/>"
        if pitch == "R"
        else f"<pitch><step>{pitch[0]}</step>{_alter(pitch)}<octave>{pitch[-1]}</octave></pitch>"
    )
    lasting = f"<duration>{duration}</duration>" if duration is not None else ""
    typed = f"<type>{kind}</type>" if kind else ""
    printed = f"<notations>{notations}</notations>" if notations else ""
    return f"<note>{before}{height}{lasting}<voice>{voice}</voice>{typed}{inside}{printed}</note>"


def _alter(pitch: str) -> str:
    alter = pitch.count("#") - pitch[1:-1].count("b")
    return f"<alter>{alter}</alter>" if alter else ""


def score(*measures: str, divisions: int = 1, head: str = FOUR_FOUR, name: str = "Clarinet", top: str = "") -> str:
    """A partwise score of one part; the first measure begins with `head`."""
    numbered = "".join(
        content
        if content.startswith("<measure")
        else f'<measure number="{k}">{head.format(divisions=divisions) if k == 1 else ""}{content}</measure>'
        for k, content in enumerate(measures, 1)
    )
    return (
        f'<?xml version="1.0" encoding="UTF-8"?><score-partwise version="4.0">{top}'
        f'<part-list><score-part id="P1"><part-name>{name}</part-name></score-part></part-list>'
        f'<part id="P1">{numbered}</part></score-partwise>'
    )


def read(text: str, folder: Path, part: str | None = None) -> Piece:
    """The piece in a text."""
    path = folder / "score.musicxml"
    path.write_text(text, encoding="utf-8")
    return read_score(path, part=part)


def line(piece: Piece) -> list[Note]:
    """The practised notes and rests."""
    return list(piece.part.notes())


def said(piece: Piece) -> str:
    """All notices as one text."""
    return "\n".join(notice.text for notice in piece.notices)

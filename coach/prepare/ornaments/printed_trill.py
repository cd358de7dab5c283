"""What the page and its file say of a trill.

MusicXML 4.0 gives a trill optional attributes that say how it sounds (start-note, trill-step, two-note-turn,
accelerate, beats, second-beat, last-beat). What is written there is obeyed; what is not is left to the style. An
accidental printed at the trill counts before trill-step. Where the key would put the note above no higher than the main
note (E sharp without sharps in the key), it is a semitone higher.
"""

from dataclasses import dataclass
from fractions import Fraction

from coach.music.pitch import Pitch
from coach.prepare.ornaments.figure import Figure
from coach.prepare.ornaments.neighbour import TRILLS, marked

_STARTS = {"upper": "upper", "main": "main", "below": "lower"}
_SIZES = {"whole": 2, "half": 1}
_MOST_BEATS = 512


@dataclass(frozen=True, slots=True)
class PrintedTrill:
    """The notes of a trill and what its file asks for. `upper` is None for a trill on one note ("unison"), `start` is
    of coach.prepare.mark.STARTS or "", `turn` is "whole", "half", "none" or "", `accelerate` and `beats` are None
    where nothing is said; `second` and `last` are the shares of the time where the second and the last note begin."""

    upper: Pitch | None
    lower: Pitch
    start: str = ""
    turn: str = ""
    accelerate: bool | None = None
    beats: int | None = None
    second: Fraction | None = None
    last: Fraction | None = None


def printed_trill(figure: Figure) -> PrintedTrill:
    """What the page and its file say of the trill of a note; what makes no sense there is as if it were not said."""
    said = _said(figure)
    turn, step = said.get("two-note-turn", ""), said.get("trill-step", "")
    second, last = _share(said.get("second-beat", "")), _share(said.get("last-beat", ""))
    return PrintedTrill(
        upper=_upper(figure, step),
        lower=_lower(figure, turn),
        start=_STARTS.get(said.get("start-note", ""), ""),
        turn=turn if turn in ("whole", "half", "none") else "",
        accelerate={"yes": True, "no": False}.get(said.get("accelerate", "")),
        beats=_beats(said.get("beats", "")),
        second=second if second is not None and 0 < second < 1 else None,
        last=last if last is not None and 0 < last < 1 else None,
    )


def _said(figure: Figure) -> dict[str, str]:
    """The attributes of the trill's sign, and those of its wavy line that the sign lacks."""
    found: dict[str, str] = {}
    for ornament in sorted(figure.ornaments, key=lambda one: one.kind == "wavy-line"):
        if ornament.kind in TRILLS:
            for name, value in ornament.attributes:
                found.setdefault(name, value)
    return found


def _upper(figure: Figure, step: str) -> Pitch | None:
    above = figure.neighbour(upper=True)
    if marked(figure.ornaments, upper=True) is not None:
        return above
    if step == "unison":
        return None
    if step in _SIZES:
        return _moved(above, figure.pitch.midi + _SIZES[step])
    return above if above.midi > figure.pitch.midi else _moved(above, figure.pitch.midi + 1)


def _lower(figure: Figure, turn: str) -> Pitch:
    below = figure.neighbour(upper=False)
    return _moved(below, figure.pitch.midi - _SIZES[turn]) if turn in _SIZES else below


def _moved(pitch: Pitch, midi: int) -> Pitch:
    """The pitch of the same name so altered that it sounds as asked."""
    return Pitch(pitch.step, pitch.alter + midi - pitch.midi, pitch.octave)


def _share(text: str) -> Fraction | None:
    try:
        return Fraction(text) / 100 if len(text) <= 12 and "e" not in text.lower() else None
    except (ValueError, ZeroDivisionError):
        return None


def _beats(text: str) -> int | None:
    share = _share(text)
    return None if share is None else max(2, min(round(share * 100), _MOST_BEATS))

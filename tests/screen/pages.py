"""Small pieces written as text, for tests of what the screens draw.

A measure is a line of notes "name/value": "Db5/4." is a dotted quarter, "r/8" an eighth rest, "C5/8t" an eighth of a
triplet, "g:D5" a grace; "(" and ")" begin and end a slur, "/~" and "/_" a tie; further words after slashes are
articulations, dynamics, "fermata", "," (a breath) or "tr".
"""

from fractions import Fraction

from coach.music.measure import Measure
from coach.music.metre import Clef, Key, Metre
from coach.music.note import Grace, Note, Ornament, SlurEnd
from coach.music.part import DynamicMark, Part
from coach.music.piece import Piece
from coach.music.pitch import Transposition, parse_pitch
from coach.music.rhythm import Value
from coach.music.tempo import Tempo, TempoMark

KINDS = {"1": "whole", "2": "half", "4": "quarter", "8": "eighth", "16": "16th", "32": "32nd", "64": "64th"}
THREE_FOUR, NO_KEY = Metre(3, 4), Key()
DYNAMICS = ("pp", "p", "mp", "mf", "f", "ff")
ARTICULATIONS = ("staccato", "tenuto", "accent")


def piece(*lines: str, metre: Metre = THREE_FOUR, key: Key = NO_KEY, pickup: bool = False) -> Piece:
    """A piece of one part, a measure from each line."""
    measures: list[Measure] = []
    dynamics: list[DynamicMark] = []
    at_q = Fraction(0)
    for number, line in enumerate(lines, 1):
        notes = _notes(line, str(number), at_q, metre, dynamics)
        length_q = sum((note.length_q for note in notes), Fraction(0))
        first = metre if number == 1 else None
        short = pickup and number == 1
        measures.append(
            Measure(str(number), str(number), at_q, length_q, first, key, Clef(), tuple(notes), pickup=short)
        )
        at_q += length_q
    part = Part("P1", "Clarinet", "clarinet", Transposition(-1, -2), tuple(measures), tuple(dynamics))
    return Piece("Study", "", part, tempos=(TempoMark(Fraction(0), Tempo(Fraction(60))),))


def _notes(line: str, measure: str, start_q: Fraction, metre: Metre, dynamics: list[DynamicMark]) -> list[Note]:
    notes: list[Note] = []
    graces: list[Grace] = []
    at_q = start_q
    for word in line.split():
        slurs = (SlurEnd("start"),) * word.startswith("(") + (SlurEnd("stop"),) * word.endswith(")")
        word = word.strip("()")
        count = sum(note.pitch is not None for note in notes) + 1
        if word.startswith("g:"):
            name = f"{measure}.{count}g{len(graces) + 1}"
            graces.append(Grace(name, parse_pitch(word[2:]), Value("16th"), slurs=slurs))
            continue
        note = _note(word, measure, count, at_q, start_q, metre, slurs, tuple(graces))
        dynamics += [DynamicMark(at_q, mark) for mark in word.split("/")[2:] if mark in DYNAMICS]
        notes.append(note)
        graces = []
        at_q += note.length_q
    return notes


def _note(
    word: str,
    measure: str,
    count: int,
    at_q: Fraction,
    start_q: Fraction,
    metre: Metre,
    slurs: tuple[SlurEnd, ...],
    graces: tuple[Grace, ...],
) -> Note:
    name, text, *marks = word.split("/")
    kind = KINDS[text.rstrip(".t")]
    value = Value(kind, text.count("."), *((3, 2) if "t" in text else (1, 1)))
    pitch = None if name == "r" else parse_pitch(name)
    return Note(
        f"{measure}.{count}",
        pitch,
        at_q,
        value.length_q,
        measure,
        1 + (at_q - start_q) / metre.beat_q,
        value,
        tie="start" if "~" in marks else "stop" if "_" in marks else None,
        slurs=slurs,
        graces=graces,
        articulations=tuple(mark for mark in marks if mark in ARTICULATIONS),
        ornaments=tuple(Ornament("trill-mark") for mark in marks if mark == "tr"),
        fermata="fermata" in marks,
        breath="comma" if "," in marks else None,
    )

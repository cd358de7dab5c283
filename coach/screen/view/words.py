"""The page in words: pitch names, tempo, and a measure as one line for those who listen to it."""

import re
from collections.abc import Callable, Sequence
from fractions import Fraction
from typing import TYPE_CHECKING

from coach.music.measure import Measure
from coach.music.note import Grace, Note
from coach.music.part import Part
from coach.music.pitch import Pitch, parse_pitch
from coach.music.tempo import Tempo
from coach.screen.view.glyphs import Glyphs

if TYPE_CHECKING:
    from coach.prepare.mark import Mark

DYNAMICS = {
    "pppp": "as soft as possible",
    "ppp": "pianississimo",
    "pp": "pianissimo",
    "p": "piano",
    "mp": "mezzo piano",
    "mf": "mezzo forte",
    "f": "forte",
    "ff": "fortissimo",
    "fff": "fortississimo",
    "ffff": "as loud as possible",
}
ORNAMENTS = {
    "trill-mark": "trill",
    "inverted-turn": "inverted turn",
    "delayed-turn": "delayed turn",
    "inverted-mordent": "inverted mordent",
    "wavy-line": "wavy line",
}
_NAME = re.compile(r"\b[A-G](?:bb?|##?)[0-9]\b")
ACCIDENTALS = {"double-sharp": "double sharp", "sharp-sharp": "double sharp", "flat-flat": "double flat"}


def accidental_text(alter: int, glyphs: Glyphs) -> str:
    """The sign of an alteration; a natural is written out, so call this only where a sign is wanted."""
    if -2 <= alter <= 2:
        return glyphs.accidentals[alter + 2]
    return ("#" if alter > 0 else "b") * abs(alter)


def pitch_name(pitch: Pitch, glyphs: Glyphs, *, octave: bool = True) -> str:
    """The written name, such as "B♭4"; without the octave "B♭"."""
    sign = accidental_text(pitch.alter, glyphs) if pitch.alter else ""
    return f"{pitch.step}{sign}{pitch.octave if octave else ''}"


def number(value: float | Fraction) -> str:
    """A number with at most two decimals and no useless ones."""
    return f"{float(value):.2f}".rstrip("0").rstrip(".")


_PARTS = {
    Fraction(1, 2): "½",
    Fraction(1, 3): "⅓",
    Fraction(2, 3): "⅔",
    Fraction(1, 4): "¼",
    Fraction(3, 4): "¾",
    Fraction(1, 6): "⅙",
    Fraction(5, 6): "⅚",
    Fraction(1, 8): "⅛",
    Fraction(3, 8): "⅜",
    Fraction(5, 8): "⅝",
    Fraction(7, 8): "⅞",
}


def beat_text(beat: Fraction, glyphs: Glyphs) -> str:
    """A place in the measure: "2", "2½", "1⅔"; fractions without a sign of their own as "2 and 3/5"."""
    whole, part = divmod(beat, 1)
    if not part:
        return str(whole)
    sign = _PARTS.get(part, "") if glyphs.note_value else ""
    return f"{whole}{sign}" if sign else f"{whole} and {part}"


def tempo_text(per_minute: float, tempo: Tempo, glyphs: Glyphs) -> str:
    """The tempo in hand against the performance tempo: "♩ = 54 (90 % of 60)"."""
    share = 100 * per_minute / float(tempo.per_minute)
    unit = unit_text(tempo, glyphs)
    return f"{unit} = {number(per_minute)} ({share:.0f} % of {number(tempo.per_minute)})"


def unit_text(tempo: Tempo, glyphs: Glyphs) -> str:
    """The beat unit of a tempo: "♩", "♪", "♩." where such a character exists, else in words."""
    signs = {"quarter": "♩", "eighth": "♪"}
    if glyphs.note_value and tempo.beat.kind in signs:
        return signs[tempo.beat.kind] + "." * tempo.beat.dots
    return tempo.beat.name


def note_words(note: Note, glyphs: Glyphs) -> str:
    """A note or rest in words: "B♭4 dotted quarter, slurred, staccato"."""
    value = note.value.name if note.value else f"{number(note.length_q)} quarters"
    if note.pitch is None:
        return f"rest {value}" + (", fermata" if note.fermata else "")
    parts = [f"{_graces(note.graces, glyphs)}{pitch_name(note.pitch, glyphs)} {value}"]
    parts += _joins(note)
    parts += [_ornament(o.kind, o.accidentals) for o in note.ornaments]
    parts += [articulation.replace("-", " ") for articulation in note.articulations]
    parts += ["fermata"] if note.fermata else []
    parts += [f"fingering {f.text}" for f in note.fingerings if f.text]
    parts += [f"then {_graces(note.after_graces, glyphs).rstrip(' to')}"] if note.after_graces else []
    parts += ["breath"] if note.breath else []
    parts += ["caesura"] if note.caesura else []
    return ", ".join(parts)


def _graces(graces: tuple[Grace, ...], glyphs: Glyphs) -> str:
    if not graces:
        return ""
    names = " ".join(pitch_name(grace.pitch, glyphs) for grace in graces)
    return f"{'grace' if len(graces) == 1 else 'graces'} {names} to "


def _joins(note: Note) -> list[str]:
    joins = {"start": ["tied"], "continue": ["held on, tied"], "stop": ["held on"]}.get(note.tie or "", [])
    return joins + (["slurred"] if note.slurred else [])


def _ornament(kind: str, accidentals: tuple[tuple[str, str], ...]) -> str:
    name = ORNAMENTS.get(kind, kind.replace("-", " "))
    signs = "".join(f" with {ACCIDENTALS.get(what, what)} {where}" for where, what in accidentals)
    return name + signs


def measure_words(part: Part, measure: Measure, glyphs: Glyphs) -> str:
    """A measure as one line: what is played, in order, with the dynamics where they change."""
    return marked_measure_words(part, measure, (), glyphs)


def marked_measure_words(part: Part, measure: Measure, marks: "Sequence[Mark]", glyphs: Glyphs) -> str:
    """A measure as one line, with what is pencilled in told in brackets at its notes."""
    texts = []
    dynamics = [d for d in part.dynamics if measure.onset_q <= d.onset_q < measure.end_q]
    for note in measure.notes:
        here = [d.mark for d in dynamics if note.onset_q <= d.onset_q < max(note.end_q, note.onset_q + Fraction(1, 64))]
        said = "".join(f", {DYNAMICS.get(mark, mark)}" for mark in here) + _pencilled(part, note, marks, glyphs)
        texts.append(f"{beat_text(note.beat, glyphs)}: {note_words(note, glyphs)}{said}")
    return f"Measure {measure.number or measure.id}, beat " + "; ".join(texts) + "."


def _pencilled(part: Part, note: Note, marks: "Sequence[Mark]", glyphs: Glyphs) -> str:
    """The marks at a note and at its graces: " [full breath; fingering L]"."""
    if not marks:
        return ""
    from coach.prepare.mark import Comment
    from coach.prepare.words import mark_words, note_mark_words

    def said(mark: "Mark", words: "Callable[[Mark, Part], str]") -> str:
        text = words(mark, part)
        return text if isinstance(mark.content, Comment) else signed(text, glyphs)

    graces = {grace.id for grace in (*note.graces, *note.after_graces)}
    told = [said(mark, note_mark_words) for mark in marks if mark.at == note.id]
    told += [said(mark, mark_words) for mark in marks if mark.at in graces]
    return f" [{'; '.join(told)}]" if told else ""


def signed(text: str, glyphs: Glyphs) -> str:
    """A text with its names of notes as the page writes them: "Db5" becomes "D♭5" where the terminal has the sign."""
    return _NAME.sub(lambda name: pitch_name(parse_pitch(name[0]), glyphs), text)

"""A piece of one line written as MusicXML 4.0, as our own reader reads it back: what is composed by the program itself
(drills) is engraved and kept like any other score."""

from collections.abc import Iterator
from fractions import Fraction
from math import lcm

from lxml import etree

from coach.files.marked.beaming import beam
from coach.files.marked.page import holding, made
from coach.files.marked.splitting import Printed
from coach.music.measure import Measure
from coach.music.metre import Clef, Key, Metre
from coach.music.note import Grace, Note, Ornament
from coach.music.part import Part
from coach.music.piece import Piece
from coach.music.pitch import Pitch, Transposition
from coach.music.rhythm import Value

_HEAD = (
    b'<?xml version="1.0" encoding="UTF-8" standalone="no"?>\n'
    b'<!DOCTYPE score-partwise PUBLIC "-//Recordare//DTD MusicXML 4.0 Partwise//EN" '
    b'"http://www.musicxml.org/dtds/partwise.dtd">\n'
)
# Articulations that the standard has elements for; a line that joins two notes (a glissando) is left out.
_ARTICULATIONS = frozenset(
    """accent strong-accent staccato tenuto detached-legato staccatissimo spiccato scoop plop doit falloff
    stress unstress soft-accent""".split()
)
# Dynamics that the standard has elements for.
_DYNAMICS = frozenset(
    """p pp ppp pppp ppppp pppppp f ff fff ffff fffff ffffff mp mf n
    sf sfp sfpp sfz sfzp sffz fp pf fz rf rfz""".split()
)


def piece_xml(piece: Piece) -> bytes:
    """The practised line of a piece as a partwise MusicXML 4.0 document: measures, pitches, values, ties, slurs,
    articulations, ornaments, graces, dynamics, hairpins and words. Tempos and what stands beside the line are not
    written, nor are hairpins that cross each other."""
    part = piece.part
    root = holding("score-partwise", *_header(piece), _part(part), version="4.0")
    etree.indent(root)
    return _HEAD + bytes(etree.tostring(root, encoding="UTF-8")) + b"\n"


def _header(piece: Piece) -> Iterator[etree._Element]:
    part = piece.part
    if piece.title:
        yield holding("work", made("work-title", piece.title))
    if piece.composer:
        yield holding("identification", made("creator", piece.composer, type="composer"))
    instrument = f"{part.id}-I1"
    score_part = holding(
        "score-part",
        made("part-name", part.name),
        holding("score-instrument", made("instrument-name", part.instrument), id=instrument),
        id=part.id,
    )
    if part.midi_program is not None:
        program = made("midi-program", str(part.midi_program + 1))
        score_part.append(holding("midi-instrument", program, id=instrument))
    yield holding("part-list", score_part)


def _part(part: Part) -> etree._Element:
    signs = _signs(part)
    lengths = [_fitting(note.length_q, measure) for measure in part.measures for note in measure.notes]
    divisions = lcm(*lengths, *(at_q.denominator for at_q, _, _ in signs))
    element = made("part", id=part.id)
    before: Measure | None = None
    for measure in part.measures:
        attributes = list(_attributes(measure, before, part.transposition, divisions))
        written = holding("measure", number=measure.number)
        if attributes:
            written.append(holding("attributes", *attributes))
        _write_notes(written, measure, _within(signs, measure), divisions)
        element.append(written)
        before = measure
    return element


# A sign beside the notes: where it stands, its rank among those of one place, the sign.
_Sign = tuple[Fraction, int, etree._Element]


def _signs(part: Part) -> list[_Sign]:
    """What stands beside the notes; of one place the ends of hairpins first, then dynamics, hairpins, words."""
    signs: list[_Sign] = []
    for mark in part.dynamics:
        signs.append((mark.onset_q, 1, _direction(holding("dynamics", _dynamic(mark.mark)), "below")))
    for hairpin in part.hairpins:
        niente = {"niente": "yes"} if hairpin.niente else {}
        begins = {} if hairpin.kind == "diminuendo" else niente
        ends = niente if hairpin.kind == "diminuendo" else {}
        signs.append((hairpin.start_q, 2, _direction(made("wedge", type=hairpin.kind, **begins), "below")))
        signs.append((hairpin.end_q, 0, _direction(made("wedge", type="stop", **ends), "below")))
    for words in part.words:
        signs.append((words.onset_q, 3, _direction(made("words", words.text), "above")))
    return sorted(signs, key=lambda sign: sign[:2])


def _direction(said: etree._Element, placement: str) -> etree._Element:
    return holding("direction", holding("direction-type", said), placement=placement)


def _later(sign: etree._Element, offset: Fraction) -> etree._Element:
    """A sign so many divisions after the place where it is written."""
    if offset:
        sign.append(made("offset", str(offset)))
    return sign


def _dynamic(mark: str) -> etree._Element:
    return made(mark) if mark in _DYNAMICS else made("other-dynamics", mark)


def _within(signs: list[_Sign], measure: Measure) -> list[_Sign]:
    """The signs of a measure; a hairpin that ends with it ends there, not in the next one."""
    ends = [sign for sign in signs if not sign[1] and measure.onset_q < sign[0] <= measure.end_q]
    others = [sign for sign in signs if sign[1] and measure.onset_q <= sign[0] < measure.end_q]
    return sorted((*ends, *others), key=lambda sign: sign[:2])


def _fitting(length_q: Fraction, measure: Measure) -> int:
    """The divisions of a quarter that a length and its measure count in."""
    return lcm(length_q.denominator, measure.length_q.denominator)


def _attributes(
    measure: Measure, before: Measure | None, transposition: Transposition, divisions: int
) -> Iterator[etree._Element]:
    """What changes at the measure; everything at the first."""
    if before is None:
        yield made("divisions", str(divisions))
    if before is None or measure.key != before.key:
        yield _key(measure.key)
    if measure.metre is not None and (before is None or measure.metre != before.metre):
        yield _metre(measure.metre)
    if before is None or measure.clef != before.clef:
        yield _clef(measure.clef)
    if before is None and transposition != Transposition():
        yield _transpose(transposition)


def _key(key: Key) -> etree._Element:
    if key.alters:
        pairs = [(made("key-step", step), made("key-alter", str(alter))) for step, alter in key.alters]
        return holding("key", *(element for pair in pairs for element in pair))
    mode = [made("mode", key.mode)] if key.mode else []
    return holding("key", made("fifths", str(key.fifths)), *mode)


def _metre(metre: Metre) -> etree._Element:
    top = "+".join(map(str, metre.groups)) if metre.groups else str(metre.beats)
    symbol = {"symbol": metre.symbol} if metre.symbol else {}
    return holding("time", made("beats", top), made("beat-type", str(metre.beat_type)), **symbol)


def _clef(clef: Clef) -> etree._Element:
    octaves = [made("clef-octave-change", str(clef.octaves))] if clef.octaves else []
    return holding("clef", made("sign", clef.sign), made("line", str(clef.line)), *octaves)


def _transpose(transposition: Transposition) -> etree._Element:
    octaves = [made("octave-change", str(transposition.octaves))] if transposition.octaves else []
    return holding(
        "transpose",
        made("diatonic", str(transposition.diatonic)),
        made("chromatic", str(transposition.chromatic)),
        *octaves,
    )


def _write_notes(written: etree._Element, measure: Measure, signs: list[_Sign], divisions: int) -> None:
    placed: list[tuple[Fraction, Printed, etree._Element]] = []
    for note in measure.notes:
        for at_q, _, sign in signs:
            if note.onset_q <= at_q < note.end_q:
                written.append(_later(sign, (at_q - note.onset_q) * divisions))
        for grace in note.graces:
            written.append(_grace(grace))
        element = _note(note, measure, divisions)
        written.append(element)
        placed.append((note.onset_q - measure.onset_q, Printed(note.length_q, note.value), element))
        for grace in note.after_graces:
            written.append(_grace(grace))
    written.extend(sign for at_q, _, sign in signs if at_q == measure.end_q)
    beam(placed, measure.metre.beat_q if measure.metre is not None else Fraction(1))


def _note(note: Note, measure: Measure, divisions: int) -> etree._Element:
    whole = note.pitch is None and note.length_q == measure.length_q
    element = made("note")
    element.append(
        _pitch(note.pitch) if note.pitch is not None else made("rest", **({"measure": "yes"} if whole else {}))
    )
    element.append(made("duration", str(note.length_q * divisions)))
    element.extend(_ties(note.tie))
    element.append(made("voice", "1"))
    element.extend(_value(note.value, note.accidental))
    notations = _notations(note)
    if len(notations):
        element.append(notations)
    return element


def _pitch(pitch: Pitch) -> etree._Element:
    alter = [made("alter", str(pitch.alter))] if pitch.alter else []
    return holding("pitch", made("step", pitch.step), *alter, made("octave", str(pitch.octave)))


_TIES = {"start": ("start",), "continue": ("stop", "start"), "stop": ("stop",)}


def _ties(tie: str | None) -> list[etree._Element]:
    return [made("tie", type=kind) for kind in _TIES.get(tie or "", ())]


def _value(value: Value | None, accidental: str | None) -> Iterator[etree._Element]:
    if value is not None:
        yield made("type", value.kind)
        yield from (made("dot") for _ in range(value.dots))
    if accidental:
        yield made("accidental", accidental)
    if value is not None and value.actual != value.normal:
        yield holding(
            "time-modification",
            made("actual-notes", str(value.actual)),
            made("normal-notes", str(value.normal)),
        )


def _notations(note: Note) -> etree._Element:
    element = made("notations")
    element.extend(made("tied", type=kind) for kind in _TIES.get(note.tie or "", ()))
    element.extend(made("slur", type=end.kind, number=str(end.number)) for end in note.slurs)
    ornaments = [written for ornament in note.ornaments for written in _ornament(ornament)]
    if ornaments:
        element.append(holding("ornaments", *ornaments))
    marks = [made(name) for name in note.articulations if name in _ARTICULATIONS]
    if note.breath is not None:
        marks.append(made("breath-mark", note.breath))
    if marks:
        element.append(holding("articulations", *marks))
    if note.fermata:
        element.append(made("fermata"))
    return element


def _ornament(ornament: Ornament) -> Iterator[etree._Element]:
    if ornament.kind != "accidental-mark":  # accidentals alone follow no ornament
        yield made(ornament.kind, ornament.text, **dict(ornament.attributes))
    for where, what in ornament.accidentals:
        yield made("accidental-mark", what, placement=where)


def _grace(grace: Grace) -> etree._Element:
    signs = {"slash": "yes"} if grace.slash else {}
    if grace.steal_previous is not None:
        signs["steal-time-previous"] = f"{grace.steal_previous:g}"
    element = holding("note", made("grace", **signs), _pitch(grace.pitch), made("voice", "1"))
    element.extend(_value(grace.value, grace.accidental))
    return element

"""The ossia: a small staff over the part, shown where something is written out and hidden elsewhere.

It is a part of its own, so that the notes of the part stay as they are: of `staff-type` ossia, six tenths as large as
the part, with as many measures. What sounds at the same time goes into further voices.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import lcm

from lxml import etree

from coach.files.marked.beaming import beam
from coach.files.marked.ids import OSSIA
from coach.files.marked.page import holding, made
from coach.files.marked.splitting import Printed, printed_values
from coach.files.score import WrittenScore
from coach.music.measure import Measure
from coach.music.metre import Clef, Key, Metre
from coach.music.piece import Piece
from coach.music.pitch import Pitch
from coach.prepare.written_out import Written

_SIZE = "60"  # per cent of the part's staff
_FINEST = 1 << 20  # divisions to a quarter; finer lengths are rounded to 10080, which holds all usual tuplets
_ROUNDED = 10080
_ACCIDENTALS = {-2: "flat-flat", -1: "flat", 0: "natural", 1: "sharp", 2: "double-sharp"}
# Onset in quarters from the start of the piece, length, pitch or None for a rest.
Placed = tuple[Fraction, Fraction, Pitch | None]
_SIGNS = ("G", "F", "C", "percussion", "TAB", "jianpu", "none")


@dataclass(frozen=True, slots=True)
class _Piece:
    """What of a note lies in one measure, from its start; whether a tie leads here and on."""

    at: Fraction
    length: Fraction
    pitch: Pitch | None
    tied_from: bool
    tied_to: bool


def add_ossia(score: WrittenScore, passages: Sequence[Sequence[Written]]) -> None:
    """Put the staff into the tree, before the practised part."""
    part = next((one for one in score.root.iterfind("part") if one.get("id") == score.written.part), None)
    header = next((o for o in score.root.iterfind("part-list/score-part") if o.get("id") == score.written.part), None)
    voices = _voices(passages, score.piece.part.end_q)
    if part is None or header is None or not voices:
        return
    header.addprevious(holding("score-part", made("part-name", "Ossia", print_object="no"), id=OSSIA))
    part.addprevious(_Staff(score, voices).part)


def _voices(passages: Iterable[Sequence[Written]], end_q: Fraction) -> list[list[Placed]]:
    """The notes in voices, in each of which nothing overlaps; what lies outside the piece is cut."""
    voices: list[list[Placed]] = []
    for passage in sorted(passages, key=lambda passage: passage[0].onset_q):
        placed = [one for note in passage if (one := _placed(note, end_q)) is not None]
        if not placed:
            continue
        voice = next((one for one in voices if one[-1][0] + one[-1][1] <= placed[0][0]), None)
        if voice is None:
            voices.append(voice := [])
        voice += placed
    return voices


def _placed(note: Written, end_q: Fraction) -> Placed | None:
    start, end = max(note.onset_q, Fraction(0)), min(note.end_q, end_q)
    return (start, end - start, note.pitch) if start < end else None


class _Staff:
    """The staff, built on construction; `part` is its element."""

    def __init__(self, score: WrittenScore, voices: list[list[Placed]]) -> None:
        self._piece: Piece = score.piece
        self._concert = score.root.find("defaults/concert-score") is not None
        measures = score.piece.part.measures
        inside = [[_inside(voice, measure) for voice in voices] for measure in measures]
        self._divisions = _divisions(measures, inside)
        self.part = made("part", id=OSSIA)
        before: Measure | None = None
        shown: bool | None = None
        for measure, of_voices in zip(measures, inside, strict=True):
            shows = any(of_voices)
            element = _like(score.written.measures.get(measure.id), measure)
            attributes = self._attributes(measure, before, shows, shown)
            if len(attributes):
                element.append(attributes)
            self._fill(element, measure, of_voices)
            _copy_barlines(score.written.measures.get(measure.id), element)
            self.part.append(element)
            before, shown = measure, shows

    def _attributes(self, measure: Measure, before: Measure | None, shows: bool, shown: bool | None) -> etree._Element:
        """What changes at the start of a measure."""
        found = made("attributes")
        if before is None:
            found.append(made("divisions", str(self._divisions)))
        if before is None or measure.key != before.key:
            found.append(_key(measure.key, self._fifths(measure)))
        if before is None or measure.metre != before.metre:
            found.append(_time(measure.metre))
        if before is None or measure.clef != before.clef:
            found.append(_clef(measure.clef))
        if shows is not shown:
            kind = (made("staff-type", "ossia"), made("staff-lines", "5"), made("staff-size", _SIZE))
            found.append(holding("staff-details", *kind, print_object="yes" if shows else "no"))
        here = self._piece.part.transposition_at(measure.onset_q)
        moved = here if before is None else self._piece.part.transposition_at(before.onset_q)
        if not self._concert and ((before is None and (here.semitones or here.diatonic)) or here != moved):
            steps = (made("diatonic", str(here.diatonic)), made("chromatic", str(here.chromatic)))
            octaves = (made("octave-change", str(here.octaves)),) if here.octaves else ()
            found.append(holding("transpose", *steps, *octaves))
        return found

    def _fifths(self, measure: Measure) -> int:
        shift = self._piece.part.transposition_at(measure.onset_q).fifths if self._concert else 0
        return measure.key.fifths + shift

    def _fill(self, element: etree._Element, measure: Measure, of_voices: list[list[_Piece]]) -> None:
        length = self._count(measure.length_q)
        if not any(of_voices):
            if length:
                rest = made("rest", measure="yes")
                whole = holding("note", rest, made("duration", str(length)), made("voice", "1"), print_object="no")
                element.append(whole)
            return
        at = 0
        for k, pieces in enumerate(of_voices, 1):
            if not pieces:
                continue
            _move(element, -at)
            at = self._voice(element, measure, pieces, str(k))
        _move(element, length - at)

    def _voice(self, element: etree._Element, measure: Measure, pieces: list[_Piece], voice: str) -> int:
        """Notes and gaps of a voice; returns where it ends, in divisions."""
        at = 0
        written: list[tuple[Fraction, Printed, etree._Element]] = []
        state: dict[tuple[str, int], int] = {}
        for piece in pieces:
            start = self._count(piece.at)
            _move(element, start - at)
            at = start
            values = printed_values(piece.length, piece.at, measure.beat_q)
            done = piece.at
            for k, value in enumerate(values):
                end = done + value.length_q
                duration = self._count(end) - at
                ties = (piece.tied_from or k > 0, piece.tied_to or k < len(values) - 1)
                if duration > 0:
                    note = self._note(measure, piece, value, duration, voice, ties, state)
                    element.append(note)
                    written.append((done, value, note))
                    at += duration
                done = end
        beam(written, measure.beat_q)
        return at

    def _note(
        self,
        measure: Measure,
        piece: _Piece,
        value: Printed,
        duration: int,
        voice: str,
        ties: tuple[bool, bool],
        state: dict[tuple[str, int], int],
    ) -> etree._Element:
        note = made("note")
        pitch = self._as_filed(piece.pitch, measure)
        note.append(made("rest") if pitch is None else _pitch(pitch))
        note.append(made("duration", str(duration)))
        kinds = [kind for kind, on in zip(("stop", "start"), ties, strict=True) if on and pitch is not None]
        note.extend(made("tie", type=kind) for kind in kinds)
        note.append(made("voice", voice))
        if value.value is not None:
            note.append(made("type", value.value.kind))
            note.extend(made("dot") for _ in range(value.value.dots))
        sign = (
            _accidental(pitch, measure.key, state, self._concert) if pitch is not None and "stop" not in kinds else ""
        )
        if sign:
            note.append(made("accidental", sign))
        if value.value is not None and value.value.actual != value.value.normal:
            counts = (str(value.value.actual), str(value.value.normal))
            note.append(holding("time-modification", made("actual-notes", counts[0]), made("normal-notes", counts[1])))
        if kinds:
            note.append(holding("notations", *(made("tied", type=kind) for kind in kinds)))
        return note

    def _as_filed(self, pitch: Pitch | None, measure: Measure) -> Pitch | None:
        """In a concert score notes stand as they sound."""
        if pitch is None or not self._concert:
            return pitch
        return self._piece.part.transposition_at(measure.onset_q).sounding(pitch)

    def _count(self, at_q: Fraction) -> int:
        return round(at_q * self._divisions)


def _inside(voice: Iterable[Placed], measure: Measure) -> list[_Piece]:
    pieces = []
    for onset, length, pitch in voice:
        start, end = max(onset, measure.onset_q), min(onset + length, measure.end_q)
        if start < end:
            pieces.append(_Piece(start - measure.onset_q, end - start, pitch, onset < start, end < onset + length))
    return pieces


def _divisions(measures: Sequence[Measure], inside: list[list[list[_Piece]]]) -> int:
    parts = [measure.length_q for measure in measures]
    parts += [place for voices in inside for voice in voices for one in voice for place in (one.at, one.length)]
    parts += [
        value.length_q
        for measure, voices in zip(measures, inside, strict=True)
        for voice in voices
        for one in voice
        for value in printed_values(one.length, one.at, measure.beat_q)
    ]
    needed = lcm(*(place.denominator for place in parts)) if parts else 1
    return needed if needed <= _FINEST else _ROUNDED


def _like(source: etree._Element | None, measure: Measure) -> etree._Element:
    element = made("measure", number=(source.get("number") if source is not None else None) or measure.number)
    if measure.implicit:
        element.set("implicit", "yes")
    return element


def _copy_barlines(source: etree._Element | None, element: etree._Element) -> None:
    """Barlines run through all parts."""
    for barline in source.iterfind("barline") if source is not None else ():
        kept = [one for one in barline if one.tag in ("bar-style", "ending", "repeat")]
        copied = made("barline", location=barline.get("location", "right"))
        for one in kept:
            twin = made(str(one.tag), (one.text or "").strip())
            twin.attrib.update({name: value for name, value in one.attrib.items() if name != "id"})
            copied.append(twin)
        if copied.get("location") == "left":
            element.insert(0, copied)
        else:
            element.append(copied)


def _move(element: etree._Element, divisions: int) -> None:
    if divisions:
        tag = "forward" if divisions > 0 else "backup"
        element.append(holding(tag, made("duration", str(abs(divisions)))))


def _key(key: Key, fifths: int) -> etree._Element:
    if key.alters:
        pairs = ((made("key-step", step), made("key-alter", str(alter))) for step, alter in key.alters)
        return holding("key", *(one for pair in pairs for one in pair))
    return holding("key", made("fifths", str(fifths)))


def _time(metre: Metre | None) -> etree._Element:
    if metre is None:
        return holding("time", made("senza-misura"))
    top, bottom = metre.name.split("/")
    symbol = {"symbol": metre.symbol} if metre.symbol in ("common", "cut") else {}
    return holding("time", made("beats", top), made("beat-type", bottom), **symbol)


def _clef(clef: Clef) -> etree._Element:
    if clef.sign not in _SIGNS:
        return holding("clef", made("sign", "G"))
    octaves = (made("clef-octave-change", str(clef.octaves)),) if clef.octaves else ()
    return holding("clef", made("sign", clef.sign), made("line", str(clef.line)), *octaves)


def _pitch(pitch: Pitch) -> etree._Element:
    alter = (made("alter", str(pitch.alter)),) if pitch.alter else ()
    return holding("pitch", made("step", pitch.step), *alter, made("octave", str(pitch.octave)))


def _accidental(pitch: Pitch, key: Key, state: dict[tuple[str, int], int], always: bool) -> str:
    """The accidental that has to be printed, by key and measure; in a concert score every one that is not natural."""
    place = (pitch.step, pitch.octave)
    in_force = 0 if always and place not in state else state.get(place, key.alter_of(pitch.step))
    state[place] = pitch.alter
    return "" if pitch.alter == in_force else _ACCIDENTALS.get(pitch.alter, "")

"""Ossias: what is played instead, on a small staff over the notes that it stands for.

verovio draws an MEI `<ossia>` that holds the printed staff and the one above it. A passage that begins in the measure
before, or lasts into the next one, is cut at the barline and tied; passages that overlap are layers of one staff, for
verovio draws a second staff over the first.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import groupby

from lxml import etree

from coach.files.engraving.ids import mark_xml_id
from coach.files.engraving.mei import MEI, XML_ID
from coach.files.engraving.sheet import Sheet, around, mark_type, rend
from coach.files.engraving.spelling import Spelled, spelled
from coach.music.measure import Measure
from coach.music.pitch import Pitch
from coach.music.rhythm import Value
from coach.prepare.mark import Mark
from coach.prepare.written_out import Written, written_out

_ALTERS = {-2: "ff", -1: "f", 0: "n", 1: "s", 2: "x"}
_DURATIONS = {"breve": "breve", "long": "long", "maxima": "maxima", "whole": "1", "half": "2", "quarter": "4"}


@dataclass(frozen=True, slots=True)
class Event:
    """A note or rest of an ossia, in quarters from the start of the piece; `mark` is None for empty time. A grace note
    has no length."""

    mark: Mark | None
    pitch: Pitch | None
    onset_q: Fraction
    length_q: Fraction
    tied: str = ""
    label: str = ""

    @property
    def end_q(self) -> Fraction:
        """Where it ends."""
        return self.onset_q + self.length_q


def draw_ossias(sheet: Sheet, marks: Iterable[Mark]) -> None:
    """Put the passages of these marks (ornaments and alterations) over the measures they belong to."""
    rows = _rows(written_out(sheet.part, marks))
    for k, measure in enumerate(sheet.part.measures):
        inside = [_inside(row, measure) for row in rows]
        element = sheet.measure_element(k)
        if any(inside) and element is not None:
            _wrap(sheet, element, measure, [row for row in inside if row])


def _rows(passages: Iterable[tuple[Written, ...]]) -> list[list[Event]]:
    """The passages in as few layers as they need, each layer's events in order."""
    rows: list[list[Event]] = []
    for passage in sorted(passages, key=lambda passage: passage[0].onset_q):
        row = next((row for row in rows if row[-1].end_q <= passage[0].onset_q), None)
        if row is None:
            rows.append(row := [])
        row += [Event(one.mark, one.pitch, one.onset_q, one.length_q, label=one.label) for one in passage]
    return rows


def _inside(row: list[Event], measure: Measure) -> list[Event]:
    """The part of a staff's events that lies in a measure, with ties where the barline cuts them."""
    found = []
    for event in row:
        if not event.length_q and measure.onset_q <= event.onset_q < measure.end_q:
            found.append(event)
        start_q, end_q = max(event.onset_q, measure.onset_q), min(event.end_q, measure.end_q)
        if start_q < end_q:
            tied = ("t" if start_q > event.onset_q else "") + ("i" if end_q < event.end_q else "")
            found.append(replace(event, onset_q=start_q, length_q=end_q - start_q, tied=tied if event.pitch else ""))
    return found


def _wrap(sheet: Sheet, element: etree._Element, measure: Measure, rows: list[list[Event]]) -> None:
    staff = element.find(f".//{{{MEI}}}staff")
    if staff is None:
        return
    ossia = etree.Element(f"{{{MEI}}}ossia", {"type": "marks"})
    parent = around(staff, "measure")
    parent.replace(staff, ossia)
    small = etree.SubElement(ossia, f"{{{MEI}}}oStaff", {"n": staff.get("n") or "1"})
    states = {event.mark.state for row in rows for event in row if event.mark is not None}
    small.set("type", f"marks {'suggested' if states == {'suggested'} else 'kept'}")
    for k, row in enumerate(rows, 1):
        stems = "" if len(rows) == 1 else "up" if k % 2 else "down"
        _Layer(sheet, measure, etree.SubElement(small, f"{{{MEI}}}layer", {"n": str(k)}), stems).fill(row)
    ossia.append(staff)


class _Layer:
    """Writes one measure of an ossia."""

    def __init__(self, sheet: Sheet, measure: Measure, layer: etree._Element, stems: str) -> None:
        self.sheet, self.measure, self.layer, self.stems = sheet, measure, layer, stems
        self.altered: dict[tuple[str, int], int] = {}
        self.signed: set[str] = set()

    def fill(self, row: list[Event]) -> None:
        """Write the events, empty time before and between them, grouped in tuplets and beams."""
        pieces = [piece for event in self._with_gaps(row) for piece in self._pieces(event)]
        for group in _tuplets(pieces):
            holder = self.layer
            value = group[0][1].value
            if value.actual != value.normal:
                holder = etree.SubElement(
                    holder, f"{{{MEI}}}tuplet", {"num": str(value.actual), "numbase": str(value.normal)}
                )
            self._beams(holder, group)

    def _with_gaps(self, row: list[Event]) -> Iterator[Event]:
        at_q = self.measure.onset_q
        for event in row:
            if event.onset_q > at_q:
                yield Event(None, None, at_q, event.onset_q - at_q)
            yield event
            at_q = max(at_q, event.end_q)
        if at_q < self.measure.end_q:
            yield Event(None, None, at_q, self.measure.end_q - at_q)

    def _pieces(self, event: Event) -> Iterator[tuple[Event, Spelled]]:
        at_q = event.onset_q - self.measure.onset_q
        made = spelled(at_q, event.length_q) if event.length_q else (Spelled(at_q, Value("eighth")),)
        for k, piece in enumerate(made):
            tied = ("t" if k or "t" in event.tied else "") + ("i" if k + 1 < len(made) or "i" in event.tied else "")
            yield replace(event, tied=tied if event.pitch else ""), piece

    def _beams(self, holder: etree._Element, group: list[tuple[Event, Spelled]]) -> None:
        beat_q = self.measure.metre.beat_q if self.measure.metre is not None else Fraction(1)

        def beam(pair: tuple[Event, Spelled]) -> object:
            event, piece = pair
            flagged = event.pitch is not None and event.length_q > 0 and piece.value.kind not in _DURATIONS
            if event.pitch is not None and not event.length_q:
                return ("graces", event.onset_q)
            return piece.onset_q // beat_q if flagged else ("alone", piece.onset_q)

        for _, run in groupby(group, beam):
            members = list(run)
            into = etree.SubElement(holder, f"{{{MEI}}}beam") if len(members) > 1 else holder
            for event, piece in members:
                self._write(into, event, piece)

    def _write(self, into: etree._Element, event: Event, piece: Spelled) -> None:
        tag = "note" if event.pitch else "rest" if event.mark else "space"
        duration = {"dur": _DURATIONS.get(piece.value.kind) or "".join(filter(str.isdigit, piece.value.kind)) or "8"}
        if piece.value.dots:
            duration["dots"] = str(piece.value.dots)
        if event.pitch and not event.length_q:
            duration["grace"] = "unacc"
        if event.pitch and self.stems:
            duration["stem.dir"] = self.stems
        made = etree.SubElement(into, f"{{{MEI}}}{tag}", duration)
        if event.mark is not None:
            if event.mark.id in self.signed:
                made.set("type", mark_type(event.mark))
            else:
                self.sheet.signed(event.mark, made)
                self.signed.add(event.mark.id)
        if event.pitch is not None:
            self._spell(made, event.pitch, event.tied)
        if event.label and "t" not in event.tied:
            self._label(made, event)

    def _label(self, note: etree._Element, event: Event) -> None:
        """Words over a note of the ossia."""
        if event.mark is None:
            return
        name = note.get(XML_ID) or f"{mark_xml_id(event.mark.id)}-held"
        note.set(XML_ID, name)
        measure = around(self.layer, "measure")
        words = etree.SubElement(measure, f"{{{MEI}}}dir", {"startid": f"#{name}", "place": "above"})
        rend(self.sheet.signed(event.mark, words), event.label, fontstyle="italic")

    def _spell(self, note: etree._Element, pitch: Pitch, tied: str) -> None:
        note.set("pname", pitch.step.lower())
        note.set("oct", str(pitch.octave))
        if tied:
            note.set("tie", {"ti": "m"}.get(tied, tied))
        here = (pitch.step, pitch.octave)
        expected = self.altered.get(here, self.measure.key.alter_of(pitch.step))
        if "t" not in tied and pitch.alter != expected and pitch.alter in _ALTERS:
            etree.SubElement(note, f"{{{MEI}}}accid", {"accid": _ALTERS[pitch.alter]})
            self.altered[here] = pitch.alter


def _tuplets(pieces: list[tuple[Event, Spelled]]) -> Iterator[list[tuple[Event, Spelled]]]:
    """The pieces in groups that share a ratio, a group of a tuplet closed where it fills a binary length."""
    group: list[tuple[Event, Spelled]] = []
    for pair in pieces:
        if group and (group[-1][1].ratio != pair[1].ratio or (pair[1].ratio != (1, 1) and _is_full(group))):
            yield group
            group = []
        group.append(pair)
    if group:
        yield group


def _is_full(group: list[tuple[Event, Spelled]]) -> bool:
    total_q = sum((piece.value.length_q for _, piece in group), Fraction(0))
    return total_q.denominator & (total_q.denominator - 1) == 0

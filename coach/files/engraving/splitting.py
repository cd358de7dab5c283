"""Measures too full for a system, divided at a beat: the MEI gets several measures with no barline between them.

What hangs on a time stamp (dynamics, words, hairpins) moves to the part of the measure it falls in. A measure with
several layers, or whose beams and tuplets leave no beat to cut at, stays whole and is pressed together.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from lxml import etree

from coach.files.engraving.ids import note_id
from coach.files.engraving.mei import MEI, XML_ID, MeasureElement, measure_elements
from coach.music.measure import Measure
from coach.music.metre import Metre
from coach.music.note import Note

_HEAD = 1.75  # spaces that a note needs, its share of the white around it included
_ACCIDENTAL, _GRACE, _DOT, _EDGE = 1.8, 1.5, 0.5, 2.0


@dataclass(frozen=True, slots=True)
class _Cut:
    """A measure's parts: where each begins, in quarters from the start of the measure; the first is 0."""

    starts: tuple[Fraction, ...]
    unit_q: Fraction

    def part_of(self, at_q: Fraction) -> int:
        return max(k for k, start in enumerate(self.starts) if start <= at_q or k == 0)


def spaces_wanted(notes: Sequence[Note]) -> float:
    """The fewest staff spaces that notes and rests can be read in."""
    wanted = _EDGE
    for note in notes:
        graces = len(note.graces) + len(note.after_graces)
        dots = note.value.dots if note.value else 0
        wanted += _HEAD + graces * _GRACE + dots * _DOT + (_ACCIDENTAL if note.accidental else 0)
    return wanted


def split_wide(mei: etree._Element, measures: Sequence[Measure], metres: Sequence[Metre | None], room: float) -> bool:
    """Divide, in place, every measure that wants more than `room` spaces; tells whether any was."""
    places = measure_elements(mei, len(measures))
    cuts = [_cut(place, measures[place.first], metres[place.first], room) for place in places]
    if not any(len(cut.starts) > 1 for cut in cuts):
        return False
    for k, (place, cut) in enumerate(zip(places, cuts, strict=True)):
        _divide(place.element, measures[place.first], cut, cuts[k:])
    return True


def _cut(place: MeasureElement, measure: Measure, metre: Metre | None, room: float) -> _Cut:
    unit_q = metre.unit_q if metre else Fraction(1)
    whole = _Cut((Fraction(0),), unit_q)
    layers = place.element.findall(f"{{{MEI}}}staff/{{{MEI}}}layer")
    if metre is None or place.first != place.last or len(layers) != 1 or spaces_wanted(measure.notes) <= room:
        return whole
    beats = {beat for beat in metre.beat_onsets_q()}
    possible = [at_q for at_q in _onsets(layers[0], measure) if at_q in beats and at_q > 0]
    starts = [Fraction(0)]
    for at_q, after_q in zip(possible, [*possible, measure.length_q][1:], strict=True):
        so_far = [n for n in measure.notes if starts[-1] <= n.onset_q - measure.onset_q < after_q]
        if spaces_wanted(so_far) > room and at_q > starts[-1]:
            starts.append(at_q)
    return _Cut(tuple(starts), unit_q)


def _onsets(layer: etree._Element, measure: Measure) -> list[Fraction]:
    """Where the children of a layer begin, in quarters from the start of the measure."""
    return [at for at in (_onset(child, measure) for child in layer) if at is not None]


def _onset(child: etree._Element, measure: Measure) -> Fraction | None:
    """Where a child of a layer begins; a grace goes with the note that it leads to."""
    onsets = {note.id: note.onset_q for note in measure.notes}
    onsets |= {grace.id: note.onset_q for note in measure.notes for grace in note.graces}
    for one in child.iter():
        name = note_id(one.get(XML_ID) or "")
        if name in onsets:
            return onsets[name] - measure.onset_q
    return None


def _divide(element: etree._Element, measure: Measure, cut: _Cut, after: Sequence[_Cut]) -> None:
    parts = [element]
    for k in range(1, len(cut.starts)):
        part = _empty(element)
        parts[-1].addnext(part)
        parts.append(part)
        part.set(XML_ID, f"{element.get(XML_ID)}-{k}")
    _share_notes(element, parts, measure, cut)
    for child in list(element):
        if child.tag == f"{{{MEI}}}staff":
            continue
        stamp = child.get("tstamp")
        if stamp is None:
            continue
        at_q = (Fraction(stamp) - 1) * cut.unit_q
        k = cut.part_of(at_q)
        child.set("tstamp", _stamp((at_q - cut.starts[k]) / cut.unit_q + 1))
        if child.get("tstamp2"):
            child.set("tstamp2", _end(child.get("tstamp2", ""), k, after))
        if k:
            parts[k].append(child)
    if len(parts) > 1:
        last = parts[-1]
        for name in ("right",):
            if name in element.attrib:
                last.set(name, element.attrib.pop(name))
        for part in parts[:-1]:
            part.set("right", "invis")


def _empty(element: etree._Element) -> etree._Element:
    """A measure with the staff and layer of another and nothing in them."""
    part = etree.Element(element.tag, {"metcon": "false"})
    for staff in element.findall(f"{{{MEI}}}staff"):
        own = etree.SubElement(part, staff.tag, {"n": staff.get("n", "1")})
        for layer in staff.findall(f"{{{MEI}}}layer"):
            etree.SubElement(own, layer.tag, {"n": layer.get("n", "1")})
    return part


def _share_notes(element: etree._Element, parts: list[etree._Element], measure: Measure, cut: _Cut) -> None:
    if len(parts) == 1:
        return
    element.set("metcon", "false")
    layer = element.find(f"{{{MEI}}}staff/{{{MEI}}}layer")
    layers = [part.find(f"{{{MEI}}}staff/{{{MEI}}}layer") for part in parts]
    k = 0
    for child in list(layer) if layer is not None else []:
        at_q = _onset(child, measure)
        k = k if at_q is None else cut.part_of(at_q)
        target = layers[k]
        if k and target is not None:
            target.append(child)


def _end(stamp: str, k: int, after: Sequence[_Cut]) -> str:
    """An end "2m+3.5" counted in the divided measures; `k` is the part that the beginning lies in."""
    count, _, beat = stamp.partition("m+")
    ahead = min(int(count), len(after) - 1)
    cut = after[ahead]
    at_q = (Fraction(beat) - 1) * cut.unit_q
    part = cut.part_of(at_q)
    passed = sum(len(one.starts) for one in after[:ahead]) + part - k
    return f"{passed}m+{_stamp((at_q - cut.starts[part]) / cut.unit_q + 1)}"


def _stamp(beat: Fraction) -> str:
    return f"{float(beat):.5f}".rstrip("0").rstrip(".")

"""The pencilled MEI made ready for paper: its own breaks and headings taken out, measures of rest counted together."""

from collections.abc import Sequence
from copy import deepcopy
from dataclasses import dataclass, replace
from fractions import Fraction

from lxml import etree

from coach.files.engraving.ids import xml_id
from coach.files.engraving.mei import MEI, XML_ID, space_tempo
from coach.music.measure import Measure
from coach.music.part import Part

_OURS = ("pb", "sb", "pgHead", "pgFoot", "label", "labelAbbr")


@dataclass(frozen=True, slots=True)
class Leaf:
    """A measure element, one that stands for several measures of rest, or one of several for a measure too wide for a
    line; `first` and `last` are the indices of the measures."""

    element: etree._Element
    first: int
    last: int


def leaves(root: etree._Element, part: Part) -> tuple[etree._Element, tuple[Leaf, ...]]:
    """A copy for paper, and its measures in order."""
    copy = deepcopy(root)
    for tag in _OURS:
        for element in list(copy.iter(f"{{{MEI}}}{tag}")):
            _remove(element)
    for tempo in copy.iter(f"{{{MEI}}}tempo"):
        space_tempo(tempo)
    found = tuple(_measures(copy, part))
    for leaf in found:
        for hairpin in leaf.element.iter(f"{{{MEI}}}hairpin"):
            _end_at_the_barline(hairpin, part.measures[leaf.first :])
    return copy, tuple(_counted(found, part))


def _remove(element: etree._Element) -> None:
    parent = element.getparent()
    if parent is not None:
        parent.remove(element)


def _end_at_the_barline(hairpin: etree._Element, measures: Sequence[Measure]) -> None:
    """A hairpin up to the first beat of a measure ends at the barline before it, or verovio begins a line with its tip.
    `measures` are those from the hairpin's own on."""
    bars, _, beat = (hairpin.get("tstamp2") or "").partition("m+")
    if bars.isdigit() and 0 < int(bars) <= len(measures) and beat in ("1", "1.0", "0"):
        last = measures[int(bars) - 1]
        unit_q = last.metre.unit_q if last.metre is not None else Fraction(1)
        hairpin.set("tstamp2", f"{int(bars) - 1}m+{float(1 + last.length_q / unit_q):g}")


def _measures(root: etree._Element, part: Part) -> list[Leaf]:
    """The measure elements in order, with the measures they are; one without a note of ours follows on the one before
    it, and stands for as many measures as its rest counts."""
    number = {xml_id(note.id): k for k, measure in enumerate(part.measures) for note in measure.notes}
    found: list[Leaf] = []
    for element in root.iter(f"{{{MEI}}}measure"):
        after = found[-1].last + 1 if found else 0
        known = [number[name] for e in element.iter() if (name := str(e.get(XML_ID))) in number]
        first = min(known, default=after)
        counted = [int(rest.get("num") or 1) for rest in element.iter(f"{{{MEI}}}multiRest")]
        last = min(first + max(counted, default=1), len(part.measures)) - 1
        if found and first > after:
            found[-1] = replace(found[-1], last=first - 1)
        divided = bool(found) and known != [] and found[-1].first == found[-1].last == first
        if divided or after <= first <= last:
            found.append(Leaf(element, first, first if divided else last))
    if found:
        found[-1] = replace(found[-1], last=len(part.measures) - 1)
    return found


def _counted(found: tuple[Leaf, ...], part: Part) -> list[Leaf]:
    """The leaves, with runs of measures in which nothing happens made one leaf each."""
    made: list[Leaf] = []
    run: list[Leaf] = []
    for leaf in found:
        rests = (
            leaf.first == leaf.last
            and "metcon" not in leaf.element.attrib
            and _only_rests(part.measures[leaf.first])
            and not _has_marks(leaf.element)
        )
        if run and not (rests and _follows(run[-1], leaf)):
            made.append(_joined(run))
            run = []
        if rests:
            run.append(leaf)
        else:
            made.append(leaf)
    return [*made, _joined(run)] if run else made


def _only_rests(measure: Measure) -> bool:
    whole = measure.metre is None or measure.length_q == measure.metre.length_q
    return whole and all(note.is_rest and not note.fermata for note in (*measure.notes, *measure.others))


def _has_marks(element: etree._Element) -> bool:
    return any("mark" in (child.get("type") or "").split() for child in element.iter())


def _follows(before: Leaf, leaf: Leaf) -> bool:
    """Whether nothing is printed at this measure, or between the two, that counting together would hide."""
    quiet = leaf.element.getprevious() is before.element and "left" not in leaf.element.attrib
    said = [child for child in leaf.element if child.tag != f"{{{MEI}}}staff"]
    return quiet and "right" not in before.element.attrib and not said and not _changes(leaf.element)


def _changes(element: etree._Element) -> bool:
    return any(True for tag in ("clef", "keySig", "meterSig") for _ in element.iter(f"{{{MEI}}}{tag}"))


def _joined(run: list[Leaf]) -> Leaf:
    """One leaf for measures of rest; the last one's barline ends it."""
    first, last = run[0].element, run[-1].element
    if len(run) > 1:
        if "right" in last.attrib:
            first.set("right", str(last.get("right")))
        for layer in list(first.iter(f"{{{MEI}}}layer"))[:1]:
            for child in list(layer):
                layer.remove(child)
            etree.SubElement(layer, f"{{{MEI}}}multiRest", {"num": str(len(run))})
        for leaf in run[1:]:
            _remove(leaf.element)
    return Leaf(first, run[0].first, run[-1].last)


def break_at(found: tuple[Leaf, ...], pages: tuple[tuple[int, ...], ...]) -> list[etree._Element]:
    """Write line and page breaks into the MEI; `pages` as `turns.plan` gives them. Returns what was put in."""
    starts = {lines[-1]: "pb" for lines in pages[:-1]}
    for lines in pages:
        for end in lines[:-1]:
            starts.setdefault(end, "sb")
    made = []
    for k, tag in starts.items():
        made.append(etree.Element(f"{{{MEI}}}{tag}"))
        found[k].element.addprevious(made[-1])
    return made

"""A tree made a document of MusicXML 4.0, touched only where it is none; what our reader finds in it stays.

Mended: time before parts, parts that the list lacks, wrong order, values and attributes that the schema forbids and
that say nothing (a program 0, an empty accidental), elements that lack a part. The orders are those of the 4.0 schema.
"""

import re
from collections.abc import Callable

from lxml import etree

from coach.files.marked.page import made
from coach.music.rhythm import VALUE_Q

VERSION = "4.0"

ORDER: dict[str, tuple[str, ...]] = {
    name: tuple(children.split())
    for name, children in (
        line.split(": ", 1)
        for line in """
score-partwise: work movement-number movement-title identification defaults credit part-list part
identification: creator rights encoding source relation miscellaneous
score-part: identification part-link part-name part-name-display part-abbreviation part-abbreviation-display group score-instrument player midi-device midi-instrument
midi-instrument: midi-channel midi-name midi-bank midi-program midi-unpitched volume pan elevation
attributes: footnote level divisions key time staves part-symbol instruments clef staff-details transpose for-part directive measure-style
clef: sign line clef-octave-change
transpose: diatonic chromatic octave-change double
note: grace cue chord pitch unpitched rest duration tie instrument footnote level voice type dot accidental time-modification stem notehead notehead-text staff beam notations lyric play listen
pitch: step alter octave
unpitched: display-step display-octave
time-modification: actual-notes normal-notes normal-type normal-dot
direction: direction-type offset footnote level voice staff sound listening
barline: bar-style footnote level wavy-line segno coda fermata ending repeat
forward: duration footnote level voice staff
backup: duration footnote level
degree: degree-value degree-alter degree-type
work: work-number work-title opus
""".strip().splitlines()  # noqa: E501  one line an element
    )
}
_ONCE = frozenset("voice type accidental staff duration pitch step octave".split())
_ACCIDENTALS = frozenset(
    """
    sharp natural flat double-sharp sharp-sharp flat-flat natural-sharp natural-flat quarter-flat quarter-sharp
    three-quarters-flat three-quarters-sharp sharp-down sharp-up natural-down natural-up flat-down flat-up
    double-sharp-down double-sharp-up flat-flat-down flat-flat-up arrow-down arrow-up triple-sharp triple-flat
    slash-quarter-sharp slash-sharp slash-flat double-slash-flat sharp-1 sharp-2 sharp-3 sharp-5 flat-1 flat-2 flat-3
    flat-4 sori koron other
    """.split()
)
_KINDS = frozenset(
    """
    major minor augmented diminished dominant major-seventh minor-seventh diminished-seventh augmented-seventh
    half-diminished major-minor major-sixth minor-sixth dominant-ninth major-ninth minor-ninth dominant-11th major-11th
    minor-11th dominant-13th major-13th minor-13th suspended-second suspended-fourth Neapolitan Italian French German
    pedal power Tristan other none
    """.split()
)
_DECIMAL = re.compile(r"\s*[+-]?(\d+(\.\d*)?|\.\d+)\s*")
_COLOUR = re.compile(r"#[\dA-F]{6}([\dA-F]{2})?")
_NAME = re.compile(r"[^\W\d][\w.-]*")  # of an id, as XML has it but for some rare letters
_NUMBERS = ("default-x", "default-y", "relative-x", "relative-y", "width")
_POSITIVE = ("dynamics", "end-dynamics", "tempo")


def mend(root: etree._Element) -> None:
    """Make the tree a partwise document of MusicXML 4.0, in place; elements stay the same objects."""
    if root.tag == "score-timewise":
        _turn(root)
    root.set("version", VERSION)
    _join_parts(root)
    _list_parts(root)
    for element in [one for one in root.iter(etree.Element) if one is not root]:
        if element.getparent() is not None:
            _MENDERS.get(element.tag, _leave)(element)
        _mend_attributes(element)
    for element in root.iter(*ORDER):
        _sort(element)
    _free_ids(root)


def _turn(root: etree._Element) -> None:
    """Measures of parts into parts of measures. The reader has given each the attributes of its measure."""
    root.tag = "score-partwise"
    parts: dict[str, etree._Element] = {}
    measures = root.findall("measure")
    for measure in measures:
        for part in measure.findall("part"):
            name = part.get("id") or ""
            if name not in parts:
                parts[name] = etree.SubElement(root, "part", id=name)
            part.tag = "measure"
            del part.attrib["id"]
            for attribute, value in measure.attrib.items():
                if attribute != "id":
                    part.set(attribute, value)
            parts[name].append(part)
    for measure in measures:
        root.remove(measure)


def _join_parts(root: etree._Element) -> None:
    """Parts of one id are one part; a part without measures is none."""
    first: dict[str, etree._Element] = {}
    for part in root.findall("part"):
        known = first.setdefault(part.get("id") or "", part)
        if known is not part:
            known.extend(list(part))
        if known is not part or part.find("measure") is None:
            root.remove(part)


def _list_parts(root: etree._Element) -> None:
    """Every part is announced."""
    listed = root.find("part-list")
    if listed is None:
        listed = made("part-list")
        root.insert(0, listed)
    known = {one.get("id") for one in listed.iterfind("score-part")}
    for part in root.iterfind("part"):
        if part.get("id") not in known:
            announced = etree.SubElement(listed, "score-part", id=part.get("id") or "")
            etree.SubElement(announced, "part-name")
            known.add(part.get("id"))
    for announced in listed.iterfind("score-part"):
        if announced.find("part-name") is None:
            etree.SubElement(announced, "part-name")


def _sort(element: etree._Element) -> None:
    """The children in the order of the schema, those that it does not know left out."""
    order = ORDER[element.tag]
    children = [child for child in element if isinstance(child.tag, str)]
    known = [child for child in children if child.tag in order]
    if len(known) < len(children):
        for child in children:
            if child.tag not in order:
                element.remove(child)
    places = [order.index(child.tag) for child in known]
    if places != sorted(places) and element.tag != "score-part":
        _lay(element, known, order)
    elif element.tag == "score-part":
        last = order.index("player")  # after it devices and instruments take turns
        if [place for place in places if place <= last] != sorted(place for place in places if place <= last):
            _lay(element, known, order)


def _lay(element: etree._Element, children: list[etree._Element], order: tuple[str, ...]) -> None:
    for child in sorted(children, key=lambda one: order.index(one.tag)):
        element.append(child)


def _mend_attributes(element: etree._Element) -> None:
    colour = element.get("color")
    if colour is not None:
        element.set("color", colour.strip().upper())
    for name, value in [(str(name), str(value)) for name, value in element.attrib.items()]:
        bad = (
            (name in _NUMBERS and not _DECIMAL.fullmatch(value))
            or (name in _POSITIVE and element.tag in ("sound", "note") and not _at_least(value, 0))
            or (name == "color" and not _COLOUR.fullmatch(value))
        )
        if bad:
            del element.attrib[name]


def _free_ids(root: etree._Element) -> None:
    """An id is a name and names one element; parts, instruments and players keep theirs, or get a letter before it."""
    used: set[str] = set()
    named = [one for one in root.iter(etree.Element) if one.get("id") is not None]
    for element in named:
        name = element.get("id") or ""
        if not _NAME.fullmatch(name):
            element.set("id", "P" + re.sub(r"[^\w.-]", "-", name))
    tags = ("score-part", "score-instrument", "player")
    for element in (*(one for one in named if one.tag in tags), *(one for one in named if one.tag not in tags)):
        if element.tag in ("part", "midi-instrument", "midi-device", "instrument", "instrument-change"):
            continue  # these point to an id
        name = element.get("id") or ""
        if name in used:
            del element.attrib["id"]
        used.add(name)


def _at_least(text: str, least: float) -> bool:
    return bool(_DECIMAL.fullmatch(text)) and float(text) >= least


def _leave(element: etree._Element) -> None:
    """Nothing to mend."""


def _take_out(element: etree._Element) -> None:
    above = element.getparent()
    if above is not None:
        above.remove(element)


def _mend_move(element: etree._Element) -> None:
    if not _moves(element):
        _take_out(element)


def _moves(element: etree._Element) -> bool:
    text = element.findtext("duration") or ""
    return not _DECIMAL.fullmatch(text) or float(text) != 0


def _mend_note(element: etree._Element) -> None:
    """A note that lasts no time and has no value is none to any reader; one with a value keeps it. What a note can have
    once it has once: the reader takes the last."""
    if element.find("grace") is not None:
        for duration in element.findall("duration"):
            element.remove(duration)
    elif element.find("duration") is not None and not _moves(element):
        if element.find("type") is None:
            _take_out(element)
            return
        element.find("duration").text = "0.000001"  # type: ignore[union-attr]
    if all(element.find(name) is None for name in ("pitch", "unpitched", "rest")):
        element.insert(0, made("rest"))
    for name in _ONCE:
        for extra in element.findall(name)[:-1]:
            element.remove(extra)


def _mend_accidental(element: etree._Element) -> None:
    text = (element.text or "").strip()
    if text == "double-flat":
        element.text = "flat-flat"
    elif not text:
        _take_out(element)
    elif text not in _ACCIDENTALS:
        element.text = "other"


def _mend_type(element: etree._Element) -> None:
    """A word that is no note value: the reader takes the duration."""
    if (element.text or "").strip() not in VALUE_Q:
        _take_out(element)


def _mend_program(element: etree._Element) -> None:
    text = (element.text or "").strip()
    if not (text.isascii() and text.isdigit() and 1 <= int(text) <= 128):
        _take_out(element)


def _mend_accordion(element: etree._Element) -> None:
    if (element.text or "").strip() not in ("1", "2", "3"):
        _take_out(element)


def _mend_kind(element: etree._Element) -> None:
    text = (element.text or "").strip()
    if text not in _KINDS:
        element.set("text", element.get("text") or text)
        element.text = "other"


def _mend_degree(element: etree._Element) -> None:
    """One value a degree; what is not altered is altered by 0."""
    second = next(iter(element.findall("degree-value")[1:]), None)
    if second is not None:
        rest = made("degree")
        element.addnext(rest)
        rest.extend([second, *second.itersiblings()])
        _mend_degree(rest)
    if element.find("degree-alter") is None:
        element.append(made("degree-alter", "0"))


def _mend_figures(element: etree._Element) -> None:
    if element.find("figure") is None:
        element.insert(0, made("figure"))


def _mend_measure(element: etree._Element) -> None:
    """The reader numbers a measure that has no number by its place; the schema wants one."""
    if element.get("number") is None:
        element.set("number", "")


_MENDERS: dict[str, Callable[[etree._Element], None]] = {
    "forward": _mend_move,
    "backup": _mend_move,
    "note": _mend_note,
    "accidental": _mend_accidental,
    "type": _mend_type,
    "midi-program": _mend_program,
    "accordion-middle": _mend_accordion,
    "kind": _mend_kind,
    "degree": _mend_degree,
    "figured-bass": _mend_figures,
    "measure": _mend_measure,
}

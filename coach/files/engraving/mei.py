"""The practised part as MEI, with our note ids, ready to be pencilled in."""

import re
from copy import deepcopy
from dataclasses import dataclass

from lxml import etree

from coach.files.engraving.ids import xml_id
from coach.files.engraving.toolkit import load, toolkit
from coach.files.score import WrittenScore

MEI = "http://www.music-encoding.org/ns/mei"
XML_ID = "{http://www.w3.org/XML/1998/namespace}id"


def part_tree(score: WrittenScore) -> etree._Element:
    """A copy of the score's tree with the practised part alone; its notes bear the XML ids of their note ids."""
    names = {element: xml_id(name) for name, element in score.written.notes.items()}
    kept = [element.get("id") for element in names]
    for element, name in names.items():
        element.set("id", name)
    root = deepcopy(score.root)
    for element, before in zip(names, kept, strict=True):
        _restore(element, before)
    if root.tag == "score-timewise":
        root = _partwise(root)
    for part in root.findall("part"):
        if part.get("id") != score.written.part:
            root.remove(part)
    listed = root.find("part-list")
    if listed is not None:
        for child in list(listed):
            if child.tag != "score-part" or child.get("id") != score.written.part:
                listed.remove(child)
    return root


def part_mei(score: WrittenScore) -> etree._Element:
    """The practised part as an MEI document. Raises ScoreError."""
    tool = toolkit(breaks="none", xmlIdSeed=1)
    load(tool, etree.tostring(part_tree(score), encoding="unicode"), score.piece.title)
    return etree.fromstring(tool.getMEI().encode())


@dataclass(frozen=True, slots=True)
class MeasureElement:
    """A measure of an MEI document and the measures of the part that stand in it, by index: several in a rest over
    several measures, the same ones again in the later parts of a divided one."""

    element: etree._Element
    first: int
    last: int


def measure_elements(mei: etree._Element, count: int) -> tuple[MeasureElement, ...]:
    """The measures of a document of a part of `count` measures, in order; none if they do not come out even."""
    found: list[MeasureElement] = []
    base = ""  # the id of the measure that the parts belong to
    for element in mei.iter(f"{{{MEI}}}measure"):
        name = element.get(XML_ID) or ""
        if found and name.startswith(base) and _DIVIDED.fullmatch(name.removeprefix(base)):
            found.append(MeasureElement(element, found[-1].first, found[-1].last))
            continue
        base, start = name, found[-1].last + 1 if found else 0
        rest = element.find(f".//{{{MEI}}}multiRest")
        length = int(rest.get("num") or 1) if rest is not None else 1
        found.append(MeasureElement(element, start, start + length - 1))
    return tuple(found) if found and found[-1].last == count - 1 else ()


_DIVIDED = re.compile(r"-\d+")


def space_tempo(tempo: etree._Element) -> None:
    """Words and a metronome mark stand apart, a note value and its dots together; verovio's import does the reverse."""
    for sign in tempo.findall(f"{{{MEI}}}rend[@glyph.auth]"):
        sign.text = "".join((sign.text or "").split())
        before = sign.getprevious()
        if before is not None and before.text and not (before.tail or "").strip():
            before.tail = "\u00a0 "


def _restore(element: etree._Element, before: str | None) -> None:
    if before is None:
        del element.attrib["id"]
    else:
        element.set("id", before)


def _attributes(element: etree._Element) -> dict[str, str]:
    return {str(name): str(value) for name, value in element.attrib.items()}


def _partwise(root: etree._Element) -> etree._Element:
    """A timewise score turned round."""
    turned = etree.Element("score-partwise", _attributes(root))
    parts: dict[str, etree._Element] = {}
    for child in list(root):
        if child.tag != "measure":
            turned.append(child)
            continue
        for part in list(child):
            name = part.get("id") or ""
            if name not in parts:
                parts[name] = etree.Element("part", {"id": name})
            measure = etree.SubElement(parts[name], "measure", _attributes(child))
            measure.extend(list(part))
    turned.extend(parts.values())
    return turned

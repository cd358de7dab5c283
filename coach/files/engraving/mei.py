"""The practised part as MEI, with our note ids, ready to be pencilled in."""

from copy import deepcopy

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

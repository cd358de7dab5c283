"""The MEI of a part while it is being pencilled in: where its notes stand, and how a sign is put at one of them.

What is added carries the XML id of its mark (`ids.mark_xml_id`) and the type "mark <state> <origin> <kind>", which
verovio writes into the class of the shapes it draws.
"""

from collections import Counter
from collections.abc import Iterator
from copy import deepcopy
from fractions import Fraction

from lxml import etree

from coach.files.engraving.ids import mark_xml_id, xml_id
from coach.files.engraving.mei import MEI, XML_ID
from coach.music.measure import Measure
from coach.music.note import Note
from coach.music.part import Part
from coach.music.text import one_line
from coach.prepare.mark import Mark


class Sheet:
    """A copy of an MEI document, with its notes and those of the part found by id."""

    def __init__(self, mei: etree._Element, part: Part) -> None:
        self.root = deepcopy(mei)
        self.part = part
        self.elements = {str(element.get(XML_ID)): element for element in self.root.iter() if element.get(XML_ID)}
        self.owners = dict(_owners(part))
        self.number = {note.id: k for k, measure in enumerate(part.measures) for note in measure.notes}
        self._signs: Counter[str] = Counter()

    def element(self, note_id: str) -> etree._Element | None:
        """The element of a note, grace or rest, None where the page has none."""
        return self.elements.get(xml_id(note_id)) if note_id in self.owners else None

    def measure_of(self, note_id: str) -> Measure:
        """The measure of the part in which a note stands."""
        return self.part.measures[self.number[self.owners[note_id].id]]

    def measure_element(self, k: int) -> etree._Element | None:
        """The element of the k-th measure of the part, None where no note of it stands on the page."""
        for note in self.part.measures[k].notes:
            found = self.elements.get(xml_id(note.id))
            if found is not None:
                return around(found, "measure")
        return None

    def put(self, mark: Mark, at: str, tag: str, text: str = "", **attributes: str) -> etree._Element:
        """Add a sign that begins at a note; text stands as it is, a whole measure's rest is met by its time."""
        note, element = self.owners[at], self.elements[xml_id(at)]
        if note.is_rest and element.tag != f"{{{MEI}}}rest":
            attributes = {**self.place_at(note, Fraction(0)), **attributes}
        elif "tstamp" not in attributes:
            attributes["startid"] = f"#{xml_id(at)}"
        made = etree.SubElement(around(element, "measure"), f"{{{MEI}}}{tag}", attributes)
        made.text = one_line(text) or None
        return self.signed(mark, made)

    def signed(self, mark: Mark, element: etree._Element) -> etree._Element:
        """Give an element the mark's id and type."""
        self._signs[mark.id] += 1
        element.set(XML_ID, mark_xml_id(mark.id, self._signs[mark.id]))
        element.set("type", mark_type(mark))
        return element

    def place_at(self, note: Note, share: Fraction) -> dict[str, str]:
        """The attributes of a place in time: a share of the note's length after its onset."""
        measure = self.part.measures[self.number[note.id]]
        unit_q = measure.metre.unit_q if measure.metre is not None else Fraction(1)
        beats = (note.onset_q + note.length_q * share - measure.onset_q) / unit_q
        staff = around(self.elements[xml_id(note.id)], "staff")
        return {"tstamp": f"{float(1 + beats):.4f}", "staff": staff.get("n") or "1"}


def mark_type(mark: Mark) -> str:
    """What tells a mark's shapes from printed ones, and kept marks from suggested ones."""
    return f"mark {mark.state} {mark.origin} {mark.kind}"


def around(element: etree._Element, tag: str) -> etree._Element:
    """The nearest element of that name that holds this one."""
    return next(element.iterancestors(f"{{{MEI}}}{tag}"))


def rend(parent: etree._Element, text: str, **attributes: str) -> None:
    """Add text in a hand of its own, such as small italics."""
    etree.SubElement(parent, f"{{{MEI}}}rend", attributes).text = one_line(text)


def _owners(part: Part) -> Iterator[tuple[str, Note]]:
    """Each id of a note or rest with the note, each grace's with its main note."""
    for note in part.notes():
        yield note.id, note
        for grace in (*note.graces, *note.after_graces):
            yield grace.id, note

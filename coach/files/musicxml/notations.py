"""What is printed at a note: the children of `<notations>`."""

from collections.abc import Callable

from lxml import etree

from coach.files.musicxml.numbers import attribute_number, text_of
from coach.files.musicxml.raw import Head
from coach.files.musicxml.vocabulary import DRAWING, dynamic_text
from coach.music.note import Fingering, Ornament, SlurEnd


def read_notations(head: Head, element: etree._Element) -> None:
    """Add everything printed at the note to its head. Raises Malformed."""
    for child in element:
        read = _READERS.get(child.tag)
        if read is not None:
            read(head, child)


def kept_attributes(element: etree._Element) -> tuple[tuple[str, str], ...]:
    """The attributes that say something about the music, in the file's own words."""
    return tuple((str(name), str(value)) for name, value in element.attrib.items() if name not in DRAWING)


def _read_tied(head: Head, element: etree._Element) -> None:
    kind = element.get("type", "")
    if kind == "let-ring":
        head.articulations.append("let-ring")
    elif kind in ("start", "stop", "continue") and kind != head.tie:
        head.tie = kind if head.tie is None else "continue"


def _read_slur(head: Head, element: etree._Element) -> None:
    kind = element.get("type", "")
    if kind in ("start", "stop", "continue"):
        end = SlurEnd(kind, attribute_number(element, "number", 1) or 1)
        if end not in head.slurs:
            head.slurs.append(end)


def _read_articulations(head: Head, element: etree._Element) -> None:
    for child in element:
        if child.tag == "breath-mark":
            head.breath = text_of(child) or "comma"
        elif child.tag == "caesura":
            head.caesura = True
        elif child.tag == "other-articulation":
            head.articulations.append(text_of(child) or child.get("smufl") or "other-articulation")
        elif child.tag not in head.articulations:
            head.articulations.append(child.tag)


def _read_ornaments(head: Head, element: etree._Element) -> None:
    for child in element:
        if child.tag == "accidental-mark":
            _read_accidental_mark(head, child)
        else:
            head.ornaments.append(Ornament(child.tag, (), kept_attributes(child), text_of(child)))


def _read_accidental_mark(head: Head, element: etree._Element) -> None:
    mark = (element.get("placement") or "above", text_of(element))
    if head.ornaments:
        last = head.ornaments[-1]
        head.ornaments[-1] = Ornament(last.kind, (*last.accidentals, mark), last.attributes, last.text)
    else:
        head.ornaments.append(Ornament("accidental-mark", (mark,)))


def _read_technical(head: Head, element: etree._Element) -> None:
    for child in element:
        inner = tuple((grandchild.tag, text_of(grandchild)) for grandchild in child)
        head.fingerings.append(Fingering(text_of(child), child.tag, kept_attributes(child) + inner))


def _read_dynamics(head: Head, element: etree._Element) -> None:
    mark = dynamic_text(element)
    if mark:
        head.dynamics.append(mark)


def _read_fermata(head: Head, element: etree._Element) -> None:
    head.fermata = True


def _read_line(head: Head, element: etree._Element) -> None:
    head.articulations.append(f"{element.tag}-{element.get('type', 'start')}")


def _read_arpeggio(head: Head, element: etree._Element) -> None:
    head.articulations.append(element.tag)


_READERS: dict[str, Callable[[Head, etree._Element], None]] = {
    "tied": _read_tied,
    "slur": _read_slur,
    "articulations": _read_articulations,
    "ornaments": _read_ornaments,
    "accidental-mark": _read_accidental_mark,
    "technical": _read_technical,
    "dynamics": _read_dynamics,
    "fermata": _read_fermata,
    "glissando": _read_line,
    "slide": _read_line,
    "arpeggiate": _read_arpeggio,
    "non-arpeggiate": _read_arpeggio,
}

"""What stands before the music: title, people, rights, and the list of parts."""

from dataclasses import dataclass

from lxml import etree

from coach.files.musicxml.numbers import text_of


@dataclass(frozen=True, slots=True)
class PartHeader:
    """A part as the file announces it; `midi_program` counts from 0."""

    id: str
    name: str
    instrument: str = ""
    sounds: tuple[str, ...] = ()
    midi_program: int | None = None


def read_title(root: etree._Element) -> str:
    """The work and the movement; else a credit that says it is the title; else nothing."""
    work, movement = _line(root.find("work/work-title")), _line(root.find("movement-title"))
    number = _line(root.find("movement-number"))
    if work and movement and movement.lower() not in work.lower():
        return f"{work}: {movement}"
    if work and number and not movement:
        return f"{work}, {number}"
    return work or movement or _credited_title(root)


def _credited_title(root: etree._Element) -> str:
    for credit in root.iterfind("credit"):
        if text_of(credit.find("credit-type")) == "title":
            return " ".join(_line(words) for words in credit.iterfind("credit-words"))
    return ""


def read_composer(root: etree._Element) -> str:
    """The composers; else the first person without a stated role."""
    people = [(creator.get("type"), _line(creator)) for creator in root.iterfind("identification/creator")]
    composers = [name for kind, name in people if kind == "composer" and name]
    return ", ".join(composers) or next((name for kind, name in people if kind is None), "")


def read_rights(root: etree._Element) -> str:
    """All statements of rights, one after another."""
    return "; ".join(filter(None, (_line(rights) for rights in root.iterfind("identification/rights"))))


def read_part_list(root: etree._Element) -> dict[str, PartHeader]:
    """The announced parts by id."""
    headers = (_part_header(element) for element in root.iterfind("part-list/score-part"))
    return {header.id: header for header in headers}


def _part_header(element: etree._Element) -> PartHeader:
    names = [_line(child) for child in element.iterfind("score-instrument/instrument-name")]
    sounds = [text_of(child) for child in element.iterfind("score-instrument/instrument-sound")]
    programs = [text_of(child) for child in element.iterfind("midi-instrument/midi-program")]
    shown = " ".join(filter(None, (_line(child) for child in element.iterfind("part-name-display/display-text"))))
    name = _line(element.find("part-name")) or shown
    program = int(programs[0]) - 1 if programs and programs[0].isascii() and programs[0].isdigit() else None
    if program is not None and not 0 <= program <= 127:
        program = None
    return PartHeader(
        element.get("id") or "", name, next(filter(None, names), name), tuple(filter(None, sounds)), program
    )


def _line(element: etree._Element | None) -> str:
    """The text of an element on one line."""
    return " ".join((element.text or "").split()) if element is not None else ""

"""Note ids as XML ids and back: a letter in front, and what XML forbids in an id spelled as its code."""

import re

_NOTE = "n"
_MARK = "m"
_FORBIDDEN = re.compile(r"[^A-Za-z0-9.\-]")
_CODE = re.compile(r"_([0-9a-f]+)_")


def xml_id(note_id: str) -> str:
    """The XML id of a note: "n12.3"; "14~2.1" becomes "n14_7e_2.1"."""
    return _NOTE + _spelled(note_id)


def note_id(name: str) -> str:
    """The note id in an XML id that `xml_id` made."""
    return _read(name.removeprefix(_NOTE))


def mark_xml_id(mark_id: str, k: int = 1) -> str:
    """The XML id of what is drawn for a mark: "m-b7"; the second sign of the same mark is "m2-b7"."""
    return f"{_MARK}{k if k > 1 else ''}-{_spelled(mark_id)}"


def mark_id(name: str) -> str:
    """The mark's id in an XML id that `mark_xml_id` made."""
    return _read(name.partition("-")[2])


def _spelled(text: str) -> str:
    return _FORBIDDEN.sub(lambda found: f"_{ord(found[0]):x}_", text)


def _read(text: str) -> str:
    return _CODE.sub(lambda found: chr(int(found[1], 16)), text)

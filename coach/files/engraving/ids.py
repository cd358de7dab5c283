"""Note ids as XML ids and back: a letter in front, and what XML forbids in an id spelled as its code."""

import re

_NOTE = "n"
_FORBIDDEN = re.compile(r"[^A-Za-z0-9.\-]")
_CODE = re.compile(r"_([0-9a-f]+)_")


def xml_id(note_id: str) -> str:
    """The XML id of a note: "n12.3"; "14~2.1" becomes "n14_7e_2.1"."""
    return _NOTE + _FORBIDDEN.sub(lambda found: f"_{ord(found[0]):x}_", note_id)


def note_id(name: str) -> str:
    """The note id in an XML id that `xml_id` made."""
    return _CODE.sub(lambda found: chr(int(found[1], 16)), name.removeprefix(_NOTE))

"""The census of a file: whatever the reader did not understand and did not knowingly leave aside becomes a notice."""

from collections.abc import Callable, Sequence
from itertools import pairwise

from lxml import etree

from coach.files.musicxml.numbers import text_of
from coach.files.musicxml.raw import Notices
from coach.files.musicxml.understood import PLAIN, SAID_ELSEWHERE, is_aside, is_understood, strange_attributes
from coach.files.musicxml.vocabulary import DRAWING
from coach.music.rhythm import VALUE_Q

# Plain words for what is met most often; anything else is named as the file names it.
_SENTENCES = {
    "harmony": "Chord symbols are not kept.",
    "frame": "Chord diagrams are not kept.",
    "figured-bass": "Figured bass is not kept.",
    "pedal": "Pedal marks are not kept.",
    "measure-repeat": "Measures printed as repeat signs are kept as the file holds them, not written out.",
    "beat-repeat": "Beats printed as repeat signs are kept as the file holds them, not written out.",
    "slash": "Slash notation is not kept.",
    "double": "The part is doubled in another octave; only the written line is kept.",
    "bracket": "Brackets over the music are not kept.",
    "footnote": "Footnotes are not kept.",
    "wavy-line": "A wavy line over a barline is not kept.",
    "swing": "The swing of the file's own playback is not kept.",
}


def take_census(root: etree._Element, part: str, names: dict[str, str], notices: Notices) -> None:
    """Report what is not understood anywhere in the tree; places in other parts than `part` have its name."""
    known: dict[tuple[str | bytes, ...], tuple[str, ...]] = {}
    for element in root.iter(etree.Element):
        name = element.tag
        attributes = element.keys()
        if not attributes and name in _QUIET:
            continue
        if name in PLAIN:
            key = (name, *attributes)
            found = known.get(key)
            if found is None:
                found = known[key] = _strange("", name, list(map(str, attributes)))
        else:
            found = _judge(element, list(map(str, attributes)))
        said = _CHECKS[name](element) if name in _CHECKS else None
        if found or said:
            where = _where(element, part, names)
            for sentence in (*found, said) if said else found:
                notices.add(sentence, where)


def _judge(element: etree._Element, attributes: Sequence[str]) -> tuple[str, ...]:
    """What to say of an element whose meaning depends on where it stands. Nothing is said inside an element that is
    itself reported or left aside."""
    name = element.tag
    above = [ancestor.tag for ancestor in element.iterancestors()]
    parent = above[0] if above else ""
    if any(not is_understood(over, one) for one, over in pairwise(above)):
        return ()
    if name == "swing" and element.find("straight") is not None:
        return ()  # it says that there is none
    if not is_understood(parent, name):
        silent = is_aside(name) or name in SAID_ELSEWHERE or f"{parent}/{name}" in SAID_ELSEWHERE
        return () if silent else (_SENTENCES.get(name, f"<{name}> is not understood and is left out."),)
    return _strange(parent, name, attributes)


def _strange(parent: str, name: str, attributes: Sequence[str]) -> tuple[str, ...]:
    strange = strange_attributes(parent, name, attributes, DRAWING)
    return tuple(f"{one!r} of <{name}> is not understood and is left out." for one in strange)


def _where(element: etree._Element, part: str, names: dict[str, str]) -> str:
    measure = next(element.iterancestors("measure"), None)
    own = next(element.iterancestors("part"), None)
    number = (measure.get("number") or "") if measure is not None else ""
    if own is not None and own.get("id") not in (None, part):
        return f"{names.get(own.get('id') or '', '')}, {number}"
    return number


def _check_alter(element: etree._Element) -> str | None:
    text = text_of(element)
    is_whole = "." not in text or not text.partition(".")[2].strip("0")
    return None if is_whole else "Quarter tones are read as the half tone nearer to the natural."


def _check_notehead(element: etree._Element) -> str | None:
    shape = text_of(element)
    if shape not in ("", "normal"):
        return f"Noteheads of the shape {shape[:20]!r} are kept as ordinary ones."
    return "Noteheads in brackets are kept as ordinary ones." if element.get("parentheses") == "yes" else None


def _check_shape(element: etree._Element) -> str | None:
    shape = text_of(element)
    return (
        f"A {element.tag} of the shape {shape!r} is kept as an ordinary one." if shape not in ("", "normal") else None
    )


def _check_type(element: etree._Element) -> str | None:
    kind = text_of(element)
    return None if kind in VALUE_Q else f"{kind[:40]!r} is no note value; the file's duration is taken."


def _check_note(element: etree._Element) -> str | None:
    if element.get("print-object") == "no" and element.find("rest") is None:
        return "Notes that the file hides on the page are kept as ordinary ones."
    return None


def _check_accidental(element: etree._Element) -> str | None:
    return (
        "An accidental added by the editor is kept as an ordinary one." if element.get("editorial") == "yes" else None
    )


_CHECKS: dict[str, Callable[[etree._Element], str | None]] = {
    "alter": _check_alter,
    "notehead": _check_notehead,
    "fermata": _check_shape,
    "caesura": _check_shape,
    "type": _check_type,
    "note": _check_note,
    "accidental": _check_accidental,
}

# Most of a file: nothing can be wrong with these unless they carry attributes.
_QUIET = PLAIN - frozenset(_CHECKS)

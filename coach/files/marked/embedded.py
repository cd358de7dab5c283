"""A marked part taken apart again: the marks it carries, and the tree without what we added."""

from pathlib import Path
from typing import TYPE_CHECKING

from lxml import etree

from coach.files.marked.ids import ACCIDENTAL, FIELD, PART_FIELD, field_of, is_ours

if TYPE_CHECKING:
    from coach.files.prep import Parsed
    from coach.prepare.prep import Prep


def marks_in(root: etree._Element, name: str = "the marked part") -> "Prep | None":
    """The prep that a marked part carries, or None. `name` stands in what is said of mistakes in it. Raises StoreError
    for a text that is no prep, or a newer coach's."""
    parsed = _parsed(root, name)
    return parsed.prep if parsed is not None else None


def embedded_prep(source: str | Path) -> "Prep | None":
    """The prep that a score file carries, or None. Raises ScoreError, StoreError."""
    parsed = carried_prep(source)
    return parsed.prep if parsed is not None else None


def carried_prep(source: str | Path) -> "Parsed | None":
    """The prep that a score file carries, with what is wrong with it, or None. Raises ScoreError, StoreError."""
    from coach.files.score import own_tree
    from coach.files.source import locate

    root = own_tree(source)
    return _parsed(root, f"{locate(source)}, its marks") if root is not None else None


def _parsed(root: etree._Element, name: str) -> "Parsed | None":
    field = field_of(root)
    if field is None or not (field.text or "").strip():
        return None
    from coach.files.prep import parse_prep  # deferred: most scores carry none

    return parse_prep(field.text or "", name)


def marked_part(root: etree._Element) -> str | None:
    """The number, from 1, of the part that the marks are of; None for a tree without marks."""
    field = field_of(root, PART_FIELD)
    if field_of(root) is None or field is None:
        return None
    parts = [part for part in root.iterfind("part") if not is_ours(part) and part.find("measure") is not None]
    return next((str(k) for k, part in enumerate(parts, 1) if part.get("id") == field.text), None)


def unmarked(root: etree._Element) -> etree._Element:
    """The same tree, with everything taken out that `marked_musicxml` put in. A tree without our field stays as it is,
    for ids alone prove nothing; additions whose ids another program dropped stay too."""
    if field_of(root) is None:
        return root
    for element in [one for one in root.iter(etree.Element) if is_ours(one)]:
        above = element.getparent()
        if above is None:
            continue
        if (element.get("id") or "").endswith(ACCIDENTAL):
            _take_accidental(above)
        above.remove(element)
    for name in (PART_FIELD, FIELD):
        _take_field(field_of(root, name))
    return root


def _take_accidental(note: etree._Element) -> None:
    accidental = note.find("accidental")
    if accidental is not None and accidental.get("cautionary") == "yes":
        note.remove(accidental)


def _take_field(element: etree._Element | None) -> None:
    """Take a field out, and what holds nothing without it."""
    while element is not None and element.tag != "score-partwise" and not len(element):
        above = element.getparent()
        if above is not None:
            above.remove(element)
        element = above

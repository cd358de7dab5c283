"""A marked part taken apart again: the marks it carries, and the tree without what we added."""

from pathlib import Path
from typing import TYPE_CHECKING

from lxml import etree

from coach.files.marked.ids import ACCIDENTAL, field_of, is_ours

if TYPE_CHECKING:
    from coach.prepare.prep import Prep


def marks_in(root: etree._Element, name: str = "the marked part") -> "Prep | None":
    """The prep that a marked part carries, or None. `name` stands in what is said of mistakes in it. Raises what
    `parse_prep` raises for a text that is no prep."""
    field = field_of(root)
    if field is None or not (field.text or "").strip():
        return None
    from coach.files.prep import parse_prep  # deferred: most scores carry none

    return parse_prep(field.text or "", name).prep


def embedded_prep(source: str | Path) -> "Prep | None":
    """The prep that a score file carries, or None. Raises ScoreError, and what `parse_prep` raises."""
    from coach.files.score import score_tree
    from coach.files.source import locate

    return marks_in(score_tree(source), str(locate(source)))


def unmarked(root: etree._Element) -> etree._Element:
    """The same tree, with everything taken out that `marked_musicxml` put in. A tree without our field stays as it is,
    for ids alone prove nothing; additions whose ids another program dropped stay too."""
    field = field_of(root)
    if field is None:
        return root
    for element in [one for one in root.iter(etree.Element) if is_ours(one)]:
        above = element.getparent()
        if above is None:
            continue
        if (element.get("id") or "").endswith(ACCIDENTAL):
            _take_accidental(above)
        above.remove(element)
    _take_field(field)
    return root


def _take_accidental(note: etree._Element) -> None:
    accidental = note.find("accidental")
    if accidental is not None and accidental.get("cautionary") == "yes":
        note.remove(accidental)


def _take_field(field: etree._Element) -> None:
    """Take the field out, and what holds nothing without it."""
    element: etree._Element | None = field
    while element is not None and element.tag != "score-partwise" and not len(element):
        above = element.getparent()
        if above is not None:
            above.remove(element)
        element = above

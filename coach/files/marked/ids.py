"""How our additions to a tree are told from what was there before."""

from lxml import etree

PREFIX = "coach-"
FIELD = "coach.prep"  # the prep's text
PART_FIELD = "coach.part"  # the id of the part that it is of
OSSIA = "coach-ossia"
ACCIDENTAL = "-accidental"  # ends the id of the empty notations beside an accidental of ours, which can have no id


def is_ours(element: etree._Element) -> bool:
    """Whether an element was added by us."""
    return (element.get("id") or "").startswith(PREFIX)


def field_of(root: etree._Element, name: str = FIELD) -> etree._Element | None:
    """The field of that name, or None; without a name the one that holds the prep."""
    fields = root.iterfind("identification/miscellaneous/miscellaneous-field")
    return next((field for field in fields if field.get("name") == name), None)

"""Measures that hold nothing in any part, as music21 writes them for a barline in the middle of a Humdrum measure."""

from lxml import etree


def drop_empty_measures(root: etree._Element) -> int:
    """Take measures without notes in any part out of a partwise tree; their signs go to the neighbours. How many."""
    parts = [part.findall("measure") for part in root.iterfind("part")]
    if not parts:
        return 0
    columns = list(zip(*parts, strict=False))
    empty = [k for k, column in enumerate(columns) if all(measure.find("note") is None for measure in column)]
    if len(empty) == len(columns):
        return 0
    for measures in parts:
        kept = [measure for k, measure in enumerate(measures) if k not in empty]
        for k in empty:
            before = next((one for one in reversed(measures[:k]) if one in kept), None)
            after = next((one for one in measures[k + 1 :] if one in kept), None)
            _hand_on(measures[k], before, after)
    return len(empty)


def _hand_on(measure: etree._Element, before: etree._Element | None, after: etree._Element | None) -> None:
    opening = 0
    for child in list(measure):
        closes = child.tag == "barline" and child.get("location", "right") != "left"
        if closes and before is not None:
            before.append(child)
        elif after is not None and child.tag in ("attributes", "barline", "direction", "sound"):
            after.insert(opening, child)
            opening += 1
    parent = measure.getparent()
    if parent is not None:
        parent.remove(measure)

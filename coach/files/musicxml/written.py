"""Where the notes of the practised line stand in the tree they were read from."""

from dataclasses import dataclass, field

from lxml import etree


@dataclass(slots=True)
class Written:
    """`notes` are the `<note>` elements by note id, graces and rests too (not rests the file leaves out), `measures`
    the measure elements by measure id, `part` is the part's id in the file."""

    notes: dict[str, etree._Element] = field(default_factory=dict)
    measures: dict[str, etree._Element] = field(default_factory=dict)
    part: str = ""

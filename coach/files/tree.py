"""XML into a tree, with everything forbidden that reaches outside the file or grows inside it."""

import re
from typing import Any

from lxml import etree

from coach.errors import ScoreError
from coach.music.text import one_line, shown

_ENCODINGS = ("ascii", "utf-16-le", "utf-16-be", "utf-32-le", "utf-32-be")
_ENTITIES = tuple("<!ENTITY".encode(encoding) for encoding in _ENCODINGS)
# In UTF-8, the bytes of what `coach.music.text` takes out, and characters given by number, which may be any of them.
_HIDING = re.compile(rb"\x7f|\xc2[\x80-\x9f]|\xe2(?:\x80[\xaa-\xae]|\x81[\xa6-\xa9])|&#")


def looks_like_xml(data: bytes) -> bool:
    """Whether the bytes begin like an XML file, in UTF-8 or UTF-16."""
    start = data[:200].replace(b"\0", b"").lstrip(b"\xef\xbb\xbf\xff\xfe \t\r\n")
    return start.startswith(b"<")


def parse_xml(data: bytes, name: str) -> etree._Element:
    """The root element, names without namespaces, texts as they may be shown. Entity declarations are refused, nothing
    is fetched. Raises ScoreError with the line of the first mistake."""
    if any(mark in data for mark in _ENTITIES):
        raise ScoreError(f"{name} declares XML entities, which no score needs, and is refused; export it again.")
    parser = etree.XMLParser(
        resolve_entities=False,
        no_network=True,
        load_dtd=False,
        dtd_validation=False,
        attribute_defaults=False,
        huge_tree=False,
        remove_comments=True,
        remove_pis=True,
    )
    try:
        root = etree.fromstring(data, parser)
    except etree.XMLSyntaxError as error:
        line = error.lineno or 1
        reason = " ".join((error.msg or "the XML is broken").split(", line ")[0].split())[:100]
        raise ScoreError(
            f"{name} breaks off or is damaged at line {line} ({reason}); export the score again."
        ) from None
    except (ValueError, LookupError) as error:
        raise ScoreError(
            f"{name} cannot be read as XML ({' '.join(str(error).split())[:100]}); export the score again."
        ) from None
    document_type: Any = root.getroottree().docinfo.internalDTD
    if document_type is not None and list(document_type.iterentities()):
        raise ScoreError(f"{name} declares XML entities, which no score needs, and is refused; export it again.")
    _strip_namespaces(root)
    if _may_hide_something(data, root):
        _make_shown(root)
    return root


def _strip_namespaces(root: etree._Element) -> None:
    if not str(root.tag).startswith("{"):
        return
    for element in root.iter():
        if isinstance(element.tag, str):
            element.tag = etree.QName(element).localname


def _may_hide_something(data: bytes, root: etree._Element) -> bool:
    """Whether a text may hold what a terminal would obey; looking at every text costs more than reading the bytes."""
    return root.getroottree().docinfo.encoding not in (None, "UTF-8") or _HIDING.search(data) is not None


def _make_shown(root: etree._Element) -> None:
    for element in root.iter(etree.Element):
        if element.text:
            element.text = shown(element.text)
        if element.tail:
            element.tail = shown(element.tail)
        for name, value in element.attrib.items():
            if not str(value).isprintable():
                element.set(name, one_line(str(value)))

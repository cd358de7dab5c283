"""XML into a tree, with everything forbidden that reaches outside the file or grows inside it."""

from typing import Any

from lxml import etree

from coach.errors import ScoreError

_ENCODINGS = ("ascii", "utf-16-le", "utf-16-be", "utf-32-le", "utf-32-be")
_ENTITIES = tuple("<!ENTITY".encode(encoding) for encoding in _ENCODINGS)


def looks_like_xml(data: bytes) -> bool:
    """Whether the bytes begin like an XML file, in UTF-8 or UTF-16."""
    start = data[:200].replace(b"\0", b"").lstrip(b"\xef\xbb\xbf\xff\xfe \t\r\n")
    return start.startswith(b"<")


def parse_xml(data: bytes, name: str) -> etree._Element:
    """The root element, names without namespaces. Entity declarations are refused, nothing is fetched. Raises
    ScoreError with the line of the first mistake."""
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
    return root


def _strip_namespaces(root: etree._Element) -> None:
    if not str(root.tag).startswith("{"):
        return
    for element in root.iter():
        if isinstance(element.tag, str):
            element.tag = etree.QName(element).localname

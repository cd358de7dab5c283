"""The MusicXML 4.0 schema as a validator: the copy that the package musicxml carries, loaded by libxml2.

The schema imports two others from the network. Both are small and stand here instead: of XLink 1.1 the six attributes
that MusicXML uses, of the namespace `xml` (XML 1.0, section 2.10 and 2.12) `lang` and `space`.
"""

from importlib.util import find_spec
from pathlib import Path

from lxml import etree

_HEAD = '<xs:schema xmlns:xs="http://www.w3.org/2001/XMLSchema" targetNamespace="{}">{}</xs:schema>'
_XLINK = "".join(
    f'<xs:attribute name="{name}" type="xs:string"/>' for name in ("href", "type", "role", "title", "show", "actuate")
)
_XML = """<xs:attribute name="lang" type="xs:language"/><xs:attribute name="space"><xs:simpleType>
<xs:restriction base="xs:NCName"><xs:enumeration value="default"/><xs:enumeration value="preserve"/></xs:restriction>
</xs:simpleType></xs:attribute>"""


def schema_folder() -> Path:
    """Where the package musicxml keeps the schema."""
    spec = find_spec("musicxml")
    assert spec is not None and spec.submodule_search_locations
    return Path(spec.submodule_search_locations[0], "generate_classes")


def load_schema(folder: Path) -> etree.XMLSchema:
    """The schema; `folder` takes the files it imports."""
    text = (schema_folder() / "musicxml_4_0.xsd").read_text("utf-8")
    (folder / "xlink.xsd").write_text(_HEAD.format("http://www.w3.org/1999/xlink", _XLINK), "utf-8")
    (folder / "xml.xsd").write_text(_HEAD.format("http://www.w3.org/XML/1998/namespace", _XML), "utf-8")
    (folder / "musicxml.xsd").write_text(text.replace("http://www.musicxml.org/xsd/", ""), "utf-8")
    return etree.XMLSchema(etree.parse(folder / "musicxml.xsd"))


def faults(schema: etree.XMLSchema, data: bytes) -> list[str]:
    """What is wrong with a document; nothing for a valid one."""
    schema.validate(etree.fromstring(data))
    return [f"line {error.line}: {error.message}" for error in list(schema.error_log)]  # type: ignore[call-overload]

"""Note ids and mark ids as XML ids (XML 1.0, 2.3: a Name) and back."""

import re

from hypothesis import given
from hypothesis import strategies as st

from coach.files.engraving.ids import mark_id, mark_xml_id, note_id, xml_id

NC_NAME = re.compile(r"[A-Za-z_][A-Za-z0-9_.\-]*")  # a stricter form than XML's own


@given(st.text())
def test_a_note_id_comes_back(name: str) -> None:
    assert note_id(xml_id(name)) == name
    assert NC_NAME.fullmatch(xml_id(name))


@given(st.text(), st.integers(1, 40))
def test_a_mark_id_comes_back(name: str, k: int) -> None:
    assert mark_id(mark_xml_id(name, k)) == name
    assert NC_NAME.fullmatch(mark_xml_id(name, k))


@given(st.lists(st.text(), unique=True, min_size=2, max_size=6))
def test_different_ids_stay_different(names: list[str]) -> None:
    made = {xml_id(name) for name in names} | {mark_xml_id(name) for name in names}
    assert len(made) == 2 * len(names)


def test_ids_as_they_are_documented() -> None:
    assert xml_id("12.3") == "n12.3"
    assert xml_id("14~2.1") == "n14_7e_2.1"
    assert mark_xml_id("b7", 2) == "m2-b7"

"""What a terminal obeys is taken out of text; everything else stays.

Controls: ECMA-48 (C0 and C1 sets) and DELETE; directions: Unicode Standard Annex 9, table of explicit formatting
characters. The categories are asked of Python's own Unicode database.
"""

import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coach.music.text import one_line, shown

ANYTHING = st.text(st.characters(exclude_categories=()))


@given(ANYTHING)
def test_nothing_is_left_that_a_terminal_obeys(text: str) -> None:
    left = shown(text)
    assert {letter for letter in left if unicodedata.category(letter) == "Cc"} <= set("\t\n\r")
    assert not any(
        unicodedata.bidirectional(c) in {"LRE", "RLE", "LRO", "RLO", "PDF", "LRI", "RLI", "FSI", "PDI"} for c in left
    )
    left.encode("utf-8")


@given(ANYTHING)
def test_the_rest_stays_in_its_order(text: str) -> None:
    gone = {"Cc", "Cs"}
    kept = [c for c in text if c in "\t\n\r" or unicodedata.category(c) not in gone]
    kept = [c for c in kept if not ("\u202a" <= c <= "\u202e" or "\u2066" <= c <= "\u2069")]
    assert shown(text) == "".join(kept)
    assert shown(shown(text)) == shown(text)


@given(ANYTHING, st.integers(1, 20))
def test_one_line_is_one_line(text: str, longest: int) -> None:
    assert len(one_line(text).splitlines()) <= 1 and one_line(text) == one_line(text).strip()
    assert len(one_line(text, longest)) <= longest and one_line(text).startswith(one_line(text, longest))


@pytest.mark.parametrize(
    ("text", "line"),
    [
        ("Étude\u00a0in G♭", "Étude in G♭"),
        ("Sol\x1b[2J\x1b]0;x\x07o", "Sol[2J]0;xo"),
        ("a\x9b31mb", "a31mb"),
        ("eno\u202edrawkcab", "enodrawkcab"),
        ("one\r\ntwo\tthree", "one two three"),
        ("עברית \u200fכן", "עברית \u200fכן"),
    ],
)
def test_examples(text: str, line: str) -> None:
    assert one_line(text) == line

"""Notes typed by hand, as design.md section 6 writes them: names, `:beats` as a decimal or a fraction of quarters."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coach.prepare.few_notes import MOST_NOTES, few_notes


def test_names_and_lengths() -> None:
    typed = few_notes("G#3 F#3:2 E#3:1/3 Bb4:0.5 F##4 f#4 B♭3", 0.5)
    steps = [one.step for one in typed]
    assert all(step is not None for step in steps)
    # MIDI 1.0 numbers, middle C being 60
    assert [step.midi for step in steps if step] == [56, 54, 53, 70, 67, 66, 58]
    assert [step.length_q for step in steps if step] == [1, 2, Fraction(1, 3), Fraction(1, 2), 1, 1, 1]
    assert [step.length_s for step in steps if step][:2] == [0.5, 1.0]
    # the next beat after each onset: 0, 1, 3, 10/3, ...
    assert [step.to_beat_q for step in steps if step][:4] == [0, 0, 0, Fraction(2, 3)]


def test_a_rest_parts_its_neighbours() -> None:
    first, second = few_notes("C5 r:2 D5", 1.0)
    assert first.step is not None and (first.step.gap_s, first.step.joined) == (2.0, False)
    assert second.step is not None and second.step.joined
    kept, _, _ = few_notes("C5 Hq r:2 D5", 1.0)
    assert kept.step is not None and kept.step.gap_s == 2.0


def test_tongued() -> None:
    assert [one.step.joined for one in few_notes("C5 D5", 1.0, joined=False) if one.step] == [False, False]


@given(st.text(alphabet="ABCDEFGHabr#b+-~:/.0123456789 é½\x1b", max_size=60))
def test_nothing_typed_raises(text: str) -> None:
    for one in few_notes(text, 0.5):
        assert (one.step is None) != (one.fault == "")
        assert one.step is None or (one.step.length_s > 0 and 0 < one.step.length_q <= 256)


def test_too_many_words_are_told() -> None:
    typed = few_notes("C5 " * (MOST_NOTES + 2), 1.0)
    assert len(typed) == MOST_NOTES + 1 and "the last 2 words are left out" in typed[-1].fault


@pytest.mark.parametrize(
    ("word", "remedy"),
    [
        ("Hq", "is no note; write it like F#3"),
        ("C", "is no note"),
        ("C#b4", "is no note"),
        ("C###4", "is no note that is written"),
        ("C99", "is no note that is written"),
        ("G+4", "is a quarter-tone, which no chart holds"),
        ("G½#4", "is a quarter-tone"),
        ("C5:0", "has no length; write quarters after the colon"),
        ("C5:-1", "has no length"),
        ("C5:1/0", "has no length"),
        ("C5:1e9", "has no length"),
        ("C5:nan", "has no length"),
        ("C5:999999", "has no length"),
        ("C5:", "has no length"),
        ("\x1b[2J", "is no note"),
    ],
)
def test_what_is_no_note_is_named_and_the_rest_taken(word: str, remedy: str) -> None:
    before, bad, after = few_notes(f"C5 {word} D5", 1.0)
    assert before.step is not None and after.step is not None and bad.step is None
    assert remedy in bad.fault and "\x1b" not in bad.fault

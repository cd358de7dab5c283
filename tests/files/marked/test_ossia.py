"""The ossia by property: whatever is written out comes out note for note, and every measure is full."""

from fractions import Fraction as F
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from lxml import etree

from coach.files.marked.splitting import printed_values
from coach.files.marked.writing import marked_musicxml
from coach.music.pitch import Pitch
from coach.prepare.mark import Mark, Ornament, OssiaNote
from coach.prepare.prep import Prep
from tests.files.marked.schema import faults, load_schema
from tests.files.scores import note, score

LENGTHS = st.sampled_from(
    [
        F(*pair)
        for pair in ((1, 1), (1, 2), (1, 4), (1, 8), (3, 4), (7, 8), (5, 4), (1, 3), (1, 6), (1, 5), (2, 7), (9, 8))
    ]
)
PITCHES = st.builds(Pitch, st.sampled_from("CDEFGAB"), st.integers(-1, 1), st.integers(3, 6))
Events = list[tuple[F, F, Pitch | None]]


@pytest.fixture(scope="module")
def schema(tmp_path_factory: pytest.TempPathFactory) -> etree.XMLSchema:
    return load_schema(tmp_path_factory.mktemp("schema"))


def laid(start: F, notes: list[tuple[Pitch | None, F]]) -> Events:
    events, at = [], start
    for pitch, length in notes:
        events.append((at, length, pitch))
        at += length
    return events


def ossia_of(document: bytes) -> tuple[Events, etree._Element]:
    """The pitched notes of an ossia of one voice, by the file's own durations, ties joined; and its element."""
    staff = etree.fromstring(document).find("part[@id='coach-ossia']")
    assert staff is not None
    divisions = int(staff.findtext("measure/attributes/divisions") or 0)
    events: Events = []
    for k, measure in enumerate(staff):
        at = 0
        for one in measure.iter("note", "forward", "backup"):
            duration = int(one.findtext("duration") or 0)
            if one.find("pitch") is not None:
                length = F(duration, divisions)
                if one.find("tie[@type='stop']") is not None:
                    onset, before, pitch = events.pop()
                    events.append((onset, before + length, pitch))
                else:
                    events.append((4 * k + F(at, divisions), length, pitch_of(one)))
            at += -duration if one.tag == "backup" else duration
            assert at >= 0
        assert at == 4 * divisions
    return events, staff


def pitch_of(element: etree._Element) -> Pitch:
    found = [element.findtext(f"pitch/{name}") for name in ("step", "alter", "octave")]
    return Pitch(found[0] or "", int(found[1] or 0), int(found[2] or 0))


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    start=st.sampled_from([F(0), F(1, 3), F(-1, 2), F(3), F(-5, 8)]),
    notes=st.lists(st.tuples(st.none() | PITCHES, LENGTHS), min_size=1, max_size=10).filter(
        lambda notes: any(pitch for pitch, _ in notes)
    ),
)
def test_what_is_written_out_comes_out(
    start: F, notes: list[tuple[Pitch | None, F]], tmp_path: Path, schema: etree.XMLSchema
) -> None:
    """Four measures of 4/4, the mark at 2.1; what would lie outside the piece is not given."""
    source = tmp_path / "page.musicxml"
    source.write_text(score(*[note("C5", "whole", 4)] * 4), "utf-8")
    events = laid(start, notes)
    if events[-1][0] + events[-1][1] > 12:
        events = events[:1]
    ornament = Ornament(tuple(OssiaNote(pitch, at, length) for at, length, pitch in events))
    document = marked_musicxml(source, Prep(marks=(Mark("a", "2.1", ornament),)))
    assert faults(schema, document) == []
    if not any(pitch for _, _, pitch in events):
        return
    found, _ = ossia_of(document)
    assert found == [(4 + at, length, pitch) for at, length, pitch in events if pitch is not None]


def test_what_lies_outside_the_piece_is_cut(tmp_path: Path, schema: etree.XMLSchema) -> None:
    source = tmp_path / "page.musicxml"
    source.write_text(score(note("C5", "whole", 4)), "utf-8")
    high = Pitch("E", 0, 5)
    ornament = Ornament((OssiaNote(high, F(-1), F(2)), OssiaNote(high, F(3), F(9))))
    document = marked_musicxml(source, Prep(marks=(Mark("a", "1.1", ornament),)))
    assert faults(schema, document) == []
    assert ossia_of(document)[0] == [(F(0), F(1), high), (F(3), F(1), high)]


def test_lengths_of_no_common_measure_are_rounded(tmp_path: Path, schema: etree.XMLSchema) -> None:
    """Eight primes: their common divisions would be more than nine million."""
    source = tmp_path / "page.musicxml"
    source.write_text(score(note("C5", "whole", 4)), "utf-8")
    events = laid(F(0), [(Pitch("E", 0, 5), F(1, prime)) for prime in (2, 3, 5, 7, 11, 13, 17, 19)])
    ornament = Ornament(tuple(OssiaNote(pitch, at, length) for at, length, pitch in events))
    document = marked_musicxml(source, Prep(marks=(Mark("a", "1.1", ornament),)))
    assert faults(schema, document) == []
    events, staff = ossia_of(document)
    assert staff.findtext("measure/attributes/divisions") == "10080" and len(events) == 8


@given(st.fractions(F(1, 64), F(12), max_denominator=64))
def test_values_add_up_to_their_length(length: F) -> None:
    """Each value lasts as long as it says (MusicXML 4.0, note-type-value, dot and time-modification)."""
    values = printed_values(length)
    assert sum(one.length_q for one in values) == length
    assert all(one.value is None or one.value.length_q == one.length_q for one in values)
    assert all(one.value is not None for one in values) or len(values) == 1

"""Compiling a stretch: what holds for every piece, by property, and what the compiler may import."""

import json
import subprocess
import sys
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from coach.config import ClickSettings
from coach.errors import RequestError
from coach.files.score import read_score
from coach.music.metre import Metre
from coach.music.piece import Piece
from coach.paths import content
from coach.sound.compile import perform, timeline
from tests.sound.hand import QUIET, Given, bars, grace, n, piece, played, quarter, solo

METRES = [Metre(2, 4), Metre(3, 4), Metre(2, 2), Metre(6, 8), Metre(9, 8), Metre(5, 8, (2, 3)), Metre(7, 8, (2, 2, 3))]
articulations = st.sampled_from([(), ("staccato",), ("tenuto",), ("accent",), ("staccatissimo",), ("detached-legato",)])


@st.composite
def measures(draw: st.DrawFn, metre: Metre) -> list[Given]:
    """A full measure of notes and rests, with slurs, ties, graces and articulations as they come."""
    left, given_notes = metre.length_q, []
    while left > 0:
        length = min(
            left, draw(st.sampled_from([Fraction(1, 3), Fraction(1, 4), Fraction(1, 2), Fraction(1), Fraction(2)]))
        )
        more: dict[str, Any] = {"articulations": draw(articulations), "slurred": draw(st.booleans())}
        more["tie"] = draw(st.sampled_from([None, "start", "stop", "continue"]))
        if draw(st.booleans()):
            more["graces"] = (grace(f"g{left}", "D5"), grace(f"h{left}", "E5"))
        pitch = draw(st.sampled_from(["", "E3", "C5", "C5", "Bb5"]))
        given_notes.append(n(pitch, length, **(more if pitch else {})))
        left -= length
    return given_notes


@st.composite
def pieces(draw: st.DrawFn) -> Piece:
    metre = draw(st.sampled_from(METRES))
    count = draw(st.integers(1, 4))
    given_measures = [draw(measures(metre)) for _ in range(count)]
    tempos = [(draw(st.integers(0, 12)), quarter(draw(st.integers(30, 200)))) for _ in range(draw(st.integers(0, 3)))]
    return piece(bars(*given_measures, metre=metre), tempos=sorted(tempos, key=lambda mark: mark[0]))


@settings(max_examples=150, deadline=None)
@given(pieces(), st.integers(0, 2), st.integers(0, 2), st.integers(1, 4))
def test_what_holds_for_every_piece(of: Piece, count_in: int, rest: int, subdivision: int) -> None:
    click = ClickSettings(count_in=count_in, subdivision=subdivision)
    performance = played(of, quarter(72), click, rest_measures=rest)
    made = timeline(performance)
    assert [event.at_s for event in made.events] == sorted(event.at_s for event in made.events)
    for event in made.events:
        assert event.length_s > 0 and event.level_db <= 0
        if event.kind == "note":
            assert 0 <= event.at_s and event.at_s + event.length_s <= made.length_s + 1e-9
        else:
            assert -made.count_in_s - 1e-9 <= event.at_s < made.length_s + made.rest_s
    for note, after in pairwise(performance.notes):
        assert note.at_q + note.length_q <= after.at_q
        if not after.tongued:  # nothing joins what it does not touch
            assert note.slurred and note.at_q + note.length_q == after.at_q
    downbeats = [event.at_s for event in made.events if event.click == "accent" and 0 <= event.at_s < made.length_s]
    assert downbeats == pytest.approx([performance.passage.at_s(bar.at_q) for bar in performance.passage.bars])
    assert json.loads(json.dumps(performance.document(0.5)))["schema"] == "coach.performance/1"


def test_a_stretch_starts_at_zero_and_keeps_the_tempo_of_its_place() -> None:
    of = piece(bars([n("C5", 4)], [n("D5", 4)], [n("E5", 4)]), tempos=[(0, quarter(60)), (4, quarter(120))])
    made = perform(of, of.span("2", "3"), tempo=quarter(30), click=QUIET)
    assert [(at, note.at_s, note.onset_q) for at, note in solo(made).items()] == [
        ("2.1", 0.0, Fraction(4)),
        ("3.1", 4.0, Fraction(8)),
    ]


def repeated() -> Piece:
    """Two measures, the second a first ending with a repeat sign, and a second ending, at another tempo."""
    one, two, three = bars([n("C5", 4)], [n("D5", 3), n("E5", 1, tie="start")], [n("E5", 4, tie="stop")])
    two, three = replace(two, endings=(1,), repeat_end=2), replace(three, endings=(2,))
    return piece((one, two, three), tempos=[(0, quarter(60)), (8, quarter(120))])


def test_repeats_are_followed_when_asked_for() -> None:
    plain = played(repeated(), click=ClickSettings(count_in=0))
    followed = played(repeated(), click=ClickSettings(count_in=0), repeats=True)
    assert [(note.at, note.at_s) for note in plain.notes] == [("1.1", 0.0), ("2.1", 4.0), ("2.2", 7.0)]
    assert [(note.at, note.at_s, note.bar) for note in followed.notes] == [
        ("1.1", 0.0, 0),
        ("2.1", 4.0, 1),
        ("2.2", 7.0, 1),
        ("1.1", 8.0, 2),
        ("3.1", 12.0, 3),  # the tie from the first ending is not one here
    ]
    assert (followed.length_s, followed.bars) == (14.0, 4)
    assert [click.where for click in followed.clicks if click.click == "accent"] == ["1", "2", "1", "3"]


def test_a_stretch_is_played_as_often_as_a_run_through_passes_it() -> None:
    of = repeated()
    made = perform(of, of.span("1", "1"), tempo=quarter(60), click=QUIET, repeats=True)
    assert [note.at for note in made.notes] == ["1.1", "1.1"]


@pytest.mark.parametrize("per_minute", [0, 10_000])
def test_a_tempo_that_cannot_be_played_is_said(per_minute: int) -> None:
    of = piece(bars([n("C5", 4)]))
    with pytest.raises(RequestError, match="cannot be played"):
        perform(of, of.whole(), tempo=quarter(per_minute), click=QUIET)


def test_the_demo_piece_swells_and_keeps_within_itself() -> None:
    of = read_score(str(content("pieces", "demo.musicxml")))
    assert of.first_tempo is not None
    made = perform(of, of.whole(), tempo=of.first_tempo, click=ClickSettings(count_in=1), others=True)
    own = [note for note in made.notes if note.line == 0]
    pitched = [note for note in of.part.pitched() if note.tie in (None, "start")]
    assert {note.id for note in pitched} <= {note.at for note in own}
    assert any(note.end_level_db is not None and note.length_s > 1 for note in own)
    assert max(max(note.level_db, note.end_level_db or -99) for note in own) == 0.0
    assert min(note.level_db for note in own) < -15  # pp to ff


def test_compiling_needs_no_samples_and_no_drivers() -> None:
    code = "import sys, coach.sound.compile; print(sorted({'numpy', 'mido', 'rtmidi', 'miniaudio'} & set(sys.modules)))"
    ran = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert ran.stdout.strip() == "[]"

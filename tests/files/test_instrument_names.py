"""The names that scores give instruments: those of music21's own corpus, and of common notation programs."""

import pytest

from coach.files.instrument_names import charted

CLARINETS = ("Bb Clarinet", "Clarinet in B♭", "Clarinet in A", "Clarinet 1", "clarinet", "Klarinette in B",
             "Clarinette", "Clarinetto", "Cl.", "B-flat Clarinet")  # fmt: skip


@pytest.mark.parametrize("name", CLARINETS)
def test_clarinets(name: str) -> None:
    assert charted(name) == ("clarinet in A" if name == "Clarinet in A" else "clarinet in B-flat")


@pytest.mark.parametrize("name", ["Alto Saxophone", "Alto Sax.", "Saxophone, alto", "alto saxophone"])
def test_alto_saxophones(name: str) -> None:
    assert charted(name) == "alto saxophone"


@pytest.mark.parametrize(
    "name",
    ["", "Violin", "Bass Clarinet", "Contra-Alto Clarinet", "Tenor Saxophone", "Alto", "Sax", "Clavier", "Flute"],
)
def test_what_there_is_no_chart_for(name: str) -> None:
    assert charted(name) == ""

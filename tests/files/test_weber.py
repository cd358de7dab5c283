"""The Weber Concertino that ships with music21: counts of handbook facts.md, check 22 and section 5.5 (an independent
parse of the XML), and note by note against music21 and partitura."""

from collections import Counter
from fractions import Fraction

import pytest

from coach.files.score import part_names, read_score, score_bytes
from coach.files.source import locate
from coach.music.note import Note
from coach.music.piece import Piece
from coach.music.pitch import Transposition
from tests.files.independent import by_music21, by_partitura, furthest, ours

SOURCE = "corpus:weber/concertino_clarinet"
DIVISION = 1 / 1024  # of the file


@pytest.fixture(scope="module")
def weber() -> Piece:
    return read_score(SOURCE)


@pytest.fixture(scope="module")
def notes(weber: Piece) -> list[Note]:
    return list(weber.part.notes())


def test_the_clarinet_is_found_and_the_piano_stays(weber: Piece) -> None:
    assert score_bytes(SOURCE) == (locate(SOURCE).read_bytes(), ".mxl")
    assert part_names(SOURCE) == ("Bb Clarinet", "Piano")
    assert (weber.part.name, [part.name for part in weber.others]) == ("Bb Clarinet", ["Piano"])
    assert weber.part.midi_program == 71  # 72 counted from 1
    assert (weber.title, weber.composer) == ("Concertino for Clarinet and Piano", "Carl Maria von Weber")
    assert weber.rights == "Released to Public Domain in 1998"


def test_counts(weber: Piece, notes: list[Note]) -> None:
    graces = [grace for note in notes for grace in (*note.graces, *note.after_graces)]
    pitched = [note for note in notes if note.pitch is not None]
    assert len(weber.part.measures) == 241
    assert len(pitched) + len(graces) == 1206
    assert sum(note.is_rest for note in notes) == 210
    assert len(graces) == 31
    assert sum(grace.slash for grace in graces) == 13


def test_signs(notes: list[Note]) -> None:
    ornaments = Counter(ornament.kind for note in notes for ornament in note.ornaments)
    articulations = Counter(mark for note in notes for mark in note.articulations)
    ends = [slur for note in notes for slur in note.slurs]
    ends += [slur for note in notes for grace in (*note.graces, *note.after_graces) for slur in grace.slurs]
    slurs = Counter(slur.kind for slur in ends)
    assert (ornaments["trill-mark"], ornaments["turn"]) == (7, 2)
    assert (slurs["start"], slurs["stop"]) == (235, 235)
    assert (articulations["staccato"], articulations["accent"]) == (199, 72)
    assert sum(note.tie in ("start", "continue") for note in notes) == 11


def test_pitches_and_values(weber: Piece, notes: list[Note]) -> None:
    heads = [note.pitch for note in notes if note.pitch is not None]
    heads += [grace.pitch for note in notes for grace in (*note.graces, *note.after_graces)]
    kinds = Counter(note.value.kind for note in notes if note.value is not None and not note.is_rest)
    kinds += Counter(
        grace.value.kind for note in notes for grace in (*note.graces, *note.after_graces) if grace.value is not None
    )
    assert weber.part.transposition == Transposition(-1, -2)
    assert (min(heads, key=lambda pitch: pitch.midi).name, max(heads, key=lambda pitch: pitch.midi).name) == (
        "E3",
        "F6",
    )
    sounding = [weber.part.transposition.sounding(pitch).midi for pitch in heads]
    assert (min(sounding), max(sounding)) == (50, 87)
    assert (kinds["16th"], kinds["32nd"]) == (665, 55)
    metres = list(dict.fromkeys(measure.metre.name for measure in weber.part.measures if measure.metre is not None))
    assert sorted(metres) == ["2/2", "3/4", "6/8"]


def test_tempos(weber: Piece) -> None:
    """The printed numbers count; those that the file would play in their place (72, 80, 120) are told as notices."""
    stated = {float(mark.tempo.quarters_per_minute) for mark in weber.tempos if mark.tempo is not None}
    told = {float(word) for notice in weber.notices if "plays" in notice.text for word in notice.text.split()[3:4]}
    assert stated | told == {72, 60, 80, 90, 110, 100, 120, 150}
    assert weber.tempos[0].text == "Adagio ma non troppo"
    assert weber.tempos[0].tempo is not None and weber.tempos[0].tempo.name == "quarter = 60"


def test_every_measure_adds_up_exactly(weber: Piece) -> None:
    for part in (weber.part, *weber.others):
        for measure in part.measures:
            at = measure.onset_q
            for note in measure.notes:
                assert note.onset_q == at
                at += note.length_q
            assert at == measure.end_q
    lengths = [
        measure.length_q == measure.metre.length_q for measure in weber.part.measures if measure.metre is not None
    ]
    assert lengths == [True] * 241


def test_tuplets_are_exact(notes: list[Note]) -> None:
    """180 lengths of the file are rounded (341 of 1024 for a third)."""
    tuplets = [note for note in notes if note.value is not None and note.value.actual > 1]
    assert len(tuplets) == 180
    assert all(note.value is not None and note.length_q == note.value.length_q for note in tuplets)
    assert all(note.length_q.denominator & (note.length_q.denominator - 1) for note in tuplets)  # no power of two


def test_ids_are_unique_and_name_their_measure(weber: Piece) -> None:
    ids = [note.id for note in weber.part.pitched()]
    assert len(set(ids)) == len(ids) == 1175
    assert weber.part.measures[0].id == "1" and weber.part.measures[-1].id == "241"
    for note in weber.part.pitched():
        assert note.id.rpartition(".")[0] == note.measure


@pytest.mark.parametrize("reader", ["music21", "partitura"])
def test_an_independent_reading_agrees(weber: Piece, reader: str) -> None:
    path = locate(SOURCE)
    theirs = by_music21(path)[0] if reader == "music21" else by_partitura(path)["P1"]
    onset, length = furthest(ours(weber.part), theirs)
    assert onset <= DIVISION
    assert length <= DIVISION


def test_a_trill_ending_belongs_to_its_trill(weber: Piece) -> None:
    """Measures 237 and 238 end in two graces after a trilled or long note."""
    last = weber.part.measures[236].notes[-1]
    assert last.length_q == Fraction(3)
    assert [grace.id for grace in last.after_graces] == [f"{last.id}a1", f"{last.id}a2"]

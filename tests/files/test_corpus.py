"""Scores that ship with music21: its MusicXML test suite (drawn from LilyPond's), its corpus, and other formats."""

import os
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

import pytest

from coach.errors import ScoreError
from coach.files.score import read_score
from coach.files.source import corpus_folder, locate
from coach.music.piece import Piece
from tests.files.independent import by_music21, by_partitura, furthest, ours

SUITE = corpus_folder().parent / "musicxml" / "lilypondTestSuite"

# String quartets, songs, keyboard on two staves, lead sheets, mediaeval and modern scores.
SCORES = (
    "bach/bwv280",
    "bach/bwv285",
    "ciconia/quod_jactatur",
    "cpebach/h186",
    "demos/two-parts",
    "handel/rinaldo/Lascia_chio_pianga",
    "haydn/opus1no1/movement1",
    "johnson_j_r/lift_every_voice",
    "joplin/maple_leaf_rag",
    "leadSheet/berlinAlexandersRagtime",
    "leadSheet/fosterBrownHair",
    "liliuokalani/aloha_oe",
    "lusitano/allor_che_ignuda",
    "monteverdi/madrigal.3.3",
    "monteverdi/madrigal.3.16",
    "mozart/k458/movement3",
    "mozart/k545/movement1_exposition",
    "schoenberg/opus19/movement2",
    "schoenberg/opus19/movement6",
    "schumann_clara/polonaise_op1n1",
    "schumann_robert/opus41no1/movement3",
    "theoryExercises/TriadExercise",
    "trecento/PMFC_13_02-Kyrie-Questa-fanciulla",
    "verdi/laDonnaEMobile",
    "webern/webern_dormi_jesu_op_16_no_2",
)
TOLERANCE_Q = (
    1 / 64
)  # coarser than one division of any of these files with rounded tuplets, finer than any of their notes


def check_page(piece: Piece) -> None:
    """What holds for every page: lines without gaps, adding up to their measures; ids that are unique."""
    for part in (piece.part, *piece.others):
        ids = [note.id for measure in part.measures for note in (*measure.notes, *measure.others)]
        assert len(set(ids)) == len(ids)
        assert len({measure.id for measure in part.measures}) == len(part.measures)
        for measure in part.measures:
            at = measure.onset_q
            for note in measure.notes:
                assert note.onset_q == at and note.length_q > 0
                at = note.end_q
            assert at == measure.end_q
        for earlier, later in zip(part.measures, part.measures[1:], strict=False):
            assert earlier.end_q == later.onset_q


def test_the_test_suite_yields_a_piece_or_one_sentence() -> None:
    """126 pieces; 17 of the 143 files hold no note (counted in their XML: neither pitch nor unpitched)."""
    files = sorted(path for path in SUITE.iterdir() if path.suffix in (".xml", ".mxl"))
    pieces, sentences = [], []
    for path in files:
        try:
            pieces.append(read_score(path))
        except ScoreError as error:
            sentences.append(str(error))
    assert len(files) == 143
    assert (len(pieces), len(sentences)) == (126, 17)
    for sentence in sentences:
        assert "it holds no notes to practise" in sentence
        assert "\n" not in sentence and sentence.endswith(".")
    for piece in pieces:
        check_page(piece)


@pytest.mark.parametrize("name", SCORES)
def test_independent_readings_agree(name: str) -> None:
    path = locate(f"corpus:{name}")
    piece = read_score(path)
    check_page(piece)
    parts = {part.id: part for part in (piece.part, *piece.others)}
    for part_id, heads in by_partitura(path).items():
        _agree(ours(parts[part_id]), heads)
    of_music21 = by_music21(path)
    assert len(of_music21) == len(parts)
    for heads in of_music21:
        candidates = [part for part in parts.values() if len(ours(part)) == len(heads)]
        assert any(_agrees(ours(part), heads) for part in candidates)


def _agree(mine: Sequence[tuple[float, float, int]], theirs: Sequence[tuple[float, float, int]]) -> None:
    if not mine and not theirs:
        return
    onset, length = furthest(list(mine), list(theirs))
    assert onset <= TOLERANCE_Q and length <= TOLERANCE_Q


def _agrees(mine: Sequence[tuple[float, float, int]], theirs: Sequence[tuple[float, float, int]]) -> bool:
    try:
        _agree(mine, theirs)
    except AssertionError:
        return False
    return True


def _outcome(path: Path) -> str:
    """Read one tune in another process: nothing if it opens, else why not."""
    try:
        check_page(read_score(path))
    except ScoreError as error:
        return str(error)
    return ""


@pytest.mark.slow
@pytest.mark.timeout(1800)
def test_all_tunes_of_ryans_mammoth_collection_open() -> None:
    tunes = sorted((corpus_folder() / "ryansMammoth").glob("*.abc"))
    assert len(tunes) == 1059
    with ProcessPoolExecutor(min(os.cpu_count() or 1, 4)) as pool:
        outcomes = list(pool.map(_outcome, tunes, chunksize=20))
    assert [outcome for outcome in outcomes if outcome] == []

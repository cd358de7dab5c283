"""Pieces of one line written as MusicXML: valid against the schema of MusicXML 4.0, read back equal by our reader, and
read alike by music21."""

from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from lxml import etree

from coach.files.monophonic import piece_xml
from coach.files.score import read_score
from coach.files.source import corpus_folder
from coach.music.metre import Clef, Key, Metre
from coach.music.part import DynamicMark, Hairpin
from coach.music.piece import Piece
from coach.practice.drills.drill import Drill, make, stretch_for
from coach.practice.drills.stretch import chains_of, fits
from coach.practice.spot import NO_KEYS
from tests.content.reading import demo_path
from tests.files.independent import by_music21, ours
from tests.files.marked.schema import faults, load_schema
from tests.practice.drills.pieces import REACH, RECIPES, F, decided, drills, piece

SAME_FILE = settings(deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])


@pytest.fixture(scope="module")
def schema(tmp_path_factory: pytest.TempPathFactory) -> etree.XMLSchema:
    return load_schema(tmp_path_factory.mktemp("schema"))


def read_back(data: bytes, folder: Path) -> Piece:
    file = folder / "drill.musicxml"
    file.write_bytes(data)
    return replace(read_score(file), score_hash="")


def drills_of(of: Piece, step: int = 1) -> list[Piece]:
    """A drill by every recipe that fits, at every so many notes; of trills and graces all."""
    chains = chains_of(tuple(of.part.notes()))
    known = decided(of)
    made = []
    for k in range(len(chains)):
        for recipe in RECIPES.values():
            last = min(k + min(REACH[recipe.works_on], 5), len(chains) - 1)
            ends = chains[k].notes[0].id, chains[last].notes[-1].id
            due = k % step == 0 or recipe.works_on in ("trill", "grace")
            if due and fits(recipe, stretch_for(recipe, of, *ends, NO_KEYS, known)):
                made.append(make(recipe, of, *ends, NO_KEYS, known).piece)
    return made


@SAME_FILE
@given(drills())
def test_a_drill_is_read_back_equal(
    schema: etree.XMLSchema, tmp_path: Path, found: tuple[Piece, Drill, set[int]]
) -> None:
    data = piece_xml(found[1].piece)
    assert faults(schema, data) == []
    assert read_back(data, tmp_path) == found[1].piece


def test_drills_of_the_demo_are_read_back_equal(schema: etree.XMLSchema, tmp_path: Path) -> None:
    """Graces, trills, ties over barlines, a metre that changes."""
    made = drills_of(read_score(demo_path()), 3)
    assert len(made) > 150
    for drill in made:
        data = piece_xml(drill)
        assert faults(schema, data) == []
        assert read_back(data, tmp_path) == drill


@pytest.mark.slow
@pytest.mark.parametrize(
    ("score", "least"),
    [("weber/concertino_clarinet", 40), ("beethoven/opus18no1/movement1", 10), ("schumann_clara/polonaise_op1n2", 10)],
)
def test_drills_of_real_scores_are_read_back_equal(
    schema: etree.XMLSchema, tmp_path: Path, score: str, least: int
) -> None:
    """A clarinet's solo, a quartet and a polonaise of music21's corpus: all trills and graces, some of the rest."""
    made = drills_of(read_score(next(corpus_folder().glob(f"{score}.*"))), 60)
    assert len(made) >= least
    for drill in made:
        data = piece_xml(drill)
        assert faults(schema, data) == []
        assert read_back(data, tmp_path) == drill


def test_dynamics_and_hairpins_are_written(schema: etree.XMLSchema, tmp_path: Path) -> None:
    """Signs in and out of the standard, hairpins from and to nothing, over a barline, inside a note."""
    of = piece(Metre(4, 4), "C5:1 D5:1 E5:2", "F5:2 G5:2")
    dynamics = (DynamicMark(F(0), "n"), DynamicMark(F(2), "sfpp"), DynamicMark(F(6), "molto f"))
    hairpins = (
        Hairpin("crescendo", F(0), F(2), niente=True),
        Hairpin("diminuendo", F(2), F(5)),
        Hairpin("crescendo", F(5), F(6)),
        Hairpin("diminuendo", F(6), F(8), niente=True),
    )
    data = piece_xml(replace(of, part=replace(of.part, dynamics=dynamics, hairpins=hairpins)))
    assert faults(schema, data) == []
    back = read_back(data, tmp_path)
    assert back.part.dynamics == dynamics
    assert back.part.hairpins == hairpins
    assert back.notices == ()


def test_music21_reads_the_same_notes(tmp_path: Path) -> None:
    for number, drill in enumerate(drills_of(read_score(demo_path()), 11)):
        file = tmp_path / f"{number}.musicxml"
        file.write_bytes(piece_xml(drill))
        (heads,) = by_music21(file)
        assert [(round(at, 6), round(length, 6), midi) for at, length, midi in heads] == [
            (round(at, 6), round(length, 6), midi) for at, length, midi in ours(drill.part)
        ]


def test_what_a_measure_may_have_at_its_head(schema: etree.XMLSchema, tmp_path: Path) -> None:
    """A clef with an octave, an unusual key, a metre with a symbol, all changing."""
    of = piece(Metre(4, 4, symbol="common"), "C5:1 D5:3", "E5:4", "F5:4")
    one, two, three = of.part.measures
    changed = (
        replace(one, clef=Clef("G", 2, -1), key=Key(3, "minor")),
        replace(two, clef=Clef("F", 4), key=Key(0, "", (("F", 1), ("B", -1)))),
        three,
    )
    drill = replace(of, part=replace(of.part, measures=changed), composer="Nobody")
    data = piece_xml(drill)
    assert faults(schema, data) == []
    back = read_back(data, tmp_path)
    assert [(m.clef, m.key, m.metre) for m in back.part.measures] == [(m.clef, m.key, m.metre) for m in changed]
    assert back.composer == "Nobody"


def test_a_document_is_the_same_each_time() -> None:
    """It is named by its content in the cache."""
    drill = make(RECIPES["swap"], piece(Metre(4, 4), "C5:4"), "1.1", "1.1").piece
    assert piece_xml(drill) == piece_xml(drill)
    assert piece_xml(drill).startswith(b'<?xml version="1.0" encoding="UTF-8"')

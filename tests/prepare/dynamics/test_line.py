"""The dynamic line. The names of dynamics are the terms of the trade; positions of Weber's are read by music21."""

import warnings
from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given, settings

from coach.files.score import read_score
from coach.music.part import Part
from coach.prepare.dynamics.level import levels
from coach.prepare.dynamics.line import dynamic_line
from coach.prepare.dynamics.shaping import shapings
from coach.prepare.dynamics.steps import ACCENT_DB, ATTACKS, LEVEL_DB
from coach.prepare.mark import Mark
from tests.prepare.dynamics.test_marks import hint, own, parts, printed
from tests.prepare.factory import part
from tests.sound.hand import bars, n, piece

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # it imports modules that are on their way out
    import music21

WEBER = "weber/concertino_clarinet"
# One division of that file, which rounds tuplets (1024 to a quarter).
DIVISION = Fraction(1, 1024)
FOUR = part("C5:1 D5:1 E5:1 F5:1", "G5:1 F5:1 E5:1 D5:1", "C5:1~ C5:1 E5:1 F5:1")


@pytest.fixture(scope="module")
def weber() -> Part:
    return read_score(f"corpus:{WEBER}").part


def told(of: Part, *marks: Mark) -> dict[str, str]:
    return {one.at: one.because for one in dynamic_line(of, marks)}


def test_each_note_tells_what_its_level_comes_from() -> None:
    of = printed(FOUR, (0, "p"), (4, "mf"), (8, "sfz"), hairpins=(("crescendo", 2, 4), ("diminuendo", 5, 7)))
    because = told(of)
    assert because["1.1"] == "Piano, as printed in measure 1."
    assert because["1.3"] == "Growing from piano to mezzo forte in the crescendo of measure 1."
    assert because["2.1"] == "Mezzo forte, as printed in measure 2."
    assert because["2.2"] == "Fading from mezzo forte to mezzo piano in the diminuendo of measure 2."
    assert because["2.4"] == "Mezzo piano, where the diminuendo of measure 2 has led."
    assert because["3.1"] == "Sforzato, for this note."


def test_a_mark_tells_its_own_reason_or_who_made_it() -> None:
    lead = replace(hint("1.1", "crescendo", "1.3", level_db=-1.0), because="The line leads up.")
    teacher = replace(own("2.1", "p"), origin="teacher")
    because = told(printed(FOUR, (0, "mf")), lead, own("1.4", "f"), teacher, own("2.3", level_db=-5.0))
    assert because["1.2"] == "The line leads up."
    assert because["1.4"] == "Forte, as you marked it."
    assert because["2.1"] == "Piano, as the teacher marked it."
    assert because["2.3"] == "The level, as you marked it."


def test_where_nothing_is_printed_it_says_so() -> None:
    assert set(told(FOUR).values()) == {"Mezzo forte, since nothing is printed."}


def test_an_accent_is_told() -> None:
    accented = bars([n("C5", 2), n("C5", 2, articulations=("accent",))])
    because = told(piece(accented, dynamics=[(0, "f")]).part)
    assert because == {
        "1.1": "Forte, as printed in measure 1.",
        "1.2": "Forte, as printed in measure 1, with an accent.",
    }


def test_a_tie_goes_on_with_the_level() -> None:
    of = printed(FOUR, (0, "p"), (10, "f"), hairpins=(("crescendo", 8, 10),))
    line = {one.at: one for one in dynamic_line(of)}
    assert line["3.1"].end_level_db == line["3.2"].level_db
    assert line["3.1"].level_db < line["3.2"].level_db < line["3.2"].end_level_db


@settings(deadline=None)
@given(parts())
def test_without_marks_it_is_what_is_printed(of: Part) -> None:
    found = levels(of)
    for one, note in zip(dynamic_line(of), of.pitched(), strict=True):
        course = found.of(note, note.onset_q, note.end_q)
        assert one.at == note.id
        assert one.level_db == min(course.start_db - found.loudest_db, 0)
        assert one.end_level_db == min(course.end_db - found.loudest_db, 0)


def test_every_dynamic_that_music21_reads_in_weber_gives_its_note_that_level(weber: Part) -> None:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        theirs = music21.corpus.parse(WEBER, forceSource=True).parts[0]
    dynamics = theirs.recurse().getElementsByClass("Dynamic")
    signs = [(Fraction(one.getOffsetInHierarchy(theirs)), str(one.value)) for one in dynamics]
    line = {one.at: one for one in dynamic_line(weber)}
    loudest = levels(weber).loudest_db
    checked = 0
    for at_q, sign in signs:
        for note in weber.pitched():
            accent = sum(ACCENT_DB.get(name, 0.0) for name in note.articulations)
            if abs(note.onset_q - at_q) <= DIVISION and sign in LEVEL_DB:
                assert line[note.id].level_db == pytest.approx(LEVEL_DB[sign] + accent - loudest)
                checked += 1
    assert len(signs) == 56 and checked >= 40  # the others stand at rests, or in tuplets that the file rounds
    assert not {sign for _, sign in signs} & set(ATTACKS)


def test_weber_is_shaped_in_few_places(weber: Part) -> None:
    given = shapings(weber, lambda _: 0.6)
    # About one to a line of music at most: 241 measures are some sixty lines. A default of taste.
    assert 5 <= len(given) <= 60
    kinds = {one.content.sign for one in given}
    assert {"crescendo", "diminuendo", ""} <= kinds

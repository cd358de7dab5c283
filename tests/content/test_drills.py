"""The recipes that travel with the program: what the issue asks for is there, and fits the screen it is told on."""

import pytest

from coach.files.drills import recipe_faults
from coach.files.musicxml.vocabulary import hairpin_word, is_tempo_word, jump_of
from coach.paths import content
from coach.practice.drills.recipe import Recipe
from tests.practice.drills.pieces import RECIPES

NARROW = 78  # columns of a line on a terminal of 80
ALL = pytest.mark.parametrize("recipe", [pytest.param(one, id=one.id) for one in RECIPES.values()])


def test_the_files_are_good() -> None:
    files = [file for file in content("drills").iterdir() if file.name.endswith(".toml")]
    assert files
    assert {file.name: recipe_faults(file.read_text("utf-8"), file.name) for file in files} == {
        file.name: () for file in files
    }


def test_what_is_asked_for_is_there() -> None:
    """The swap on a held note, the change back and forth with growing speed, inside its measure, added note by note
    from either end, slurred first; the trill ramp, graces counted, the lead-in and the leap, long tones along the
    dynamics; the phrase on one breath, the breath itself, one note at three dynamics. The ids stay, since players' logs
    have them."""
    assert {recipe.id: recipe.works_on for recipe in RECIPES.values()} == {
        "swap": "held",
        "back-and-forth": "change",
        "in-its-measure": "change",
        "from-the-front": "notes",
        "from-the-end": "notes",
        "slurred-first": "notes",
        "trill-ramp": "trill",
        "graces-counted": "grace",
        "lead-and-leap": "change",
        "leap-down": "change",
        "long-tones": "notes",
        "one-breath": "phrase",
        "breath-in-time": "breath",
        "tone-at-three": "tone",
    }
    for recipe in RECIPES.values():
        slurred = [brick.slurred for brick in recipe.bricks]
        assert slurred == sorted(slurred, reverse=True)  # slurred first
    assert [cue.split()[0] for cue in RECIPES["swap"].bricks[0].cues] == ["hold", "add", "release", "stay"]
    assert {RECIPES[f"from-the-{end}"].bricks[0].end for end in ("front", "end")} == {"front", "end"}


@ALL
def test_a_step_fits_its_line(recipe: Recipe) -> None:
    longest = {
        "grow": ": all of them",
        "lead": ": with 3 notes before it",
        "stages": "",  # the value goes before: "dotted quarters: "
        "shake": ": from 3 to 12.5 notes a beat",
        "phrase": ": as far as Bbb6 in measure 1000",
        "tone": "ff: ",
    }
    told = [f"{brick.says}{longest.get(brick.do, '')}" for brick in recipe.bricks]
    told += [f"dotted eighths: {brick.says}" for brick in recipe.bricks if brick.do == "stages"]
    assert max(map(len, (recipe.says, *told))) <= NARROW


@ALL
def test_what_is_printed_is_read_as_plain_words(recipe: Recipe) -> None:
    """No label is taken for a tempo, a hairpin or a jump when the drill is read back."""
    labels = [text for brick in recipe.bricks for text in (brick.label, *brick.cues) if text]
    assert not any(is_tempo_word(text) or hairpin_word(text) or jump_of(text) for text in labels)


@ALL
def test_its_source_and_its_caution_are_told(recipe: Recipe) -> None:
    """Trade practice is called so; fast and repeated work says when to stop (handbook: pain means stop)."""
    assert recipe.source == "common practice of the trade"
    if recipe.id in ("swap", "back-and-forth", "trill-ramp"):
        assert "Pain means stop" in recipe.caution
    if recipe.works_on in ("phrase", "breath", "tone"):  # handbook, facts 1.5: too many full breaths make light-headed
        assert recipe.caution.startswith("Dizzy means stop and sit down")
        assert "Rest a" in recipe.caution and "doctor outranks" in recipe.caution
    if recipe.falls:
        assert "never force the last air" in recipe.caution and "no medical test" in recipe.caution
        assert recipe.rest_s == 60
    if recipe.id == "long-tones":  # breath drills (design: dizzy after breath drills means stop)
        assert "Do not force" in recipe.caution and "dizzy" in recipe.caution

"""Recipes as files: each mistake is told with its place and its remedy, in one sentence."""

from pathlib import Path

import pytest

from coach.errors import RecipeError
from coach.files.drills import load_recipes, recipe_faults

GOOD = """\
schema = "coach.drills/1"

[[drill]]
id = "swap"
name = "Swap"
works_on = "held"
spot = "swap on {first}"
purpose = "One finger takes over."
says = "Hold, add, release."
source = "common practice of the trade"

[[drill.part]]
do = "hold"
cues = ["hold {from}", "add {to}"]
says = "Hold"
"""
CHANGE = GOOD.replace('"held"', '"change"').replace('do = "hold"', 'do = "alternate"')
WHOLE = GOOD.replace('do = "hold"', 'do = "whole"').replace('cues = ["hold {from}", "add {to}"]\n', "")
STAGES = CHANGE.replace('cues = ["hold {from}", "add {to}"]', 'simple = ["1/2", "1"]\ncompound = ["1", "3"]')
TRILL = GOOD.replace('"held"', '"trill"').replace('do = "hold"\ncues = ["hold {from}", "add {to}"]', 'do = "shake"')
LEAP = CHANGE.replace('do = "alternate"\ncues = ["hold {from}", "add {to}"]', 'do = "lead"\nmost = 3').replace(
    'spot = "', 'least_semitones = 7\nspot = "'
)
LONG = GOOD.replace('"held"', '"notes"').replace(
    'do = "hold"\ncues = ["hold {from}", "add {to}"]', 'do = "long"\nmost = 6\nbeats = 4'
)


def test_good_ones_are_read() -> None:
    for text in (GOOD, STAGES, TRILL, LEAP, LONG, LEAP.replace("= 7", "= -7")):
        assert recipe_faults(text, "x.toml") == ()


@pytest.mark.parametrize(
    ("text", "place", "remedy"),
    [
        (GOOD.replace("drills/1", "drills/9"), "the head", "write coach.drills/1"),
        (GOOD.replace('name = "Swap"', ""), "line 3, [[drill]] swap", "name is missing; write name ="),
        (GOOD.replace('id = "swap"', 'id = "The Swap"'), "line 3", "small letters"),
        (GOOD.replace('"held"', '"rest"'), "line 3", "write held or change or notes or trill or grace"),
        (GOOD.replace("{first}", "{nobody}"), "line 3", "there are {first}, {last}, {measures}"),
        (GOOD.replace("{first}", "{first"), "line 3", "write both, or neither"),
        (GOOD.replace("{first}", "{first:>9}"), "line 3", "there are {first}"),
        (GOOD.replace("add {to}", "add {it}"), "line 3", "part 1: cues speaks of {it}; there are {from}, {to}"),
        (GOOD.replace('do = "hold"', 'do = "grow"'), "line 3", "part 1: end is missing"),
        (GOOD.replace('do = "hold"', 'do = "jump"'), "line 3", "write hold or pass or alternate"),
        (WHOLE, "line 3", '"whole" makes no sense of a held note; write hold or pass'),
        (GOOD.replace('says = "Hold"', 'says = "Hold"\ntimes = 99'), "line 3", "times must be a whole number"),
        (GOOD.replace('says = "Hold"', 'says = "Hold"\nhurry = true'), "line 3", 'no field "hurry"'),
        (GOOD.replace('says = "Hold"', ""), "line 3", "part 1: says is missing"),
        (GOOD.replace(', "add {to}"', ""), "line 3", "cues must be 2 to 8 texts"),
        (STAGES.replace('"1/2", "1"', '"1", "1/2"'), "line 3", "must grow from each stage to the next"),
        (STAGES.replace('"1/2", "1"', '"0", "1"'), "line 3", "from 1/8 to 16"),
        (STAGES.replace('"1/2", "1"', '"1/0"'), "line 3", "must be notes to the beat"),
        (STAGES.replace('"1/2", "1"', '"fast"'), "line 3", "must be notes to the beat"),
        (GOOD + GOOD.partition("\n\n")[2], "[[drill]] swap", "give it one of its own"),
        (GOOD.partition("[[drill.part]]")[0], "line 3", "it has no parts"),
        ("drill = 3\n" + GOOD.partition("\n\n")[0], "x.toml", "write each under a line [[drill]]"),
        (TRILL.replace('"trill"', '"grace"'), "line 3", '"shake" makes no sense of a note with graces; write counted'),
        (TRILL.replace('"shake"', '"shake"\ngather = "yes"'), "line 3", "gather must be true or false"),
        (TRILL.replace('"shake"', '"shake"\nslurred = true'), "line 3", 'no field "slurred"'),
        (LEAP.replace("= 7", "= 0"), "line 3", "write 7 for a fifth up or more, -7 for one down"),
        (LEAP.replace("= 7", '= "fifth"'), "line 3", "least_semitones must be a whole number from -36 to 36"),
        (TRILL.replace('spot = "', 'least_semitones = 7\nspot = "'), "line 3", 'no field "least_semitones"'),
        (LEAP.replace("most = 3", "most = 9"), "line 3", "most must be a whole number from 0 to 8"),
        (LONG.replace("most = 6", "most = 0"), "line 3", "most must be a whole number from 1 to 12"),
        (LONG.replace("beats = 4", ""), "line 3", "part 1: beats is missing"),
        ("schema = ", "x.toml", "mend that line"),
        ("a = " + "[" * 99999, "x.toml", "write them flat"),
        ("#" * (1 << 20) + "##", "x.toml", "name another file"),
    ],
)  # fmt: skip
def test_a_mistake_is_told_with_place_and_remedy(text: str, place: str, remedy: str) -> None:
    found = recipe_faults(text, "x.toml")
    assert found and found[0].startswith("x.toml")
    assert place in found[0] and remedy in found[0], found


def test_the_first_of_several_is_raised_as_one_sentence(tmp_path: Path) -> None:
    file = tmp_path / "mine.toml"
    file.write_text(GOOD.replace('name = "Swap"', "") + GOOD.partition("\n\n")[2].replace('says = "Hold"', ""))
    with pytest.raises(RecipeError, match=r"^mine\.toml, line 3, .* \(1 more after it\)\.$"):
        load_recipes(file)
    file.write_bytes(b"\xff\xfe")
    with pytest.raises(RecipeError, match="save it as UTF-8"):
        load_recipes(file)
    with pytest.raises(RecipeError, match="cannot be read"):
        load_recipes(tmp_path / "gone.toml")

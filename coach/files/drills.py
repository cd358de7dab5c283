"""Recipes for drills from their files (TOML, schema coach.drills/1; content/README.md describes it).

A mistake in a file is told with file, line, table and remedy; nothing but RecipeError comes out of a broken one.
"""

import re
import tomllib
from collections.abc import Iterable
from fractions import Fraction
from functools import cache
from string import Formatter
from typing import TYPE_CHECKING

from coach.errors import RecipeError
from coach.files.chart_tables import Fault, Faults, Table, lines_of, tables_of
from coach.music.text import one_line
from coach.paths import content
from coach.practice.drills.decided import SIGNS
from coach.practice.drills.recipe import DEEDS, ENDS, KEYS, KINDS, PLACES, Brick, Recipe

if TYPE_CHECKING:
    from importlib.resources.abc import Traversable

SCHEMA = "coach.drills/1"
LARGEST = 1 << 20
MOST_TIMES, MOST_ROUNDS, MOST_AROUND, MOST_CUES, MOST_STAGES = 8, 24, 8, 8, 12
MOST_LENGTHS, MOST_SILENCE, MOST_REST_S = 8, 2, 600
MOST_LEAD, MOST_TONES, MOST_BEATS, MOST_SEMITONES = 8, 12, 16, 36
_FITTING = {
    "held": ("hold", "pass"),
    "change": ("alternate", "window", "measures", "lead"),
    "notes": ("grow", "whole", "measures", "long"),
    "trill": ("stages", "shake"),
    "grace": ("counted", "graced"),
    "phrase": ("phrase",),
    "breath": ("breathe", "inside"),
    "tone": ("tone",),
}
_ID = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*")


@cache
def own_recipes() -> tuple[Recipe, ...]:
    """The recipes that travel with the program, in the order of their files. Raises RecipeError."""
    files = sorted(content("drills").iterdir(), key=lambda file: file.name)
    return tuple(recipe for file in files if file.name.endswith(".toml") for recipe in load_recipes(file))


def load_recipes(file: "Traversable") -> tuple[Recipe, ...]:
    """The recipes in a file. Raises RecipeError naming the file, the first mistake's place and the remedy."""
    try:
        text = file.read_bytes().decode("utf-8")
    except OSError as error:
        raise RecipeError(f"{file} cannot be read ({error}); put the recipes there or name another file.") from error
    except UnicodeDecodeError as error:
        raise RecipeError(f"{file.name} is not UTF-8 text; save it as UTF-8.") from error
    recipes, faults = _read(text, file.name)
    if faults:
        more = f" ({len(faults) - 1} more after it)" if len(faults) > 1 else ""
        raise RecipeError(f"{faults[0]}{more}.")
    return recipes


def recipe_faults(text: str, name: str) -> tuple[str, ...]:
    """Every mistake in a file's text, each with its place and remedy; empty for a good one."""
    return _read(text, name)[1]


def _read(text: str, name: str) -> tuple[tuple[Recipe, ...], tuple[str, ...]]:
    faults = Faults(one_line(name, 200))
    if len(text) > LARGEST:
        faults.add("", f"larger than {LARGEST >> 20} MB, which no list of recipes is; name another file")
        return (), tuple(faults.found)
    try:
        document = tomllib.loads(text)
    except RecursionError:
        faults.add("", "its lists stand too deep within each other; write them flat")
    except ValueError as error:  # of which TOMLDecodeError is one
        faults.add("", f"not valid TOML ({one_line(str(error), 200)}); mend that line")
    else:
        _head(Table({key: value for key, value in document.items() if key != "drill"}, "the head"), faults)
        found = [_one(table, faults) for table in tables_of(document, "drill", lines_of(text), faults)]
        recipes = tuple(recipe for recipe in found if recipe is not None)
        _check_ids(recipes, faults)
        return recipes, tuple(faults.found)
    return (), tuple(faults.found)


def _head(table: Table, faults: Faults) -> None:
    try:
        table.word("schema", (SCHEMA,))
        table.done()
    except Fault as fault:
        faults.add(table.place, str(fault))


def _one(table: Table, faults: Faults) -> Recipe | None:
    try:
        recipe = _recipe(table)
        table.done()
    except Fault as fault:
        faults.add(table.place, str(fault))
        return None
    return recipe


def _recipe(table: Table) -> Recipe:
    name = table.text("id")
    if not _ID.fullmatch(name):
        raise Fault('id must be small letters and digits with hyphens between, such as id = "back-and-forth"')
    works_on = table.word("works_on", KINDS)
    parts = table.tables("part")
    if not parts:
        raise Fault("it has no parts; write each under a line [[drill.part]]")
    return Recipe(
        id=name,
        name=table.text("name"),
        works_on=works_on,
        spot=_template("spot", table.text("spot"), PLACES),
        purpose=table.text("purpose"),
        says=table.text("says"),
        source=table.text("source"),
        bricks=tuple(_brick(part, k, works_on) for k, part in enumerate(parts, 1)),
        caution=table.text("caution", ""),
        least_semitones=_semitones(table) if works_on == "change" else 0,
        falls=table.flag("slower_is_harder", False),
        rest_s=table.whole("rest_seconds", 0, MOST_REST_S, 0),
    )


def _semitones(table: Table) -> int:
    size = table.whole("least_semitones", -MOST_SEMITONES, MOST_SEMITONES, 0)
    if table.has("least_semitones") and not size:
        raise Fault("least_semitones is 0, which asks for no leap; write 7 for a fifth up or more, -7 for one down")
    return size


def _brick(table: Table, number: int, works_on: str) -> Brick:
    try:
        brick = _deed(table, table.word("do", DEEDS))
        table.done()
        if brick.do not in _FITTING[works_on]:
            raise Fault(f'"{brick.do}" makes no sense of {_NOUNS[works_on]}; write {" or ".join(_FITTING[works_on])}')
    except Fault as fault:
        raise Fault(f"part {number}: {fault}") from None
    return brick


def _deed(table: Table, deed: str) -> Brick:
    cued, staged = deed in ("hold", "pass"), deed in ("alternate", "stages")
    bare = not cued and deed not in ("shake", "long", "phrase", "breathe", "inside", "tone")
    return Brick(
        do=deed,
        says=table.text("says"),
        label=table.text("label", ""),
        slurred=table.flag("slurred", deed != "graced") if bare else True,
        times=table.whole("times", 1, MOST_TIMES, 1),
        cues=_cues(table.texts("cues")) if cued else (),
        simple=_rates("simple", table.texts("simple")) if staged else (),
        compound=_rates("compound", table.texts("compound")) if staged else (),
        around=table.whole("around", 0, MOST_AROUND) if deed == "window" else 0,
        end=table.word("end", ENDS) if deed == "grow" else ENDS[0],
        rounds=table.whole("rounds", 1, MOST_ROUNDS) if deed == "grow" else 1,
        gather=table.flag("gather", False) if deed == "shake" else False,
        most=_most(table, deed),
        beats=_beats(table, deed),
        signs=_signs(table.texts("signs")) if deed == "tone" else (),
    )


def _beats(table: Table, deed: str) -> int:
    if deed == "breathe":
        return table.whole("beats", 0, MOST_SILENCE)
    return table.whole("beats", 1, MOST_BEATS) if deed in ("long", "tone") else 1


def _signs(texts: tuple[str, ...]) -> tuple[str, ...]:
    if not texts or any(text not in SIGNS for text in texts):
        raise Fault(f"signs must be dynamics, of {', '.join(SIGNS)}")
    return texts


def _most(table: Table, deed: str) -> int:
    if deed == "lead":
        return table.whole("most", 0, MOST_LEAD)
    if deed == "phrase":
        return table.whole("most", 1, MOST_LENGTHS)
    return table.whole("most", 1, MOST_TONES) if deed == "long" else 0


def _cues(texts: tuple[str, ...]) -> tuple[str, ...]:
    if not 2 <= len(texts) <= MOST_CUES:
        raise Fault(f"cues must be 2 to {MOST_CUES} texts, one a beat")
    return tuple(_template("cues", text, KEYS) for text in texts)


def _template(field: str, text: str, known: Iterable[str]) -> str:
    """A text with names in braces."""
    try:
        names = [(name, spec, how) for _, name, spec, how in Formatter().parse(text) if name is not None]
    except ValueError:
        raise Fault(f"{field} has a brace without its other one; write both, or neither") from None
    for name, spec, how in names:
        if name not in known or spec or how:
            raise Fault(f"{field} speaks of {{{one_line(name, 20)}}}; there are {', '.join(f'{{{k}}}' for k in known)}")
    return text


def _rates(field: str, texts: tuple[str, ...]) -> tuple[Fraction, ...]:
    """Notes to the beat, slow ones first."""
    try:
        rates = [Fraction(text) for text in texts]
    except (ValueError, ZeroDivisionError):
        raise Fault(f'{field} must be notes to the beat, such as {field} = ["1/2", "1", "2"]') from None
    if not 1 <= len(rates) <= MOST_STAGES or not all(Fraction(1, 8) <= rate <= 16 for rate in rates):
        raise Fault(f"{field} must be 1 to {MOST_STAGES} numbers of notes to the beat, from 1/8 to 16")
    if sorted(set(rates)) != rates:
        raise Fault(f"{field} must grow from each stage to the next")
    return tuple(rates)


def _check_ids(recipes: tuple[Recipe, ...], faults: Faults) -> None:
    seen: set[str] = set()
    for recipe in recipes:
        if recipe.id in seen:
            faults.add(f"[[drill]] {recipe.id}", "another drill has this id; give it one of its own")
        seen.add(recipe.id)


_NOUNS = {
    "held": "a held note",
    "change": "a change",
    "notes": "a stretch of notes",
    "trill": "a trill",
    "grace": "a note with graces",
    "phrase": "a stretch for one breath",
    "breath": "a note with a breath after it",
    "tone": "one note",
}

"""The characters that the music is drawn with: one set for UTF-8 terminals, one of plain ASCII.

Only characters of the Basic Multilingual Plane, one cell wide, are used: the musical symbols beyond it are missing from
many terminal fonts.
"""

import codecs
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Glyphs:
    """One character (or short text) for each thing drawn; `accidentals` runs from double flat to double sharp,
    `moves` are those of a finger up, down and from key to key,
    `beyond_ledger` is a ledger line just under and just over the head in whose row it is drawn."""

    accidentals: tuple[str, str, str, str, str]
    filled: str
    open: str
    breve: str
    grace: str
    line: str
    ledger: str
    beyond_ledger: tuple[str, str]
    bar: str
    chosen_bar: str
    chosen_number: tuple[str, str]
    final_bar: str
    repeat_dot: str
    stem: str
    beams: tuple[str, str, str, str]
    beam_left: tuple[str, str, str, str]
    beam_middle: tuple[str, str, str, str]
    beam_right: tuple[str, str, str, str]
    rests: tuple[str, str, str, str]
    tie: str
    slur_left: str
    slur_line: str
    slur_right: str
    slur_join: str
    fermata: str
    turn: str
    mordent: str
    hairpin_line: str
    marker: str
    pencil: str
    suggested: str
    part_tick: str
    range_line: str
    custos: str
    note_value: str
    states: tuple[str, str, str, str]
    clean: str
    slip: str
    here: str
    goal: str
    dash: str
    playing: str
    stopped: str
    ellipsis: str
    block: str
    key_down: str
    key_up: str
    moves: tuple[str, str, str]


UNICODE = Glyphs(
    accidentals=("bb", "♭", "♮", "♯", "##"),
    filled="●",
    open="○",
    breve="□",
    grace="•",
    line="─",
    ledger="─",
    beyond_ledger=("▁", "▔"),
    bar="│",
    chosen_bar="┃",
    chosen_number=(" ", " "),
    final_bar="║",
    repeat_dot=":",
    stem="│",
    beams=("─", "═", "≡", "≣"),
    beam_left=("┌", "╒", "┌", "┌"),
    beam_middle=("┬", "╤", "┬", "┬"),
    beam_right=("┐", "╕", "┐", "┐"),
    rests=("▀", "▄", "ξ", "7"),
    tie="‿",
    slur_left="╭",
    slur_line="─",
    slur_right="╮",
    slur_join="┬",
    fermata="⌒",
    turn="∾",
    mordent="≈",
    hairpin_line="─",
    marker="▼",
    pencil="▽",
    suggested="?",
    part_tick="·",
    range_line="═",
    custos="›",
    note_value="♩",
    states=("✓", "~", "✗", "·"),
    clean="✓",
    slip="✗",
    here="▸",
    goal="◆",
    dash="–",
    playing="▶",
    stopped="■",
    ellipsis="…",
    block="█",
    key_down="■",
    key_up="▫",
    moves=("↑", "↓", "↔"),
)

ASCII = Glyphs(
    accidentals=("bb", "b", "n", "#", "##"),
    filled="@",
    open="o",
    breve="O",
    grace="*",
    line="-",
    ledger="-",
    beyond_ledger=("_", "'"),
    bar="|",
    chosen_bar="#",
    chosen_number=("(", ")"),
    final_bar="H",
    repeat_dot=":",
    stem="|",
    beams=("-", "=", "3", "4"),
    beam_left=("+", "+", "+", "+"),
    beam_middle=("+", "+", "+", "+"),
    beam_right=("+", "+", "+", "+"),
    rests=("^", "_", "z", "7"),
    tie="~",
    slur_left="/",
    slur_line="-",
    slur_right="\\",
    slur_join="+",
    fermata="(.)",
    turn="~",
    mordent="w",
    hairpin_line="-",
    marker="V",
    pencil="v",
    suggested="?",
    part_tick=".",
    range_line="=",
    custos=">",
    note_value="",
    states=("+", "~", "x", "."),
    clean="+",
    slip="x",
    here=">",
    goal="*",
    dash="-",
    playing=">",
    stopped="#",
    ellipsis="...",
    block="#",
    key_down="#",
    key_up=".",
    moves=("^", "v", "~"),
)


def glyphs_for(encoding: str | None) -> Glyphs:
    """The set that a terminal of this encoding can show."""
    try:
        known = codecs.lookup(encoding or "ascii").name
    except LookupError:
        known = "ascii"
    return UNICODE if known.startswith("utf") else ASCII

"""A prep into the text of its file: stable order, a line for a person above each mark, and whatever the player wrote
into the text before it: comments, fields we do not know, tables that could not be read."""

import json
from collections.abc import Iterable
from typing import TYPE_CHECKING, Any

from coach.files.prep_blocks import OURS, Block, commented, inner_comments, table_of
from coach.files.prep_reading import KNOWN_FIELDS, SCHEMA, VERSION, Entry, Page
from coach.music.part import Part
from coach.music.text import one_line
from coach.prepare.fields import mark_fields
from coach.prepare.mark import ACCIDENTALS, SHAPES, SIGNS, SIZES, Mark
from coach.prepare.place import place_words
from coach.prepare.prep import Prep

if TYPE_CHECKING:
    from tomlkit import TOMLDocument

_HEAD = f"""\
The marks pencilled into this part, one [[mark]] each. Edit them with any text editor, while coach is closed or open.
Lines that begin with {OURS} are written by coach each time; comments that begin with # alone are yours and stay.

Every mark has
  id       leave it out in a mark of your own; it gets one
  kind     one of those below
  at       the note it stands at: measure.note, counted without rests ("12.3"); "12.r1" is the first rest of measure 12,
           "12.3g1" the first grace before that note, "12.3a1" the first one after it
  origin   player, teacher or computed
  state    kept, struck (decided against) or suggested (not decided yet)
  because  the reason, if there is one
and, by its kind (lengths count in quarters, such as "1/2"):
  phrase      to: its last note; goal: the note it leads to, if that is decided
  pace        shape: {", ".join(SHAPES)}; to: its last note, for what lasts; length: of a fermata or tenuto
  breath      size: {" or ".join(SIZES)}; the breath comes after the note
  fingering   choice: L or R for the little finger that takes the key, or another fingering by its name;
              alternatives: the other choices, forced: true where they would ask for a slide (both computed)
  swap        from and to: two fingerings of a held note; when: how long after its start
  reminder    text: {", ".join(ACCIDENTALS)}, or a plain name such as C;
              of: upper or lower where it speaks of a neighbour that the note's ornament plays
  ornament    notes: written out, such as "@3/2 Db5:1/2 Eb5:1/4 r:1/4" (@ is a place in the measure, r a rest);
              what: trill, grace, turn, mordent or ossia; style: treatise or lyrical, or none;
              shake: how a trill is shaken, in place of those of its notes
  dynamic     sign: {", ".join(SIGNS[:10])},
              {", ".join(SIGNS[10:])}; to: last note of a hairpin; level_db, colour (0 dark to 1 bright)
  alteration  to: the notes played instead, such as ["Db4", "F4"]
  comment     text: your own words"""
_UNPLACED = "These marks found no note in the score as it is now. They come back if it is corrected to fit again."
_OVER = (
    "The notes that the marks were written over, measure by measure (name:quarters, r a rest, g and a for graces",
    "before and after). By these the marks find their notes in a corrected score; leave this table as it is.",
)


def page_text(prep: Prep, part: Part, before: Page | None) -> str:
    """The text of a prep's file; `before` is what it held until now."""
    page = before or Page(Block("", 1))
    blocks = [_head(prep, page.head)]
    loose: list[str] = []  # comments of the player's whose table is gone
    if prep.settings or page.settings:
        blocks.append(_pairs("settings", prep.settings, page.settings, (), loose))
    entries = {entry.mark.id: entry for entry in page.entries if entry.mark is not None}
    blocks += [_mark("mark", mark, part, entries.pop(mark.id, None), ()) for mark in prep.marks]
    blocks += _unread("mark", page.entries, loose)
    context = _context(prep)
    unplaced = [
        _mark("unplaced", mark, part, entries.pop(mark.id, None), context.get(mark.id, ())) for mark in prep.unplaced
    ]
    if unplaced:
        unplaced[0] = [_ours(_UNPLACED), *unplaced[0]]
    blocks += [*unplaced, *_unread("unplaced", page.entries, loose)]
    for other in page.others:
        if other.name:
            blocks.append([*other.own_comments, *other.lines])
        else:
            loose += [*other.own_comments, *commented(other)]
    for entry in entries.values():  # marks that are gone leave the player's words about them
        loose += [*entry.block.own_comments, *inner_comments(entry.block)]
    if prep.over or page.over or loose:
        blocks.append(_pairs("over", prep.over, page.over, tuple(map(_ours, _OVER)), loose))
    return "\n\n".join("\n".join(lines) for lines in blocks if lines) + "\n"


def _ours(line: str) -> str:
    return f"{OURS} {line}".rstrip()


def _head(prep: Prep, before: Block) -> list[str]:
    import tomlkit  # deferred: a prep is written after a mark was put, never at the start

    kept = [line for line in before.lines if not line.lstrip().startswith(OURS)]
    while kept and not kept[0].strip():
        kept.pop(0)
    document = tomlkit.parse("\n".join(kept) + "\n" if kept else "")
    values = {
        "schema": f"{SCHEMA}/{VERSION}",
        "piece": prep.piece,
        "title": one_line(prep.title, 400),
        "score": prep.score_hash,
    }
    _set(document, values)
    title = one_line(prep.title, 100) or "A part"
    lines = tomlkit.dumps(document).strip("\n").split("\n")
    return [_ours(title), *map(_ours, _HEAD.split("\n")), "", *lines]


def _pairs(
    name: str, pairs: Iterable[tuple[str, str]], before: Block | None, ours: tuple[str, ...], loose: list[str]
) -> list[str]:
    """A table of names and texts, with the player's comments above it."""
    pairs = tuple(pairs)
    above = before.own_comments if before else []
    if name == "over":
        above = [*loose, *above]
    if before:
        table = table_of(before)
        if isinstance(table, dict) and tuple(table.items()) == pairs:
            return [*above, *ours, *before.lines]
        above = [*above, *inner_comments(before)]
    rows = (f"{_quoted(key) if name == 'over' else _key(key)} = {_quoted(value)}" for key, value in pairs)
    return [*above, *ours, f"[{name}]", *rows]


def _mark(name: str, mark: Mark, part: Part, before: Entry | None, context: tuple[tuple[str, str], ...]) -> list[str]:
    """A mark's table with the comments above it, in the player's own layout where it was there before."""
    fields = mark_fields(mark)
    if context:
        fields["over"] = [list(row) for row in context]
    where = place_words(part, mark.at) + (f" to {place_words(part, mark.to)}" if mark.to else "")
    if name == "unplaced":
        where = f"was at note {mark.at}"
    own = before.block.own_comments if before else []
    return [*own, _ours(one_line(where, 200)), *_table(name, mark, fields, before)]


def _table(name: str, mark: Mark, fields: dict[str, Any], before: Entry | None) -> list[str]:
    if before is None:
        return [f"[[{name}]]", *(f"{key} = {_value(value)}" for key, value in fields.items())]
    lines = before.block.lines
    table = table_of(before.block)
    over = table.get("over") if isinstance(table, dict) else None
    same = before.mark is not None and mark_fields(before.mark) == mark_fields(mark)
    if same and (before.block.name, before.id_written, over) == (name, True, fields.get("over")):
        return lines
    import tomlkit

    document: Any = tomlkit.parse("\n".join([lines[0].replace(before.block.name, name, 1), *lines[1:]]) + "\n")
    inner = document[name][0]
    for gone in [key for key in inner if key in KNOWN_FIELDS and key not in fields]:
        del inner[gone]
    _set(inner, fields)
    return tomlkit.dumps(document).strip("\n").split("\n")


def _set(table: "TOMLDocument", values: dict[str, Any]) -> None:
    for key, value in values.items():
        if key not in table or table[key] != value:
            table[key] = value


def _unread(name: str, entries: Iterable[Entry], loose: list[str]) -> list[list[str]]:
    """The tables that could not be read: as they are if they are TOML, else as comments."""
    found = []
    for entry in entries:
        if entry.mark is None and entry.broken and entry.block.name == name:
            loose += [*entry.block.own_comments, *commented(entry.block)]
        elif entry.mark is None and entry.block.name == name:
            found.append([*entry.block.own_comments, *entry.block.lines])
    return found


def _context(prep: Prep) -> dict[str, tuple[tuple[str, str], ...]]:
    rows: dict[str, tuple[tuple[str, str], ...]] = {}
    for owner, name, text in prep.unplaced_over:
        rows[owner] = (*rows.get(owner, ()), (name, text))
    return rows


def _value(value: Any) -> str:
    if isinstance(value, float):
        return repr(value)
    if isinstance(value, list):
        return f"[{', '.join(map(_value, value))}]"
    return _quoted(value)


def _key(key: str) -> str:
    return key if key.isascii() and key.replace("_", "").replace("-", "").isalnum() else _quoted(key)


def _quoted(text: str) -> str:
    """A basic string of TOML 1.0. JSON escapes the same way, but for DELETE, which no text of a prep holds."""
    return json.dumps(text, ensure_ascii=False)

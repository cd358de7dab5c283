"""The text of a prep file into a prep: what is good is taken, what is not is told, one sentence a mistake."""

import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from difflib import get_close_matches
from typing import Any

from coach.errors import StoreError
from coach.files.prep_blocks import Block, Slip, mended, split_blocks, table_of
from coach.music.text import one_line
from coach.prepare.fields import COMMON, NAMES, mark_from
from coach.prepare.follow import note_ids
from coach.prepare.mark import Fingering, Mark
from coach.prepare.merge import BY_HAND
from coach.prepare.over import places
from coach.prepare.pencil import in_order, one_fingering
from coach.prepare.prep import Prep
from coach.prepare.wording import MOST_WORDS, checked

SCHEMA, VERSION = "coach.prepfile", 1
HEAD_KEYS = ("schema", "piece", "title", "score")
KNOWN_FIELDS = frozenset({*COMMON, *(name for names in NAMES.values() for name in names), "over"})
LARGEST = 8 << 20
MOST_MARKS = 20_000
MOST_AT_A_NOTE = 40  # that are not struck; nobody could read more, and engraving takes their number squared
MOST_FAULTS = 100
_LONGEST_OVER = 100_000
_ID = re.compile(r"""\s*id\s*=\s*["']([^"']*)["']""")


@dataclass(frozen=True, slots=True)
class Entry:
    """A mark's table as it stands in the file, and the mark it was read as (None: it could not be read)."""

    block: Block
    mark: Mark | None
    id_written: bool = True
    broken: bool = False


@dataclass(slots=True)
class Page:
    """A prep file taken apart: its tables by what they are, the prep in them, the faults. `broken` tells that some of
    it is no TOML."""

    head: Block
    entries: list[Entry] = field(default_factory=list)
    settings: Block | None = None
    over: Block | None = None
    others: list[Block] = field(default_factory=list)
    prep: Prep = field(default_factory=Prep)
    faults: list[str] = field(default_factory=list)
    broken: bool = False


def read_page(text: str, name: str) -> Page:
    """A prep file's text, `name` for messages. Raises StoreError for what is no prep, or a newer coach's."""
    if len(text) > LARGEST:
        raise StoreError(f"{name} is larger than {LARGEST >> 20} MB, which no prep is; move it away.")
    head, *blocks = split_blocks(text.replace("\r\n", "\n").replace("\r", "\n"))
    reader = _Reader(name, {found[1] for block in blocks for line in block.lines if (found := _ID.match(line))})
    page = Page(head)
    fields = reader.pairs(page, head)
    _refuse_strange(fields, name)
    if isinstance(fields.get("mark"), list):
        reader.tell(page, _line_of(head, "mark"), "marks in one line are not read; write a [[mark]] for each")
    for block in blocks:
        reader.sort(page, block)
    reader.finish(page, fields)
    return page


def _refuse_strange(head: dict[str, Any], name: str) -> None:
    schema, _, version = str(head.get("schema", "")).partition("/")
    if schema != SCHEMA or not re.fullmatch("[1-9][0-9]{0,8}", version):
        raise StoreError(
            f'{name} is no prep: its head lacks schema = "{SCHEMA}/{VERSION}"; write that line, or move the file away.'
        )
    if int(version) > VERSION:
        raise StoreError(
            f"{name} was written by a newer coach (version {version}, this one reads {VERSION}); "
            "update coach, or move the file away."
        )


class _Reader:
    """Reads one file; knows its name, the ids that are taken, and what was told."""

    def __init__(self, name: str, written_ids: set[str]) -> None:
        self._name = name
        self._written_ids = written_ids
        self._taken: set[str] = set()
        self._crowd: Counter[str] = Counter()
        self._numbered: dict[str, int] = {}  # the last number that a stem of ids was given
        self._untold = 0
        self._unplaced_over: list[tuple[str, str, str]] = []
        self._settings: dict[str, Any] = {}
        self._over: dict[str, Any] = {}

    def tell(self, page: Page, line: int, what: str) -> None:
        """Add a fault: the file, the line, what is wrong and what to do."""
        if len(page.faults) < MOST_FAULTS:
            page.faults.append(f"{self._name}, line {line}: {one_line(what, 400)}.")
        else:
            self._untold += 1

    def pairs(self, page: Page, block: Block) -> dict[str, Any]:
        """What stands in a table of names and values; lines that are no TOML become comments."""
        table = table_of(block)
        if not isinstance(table, Slip):
            return table
        page.broken = True
        mend, slips = mended(block)
        block.lines, block.above = mend.lines, mend.above
        for slip in slips or [table]:
            self.tell(page, slip.line, f"{slip.what}; mend that line")
        table = table_of(block)
        return {} if isinstance(table, Slip) else table

    def sort(self, page: Page, block: Block) -> None:
        """Put a table where it belongs."""
        if block.name in ("mark", "unplaced"):
            page.entries.append(self._entry(page, block))
        elif block.name == "settings" and page.settings is None:
            page.settings, self._settings = block, self._texts(page, block, MOST_WORDS)
        elif block.name == "over" and page.over is None:
            page.over, self._over = block, self._texts(page, block, _LONGEST_OVER)
        else:
            table = table_of(block)
            known = block.name in ("settings", "over")
            meant = block.name.lower().removesuffix("s")
            if not known and not isinstance(table, Slip) and meant in ("mark", "unplaced"):
                self.tell(page, block.line, f"[[{block.name}]] is no table of a prep; write [[{meant}]]")
            if known or isinstance(table, Slip):
                page.broken = True
                what = f"[{block.name}] is there twice; join the two" if known else f"{table}; mend that line"
                if isinstance(table, Slip) and not known:
                    what = f"{table.what}; mend that line"
                self.tell(page, table.line if isinstance(table, Slip) else block.line, what)
                block.name = ""  # to be kept as comments
            page.others.append(block)

    def _texts(self, page: Page, block: Block, most: int) -> dict[str, str]:
        found = {}
        for key, value in self.pairs(page, block).items():
            try:
                found[checked("a name", key)] = checked(f"{key[:40]!r}", value, most, empty=True)
            except ValueError as error:
                self.tell(page, _line_of(block, key), f"{error}; correct it")
        return found

    def _entry(self, page: Page, block: Block) -> Entry:
        table = table_of(block)
        if isinstance(table, Slip):
            page.broken = True
            self.tell(page, table.line, f"{table.what}; mend that line, the mark is left out until then")
            return Entry(block, None, broken=True)
        if not block.lines[0].lstrip().startswith("[["):
            self.tell(page, block.line, f"a mark begins with [[{block.name}]]; write that line so")
            return Entry(block, None, broken=True)
        if len(self._taken) >= MOST_MARKS:
            self.tell(page, block.line, f"there are more than {MOST_MARKS} marks; leave out the rest")
            return Entry(block, None)
        try:
            rows = _context(table)
            mark = mark_from({**table, "id": table.get("id", self._new_id(table))})
        except (ValueError, RecursionError) as error:
            self.tell(page, block.line, f"{error}; correct it, the mark is left out until then")
            return Entry(block, None)
        self._crowd[mark.at] += not mark.struck
        if self._crowd[mark.at] > MOST_AT_A_NOTE and not mark.struck:
            self.tell(page, block.line, f"note {mark.at!r} has more than {MOST_AT_A_NOTE} marks; leave out the rest")
            return Entry(block, None)
        if mark.id in self._taken:
            self.tell(page, block.line, f'id = "{mark.id}" is taken; leave the id out and the mark gets a new one')
            return Entry(block, None)
        self._taken.add(mark.id)
        self._tell_misspelt(page, block, table, (*COMMON, *NAMES[mark.kind]))
        if block.name == "unplaced":
            self._unplaced_over += [(mark.id, *row) for row in rows]
        return Entry(block, mark, "id" in table)

    def _tell_misspelt(self, page: Page, block: Block, table: dict[str, Any], names: tuple[str, ...]) -> None:
        """Tell of fields that look like one of the mark's that is not there; any other is somebody's own."""
        open_names = [name for name in names if name not in table]
        for name in table:
            if name not in KNOWN_FIELDS and (meant := get_close_matches(name[:40], open_names, 1, 0.75)):
                what = f"{name[:40]!r} is no field of this mark and is not read; write {meant[0]}"
                self.tell(page, _line_of(block, name), what)

    def _new_id(self, table: dict[str, Any]) -> str:
        """An id for a mark that was written by hand without one: the same each time the file is read."""
        stem = f"{BY_HAND}{one_line(str(table.get('at', '')), 40)}-{one_line(str(table.get('kind', '')), 20)}"
        k = self._numbered.get(stem, 0) + 1
        while f"{stem}-{k}" in self._taken or f"{stem}-{k}" in self._written_ids:
            k += 1
        self._numbered[stem] = k
        return f"{stem}-{k}"

    def finish(self, page: Page, head: dict[str, Any]) -> None:
        """Put the prep together, with what can be told of the marks beside each other."""
        values = dict.fromkeys(HEAD_KEYS[1:], "")
        for key in values:
            try:
                values[key] = checked(key, head.get(key, ""), 400, empty=True)
            except ValueError as error:
                self.tell(page, _line_of(page.head, key), f"{error}; correct it")
        over = tuple(self._over.items())
        page.prep = Prep(piece=values["piece"], title=values["title"], score_hash=values["score"], over=over)
        placed, unplaced = self._placed(page)
        self._tell_second_fingerings(page)
        page.prep = Prep(
            piece=values["piece"],
            title=values["title"],
            score_hash=values["score"],
            marks=in_order(one_fingering(placed), over),
            unplaced=tuple(unplaced),
            over=over,
            settings=tuple(self._settings.items()),
            unplaced_over=tuple(self._unplaced_over),
        )
        if self._untold:
            page.faults.append(
                f"{self._name}: there are {self._untold} more mistakes; mend the first ones and look again."
            )

    def _placed(self, page: Page) -> tuple[list[Mark], list[Mark]]:
        """The marks that have a place, and those that have none; without `over` every place is taken for right."""
        known = places(page.prep.over)
        placed, unplaced = [], []
        for entry, mark in _marks(page):
            missing = [name for name in note_ids(mark) if name not in known] if known else []
            if entry.block.name == "mark" and not missing:
                placed.append(mark)
                continue
            if entry.block.name == "mark":
                what = f"there is no note {missing[0]!r} in this piece; correct it, the mark is kept without a place"
                self.tell(page, entry.block.line, what)
            unplaced.append(mark)
        return placed, unplaced

    def _tell_second_fingerings(self, page: Page) -> None:
        seen: dict[str, Mark] = {}
        for entry, mark in _marks(page):
            if entry.block.name == "mark" and isinstance(mark.content, Fingering) and not mark.struck:
                first = seen.setdefault(mark.at, mark)
                if first is not mark and isinstance(first.content, Fingering):
                    self.tell(
                        page,
                        entry.block.line,
                        f"note {mark.at!r} has two fingerings ({first.content.choice} and {mark.content.choice}), and "
                        "one is struck; take one of them out",
                    )


def _marks(page: Page) -> Iterator[tuple[Entry, Mark]]:
    return ((entry, entry.mark) for entry in page.entries if entry.mark is not None)


def _context(table: dict[str, Any]) -> list[tuple[str, str]]:
    """What an unplaced mark was written over. Raises ValueError."""
    rows = table.get("over", [])
    if not isinstance(rows, list) or not all(isinstance(row, list) and len(row) == 2 for row in rows):
        raise ValueError('over must be a list of measures, such as [["12", "Db5:1 Eb5:1/2"]]')
    return [(checked("over", name), checked("over", text, _LONGEST_OVER, empty=True)) for name, text in rows[:8]]


def _line_of(block: Block, key: str) -> int:
    """The line of a table that sets a key, or its first."""
    wanted = re.compile(rf"\s*[\"']?{re.escape(key)}[\"']?\s*=")
    return next((block.line + k for k, line in enumerate(block.lines) if wanted.match(line)), block.line)

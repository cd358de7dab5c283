"""An instrument's chart from its file (TOML, schema coach.chart/1; content/README.md describes it).

A mistake in the file is told with file, line, table and remedy; nothing but ChartError comes out of a broken chart.
"""

import tomllib
from collections.abc import Callable
from functools import cache
from typing import TYPE_CHECKING, Any, TypeVar

from coach.errors import ChartError, RequestError
from coach.files.chart_checks import check
from coach.files.chart_tables import Fault, Faults, Table, lines_of, tables_of
from coach.instruments.chart import Advice, Chart, Source
from coach.instruments.fingering import Fingering, Slide, Trill
from coach.instruments.mechanism import Control, Finger, Hole, Instead, Rule
from coach.music.text import one_line
from coach.paths import content

if TYPE_CHECKING:
    from importlib.resources.abc import Traversable

SCHEMA = "coach.chart/1"
LARGEST = 4 << 20
CONFIDENCES = ("high", "medium", "low")
KINDS = ("key", "hole", "ring")
MOST_SEMITONES, MOST_CENTS = 60, 2400
_HEAD = ("schema", "name", "instruments", "lowest", "highest", "registers", "other_slides", "uses")

Made = TypeVar("Made")


def charts() -> dict[str, "Traversable"]:
    """The chart files that travel with the program, by the instruments that they are for."""
    return {name: file for file, chart in _own().items() for name in chart.instruments}


def chart_for(instrument: str) -> Chart:
    """The chart of an instrument, such as "clarinet in B-flat". Raises RequestError naming those there are."""
    for chart in _own().values():
        if serves(chart, instrument):
            return chart
    known = ", ".join(charts())
    raise RequestError(f"There is no fingering chart for {one_line(instrument, 60)}; there are charts for {known}.")


def serves(chart: Chart, instrument: str) -> bool:
    """Whether the chart is for an instrument of that name."""
    return one_line(instrument).casefold() in (chart.name.casefold(), *(one.casefold() for one in chart.instruments))


def load_chart(file: "Traversable") -> Chart:
    """The chart in a file. Raises ChartError naming the file, the first mistake's place and the remedy."""
    try:
        data = file.read_bytes()
    except OSError as error:
        raise ChartError(f"{file} cannot be read ({error}); put the chart there or name another file.") from error
    try:
        text = data.decode("utf-8")
    except UnicodeDecodeError as error:
        raise ChartError(f"{file.name} is not UTF-8 text; save it as UTF-8.") from error
    return read_chart(text, file.name)


def read_chart(text: str, name: str) -> Chart:
    """A chart from its text; `name` stands for the file in messages. Raises ChartError with the first mistake."""
    chart, faults = _read(text, name)
    if faults or chart is None:
        more = f" ({len(faults) - 1} more after it)" if len(faults) > 1 else ""
        raise ChartError(f"{faults[0]}{more}.")
    return chart


def chart_faults(text: str, name: str) -> tuple[str, ...]:
    """Every mistake in a chart's text, each with its place and remedy; empty for a good chart. When tables are broken
    by themselves, what they mean to each other is not looked at."""
    return _read(text, name)[1]


@cache
def _own() -> dict["Traversable", Chart]:
    files = sorted(content("instruments").iterdir(), key=lambda file: file.name)
    return {file: load_chart(file) for file in files if file.name.endswith(".toml")}


def _read(text: str, name: str) -> tuple[Chart | None, tuple[str, ...]]:
    faults = Faults(one_line(name, 200))
    if len(text) > LARGEST:
        faults.add("", f"larger than {LARGEST >> 20} MB, which no chart is; name another file")
        return None, tuple(faults.found)
    try:
        document = tomllib.loads(text)
    except RecursionError:
        faults.add("", "its lists stand too deep within each other; write them flat")
    except ValueError as error:  # of which TOMLDecodeError is one
        faults.add("", f"not valid TOML ({one_line(str(error), 200)}); mend that line")
    else:
        chart = _Reader(document, lines_of(text), faults).chart()
        return chart, tuple(faults.found)
    return None, tuple(faults.found)


class _Reader:
    """Turns the document into a chart and notes the mistakes on the way."""

    def __init__(self, document: dict[str, Any], lines: dict[str, list[int]], faults: Faults) -> None:
        self.document, self.lines, self.faults = document, lines, faults
        self.places: dict[int, str] = {}

    def chart(self) -> Chart | None:
        chart = self._one(Table({k: v for k, v in self.document.items() if k not in _TABLES}, "the head"), self._chart)
        if chart is None or self.faults.found:
            return None
        check(chart, self.places, self.faults)
        return chart if not self.faults.found else None

    def _chart(self, head: Table) -> Chart:
        head.word("schema", (SCHEMA,))
        uses = head.inner("uses")
        return Chart(
            name=head.text("name"),
            instruments=head.texts("instruments"),
            lowest=head.pitch("lowest"),
            highest=head.pitch("highest"),
            registers=head.texts("registers"),
            uses=tuple((word, uses.text(word)) for word in uses.values),
            options=self._all("option", lambda table: (table.text("id"), table.text("name"))),
            fingers=self._all("finger", _finger),
            controls=self._all("control", _control),
            holes=self._all("hole", _hole),
            rules=self._all("rule", _rule),
            all_fingerings=self._all("fingering", fingering_from),
            trills=self._all("trill", _trill),
            slides=self._all("slide", _slide),
            advice=self._all("advice", _advice),
            sources=self._all(
                "source", lambda table: Source(table.text("id"), table.text("title"), table.text("url", ""))
            ),
            other_slides=head.whole("other_slides", 1, 3),
        )

    def _all(self, kind: str, make: Callable[[Table], Made]) -> tuple[Made, ...]:
        made = []
        for table in tables_of(self.document, kind, self.lines, self.faults):
            one = self._one(table, make)
            if one is not None:
                self.places[id(one)] = table.place
                made.append(one)
        return tuple(made)

    def _one(self, table: Table, make: Callable[[Table], Made]) -> Made | None:
        try:
            made = make(table)
            table.done()
        except Fault as fault:
            self.faults.add(table.place, str(fault))
            return None
        return made


_TABLES = ("option", "source", "finger", "control", "hole", "rule", "slide", "advice", "fingering", "trill")


def _finger(table: Table) -> Finger:
    return Finger(
        table.text("id"),
        table.word("hand", ("left", "right")),
        table.text("name"),
        tuple(frozenset(pair.split()) for pair in table.texts("together", ())),
    )


def _control(table: Table) -> Control:
    return Control(
        table.text("id"),
        table.text("name"),
        table.text("finger"),
        table.word("kind", KINDS),
        table.text("option", ""),
        table.text("note", ""),
        table.texts("source", ()),
    )


def _hole(table: Table) -> Hole:
    return Hole(
        table.text("id"),
        table.text("name"),
        table.word("rest", ("open", "closed")) == "open",
        frozenset(table.texts("moved_by")),
        frozenset(table.texts("held_by", ())),
        table.pitch("low") if table.has("low") else None,
        table.number("flatter_next", 0, MOST_CENTS, 0),
        table.number("flatter_all", 0, MOST_CENTS, 0),
        table.number("raises", 0, 12, 0),
        table.numbers("raises_over", 0, 12),
        table.text("note", ""),
        table.texts("source", ()),
    )


def _rule(table: Table) -> Rule:
    return Rule(
        table.text("id"),
        table.number("raise", -MOST_SEMITONES, MOST_SEMITONES),
        table.number("flatter", 0, 8),
        table.whole("partial", 1, 32),
        frozenset(table.texts("down", ())),
        frozenset(table.texts("up", ())),
        frozenset(table.texts("any", ())),
        frozenset(table.texts("covered", ())),
        table.pitch("from") if table.has("from") else None,
        table.flag("clean", True),
        table.text("words", ""),
        tuple(_instead(one) for one in table.tables("other")),
        _lingers(table.inner("lingers")) if table.has("lingers") else None,
        table.texts("source", ()),
    )


def _lingers(table: Table) -> tuple[int, float]:
    made = table.whole("partial", 1, 32), table.number("raise", -MOST_SEMITONES, MOST_SEMITONES)
    table.done()
    return made


def _instead(table: Table) -> Instead:
    at = table.pitch("at") if table.has("at") else None
    made = Instead(
        table.number("raise", -MOST_SEMITONES, MOST_SEMITONES, None if at is None else 0),
        at,
        frozenset(table.texts("covered", ())),
        table.whole("partial", 1, 32),
        table.text("words", ""),
    )
    table.done()
    return made


def fingering_from(table: Table) -> Fingering:
    """The fingering in a table of the schema. Raises Fault."""
    return Fingering(
        table.pitch("pitch"),
        table.text("choice"),
        frozenset(table.names("down")),
        table.whole("rank", 1, 9),
        table.text("register"),
        table.texts("use", ()),
        table.text("tendency", ""),
        table.whole("cents", -100, 100, 0) if table.has("cents") else None,
        table.text("note", ""),
        table.word("confidence", CONFIDENCES),
        table.texts("source"),
    )


def _trill(table: Table) -> Trill:
    return Trill(
        table.pitch("lower"),
        table.pitch("upper"),
        frozenset(table.names("hold")),
        frozenset(table.names("move")),
        table.word("tap", ("add", "lift")) == "lift",
        table.flag("alternative", False),
        table.text("note", ""),
        table.word("confidence", CONFIDENCES),
        table.texts("source"),
    )


def _slide(table: Table) -> Slide:
    return Slide(
        table.text("from"),
        table.text("to"),
        table.whole("ease", 1, 3),
        table.flag("roll", False),
        table.text("note", ""),
        table.word("confidence", CONFIDENCES),
        table.texts("source"),
    )


def _advice(table: Table) -> Advice:
    return Advice(table.text("id"), table.text("says"), table.text("disputed", ""), table.texts("source"))

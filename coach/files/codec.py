"""The page as plain JSON values and back, quickly.

A value is itself if it is text, a number, a truth value or null; a fraction is `["/", n, d]`, a tuple `["()", ...]`,
one of the page's types `["Name", field, ...]`. Many records of one type are packed by column: each column is a table
of its different values with an index for every record, or, where one value prevails, the exceptions only.
"""

from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from dataclasses import fields
from fractions import Fraction
from itertools import repeat
from operator import attrgetter
from typing import Any

from coach.music.measure import Change, Measure
from coach.music.metre import Clef, Key, Metre
from coach.music.note import Fingering, Grace, Note, Ornament, SlurEnd
from coach.music.part import DynamicMark, Hairpin, Part, Words
from coach.music.piece import Notice, Piece
from coach.music.pitch import Pitch, Transposition
from coach.music.rhythm import Value
from coach.music.tempo import Tempo, TempoMark

_TYPES: dict[str, type[Any]] = {
    kind.__name__: kind
    for kind in (
        Change, Clef, DynamicMark, Fingering, Grace, Hairpin, Key, Measure, Metre, Note, Notice, Ornament, Part, Piece,
        Pitch, SlurEnd, Tempo, TempoMark, Transposition, Value, Words,
    )
}  # fmt: skip
_FIELDS = {kind: tuple(field.name for field in fields(kind)) for kind in _TYPES.values()}
_SPARSE_SHARE = 0.8
_MEASURE_LISTS = ("notes", "others")

SCHEMA = ";".join(f"{name}({','.join(_FIELDS[kind])})" for name, kind in sorted(_TYPES.items()))
"""Every type with its fields: readings kept under another schema are not read."""


class Damaged(Exception):
    """Packed values that no reading of ours has."""


def pack(value: Any) -> Any:
    """A value of the page as JSON values."""
    if value is None or isinstance(value, str | int | float):
        return value
    if isinstance(value, Fraction):
        return ["/", value.numerator, value.denominator]
    if isinstance(value, tuple):
        return ["()", *map(pack, value)]
    if isinstance(value, Part):
        return _pack_part(value)
    return [type(value).__name__, *(pack(getattr(value, name)) for name in _FIELDS[type(value)])]


def unpack(packed: Any) -> Any:
    """The value back. Raises Damaged."""
    try:
        return _unpack(packed)
    except (KeyError, IndexError, TypeError, ValueError, AttributeError, ZeroDivisionError, RecursionError) as error:
        raise Damaged(str(error)) from None


def _unpack(packed: Any) -> Any:
    if not isinstance(packed, list):
        return packed
    tag = packed[0]
    if tag == "/":
        return Fraction(packed[1], packed[2])
    if tag == "()":
        return tuple([_unpack(item) for item in packed[1:]])
    if tag == "Part":
        return _unpack_part(packed)
    return _TYPES[tag](*[_unpack(item) for item in packed[1:]])


def _pack_part(part: Part) -> list[Any]:
    heads = [pack(getattr(part, name)) for name in _FIELDS[Part] if name != "measures"]
    notes = [note for measure in part.measures for note in (*measure.notes, *measure.others)]
    measures = _pack_records(part.measures, [name for name in _FIELDS[Measure] if name not in _MEASURE_LISTS])
    counts = [[len(measure.notes), len(measure.others)] for measure in part.measures]
    return ["Part", heads, measures, counts, _pack_records(notes, _FIELDS[Note])]


def _unpack_part(packed: list[Any]) -> Part:
    _, heads, measures, counts, notes = packed
    made = _unpack_records(Note, notes, sum(map(sum, counts)))
    practised, others, at = [], [], 0
    for own, beside in counts:
        practised.append(tuple(made[at : at + own]))
        others.append(tuple(made[at + own : at + own + beside]))
        at += own + beside
    columns = dict(zip((name for name in _FIELDS[Measure] if name not in _MEASURE_LISTS), measures, strict=True))
    given = {"notes": practised, "others": others}
    made_measures = map(Measure, *(given.get(name) or _column(columns[name], len(counts)) for name in _FIELDS[Measure]))
    values = dict(zip((name for name in _FIELDS[Part] if name != "measures"), map(_unpack, heads), strict=True))
    return Part(measures=tuple(made_measures), **values)


def _pack_records(records: Sequence[Any], names: Iterable[str]) -> list[Any]:
    return [_pack_column(list(map(attrgetter(name), records))) for name in names]


def _unpack_records(kind: Callable[..., Any], columns: list[Any], count: int) -> list[Any]:
    if len(columns) != len(_FIELDS[kind]):  # type: ignore[index]
        raise Damaged(f"{len(columns)} columns")
    return list(map(kind, *(_column(column, count) for column in columns))) if count else []


def _pack_column(values: list[Any]) -> list[Any]:
    """[table, index of each] or [table, prevailing index, places of exceptions, their indices]."""
    keys = [(type(value), value) for value in values]  # True and 1 are different values
    table = {key: k for k, key in enumerate(dict.fromkeys(keys))}
    packed = [pack(value) for _, value in table]
    indices = [table[key] for key in keys]
    prevailing, often = Counter(indices).most_common(1)[0] if indices else (0, 0)
    if often < _SPARSE_SHARE * len(indices):
        return [packed, indices]
    places = [k for k, index in enumerate(indices) if index != prevailing]
    return [packed, prevailing, places, [indices[k] for k in places]]


def _column(column: list[Any], count: int) -> Iterable[Any]:
    table = [_unpack(value) for value in column[0]]
    if len(column) == 2:
        if len(column[1]) != count:
            raise Damaged("a column too short")
        return [table[index] for index in column[1]]
    _, prevailing, places, indices = column
    if not places:
        return repeat(table[prevailing], count)
    values = [table[prevailing]] * count
    for place, index in zip(places, indices, strict=True):
        values[place] = table[index]
    return values

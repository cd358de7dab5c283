"""Export and merge: nothing lost, nothing twice, and all or nothing."""

import io
import json
import tempfile
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from coach.errors import StoreError
from coach.practice.entry import Entry
from coach.practice.rep import Rep, Slip
from coach.store.log import Log, Merged

HEADER = '{"schema": "coach.log/1"}'
REP = Rep(
    uuid="r1",
    at=datetime(2026, 3, 14, 9, 30, tzinfo=UTC),
    zone="Europe/Vienna",
    piece="etude",
    score_hash="c0ffee",
    spot="s1",
    from_note="12.3",
    to_note="14~2.1",
    first="12",
    last="14~2",
    per_minute=63.0,
    beat="dotted quarter",
    outcome="slip",
    complete=False,
    slips=(Slip("12.3g1", "fingers"), Slip("", "breath")),
    rule="steady",
    rung=60.0,
)
# The bytes are the contract: other programs and later versions read them.
REP_LINE = (
    '{"uuid": "r1", "at": "2026-03-14T09:30:00.000000+00:00", "zone": "Europe/Vienna", "kind": "rep", '
    '"piece": "etude", "body": {"complete": false, "drill": "", "from": "12.3", "kind": "rep", '
    '"measures": ["12", "14~2"], "outcome": "slip", "rule": "steady", "rung": 60.0, "score_hash": "c0ffee", '
    '"slips": [{"at": "12.3g1", "what": "fingers"}, {"at": "", "what": "breath"}], "spot": "s1", '
    '"tempo": {"beat": "dotted quarter", "per_minute": 63.0}, "to": "14~2.1"}}'
)


@contextmanager
def fresh() -> Iterator[Log]:
    with tempfile.TemporaryDirectory() as folder, Log.open(Path(folder) / "log.sqlite3") as log:
        yield log


def exported(log: Log) -> str:
    stream = io.StringIO()
    log.export(stream)
    return stream.getvalue()


def merged(log: Log, text: str) -> Merged:
    return log.merge(io.StringIO(text), "export.jsonl")


def line(uuid: str = "n1", at: str = "2026-03-14T09:30:00Z", kind: str = "note", body: object = None) -> str:
    value = {
        "uuid": uuid,
        "at": at,
        "zone": "UTC",
        "kind": kind,
        "piece": "etude",
        "body": {} if body is None else body,
    }
    return json.dumps(value)


def test_the_bytes_of_an_export() -> None:
    with fresh() as log:
        log.append(REP.to_entry())
        assert exported(log) == f"{HEADER}\n{REP_LINE}\n"


def test_the_bytes_of_an_export_are_read_back() -> None:
    with fresh() as log:
        assert merged(log, f"{HEADER}\n{REP_LINE}\n") == Merged(1, 0)
        assert Rep.from_entry(log.entries()[0]) == REP


def test_an_empty_log_is_exported_as_its_header() -> None:
    with fresh() as log:
        assert exported(log) == f"{HEADER}\n"
        assert merged(log, f"{HEADER}\n") == Merged(0, 0)


def test_a_kind_of_a_newer_program_is_kept() -> None:
    with fresh() as log:
        assert merged(log, f"{HEADER}\n{line(kind='weather', body={'rain': True})}\n").added == 1
        assert json.loads(exported(log).splitlines()[1])["body"] == {"rain": True}


def test_blank_lines_and_the_same_entry_twice_do_no_harm() -> None:
    with fresh() as log:
        assert merged(log, f"\n{HEADER}\n\n{line()}\n{line()}\n\n") == Merged(1, 1)


BAD = {
    "empty": ("", "empty"),
    "blank": ("\n \n", "empty"),
    "prose": ("hello\n", "line 1: this is no JSON"),
    "other": ('{"schema": "coach.prep/1"}\n', "line 1: this is no export"),
    "list": ("[]\n", "line 1: this is no entry"),
    "no header": (line() + "\n", "line 1: this is no export"),
    "newer": ('{"schema": "coach.log/2"}\n', "newer coach"),
    "cut short": (f"{HEADER}\n{line()}\n{line('n2')[:-7]}", "line 3: this is no JSON"),
    "no uuid": (f'{HEADER}\n{{"at": "2026-03-14T09:30:00Z"}}\n', "line 2: uuid is missing"),
    "empty uuid": (f"{HEADER}\n{line(uuid='')}\n", "line 2: an entry needs a uuid"),
    "body": (f"{HEADER}\n{line(body=[1])}\n", "line 2: body is missing or no table"),
    "zone": (f"{HEADER}\n{line(at='2026-03-14T09:30:00')}\n", "line 2: at is .*no zone"),
    "time": (f"{HEADER}\n{line(at='yesterday')}\n", "line 2: at is .*no time"),
    "end of time": (f"{HEADER}\n{line(at='9999-12-31T23:59:59-12:00')}\n", "line 2: at is .*no time"),
    "not a number": (f"{HEADER}\n{line(body={'x': float('nan')})}\n", "line 2: this is no JSON|NaN"),
    "surrogate": (f"{HEADER}\n{line(uuid=chr(0xD800))}\n", "line 2: .*surrogates"),
    "deep": (f"{HEADER}\n" + "[" * 100_000 + "\n", "line 2: it is nested too deeply"),
    "long number": (f"{HEADER}\n" + "1" * 10_000 + "\n", "line 2: this is no JSON"),
    "rep": (f"{HEADER}\n{line(kind='rep', body={'outcome': 'clean'})}\n", "line 2: tempo is missing"),
    "tempo": (
        f"{HEADER}\n" + REP_LINE.replace('"per_minute": 63.0', '"per_minute": 0'),
        "line 2: per_minute is 0; a tempo lies between 1 and 1000",
    ),
    "outcome": (
        f"{HEADER}\n" + REP_LINE.replace('"slip"', '"fine"'),
        "line 2: outcome is 'fine'; it may be clean or slip",
    ),
    "ladder": (f"{HEADER}\n{line(kind='ladder', body={'spot': 's', 'start': 90.0})}\n", "line 2: target is missing"),
    "retraction": (f"{HEADER}\n{line(kind='retraction')}\n", "line 2: of is missing"),
    "spot": (f"{HEADER}\n{line(kind='spot', body={'spot': 's', 'name': 3})}\n", "line 2: name is 3; it must be a text"),
    "piece": (f"{HEADER}\n{line(kind='piece', body={'by': 'May'})}\n", "line 2: by is 'May'"),
}


@pytest.mark.parametrize(("text", "words"), BAD.values(), ids=BAD.keys())
def test_a_mistake_is_told_with_its_line_and_nothing_is_added(text: str, words: str) -> None:
    with fresh() as log:
        with pytest.raises(StoreError, match=words) as caught:
            merged(log, text)
        assert str(caught.value).startswith("export.jsonl")
        assert "nothing was added" in str(caught.value)
        assert log.entries() == ()


def test_bytes_that_are_no_text_are_told(tmp_path: Path) -> None:
    path = tmp_path / "export.jsonl"
    path.write_bytes(HEADER.encode() + b"\n\xff\xfe\n")
    with fresh() as log, path.open(encoding="utf-8") as stream, pytest.raises(StoreError, match="not UTF-8"):
        log.merge(stream)


def test_a_clash_refuses_the_whole_file() -> None:
    with fresh() as log:
        merged(log, f"{HEADER}\n{line('n1', body={'x': 1})}\n")
        with pytest.raises(StoreError, match="other content"):
            merged(log, f"{HEADER}\n{line('n0')}\n{line('n1', body={'x': 2})}\n")
        assert [one.uuid for one in log.entries()] == ["n1"]


def test_an_export_that_cannot_be_written_is_told() -> None:
    class Full(io.StringIO):
        def write(self, text: str) -> int:
            raise OSError(28, "No space left on device")

    with fresh() as log, pytest.raises(StoreError, match="No space left"):
        log.export(Full())


# --- properties -------------------------------------------------------------------------------------------------------

values = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False, allow_infinity=False) | st.text(max_size=8),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=4), inner, max_size=3),
    max_leaves=8,
)
times = st.datetimes(datetime(1, 1, 2), datetime(9999, 12, 30)).map(lambda at: at.replace(tzinfo=UTC))  # noqa: DTZ001
notes = st.builds(
    Entry,
    uuid=st.text(min_size=1, max_size=6),
    at=times,
    zone=st.text(max_size=6),
    kind=st.sampled_from(["weather", "mood", "réed"]),
    piece=st.text(max_size=4),
    body=st.dictionaries(st.text(max_size=4), values, max_size=3),
)


def distinct(size: int) -> st.SearchStrategy[list[Entry]]:
    return st.lists(notes, max_size=size, unique_by=lambda one: one.uuid)


def in_order(entries: Sequence[Entry]) -> tuple[Entry, ...]:
    return tuple(sorted(entries, key=lambda one: (one.at, one.uuid)))


@settings(max_examples=60, deadline=None)
@given(distinct(6))
def test_an_export_merged_into_an_empty_log_gives_the_same_log(entries: list[Entry]) -> None:
    with fresh() as log, fresh() as other:
        log.append(*entries)
        assert log.entries() == in_order(entries)
        assert merged(other, exported(log)) == Merged(len(entries), 0)
        assert other.entries() == log.entries()
        assert exported(other) == exported(log)


@settings(max_examples=60, deadline=None)
@given(distinct(8), st.data())
def test_merging_is_idempotent_and_commutative(entries: list[Entry], data: st.DataObject) -> None:
    here = [one for one in entries if data.draw(st.booleans())]
    there = [one for one in entries if one not in here or data.draw(st.booleans())]
    with fresh() as a, fresh() as b:
        a.append(*here)
        b.append(*there)
        from_a, from_b = exported(a), exported(b)
        both = sum(one in here for one in there)
        assert merged(a, from_b) == Merged(len(there) - both, both)
        assert merged(b, from_a) == Merged(len(here) - both, both)
        assert a.entries() == b.entries() == in_order(entries)
        assert merged(a, from_b) == Merged(0, len(there))
        assert exported(a) == exported(b)


def test_two_computers_end_with_the_same_record() -> None:
    early, late = REP.to_entry(), Entry("z", REP.at + timedelta(days=1), "UTC", "retraction", "etude", {"of": "r1"})
    with fresh() as a, fresh() as b:
        a.append(early)
        b.append(late)
        merged(a, exported(b))
        merged(b, exported(a))
        assert a.entries() == b.entries() == (early, late)

"""What happens to a hand's slips in a prep file: each is told in one sentence, and costs itself only."""

import tomllib
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from coach.errors import StoreError
from coach.files.prep import parse_prep, prep_text, read_prep, write_prep
from coach.files.prep_reading import LARGEST, MOST_AT_A_NOTE
from coach.prepare.mark import (
    Comment,
    Fingering,
)
from tests.files.prep_golden import FULL, GOLDEN, HAND, PART, line_of, written

SLIPS = [
    ('size = "catch"', 'size = "deep"', "'deep'"),
    ('choice = "L"', "", "choice is missing"),
    ('when = "3/2"', 'when = "soon"', "when: 'soon'"),
    ('text = "flat"', "text = 7.5", "text"),
    ('notes = "@3/2', 'notes = "@x', "notes: 'x'"),
    ('to = ["Db4", "F4"]', 'to = ["Db4", "H4"]', "'H4'"),
    ("level_db = -3.0", "level_db = -3000", "level_db is -3000"),
    ("colour = 0.5", "colour = nan", "colour"),
    ('kind = "alteration"', 'kind = "bowing"', "'bowing'"),
    ('origin = "teacher"', 'origin = "somebody"', "'somebody'"),
    ('state = "suggested"', "state = true", "'True'"),
    ('because = "the phrase is long"', 'because = "red \\u001b[31m"', "U+001B"),
    ('text = "say', 'text = "\\u202esay', "U+202E"),
    ('shape = "fermata"', 'shape = "slow"', "'slow'"),
    ('length = "6"', 'length = "-6"', "length"),
]


@pytest.mark.parametrize(("good", "slip", "said"), SLIPS)
def test_a_slip_in_one_mark_costs_that_mark_only(good: str, slip: str, said: str) -> None:
    hand = GOLDEN.replace(good, slip, 1)
    parsed = parse_prep(hand, "study.toml")
    (fault,) = parsed.faults
    header = next(k for k in range(hand[: hand.index(slip) if slip else hand.index('"m4"')].count("\n"), -1, -1)
                  if hand.split("\n")[k] == "[[mark]]") + 1  # fmt: skip
    assert fault.startswith(f"study.toml, line {header}: ") and said in fault and fault.endswith(".")
    assert fault.isprintable()
    assert len(parsed.prep.marks) == len(FULL.marks) - 1 and set(parsed.prep.marks) < set(FULL.marks)
    rewritten = written(replace(parsed.prep, title="Other"), PART, hand)
    assert slip in rewritten and len(parse_prep(rewritten, "x").faults) == 1  # to be mended by its writer
    mended = rewritten.replace(slip, good, 1) if slip else rewritten.replace('at = "1.2"\n\n', f'at = "1.2"\n{good}\n')
    assert slip == "" or set(parse_prep(mended, "x").prep.marks) == set(FULL.marks)


def test_a_note_that_is_not_there() -> None:
    hand = GOLDEN.replace('at = "1.3"\nsign', 'at = "1.33"\nsign')
    parsed = parse_prep(hand, "study.toml")
    header = line_of(hand, '[[mark]]\nid = "m9"')
    (fault,) = parsed.faults
    assert f"line {header}: there is no note '1.33' in this piece; correct it" in fault
    assert [mark.at for mark in parsed.prep.unplaced] == ["1.33", "7.1"]
    assert len(parsed.prep.marks) == len(FULL.marks) - 1


def test_two_fingerings_on_a_note() -> None:
    hand = GOLDEN + '\n[[mark]]\nkind = "fingering"\nat = "1.2"\nchoice = "R"\n'
    parsed = parse_prep(hand, "study.toml")
    (fault,) = parsed.faults
    assert "note '1.2' has two fingerings (L and R)" in fault
    standing = [mark for mark in parsed.prep.shown if mark.kind == "fingering"]
    assert [mark.content for mark in standing] == [Fingering("R")]  # the player's before the teacher's
    assert len(parsed.prep.marks) == len(FULL.marks) + 1


def test_an_id_given_twice() -> None:
    hand = GOLDEN.replace('id = "m6"', 'id = "m4"')
    parsed = parse_prep(hand, "x")
    assert len(parsed.faults) == 1 and '"m4" is taken' in parsed.faults[0]
    assert 'text = "flat"' in written(parsed.prep, PART, hand)


BROKEN = [
    ('id = "m8"\n', 'id = "m8\n', 1),
    ('kind = "ornament"\n', "kind ornament\n", 1),
    ("[[mark]]\nid = \"m8\"", "[[mark\nid = \"m8\"", 1),
    ('style = "lyrical"', "style = lyrical", 0),
    ('title = "Study"', "title = Study", 0),
    ('"2" = "E5:g F5:4"', '"2" = E5:g F5:4', 0),
]  # fmt: skip


@pytest.mark.parametrize(("good", "slip", "lost"), BROKEN)
def test_a_line_that_is_no_toml_is_named_and_the_rest_is_kept(good: str, slip: str, lost: int, tmp_path: Path) -> None:
    hand = GOLDEN.replace(good, slip, 1)
    with pytest.raises(tomllib.TOMLDecodeError):
        tomllib.loads(hand)
    file = tmp_path / "study.toml"
    file.write_text(hand, "utf-8")
    parsed = read_prep(file)
    assert parsed.broken and f"{file}, line {line_of(hand, slip)}: " in parsed.faults[0] and "mend" in parsed.faults[0]
    kept = len(parsed.prep.marks) + len(parsed.prep.unplaced)
    assert kept == len(FULL.marks) + len(FULL.unplaced) - lost
    after = write_prep(file, replace(parsed.prep, over=FULL.over), PART, parsed)
    assert not after.broken
    tomllib.loads(file.read_text("utf-8"))
    assert slip.strip().split("\n")[0] in file.read_text("utf-8")  # as a comment
    (copy,) = [path for path in tmp_path.iterdir() if path != file]
    assert copy.read_text("utf-8") == hand


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "no prep"),
        ("hello", "no prep"),
        ("[tool]\nx = 1\n", "no prep"),
        ('schema = "coach.share/1"\n', "no prep"),
        ('schema = "coach.prepfile/0"\n', "no prep"),
        ('schema = "coach.prepfile/2"\n', "newer coach"),
        (GOLDEN.replace("prepfile/1", "prepfile/10"), "newer coach"),
    ],
)
def test_what_is_no_prep_or_a_newer_one_is_refused_and_never_overwritten(text: str, said: str, tmp_path: Path) -> None:
    file = tmp_path / "study.toml"
    file.write_text(text or " ", "utf-8")
    for act in (
        lambda: read_prep(file),
        lambda: write_prep(file, FULL, PART),
        lambda: prep_text(FULL, PART, text or "x"),
    ):
        with pytest.raises(StoreError, match=said):
            act()
    assert file.read_text("utf-8") == (text or " ")
    assert list(tmp_path.iterdir()) == [file]


def test_a_file_that_is_no_text(tmp_path: Path) -> None:
    file = tmp_path / "study.toml"
    file.write_bytes(b"schema = \xff\xfe")
    with pytest.raises(StoreError, match="UTF-8"):
        read_prep(file)
    with pytest.raises(StoreError, match="UTF-8"):
        write_prep(file, FULL, PART)
    file.write_bytes(b"#" * (LARGEST + 1))
    with pytest.raises(StoreError, match="larger than 8 MB"):
        read_prep(file)


def test_other_editors_line_ends_and_marks_of_order(tmp_path: Path) -> None:
    file = tmp_path / "study.toml"
    file.write_bytes(b"\xef\xbb\xbf" + GOLDEN.replace("\n", "\r\n").encode())
    assert read_prep(file).prep == FULL


def test_a_text_over_several_lines_may_hold_anything() -> None:
    hand = GOLDEN.replace('text = "say \\"sing\\"\\nthen \\\\ rest"', 'text = """\nsay\n[[mark]]\n# this"""')
    parsed = parse_prep(hand, "x")
    assert parsed.faults == ()
    assert [mark.content for mark in parsed.prep.marks if mark.id == "m7"] == [Comment("say\n[[mark]]\n# this")]


def test_ten_thousand_mistakes_are_told_as_a_hundred_and_a_number() -> None:
    parsed = parse_prep(GOLDEN + '\n[[mark]]\nkind = "x"\n' * 10_000, "x")
    assert len(parsed.faults) == 101 and "9900 more" in parsed.faults[-1]


@given(st.integers(0, len(GOLDEN)))
def test_a_file_that_breaks_off_gives_what_is_whole(end: int) -> None:
    try:
        parsed = parse_prep(GOLDEN[:end], "x")
    except StoreError:
        assert end < GOLDEN.index("\n")
        return
    assert len(parsed.prep.marks) + len(parsed.prep.unplaced) >= GOLDEN[:end].count("]]\nid") - 1


@settings(max_examples=200, deadline=None)
@given(st.text(st.characters(codec="utf-8"), max_size=80), st.integers(0, len(GOLDEN) - 1), st.integers(0, 30))
def test_no_garbage_makes_it_stumble(garbage: str, at: int, cut: int) -> None:
    """Either a sentence, or a prep whose text is good TOML again."""
    hand = GOLDEN[:at] + garbage + GOLDEN[at + cut :]
    try:
        parsed = parse_prep(hand, "x")
        text = prep_text(parsed.prep, PART, hand)
    except StoreError as error:
        assert str(error).isprintable()
        return
    assert all(fault.isprintable() for fault in parsed.faults)
    again = parse_prep(text, "x")
    assert not again.broken and again.prep == parsed.prep


LINES = tuple(HAND.split("\n"))
SLIPS_OF_LINES = st.lists(
    st.tuples(st.sampled_from(("drop", "twice", "swap", "halve")), st.integers(0, len(LINES) - 1)), max_size=12
)


@settings(max_examples=200, deadline=None)
@given(SLIPS_OF_LINES)
def test_lines_dropped_doubled_swapped_and_halved(slips: list[tuple[str, int]]) -> None:
    lines = list(LINES)
    for what, at in slips:
        k = at % len(lines)
        line = lines[k]
        if what == "swap":
            lines[k], lines[k - 1] = lines[k - 1], line
        else:
            lines[k : k + 1] = {"drop": [], "twice": [line, line], "halve": [line[: len(line) // 2]]}[what]
        lines = lines or [""]
    hand = "\n".join(lines)
    try:
        parsed = parse_prep(hand, "x")
    except StoreError as error:
        assert "schema" in str(error)
        return
    text = written(parsed.prep, PART, hand)
    again = parse_prep(text, "x")
    assert not again.broken and again.prep == parsed.prep
    comments = [line for line in lines if line.startswith("# ")]
    for later in (text, written(again.prep, PART, text)):
        assert parse_prep(later, "x").prep == parsed.prep
        assert all(later.count(line) >= comments.count(line) for line in comments)


HEADED = 'schema = "coach.prepfile/1"\n'
BREATH = '[[mark]]\nkind = "breath"\nat = "1.1"\n'


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (BREATH.replace("[[mark]]", "[[marks]]"), "line 2: [[marks]] is no table of a prep; write [[mark]]."),
        (BREATH.replace("[[mark]]", "[[Mark]]"), "line 2: [[Mark]] is no table of a prep; write [[mark]]."),
        ('mark = [{ kind = "breath" }]\n', "line 2: marks in one line are not read; write a [[mark]] for each."),
        (BREATH + 'sise = "catch"\n', "line 5: 'sise' is no field of this mark and is not read; write size."),
    ],
)
def test_what_would_be_left_unread_in_silence_is_told(text: str, said: str) -> None:
    parsed = parse_prep(HEADED + text, "study.toml")
    assert parsed.faults == (f"study.toml, {said}",)
    assert text in prep_text(parsed.prep, PART, parsed.text)


def test_somebodys_own_fields_and_tables_are_no_mistakes() -> None:
    text = HEADED + BREATH + 'date = "today"\ncolor_of_pencil = "red"\n[diary]\na = 1\n'
    assert parse_prep(text, "study.toml").faults == ()


def test_a_note_that_is_crowded_keeps_what_can_be_read() -> None:
    """Struck marks do not count, and the marks left out stay in the file."""
    struck = (BREATH + 'state = "struck"\n') * MOST_AT_A_NOTE
    parsed = parse_prep(HEADED + struck + BREATH * (MOST_AT_A_NOTE + 2), "study.toml")
    assert len(parsed.prep.shown) == MOST_AT_A_NOTE and len(parsed.faults) == 2
    assert all("has more than 40 marks; leave out the rest" in fault for fault in parsed.faults)
    assert prep_text(parsed.prep, PART, parsed.text).count("\n[[mark]]\n") == 2 * MOST_AT_A_NOTE + 2

"""The prep file: its bytes, its round trip, and what happens to a hand's slips in it.

Every text that is written is read by tomllib too (TOML 1.0, the standard library), apart from our own reading of it.
"""

import tomllib
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from coach.errors import StoreError
from coach.files.prep import Parsed, parse_prep, prep_path, prep_text, read_prep, write_prep
from coach.files.prep_reading import LARGEST
from coach.music.part import Part
from coach.music.pitch import Pitch
from coach.prepare.mark import (
    Alteration,
    Breath,
    Comment,
    Dynamic,
    Fingering,
    Mark,
    Ornament,
    OssiaNote,
    Pace,
    Phrase,
    Reminder,
    Swap,
)
from coach.prepare.prep import Prep
from tests.prepare.factory import part, prep_over, preps

F = Fraction
PART = part("C5:1 Db5:1/2 Eb5:1/2 r:1", "E5:g F5:4")
FULL = replace(
    prep_over(
        PART,
        Mark("m1", "1.1", Phrase("2.1", "1.3")),
        Mark("m2", "1.1", Pace("rit.", "2.1")),
        Mark("m3", "1.2", Breath("catch"), "computed", "suggested", "the phrase is long"),
        Mark("m4", "1.2", Fingering("L"), "teacher"),
        Mark("m5", "2.1", Swap("L", "R", F(3, 2)), state="struck"),
        Mark("m6", "1.2", Reminder("flat")),
        Mark("m7", "2.1g1", Comment('say "sing"\nthen \\ rest')),
        Mark(
            "m8", "1.3", Ornament((OssiaNote(Pitch("D", -1, 5), F(3, 2), F(1, 4)), OssiaNote(None, F(2), F(1))), "turn")
        ),
        Mark("m9", "1.3", Dynamic("mf", level_db=-3.0, colour=0.5)),
        Mark("m10", "2.1", Alteration((Pitch("D", -1, 4), Pitch("F", 0, 4)))),
        Mark("m11", "2.1", Pace("fermata", length_q=F(6))),
        score="0123abcd",
    ),
    unplaced=(Mark("m12", "7.1", Breath()),),
    unplaced_over=(("m12", "7", "A5:4"),),
    settings=(("style", "lyrical"),),
)
GOLDEN = """\
schema = "coach.prepfile/1"
piece = "study"
title = "Study"
score = "0123abcd"

[settings]
style = "lyrical"

#: measure 1, beat 1, C5 to measure 2, beat 1, F5
[[mark]]
id = "m1"
kind = "phrase"
at = "1.1"
to = "2.1"
goal = "1.3"
origin = "player"
state = "kept"

#: measure 1, beat 1, C5 to measure 2, beat 1, F5
[[mark]]
id = "m2"
kind = "pace"
at = "1.1"
shape = "rit."
to = "2.1"
origin = "player"
state = "kept"

#: measure 1, beat 2, Db5
[[mark]]
id = "m3"
kind = "breath"
at = "1.2"
size = "catch"
origin = "computed"
state = "suggested"
because = "the phrase is long"

#: measure 1, beat 2, Db5
[[mark]]
id = "m4"
kind = "fingering"
at = "1.2"
choice = "L"
origin = "teacher"
state = "kept"

#: measure 1, beat 2, Db5
[[mark]]
id = "m6"
kind = "reminder"
at = "1.2"
text = "flat"
origin = "player"
state = "kept"

#: measure 1, beat 2 and 1/2, Eb5
[[mark]]
id = "m8"
kind = "ornament"
at = "1.3"
notes = "@3/2 Db5:1/4 @2 r:1"
what = "turn"
origin = "player"
state = "kept"

#: measure 1, beat 2 and 1/2, Eb5
[[mark]]
id = "m9"
kind = "dynamic"
at = "1.3"
sign = "mf"
level_db = -3.0
colour = 0.5
origin = "player"
state = "kept"

#: measure 2, beat 1, E5 (grace note)
[[mark]]
id = "m7"
kind = "comment"
at = "2.1g1"
text = "say \\"sing\\"\\nthen \\\\ rest"
origin = "player"
state = "kept"

#: measure 2, beat 1, F5
[[mark]]
id = "m11"
kind = "pace"
at = "2.1"
shape = "fermata"
length = "6"
origin = "player"
state = "kept"

#: measure 2, beat 1, F5
[[mark]]
id = "m5"
kind = "swap"
at = "2.1"
from = "L"
to = "R"
when = "3/2"
origin = "player"
state = "struck"

#: measure 2, beat 1, F5
[[mark]]
id = "m10"
kind = "alteration"
at = "2.1"
to = ["Db4", "F4"]
origin = "player"
state = "kept"

#: These marks found no note in the score as it is now. They come back if it is corrected to fit again.
#: was at note 7.1
[[unplaced]]
id = "m12"
kind = "breath"
at = "7.1"
size = "full"
origin = "player"
state = "kept"
over = [["7", "A5:4"]]

#: The notes that the marks were written over, measure by measure (name:quarters, r a rest, g and a for graces
#: before and after). By these the marks find their notes in a corrected score; leave this table as it is.
[over]
"1" = "C5:1 Db5:1/2 Eb5:1/2 r:1"
"2" = "E5:g F5:4"
"""


def body(text: str) -> str:
    """A file's text without what coach says above the first line of its own."""
    return text[text.index("schema =") :]


def line_of(text: str, part_of_it: str) -> int:
    """The number of the line on which something begins."""
    return text[: text.index(part_of_it)].count("\n") + 1


def written(prep: Prep, of: Part, before: str = "") -> str:
    text = prep_text(prep, of, before)
    tomllib.loads(text)
    return text


def test_the_bytes_of_the_file() -> None:
    text = written(FULL, PART)
    assert body(text) == GOLDEN
    assert all(line.startswith("#:") or not line for line in text[: text.index("schema =")].split("\n"))


def test_the_head_names_every_kind_and_field() -> None:
    head = prep_text(Prep(), PART)
    for word in ("phrase", "pace", "breath", "fingering", "swap", "reminder", "ornament", "dynamic", "alteration"):
        assert f"\n#:   {word} " in head
    assert all(name in head for name in ("goal", "shape", "length", "size", "choice", "when", "level_db", "because"))


@settings(max_examples=150, suppress_health_check=[HealthCheck.too_slow], deadline=None)
@given(preps())
def test_any_prep_is_read_back_as_it_was(made: tuple[Prep, Part]) -> None:
    prep, of = made
    text = written(prep, of)
    parsed = parse_prep(text, "study.toml")
    assert parsed.faults == () and not parsed.broken
    assert parsed.prep == prep
    assert prep_text(prep, of, text) == text


@settings(max_examples=60, suppress_health_check=[HealthCheck.too_slow], deadline=None)
@given(preps(), preps())
def test_whatever_the_file_held_before_the_prep_is_what_is_written(
    made: tuple[Prep, Part], before: tuple[Prep, Part]
) -> None:
    (prep, of), old = made, prep_text(*before)
    text = written(prep, of, old)
    assert parse_prep(text, "x").prep == prep


HAND = GOLDEN.replace(
    '#: measure 1, beat 2, Db5\n[[mark]]\nid = "m3"',
    '# ask about this one\n#: measure 1, beat 2, Db5\n[[mark]]  # here\ncolour_of_pencil = "red"\nid = "m3"',
).replace('schema = "coach.prepfile/1"', '# my own head\nschema = "coach.prepfile/1"\nowner = "me"')


def test_what_a_hand_wrote_stays() -> None:
    prep = parse_prep(HAND, "x").prep
    assert prep == FULL
    changed = replace(prep, marks=tuple(replace(mark, state="struck") for mark in prep.marks))
    text = written(changed, PART, HAND)
    assert parse_prep(text, "x").prep == changed
    for words in (
        "# ask about this one\n",
        "[[mark]]  # here\n",
        'colour_of_pencil = "red"',
        "# my own head\n",
        'owner = "me"',
    ):
        assert text.count(words) == 1
    assert written(changed, PART, text) == text


def test_words_about_a_mark_outlive_it() -> None:
    gone = replace(FULL, marks=tuple(mark for mark in FULL.marks if mark.id != "m3"))
    text = written(gone, PART, HAND)
    assert "m3" not in text and "# ask about this one\n" in text
    assert "# ask about this one\n" in written(gone, PART, text)


def test_a_mark_written_by_hand_needs_no_id() -> None:
    hand = GOLDEN + '\n[[mark]]\nkind = "breath"\nat = "1.1"\n\n[[mark]]\nkind = "breath"\nat = "1.1"\nsize = "catch"\n'
    parsed = parse_prep(hand, "x")
    assert parsed.faults == ()
    mine = [mark for mark in parsed.prep.marks if mark.kind == "breath" and mark.at == "1.1"]
    assert [mark.content for mark in mine] == [Breath(), Breath("catch")]
    assert len({mark.id for mark in parsed.prep.marks}) == len(parsed.prep.marks) == len(FULL.marks) + 2
    assert parse_prep(written(parsed.prep, PART, hand), "x").prep == parsed.prep


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


def test_a_file_edited_meanwhile_is_joined(tmp_path: Path) -> None:
    file = tmp_path / "preps" / "study.toml"
    first = write_prep(file, FULL, PART)
    assert read_prep(file).prep == FULL and not first.joined
    file.write_text(file.read_text("utf-8").replace('size = "catch"', 'size = "full"') + "# mine\n", "utf-8")
    mine = replace(FULL, marks=FULL.marks[:-1])
    after = write_prep(file, mine, PART, first)
    assert after.joined
    found = read_prep(file)
    assert found.prep == after.prep and "# mine" in file.read_text("utf-8")
    assert {mark.id for mark in found.prep.marks} == {mark.id for mark in mine.marks}
    assert [mark.content for mark in found.prep.marks if mark.id == "m3"] == [Breath("full")]
    assert not write_prep(file, after.prep, PART, after).joined


def test_without_having_read_it_nothing_in_a_file_is_lost(tmp_path: Path) -> None:
    file = tmp_path / "study.toml"
    write_prep(file, FULL, PART)
    write_prep(file, prep_over(PART, Mark("new", "1.1", Breath()), score="0123abcd"), PART)
    assert {mark.id for mark in read_prep(file).prep.marks} == {mark.id for mark in FULL.marks} | {"new"}


def test_no_file_is_an_empty_prep(tmp_path: Path) -> None:
    assert read_prep(tmp_path / "none.toml") == Parsed(Prep())


def test_a_file_that_cannot_be_written(tmp_path: Path) -> None:
    (tmp_path / "preps").write_text("a file where the folder should be")
    with pytest.raises(StoreError, match="cannot be"):
        write_prep(tmp_path / "preps" / "study.toml", FULL, PART)


@pytest.mark.parametrize("piece", ["../../x", "a/b", "..", "C:\\x", "two words", "étude", "con.aux"])
def test_a_piece_cannot_choose_the_folder_of_its_file(piece: str, tmp_path: Path) -> None:
    path = prep_path(tmp_path, piece)
    assert path.parent == tmp_path and path.resolve().parent == tmp_path.resolve() and ":" not in path.name
    assert path.suffix == ".toml" and "\\" not in path.name

"""Chart files: what is good is read, what is broken is told with file, place and remedy, and never a traceback."""

import re
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from coach.errors import ChartError, RequestError
from coach.files.charts import chart_faults, chart_for, charts, load_chart, read_chart
from coach.paths import content

SAX = content("instruments", "alto-saxophone.toml").read_text("utf-8")
CLARINET = content("instruments", "boehm-clarinet.toml").read_text("utf-8")


def changed(old: str, new: str, text: str = SAX) -> str:
    """The text with one thing changed, which must be there."""
    assert old in text, old
    return text.replace(old, new, 1)


def line_of(text: str, part: str) -> int:
    """The line, from 1, of the header of the table in which a part stands, counted by hand."""
    before = text[: text.index(part)].splitlines()
    return max(n for n, line in enumerate(before, 1) if line.startswith("[["))


def entry(kind: str, text: str = SAX) -> str:
    """The first table of a kind, header and all."""
    found = re.search(rf"^\[\[{kind}\]\]\n(?:.+\n)+?(?=\[|\n)", text, re.MULTILINE)
    assert found
    return found[0]


@pytest.mark.parametrize("text", [SAX, CLARINET], ids=["saxophone", "clarinet"])
def test_the_charts_are_good(text: str) -> None:
    assert chart_faults(text, "x.toml") == ()


def test_instruments_find_their_charts() -> None:
    assert chart_for("clarinet in A") is chart_for("Clarinet in B-flat")
    assert chart_for("alto saxophone").lowest == 58
    assert set(charts()) == {"clarinet in B-flat", "clarinet in A", "alto saxophone"}
    with pytest.raises(RequestError, match="There is no fingering chart for theremin; there are charts for alto sax"):
        chart_for("theremin")


D4 = 'pitch = "D4"\nchoice = "std"\ndown = "L1 L2 L3 R1 R2 R3"'
FORK = 'pitch = "F#4"\nchoice = "fork"'
TRILL = 'hold = "L1 L2 L3 R1 R2 R3"\nmove = "RC"'

BELL = 'name = "bell"\nrest = "open"\nmoved_by = []'

BROKEN = [
    # what is changed, to what, where it is told (a part of the table), what is told
    (D4, D4.replace("R3", "R9"), 'pitch = "D4"', 'there is no control "R9"'),
    (D4, D4.replace("R3", "RC REB"), 'pitch = "D4"', "R4 cannot hold RC and REB at once"),
    (FORK, FORK.replace("fork", "std"), 'choice = "std"\ndown = "L1 L2 L3 R1 TF"', 'the choice "std" twice'),
    ('"chromatic", "trill"]', '"chromatic", "tril"]', '"chromatic", "tril"]', 'there is no use "tril"'),
    (TRILL, TRILL.replace("RC", "RX"), 'move = "RX"', 'there is no control "RX"'),
    (TRILL, TRILL.replace('"RC"', '"R1"'), 'hold = "L1 L2 L3 R1 R2 R3"\nmove = "R1"', "none that is in hold"),
    ('rank = 1\nregister = "low"', 'rank = "1"\nregister = "low"', 'rank = "1"', "a whole number from 1 to 9"),
    ('rank = 1\nregister = "low"', 'rank = 1\nregister = "deep"', '"deep"', 'there is no register "deep"'),
    ('pitch = "D4"', 'pitch = "H4"', 'pitch = "H4"', "pitch must be a pitch such as"),
    ('pitch = "D4"', 'pitch = 62', "pitch = 62", "pitch must be a text"),
    ('pitch = "D4"', 'pitch = "D2"', 'pitch = "D2"', "D2 lies outside Bb3 to F6"),
    ('rest = "open"', 'rest = "ajar"', 'rest = "ajar"', 'there is no rest "ajar"; write open or closed'),
    ('moved_by = ["L1", "L2"]', 'moved_by = "L1"', 'moved_by = "L1"', "moved_by must be a list of texts"),
    ('moved_by = ["L1", "L2"]', 'moved_by = ["L1", "L0"]', '["L1", "L0"]', 'there is no control "L0"'),
    ('low = "C5"', 'low = "A4"', 'low = "C5"', "sounds higher than H_SC before it"),
    ('finger = "LT"', 'finger = "L9"', 'finger = "L9"', 'there is no finger "L9"'),
    ('together = ["L1 BIS"]', 'together = ["L1 R1"]', '"L1 R1"', "together names R1, which this finger does not work"),
    ('id = "PEB"', 'id = "PD"', 'id = "PD"\nname = "palm Eb key"', '"PD" stands twice'),
    ('to = "RC"', 'to = "GS"', 'to = "GS"', "from and to must be two controls of one finger"),
    ('ease = 1', 'ease = 4', "ease = 4", "ease must be a whole number from 1 to 3"),
    ('tap = "lift"', 'tap = "hit"', 'tap = "hit"', 'there is no tap "hit"; write add or lift'),
    ('confidence = "medium"', 'confidence = "sure"', 'confidence = "sure"', 'there is no confidence "sure"'),
    ('down = ["OCT"]', 'down = ["OCX"]', '"OCX"', 'there is no control "OCX"'),
    ("raise = 12", "raise = nan", "raise = nan", "raise must be a number"),
    ("raise = 12", "raise = true", "raise = true", "raise must be a number"),
    ("raise = 12", "lift = 12", "lift = 12", "raise is missing"),
    ('note = "over the roller"', 'remark = "over the roller"', "remark =", 'there is no field "remark" here'),
    ('source = ["M"]', 'source = ["Q"]', 'source = ["Q"]', 'there is no source "Q"'),
]  # fmt: skip


@pytest.mark.parametrize(("old", "new", "part", "told"), BROKEN)
def test_a_mistake_is_told_with_its_line(old: str, new: str, part: str, told: str) -> None:
    text = changed(old, new)
    faults = chart_faults(text, "mine.toml")
    assert any(f"mine.toml, line {line_of(text, part)}, [[" in one and told in one for one in faults), faults
    assert all(re.search(r"[;,] \w+", one) for one in faults), "a remedy"
    with pytest.raises(ChartError, match=r"^mine\.toml, line .*\.$"):
        read_chart(text, "mine.toml")


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ("", "nonsense", "not valid TOML"),
        ("", "x = " + "[" * 5000 + "\n", "within each other"),
        ("", "hole = 3\n", "not valid TOML"),
        ('"coach.chart/1"', '"coach.chart/9"', 'there is no schema "coach.chart/9"; write coach.chart/1'),
        ('schema = "coach', 'flavour = "sweet"\nschema = "coach', 'there is no field "flavour"'),
        ('name = "alto saxophone"', "", "the head: name is missing"),
        ('moved_by = ["R1", "R2", "R3"]', 'moved_by = ["R1", "H_B4"]', "move each other in a circle (H_"),
        (BELL, BELL.replace("[]", '["RC"]'), "as the bell"),
        ('lowest = "Bb3"', 'lowest = "A3"', "A3 has no fingering; add a [[fingering]] for it"),
        ('highest = "F6"', 'highest = "A3"', "highest lies below lowest"),
    ],
)  # fmt: skip
def test_a_mistake_of_the_whole_file_is_told(old: str, new: str, told: str) -> None:
    text = changed(old, new) if old else new + SAX
    faults = chart_faults(text, "mine.toml")
    assert any(one.startswith("mine.toml") and told in one for one in faults), faults


def test_a_rule_for_every_state_is_needed() -> None:
    low = entry("rule", SAX[SAX.index('id = "octave"') :])
    assert 'id = "low"' in low
    assert any("must hold for every state" in one for one in chart_faults(changed(low, ""), "mine.toml"))


def test_several_mistakes_are_counted() -> None:
    text = changed("raise = 12", "raise = nan", changed('rest = "open"', 'rest = "ajar"'))
    with pytest.raises(ChartError, match=r"\(1 more after it\)\.$"):
        read_chart(text, "mine.toml")


def test_files_that_are_no_charts(tmp_path: Path) -> None:
    with pytest.raises(ChartError, match=r"cannot be read"):
        load_chart(tmp_path / "none.toml")
    (tmp_path / "latin.toml").write_bytes(b'name = "\xe9"')
    with pytest.raises(ChartError, match=r"latin\.toml is not UTF-8 text; save it as UTF-8"):
        load_chart(tmp_path / "latin.toml")
    (tmp_path / "mine.toml").write_text(SAX, "utf-8")
    assert load_chart(tmp_path / "mine.toml") == chart_for("alto saxophone")


def test_no_terminal_sees_what_a_chart_hides() -> None:
    """ECMA-48 control characters, which TOML can spell."""
    text = changed('name = "palm D key"', 'name = "palm \\u001b[31m D key"')
    names = {one.name for one in read_chart(text, "x").controls}
    assert all(name.isprintable() for name in names)
    faults = chart_faults(changed('rest = "open"', 'rest = "\\u001b[2J"'), "x")
    assert faults and all(one.isprintable() for one in faults)


def test_tables_written_on_one_line_are_counted_instead() -> None:
    """TOML 1.0 lets tables stand in a list; then there is no header to give the line of."""
    sources = entry("source")
    inline = 'source = [{ id = "M", title = 5 }]\n' + changed(sources, "")
    assert any("x.toml, [[source]] number 1 M: title must be a text" in one for one in chart_faults(inline, "x.toml"))


LINES = SAX.splitlines()
VALUES = [
    "1",
    "-7",
    "2.5",
    "nan",
    "true",
    '""',
    '"D4"',
    '"L1 L2"',
    '["L1"]',
    "[]",
    "{}",
    '["\\u001b"]',
    "[[1]]",
    '"H_B4"',
]
NAMES = sorted({line.split(" = ")[0] for line in LINES if " = " in line})


@st.composite
def mutations(draw: st.DrawFn) -> str:
    """A good chart with a few lines lost, doubled, exchanged or filled with something else."""
    lines = list(LINES)
    for _ in range(draw(st.integers(1, 4))):
        at = draw(st.integers(0, len(lines) - 1))
        match draw(st.sampled_from(["lose", "double", "exchange", "value", "name", "cut"])):
            case "lose":
                del lines[at]
            case "double":
                lines.insert(at, lines[at])
            case "exchange":
                other = draw(st.integers(0, len(lines) - 1))
                lines[at], lines[other] = lines[other], lines[at]
            case "value":
                lines[at] = lines[at].split(" = ")[0] + " = " + draw(st.sampled_from(VALUES))
            case "name":
                lines[at] = draw(st.sampled_from(NAMES)) + " = " + lines[at].split(" = ")[-1]
            case "cut":
                lines[at] = lines[at][: draw(st.integers(0, len(lines[at])))]
    return "\n".join(lines)


@settings(max_examples=150, deadline=None)
@given(mutations())
def test_a_broken_chart_never_gives_a_traceback(text: str) -> None:
    faults = chart_faults(text, "mine.toml")
    if not faults:
        chart = read_chart(text, "mine.toml")
        assert chart.bare_pitches() == ()
        assert all(chart.held_together(one.controls) for one in chart.all_fingerings)
        return
    assert all(one.startswith("mine.toml") and one.isprintable() for one in faults)
    with pytest.raises(ChartError, match=r"^mine\.toml"):
        read_chart(text, "mine.toml")


@settings(max_examples=100, deadline=None)
@given(st.text(max_size=200))
def test_any_text_is_told_to_be_no_chart(text: str) -> None:
    assert chart_faults(text, "mine.toml")

"""Passages as a teacher would write them out: common practice of the trade, or a treatise where it is named (handbook
facts 2.2). They were decided before the program was asked; where it had another answer as good, that is listed too.

Tempi are quarters a minute; ornaments of the lyrical style are counted out of the note before."""

import re
from itertools import pairwise

import pytest

from coach.music.note import Ornament
from coach.music.pitch import parse_pitch
from coach.prepare.mark import Shake
from coach.prepare.ornaments.shake import sounds
from tests.prepare.ornaments.pages import F, first, page, words
from tests.prepare.ornaments.trilled import TRILL, trilled_part
from tests.prepare.ornaments.trilled import ways as trill_ways

HALF = "C5:2 {} A5:2"
TWO, THREE, FOUR, FIVE = "D5:g E5:g", "D5:g E5:g D5:g", "D5:g E5:g F5:g G5:g", "D5:g E5:g F5:g G5:g A5:g"
GROUPS = {
    (TWO, 50): "C5:7/4 D5:1/8 E5:1/8",
    (TWO, 72): "C5:7/4 D5:1/8 E5:1/8",
    (TWO, 100): "C5:7/4 D5:1/8 E5:1/8",  # 75 ms each
    (TWO, 144): "C5:3/2 D5:1/4 E5:1/4",  # thirty-seconds would be 52 ms, two eighths a melody
    (THREE, 50): "C5:3/2 D5:1/6 E5:1/6 D5:1/6",
    (THREE, 60): "C5:3/2 D5:1/6 E5:1/6 D5:1/6",
    (THREE, 72): "C5:3/2 D5:1/6 E5:1/6 D5:1/6",
    (THREE, 100): "C5:3/2 D5:1/6 E5:1/6 D5:1/6",
    (THREE, 144): "C5:3/2 D5:1/6 E5:1/6 D5:1/6",
    (FOUR, 50): "C5:3/2 D5:1/8 E5:1/8 F5:1/8 G5:1/8",
    (FOUR, 100): "C5:3/2 D5:1/8 E5:1/8 F5:1/8 G5:1/8",
    (FOUR, 144): "C5:1 D5:1/4 E5:1/4 F5:1/4 G5:1/4",
    (FIVE, 72): "C5:3/2 D5:1/10 E5:1/10 F5:1/10 G5:1/10 A5:1/10",
    (FIVE, 144): "C5:1 D5:1/5 E5:1/5 F5:1/5 G5:1/5 A5:1/5",
}


@pytest.mark.parametrize(("group", "per_minute"), GROUPS)
def test_groups_in_front_of_the_beat(group: str, per_minute: int) -> None:
    found = first(page(HALF.format(group)), "1.2", quarter_s=60 / per_minute)
    assert found == f"{GROUPS[group, per_minute]} A5:2"


@pytest.mark.parametrize(
    ("text", "metre", "at", "notes"),
    [
        # a dotted quarter of 60: graces out of its last eighth or sixteenth
        ("C5:3/2 D5:g E5:g D5:g C5:3/2", (6, 8), "1.2", "C5:1 D5:1/6 E5:1/6 D5:1/6 C5:3/2"),
        ("C5:3/2 D5:g E5:g F5:3/2", (6, 8), "1.2", "C5:5/4 D5:1/8 E5:1/8 F5:3/2"),
        ("C5:3 D5:g E5:g F5:g G5:g A5:3/2", (9, 8), "1.2", "C5:5/2 D5:1/8 E5:1/8 F5:1/8 G5:1/8 A5:3/2"),
    ],
)
def test_groups_in_compound_metre(text: str, metre: tuple[int, int], at: str, notes: str) -> None:
    assert first(page(text, metre=metre), at, quarter_s=2 / 3) == notes


def test_where_fingers_have_no_time_the_note_is_shared_evenly() -> None:
    """At 100: four graces out of an eighth are five even notes of 60 ms, out of half of it they would be 37 ms; three
    before an eighth after a sixteenth are four thirty-seconds on the beat."""
    found = first(page("C5:1/2 D5:g E5:g F5:g G5:g A5:1/2 C5:3"), "1.2", quarter_s=0.6)
    assert found == "C5:1/10 D5:1/10 E5:1/10 F5:1/10 G5:1/10 A5:1/2"
    found = first(page("C5:1/4 D5:1/4 E5:g F5:g E5:g D5:1/2 C5:3"), "1.3", quarter_s=0.6)
    assert found == "E5:1/8 F5:1/8 E5:1/8 D5:1/8"


SINGLE = [
    ("C5:2 D5:g E5:2", "1.2", 72, {"C5:15/8 D5:1/8 E5:2"}),
    ("C5:2 D5:g E5:2", "1.2", 50, {"C5:15/8 D5:1/8 E5:2"}),
    ("C5:2 D5:g E5:2", "1.2", 144, {"C5:7/4 D5:1/4 E5:2", "C5:11/6 D5:1/6 E5:2"}),  # a 32nd would be 52 ms
    ("C5:1 r:1 D5:g E5:2", "1.2", 72, {"D5:1/8 E5:2"}),  # out of the rest
    ("D5:g E5:2 C5:2", "1.1", 72, {"D5:1/8 E5:15/8", "D5:1/8 E5:2"}),  # the first note of all
    ("C5:1/2 D5:g E5:3/2 C5:2", "1.2", 72, {"C5:3/8 D5:1/8 E5:3/2"}),
    ("C5:2 D5:g C5:2", "1.2", 100, {"C5:15/8 D5:1/8 C5:2"}),
    ("C5:2 C4:g C6:2", "1.2", 72, {"C5:15/8 C4:1/8 C6:2"}),
]


@pytest.mark.parametrize(("text", "at", "per_minute", "good"), SINGLE)
def test_a_slashed_grace(text: str, at: str, per_minute: int, good: set[str]) -> None:
    assert first(page(text, slash=True), at, quarter_s=60 / per_minute) in good


TREATISE = [
    ("C5:2 F5:g E5:2", "1.2", (4, 4), "F5:1 E5:1"),
    ("C5:1 F5:g E5:1 C5:2", "1.2", (4, 4), "F5:1/2 E5:1/2"),
    ("C5:1 F5:g E5:3/2 D5:1/2 C5:1", "1.2", (4, 4), "F5:1 E5:1/2"),
    ("C5:1 F5:g E5:3", "1.2", (4, 4), "F5:2 E5:1"),
    ("C5:3/2 F5:g E5:3/2", "1.2", (6, 8), "F5:1 E5:1/2"),
    ("C5:1 F5:g E5:1/2 D5:1/2 C5:2", "1.2", (4, 4), "F5:1/4 E5:1/4"),
    ("C5:2 C5:g D5:g E5:2", "1.2", (4, 4), "C5:1/8 D5:1/8 E5:7/4"),
]


@pytest.mark.parametrize(("text", "at", "metre", "notes"), TREATISE)
def test_appoggiaturas_of_the_treatises(text: str, at: str, metre: tuple[int, int], notes: str) -> None:
    """C. P. E. Bach 1753, ch. 2; Quantz 1752, ch. VIII; L. Mozart 1756, ch. IX; at 72."""
    assert first(page(text, metre=metre), at, "treatise", 60 / 72) == notes


TURNS = [
    ("A4:1 C5:1/2 D5:5/2", "turn", 72, {"D5:1/8 C5:1/8 B4:1/8 C5:1/8"}),
    ("A4:1 C5:1 D5:2", "turn", 72, {"D5:1/6 C5:1/6 B4:1/6 C5:1/2", "D5:1/4 C5:1/4 B4:1/4 C5:1/4"}),
    ("A4:1 C5:1 D5:2", "turn", 144, {"D5:1/4 C5:1/4 B4:1/4 C5:1/4"}),
    ("A4:1 C5:1 D5:2", "inverted-turn", 72, {"B4:1/6 C5:1/6 D5:1/6 C5:1/2", "B4:1/4 C5:1/4 D5:1/4 C5:1/4"}),
    ("A4:1 C5:1 E5:2", "delayed-turn", 72, {"C5:1/2 D5:1/8 C5:1/8 B4:1/8 C5:1/8"}),
    (
        "A4:1 C5:2 E5:1",
        "delayed-turn",
        72,
        {"C5:1 D5:1/4 C5:1/4 B4:1/4 C5:1/4", "C5:3/2 D5:1/8 C5:1/8 B4:1/8 C5:1/8"},
    ),
    ("A4:1 C5:3/2 D5:1/2 E5:1", "delayed-turn", 72, {"C5:1/2 D5:1/6 C5:1/6 B4:1/6 C5:1/2"}),
    # where four are too quick at the end, the note and its turn are even, and it still comes back to its note
    ("A4:1 C5:1/2 D5:1/2 E5:2", "delayed-turn", 72, {"C5:1/10 D5:1/10 C5:1/10 B4:1/10 C5:1/10"}),
    ("A4:1 C5:1 E5:2", "delayed-turn", 144, {"C5:1/5 D5:1/5 C5:1/5 B4:1/5 C5:1/5"}),
    ("A4:1 C5:1 D5:2", "mordent", 72, {"C5:1/8 B4:1/8 C5:3/4"}),
    ("A4:1 C5:1 D5:2", "inverted-mordent", 72, {"C5:1/8 D5:1/8 C5:3/4"}),
    ("A4:1 C5:1/2 D5:5/2", "mordent", 144, {"C5:1/6 B4:1/6 C5:1/6"}),  # thirty-seconds would be 52 ms
]


@pytest.mark.parametrize(("text", "kind", "per_minute", "good"), TURNS)
def test_turns_and_mordents(text: str, kind: str, per_minute: int, good: set[str]) -> None:
    """C. P. E. Bach 1753, ch. 2, and any table of ornaments; MusicXML 4.0 for which mordent goes down."""
    of = page(text, ornaments={"1.2": Ornament(kind)})
    for style in ("lyrical", "treatise"):
        assert first(of, "1.2", style, 60 / per_minute) in good


EVEN = [
    # half notes into a step below, fingers of 10.5 a second (the measured median): 8 to 10 notes a second
    (60, 8),
    (72, 8),
    (90, 6),
    (100, 6),
    (120, 4),
    (144, 4),
]


@pytest.mark.parametrize(("per_minute", "rate"), EVEN)
def test_how_fast_a_half_note_is_trilled(per_minute: int, rate: int) -> None:
    for style in ("lyrical", "treatise"):
        shake = _shake("D5:2 C5:2", "1.1", per_minute, style)
        assert shake.first == shake.last == rate
        assert 7.5 <= rate * per_minute / 60 <= 10.5
        assert [pitch.name for pitch in shake.close] == ["C5", "D5"]
        assert shake.close_q <= F(3, 2) / rate  # as quick as the trill, or hardly slower (C. P. E. Bach 1753, ch. 2)


@pytest.mark.parametrize("text", ["D5:1 C5:3", "D5:3/2 C5:5/2", "D5:2 C5:2", "D5:3 C5:1"])
@pytest.mark.parametrize("per_minute", [40, 50, 60, 72, 90, 100, 120, 144])
def test_an_even_trill_says_how_many_notes_a_second_it_has(text: str, per_minute: int) -> None:
    """Notes divided by the seconds before the closing notes, whatever number ends on the right note."""
    of = trilled_part(text, at="1.1")
    main, found = parse_pitch("D5"), 0
    for style in ("lyrical", "treatise"):
        for way in trill_ways(of, "1.1", style, 60 / per_minute):
            shake, said = way.content.shake, re.search(r"about (\d+) notes a second", way.because)
            if shake is None or shake.curve != "even" or said is None:
                continue
            body = sounds(way.content, main)[: -len(shake.close) or None]
            seconds = float(sum(note.length_q for note in body)) * 60 / per_minute
            assert abs(len(body) / seconds - int(said[1])) <= 0.5 + 1e-9
            assert ("nearly" in way.because) == (body[0].length_q != 1 / shake.first)
            found += 1
    assert found or per_minute > 72


def test_a_trill_on_a_beat_at_120_is_five_notes() -> None:
    """Any table of ornaments: five in the time of the beat; in half a beat there is time for three."""
    beat = trill_ways(trilled_part("D5:1 E5:3", at="1.1"), "1.1", "lyrical", 0.5)[0]
    assert words(beat) == "D5:1/5 E5:1/5 D5:1/5 E5:1/5 D5:1/5"
    half = trill_ways(trilled_part("D5:1/2 E5:7/2", at="1.1"), "1.1", "lyrical", 0.5)[0]
    assert words(half) == "D5:1/6 E5:1/6 D5:1/6"


def test_a_grace_from_above_begins_the_trill_of_the_treatises() -> None:
    """The upper note is not struck twice, slashed grace or not (C. P. E. Bach 1753, ch. 2: it is the trill's own)."""
    for slash in (True, False):
        of = page("C5:2 E5:g D5:2", "C5:4", slash=slash, ornaments={"1.2": TRILL})
        assert first(of, "1.2", "treatise").startswith("E5:1/8 D5:1/8 E5:1/8")
        assert first(of, "1.2").split()[0].startswith("C5:")


GROWING = [
    # what a teacher writes over the beats: more notes in each, none that cannot be counted, closing notes included
    ("C5:4", (4, 4), 72, [{2, 3}, {4}, {6}, {8}]),
    ("C5:4", (4, 4), 60, [{2, 3}, {4, 6}, {6, 8}, {8}]),
    ("C5:4", (4, 4), 50, [{2, 3}, {4, 6}, {8}, {12}]),
    ("C5:4", (4, 4), 100, [{2, 3}, {3, 4}, {4, 6}, {6}]),
    ("C5:3", (3, 4), 80, [{2, 3}, {4}, {6, 8}]),
    ("C5:6", (12, 8), 75, [{3}, {6}, {6, 9, 12}, {12}]),
    ("C5:3", (6, 8), 75, [{3}, {6, 9, 12}]),
    ("C5:3", (6, 8), 90, [{3}, {6, 8, 9}]),  # 8: three, three and two
]


@pytest.mark.parametrize(("text", "metre", "per_minute", "beats"), GROWING)
def test_a_growing_trill_can_be_counted(
    text: str, metre: tuple[int, int], per_minute: int, beats: list[set[int]]
) -> None:
    """It begins in the beat's own division, grows by values that everybody counts, and closes in time."""
    sign = Ornament("trill-mark", (("", "sharp"),), (("accelerate", "yes"),))
    of = trilled_part(text, "D5:1 r:3", at="1.1", sign=sign, after="B4 C5", metre=metre)
    made = trill_ways(of, "1.1", "lyrical", 60 / per_minute)[0].content.notes
    beat_q = F(3, 2) if metre[1] == 8 else F(1)
    counts = [sum(1 for note in made if note.onset_q // beat_q == k) for k in range(len(beats))]
    assert all(count in good for count, good in zip(counts, beats, strict=True))
    assert [note.pitch.name for note in made[-2:] if note.pitch] == ["B4", "C5"]
    assert {note.pitch.name for note in made[:-2] if note.pitch} == {"C5", "D#5"}
    lengths = [note.length_q for note in made]
    assert all(one >= two for one, two in pairwise(lengths[:-2]))
    assert made[-1].onset_q + made[-1].length_q == F(text.split(":")[1])


def _shake(text: str, at: str, per_minute: int, style: str) -> Shake:
    way = trill_ways(trilled_part(text, at=at, sign=TRILL), at, style, 60 / per_minute)[0]
    assert way.content.shake is not None
    return way.content.shake

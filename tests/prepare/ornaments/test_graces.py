"""Graces as exact notes. Sources: handbook facts 2.2 (C. P. E. Bach 1753, Quantz 1752, L. Mozart 1756, Grove 1900) for
the appoggiatura, facts 2.1 for what fingers do, MusicXML 4.0 for steal-time, arithmetic, and common practice of the
trade, named as such."""

from dataclasses import replace

import pytest

from coach.music.note import Grace, Ornament
from coach.music.pitch import parse_pitch
from coach.music.rhythm import Value
from coach.prepare.ornaments.figure import figures
from coach.prepare.ornaments.graces import closing
from coach.prepare.ornaments.simple import QUICKEST
from tests.prepare.ornaments.pages import F, all_words, first, page, ways, words

THREE = "C5:2 D5:g E5:g F5:g G5:1/2 r:3/2"


def grace(name: str, **fields: object) -> Grace:
    """A grace of its own."""
    return replace(Grace("g", parse_pitch(name), None), **fields)  # type: ignore[arg-type]


@pytest.mark.parametrize("per_minute", [50, 55, 60])
def test_three_graces_after_a_half(per_minute: int) -> None:
    """Common practice of the trade: a half, three graces and an eighth at a quarter of 50 to 60 are played as a dotted
    quarter, a triplet of sixteenths and the eighth."""
    assert first(page(THREE), "1.2", quarter_s=60 / per_minute) == "C5:3/2 D5:1/6 E5:1/6 F5:1/6 G5:1/2"


def test_its_reason_says_how_it_is_counted() -> None:
    way = ways(page(THREE))["1.2"][0]
    assert "a dotted quarter and a triplet of sixteenths" in way.because


def test_groups_in_simple_values() -> None:
    """Common practice: two are two thirty-seconds, four are four, five to seven stand in the time of four."""
    assert first(page("C5:2 D5:g E5:g F5:2"), "1.2") == "C5:7/4 D5:1/8 E5:1/8 F5:2"
    assert first(page("C5:2 D5:g E5:g F5:g G5:g A5:2"), "1.2") == "C5:3/2 D5:1/8 E5:1/8 F5:1/8 G5:1/8 A5:2"
    five = "D5:1/10 E5:1/10 F5:1/10 G5:1/10 A5:1/10"
    assert first(page("C5:2 D5:g E5:g F5:g G5:g A5:g B5:2"), "1.2", quarter_s=1.2) == f"C5:3/2 {five} B5:2"


def test_in_very_quick_music_the_note_before_keeps_half_where_that_is_enough() -> None:
    """At 0.156 s a quarter three graces in a quarter would be 19 notes a second, in half of a dotted half 13."""
    assert first(page("C5:3 D5:g E5:g F5:g G5:1"), "1.2", quarter_s=0.156) == "C5:3/2 D5:1/2 E5:1/2 F5:1/2 G5:1"


def test_at_the_start_of_a_measure_they_are_in_the_one_before() -> None:
    way = ways(page("C5:4", "D5:g E5:g F5:4"))["2.1"][0]
    assert [note.onset_q for note in way.content.notes] == [F(-4), F(-1, 4), F(-1, 8), F(0)]


def test_out_of_a_tied_note_they_take_its_end() -> None:
    way = ways(page("C5:4~", "C5:2 D5:g E5:g F5:2"))["2.2"][0]
    assert words(way) == "C5:23/4 D5:1/8 E5:1/8 F5:2"
    assert way.content.notes[0].onset_q == -4


def test_after_a_rest_they_take_its_end() -> None:
    way = ways(page("C5:1 r:1 D5:g E5:g F5:2"))["1.2"][0]
    assert words(way) == "D5:1/8 E5:1/8 F5:2"
    assert way.content.notes[0].onset_q == F(7, 4)


def test_a_short_rest_may_be_used_up() -> None:
    """Three graces after an eighth rest at 90: as a triplet in the eighth 0.11 s each, in a sixteenth 0.06 s."""
    assert first(page("C5:1 r:1/2 D5:g E5:g F5:g G5:5/2"), "1.2", quarter_s=2 / 3) == "D5:1/6 E5:1/6 F5:1/6 G5:5/2"


def test_at_the_very_start_they_are_on_the_beat() -> None:
    assert first(page("D5:g E5:g F5:4"), "1.1") == "D5:1/8 E5:1/8 F5:15/4"


def test_a_single_slashed_grace_is_a_32nd_within_what_fingers_do() -> None:
    """Common practice; a 32nd lasts 0.0625 s at 120, and at 150 it would last 0.05 s, more than 16.5 notes a second
    (facts 2.1, the fastest measured)."""
    for quarter_s in (1.2, 1.0, 0.75, 0.5):
        assert first(page("E5:2 D5:g C5:2", slash=True), "1.2", quarter_s=quarter_s) == "E5:15/8 D5:1/8 C5:2"
    assert first(page("E5:2 D5:g C5:2", slash=True), "1.2", quarter_s=0.4) == "E5:7/4 D5:1/4 C5:2"


def test_an_unslashed_one_is_a_little_longer() -> None:
    assert first(page("E5:2 D5:g C5:2"), "1.2", quarter_s=0.75) == "E5:7/4 D5:1/4 C5:2"
    assert first(page("E5:2 D5:g C5:2", slash=True), "1.2", quarter_s=0.75) == "E5:15/8 D5:1/8 C5:2"


def test_the_appoggiatura_of_the_treatises() -> None:
    """Facts 2.2 and check value 10: half of a note divisible in two, two thirds of a dotted one, the whole first note
    of a tie to a shorter one. At 120 to the minute a quarter is 0.25 + 0.25 s, a dotted one 0.5 + 0.25 s."""
    half = ways(page("E5:2 D5:g C5:1 r:1"), "treatise", 0.5)["1.2"][0]
    assert [float(note.length_q) * 0.5 for note in half.content.notes] == [0.25, 0.25]
    dotted = ways(page("E5:2 D5:g C5:3/2 r:1/2"), "treatise", 0.5)["1.2"][0]
    assert [float(note.length_q) * 0.5 for note in dotted.content.notes] == [0.5, 0.25]
    assert first(page("E5:2 D5:g C5:2~", "C5:1 r:3"), "1.2", "treatise") == "D5:2 C5:1"
    assert first(page("E5:1/2 D5:g C5:3/2~ C5:1/2 r:3/2"), "1.2", "treatise") == "D5:3/2 C5:1/2"
    assert first(page("E5:4", "D5:g C5:2 B4:2"), "2.1", "treatise") == "D5:1 C5:1"


def test_where_the_treatises_have_it_short() -> None:
    """Grove 1900 (facts 2.2): a stroke, staccato and repeated notes, triplets, groups of equal short notes."""
    assert first(page("E5:2 D5:g C5:2", slash=True), "1.2", "treatise") == "D5:1/8 C5:15/8"
    staccato = page("E5:2 D5:g C5:2", articulations={"1.2": ("staccato",)})
    assert first(staccato, "1.2", "treatise") == "D5:1/8 C5:15/8"
    assert first(page("C5:2 D5:g C5:2"), "1.2", "treatise") == "D5:1/8 C5:15/8"
    triplet = page("E5:1/3 D5:g C5:1/3 B4:1/3 r:3", value={"1.2": Value("eighth", 0, 3, 2)})
    assert first(triplet, "1.2", "treatise") == "D5:1/6 C5:1/6"
    assert first(page("E5:1/2 D5:g C5:1/2 B4:1/2 A4:1/2 r:2"), "1.2", "treatise") == "D5:1/8 C5:3/8"
    assert first(page("E5:2 D5:g C5:1/2 B4:1/2 r:1"), "1.2", "treatise") == "D5:1/4 C5:1/4"  # two are no group


def test_groups_of_the_treatises_are_on_the_beat_and_quick() -> None:
    assert first(page("G5:2 A4:g B4:g C5:2"), "1.2", "treatise") == "A4:1/8 B4:1/8 C5:7/4"
    assert first(page(THREE), "1.2", "treatise").split()[-1] == "G5:1/4"


def test_each_style_offers_the_way_of_the_other() -> None:
    lyrical, treatise = (all_words(page("E5:2 D5:g C5:2"), "1.2", style) for style in ("lyrical", "treatise"))
    assert lyrical[0] in treatise and treatise[0] in lyrical and lyrical[0] != treatise[0]


def test_steal_time_is_obeyed() -> None:
    """MusicXML 4.0: per cent of the neighbour; the standard's own appoggiatura has steal-time-following="33"."""
    later = page("E5:2 C5:2", graces={"1.2": (grace("D5", steal_following=33.0),)})
    for style in ("lyrical", "treatise"):
        assert first(later, "1.2", style) == "D5:33/50 C5:67/50"  # 2 * 33/100
    earlier = page("E5:2 C5:2", graces={"1.2": (grace("D5", steal_previous=25.0),)})
    assert first(earlier, "1.2", "treatise") == "E5:3/2 D5:1/2 C5:2"
    both = page("E5:2 C5:2", graces={"1.2": (grace("D5", steal_previous=10.0, steal_following=20.0),)})
    assert first(both, "1.2") == "E5:9/5 D5:3/5 C5:8/5"


@pytest.mark.parametrize("percent", [0.0, 100.0, 1000.0])
def test_steal_time_that_cannot_be_obeyed_is_not(percent: float) -> None:
    later = page("E5:2 C5:2", graces={"1.2": (grace("D5", steal_following=percent),)})
    assert first(later, "1.2") == "E5:15/8 D5:1/8 C5:2"


def test_make_time_keeps_the_beat() -> None:
    made = page("E5:2 C5:2", graces={"1.2": (grace("D5", make_time_q=F(1, 2)),)})
    assert first(made, "1.2") == "E5:3/2 D5:1/2 C5:2"


def test_after_graces_end_their_note() -> None:
    made = page("C5:2 F5:2", after_graces={"1.1": (grace("D5"), grace("E5"))})
    assert first(made, "1.1") == "C5:7/4 D5:1/8 E5:1/8"
    assert first(made, "1.1", "treatise") == "C5:7/4 D5:1/8 E5:1/8"


def test_graces_after_after_graces_are_on_the_beat() -> None:
    """Else they would cut those off."""
    made = page("C5:2 E5:g F5:2", after_graces={"1.1": (grace("D5"), grace("E5"))})
    assert first(made, "1.2").startswith("E5:")


def test_no_room_before_the_beat_takes_it_on_the_beat() -> None:
    """A sixteenth at 120 would leave three graces 0.02 s each."""
    assert first(page("C5:1/4 D5:g E5:g F5:g G5:15/4"), "1.2", quarter_s=0.5) == "D5:1/6 E5:1/6 F5:1/6 G5:13/4"


def test_graces_on_every_note() -> None:
    """Eighths at 120: each slashed grace is a thirty-second before its beat, as one alone would be."""
    of = page("C5:1/2 D5:g E5:1/2 F5:g G5:1/2 A5:g B5:1/2 r:2", slash=True)
    found = ways(of, quarter_s=0.5)
    assert [words(found[at][0]) for at in ("1.2", "1.3")] == ["C5:3/8 D5:1/8 E5:1/2", "E5:3/8 F5:1/8 G5:1/2"]


def test_no_room_at_all_still_has_exact_lengths() -> None:
    of = page("C5:1/64 D5:g E5:g F5:g G5:1/64 r:127/32")
    for way in ways(of, quarter_s=0.1)["1.2"]:
        assert all(note.length_q > 0 for note in way.content.notes)
        assert "hardly room" in way.because


def test_graces_are_no_faster_than_fingers_where_there_is_room() -> None:
    """16.5 notes a second, the fastest measured (facts 2.1)."""
    for count in range(1, 9):
        graces = " ".join(f"{'DEFGABDE'[k]}5:g" for k in range(count))
        for per_minute in range(30, 241, 7):
            for style in ("lyrical", "treatise"):
                way = ways(page(f"C5:4 {graces} G4:4"), style, 60 / per_minute)["1.2"][0]
                shortest = min(note.length_q for note in way.content.notes)
                assert float(shortest) * 60 / per_minute >= 1 / QUICKEST - 1e-9


def test_a_tied_grace_is_not_struck_again() -> None:
    made = page("E5:2 C5:2", graces={"1.2": (grace("D5"), grace("C5", tie="start"))})
    assert first(made, "1.2") == "E5:7/4 D5:1/8 C5:17/8"


def test_graces_that_close_a_trill() -> None:
    """A trade reading: two or more plain ones from the lower neighbour, or by step into the next note."""
    trill = {"1.1": Ornament("trill-mark")}

    def closes(text: str, slash: bool = False) -> list[str]:
        of = page(text, ornaments=trill, slash=slash)
        found = next(one for one in figures(of, lambda _: 1.0) if one.head.id == "1.1")
        return [pitch.name for pitch in closing(found)]

    assert closes("D5:2 C5:g D5:g E5:2") == ["C5", "D5"]
    assert closes("D5:2 C5:g D5:g C5:2") == ["C5", "D5"]
    assert closes("D5:2 G5:g A5:g F5:2") == []
    assert closes("D5:2 C5:g D5:g E5:2", slash=True) == []
    assert closes("D5:2 C5:g D5:2") == []
    assert "1.2" not in ways(page("D5:2 C5:g D5:g E5:2", ornaments=trill))
    after = page("D5:2 E5:2", ornaments=trill, after_graces={"1.1": (grace("C5"), grace("D5"))})
    assert [p.name for p in closing(next(figures(after, lambda _: 1.0)))] == ["C5", "D5"]


def test_graces_before_a_turn_are_in_one_mark_with_it() -> None:
    of = page("E5:2 D5:g E5:g C5:2", ornaments={"1.2": Ornament("turn")})
    assert first(of, "1.2") == "E5:7/4 D5:1/8 E5:1/8 D5:1/6 C5:1/6 B4:1/6 C5:3/2"
    assert ways(of)["1.2"][0].content.what == "turn"


def test_three_graces_in_compound_metre() -> None:
    """At a dotted quarter of 50 a triplet of sixteenths lasts 0.4 s (60/75/2); common practice as above."""
    slow = page("Ab4:3/2 G4:g A4:g B4:g C5:3/2", metre=(6, 8))
    assert first(slow, "1.2", quarter_s=60 / 75) == "Ab4:1 G4:1/6 A4:1/6 B4:1/6 C5:3/2"
    quick = page("Ab4:3/2 G4:g A4:g B4:g C5:3/2", metre=(6, 8))
    assert first(quick, "1.2", quarter_s=60 / 150) == "Ab4:3/4 G4:1/4 A4:1/4 B4:1/4 C5:3/2"

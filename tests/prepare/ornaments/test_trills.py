"""Trills on the page: the notes, the start, the rate and the closing notes that a teacher would write.

Rates: facts of Libricky and Hajic 2025 (10.5 notes a second at the median of one key, never above 16.5) and of Quantz
1752 (eight notes to a beat of about 80; from memory). Rules of the start and the close as their tests name them. Values
not named otherwise are common practice of the trade.
"""

from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from coach.music.note import Grace, Ornament
from coach.music.part import Part
from coach.music.pitch import parse_pitch
from coach.music.rhythm import Value
from coach.prepare.mark import OssiaNote
from coach.prepare.ornaments.realisation import STYLES, Realisation
from coach.prepare.ornaments.shake import parse_shake, shake_text, shaken, sounds
from tests.prepare.ornaments.trilled import TRILL, total_q, trilled_part, ways, written

F = Fraction
# MusicXML 4.0, schema/musicxml.xsd: the defaults of the trill-sound attributes.
DEFAULTS = (
    ("start-note", "upper"), ("trill-step", "whole"), ("two-note-turn", "none"), ("accelerate", "no"),
    ("beats", "4"), ("second-beat", "25"), ("last-beat", "75"),
)  # fmt: skip


def said(*attributes: tuple[str, str], accidental: str = "") -> Ornament:
    """A trill sign with attributes of its file, and an accidental above it."""
    return Ornament("trill-mark", (("above", accidental),) if accidental else (), attributes)


def first(of: Part, at: str, style: str = "lyrical", quarter_s: float = 1.0, fastest: float = 10.5) -> Realisation:
    return ways(of, at, style, quarter_s, fastest)[0]


def names(way: Realisation) -> list[str]:
    return [note.pitch.name for note in way.content.notes if note.pitch]


# The upper note.


def test_the_upper_note_is_that_of_the_key() -> None:
    """Four flats: B flat, E flat, A flat, D flat (common practice)."""
    assert set(names(first(trilled_part("C5:4", "G4:4", at="1.1", key=-4), "1.1"))) == {"C5", "Db5"}


def test_an_accidental_earlier_in_the_measure_counts_before_the_key() -> None:
    of = trilled_part("D#5:1 C5:3", "C5:4", at="1.2")
    assert set(names(first(of, "1.2"))) == {"C5", "D#5"}
    next_measure = trilled_part("D#5:4", "C5:4", at="2.1")
    assert set(names(first(next_measure, "2.1"))) == {"C5", "D5"}


def test_an_accidental_at_the_trill_counts_before_all_else() -> None:
    sign = said(("trill-step", "whole"), accidental="flat")
    of = trilled_part("D#5:1 C5:3", "C5:4", at="1.2", sign=sign)
    assert set(names(first(of, "1.2"))) == {"C5", "Db5"}


@pytest.mark.parametrize(("step", "upper"), [("whole", "F#5"), ("half", "F5")])
def test_the_step_of_the_file_is_obeyed(step: str, upper: str) -> None:
    assert set(names(first(trilled_part("E5:4", at="1.1", sign=said(("trill-step", step))), "1.1"))) == {"E5", upper}


def test_a_trill_on_one_note_is_played_plain() -> None:
    found = ways(trilled_part("E5:4", at="1.1", sign=said(("trill-step", "unison"))), "1.1", "lyrical", 1.0)
    assert written(found[0]) == "E5:4"


def test_the_note_above_is_above() -> None:
    """E sharp in a key without sharps: the key's F is the same pitch, so F sharp."""
    assert set(names(first(trilled_part("E#5:4", at="1.1"), "1.1"))) == {"E#5", "F#5"}


def test_an_augmented_second_of_the_key_has_the_whole_tone_beside_it() -> None:
    """C flat in F major: the key has D. The rule says D; a teacher asks whether D flat is meant."""
    found = ways(trilled_part("Cb5:4", at="1.1", key=-1), "1.1", "lyrical", 1.0)
    assert set(names(found[0])) == {"Cb5", "D5"}
    assert set(names(found[1])) == {"Cb5", "Db5"}
    assert found[1].name.startswith("with D flat")


# Start and rate.


def test_the_styles_begin_on_different_notes() -> None:
    """Upper: C. P. E. Bach 1753, trills par. 5. Main: usual since Hummel 1828 and Spohr 1832 (from memory)."""
    of = trilled_part("D5:2 C5:2", at="1.1")
    assert names(first(of, "1.1", "treatise"))[:2] == ["E5", "D5"]
    assert names(first(of, "1.1", "lyrical"))[:2] == ["D5", "E5"]


def test_a_half_note_at_sixty() -> None:
    """32nds are 8 a second, which is between 7 and 10; closed by the lower neighbour into the step that follows. From
    the main note an odd number fits, so the first note is held for two."""
    of = trilled_part("D5:2 C5:2", at="1.1")
    treatise = "E5:1/8 D5:1/8 " * 7 + "C5:1/8 D5:1/8"
    lyrical = "D5:1/4 " + "E5:1/8 D5:1/8 " * 6 + "C5:1/8 D5:1/8"
    assert written(first(of, "1.1", "treatise")) == treatise
    assert written(first(of, "1.1", "lyrical")) == lyrical


def test_quantz_has_eight_notes_to_a_beat_of_eighty() -> None:
    """Quantz 1752, ch. IX par. 6 (from memory): 10.7 a second; fingers of 11 notes a second can do it."""
    way = first(trilled_part("D5:4", at="1.1"), "1.1", "treatise", 0.75, fastest=11.0)
    assert way.content.shake is not None
    assert way.content.shake.first == 8


@pytest.mark.parametrize("quarter_s", [0.35, 0.4, 0.5, 0.55, 0.6, 0.67, 0.75, 0.8, 0.9, 1.0, 1.1, 1.2])
@pytest.mark.parametrize("fastest", [10.5, 8.4])
@pytest.mark.parametrize("style", STYLES)
def test_a_half_note_trills_as_fast_as_suits_and_fingers_can(style: str, fastest: float, quarter_s: float) -> None:
    """About 7 to 10 notes a second and never more than the fingers do; slow music slower (L. Mozart 1756, X 7)."""
    way = first(trilled_part("C5:2 C5:2", at="1.1"), "1.1", style, quarter_s, fastest)
    rate = 1 / (float(min(note.length_q for note in way.content.notes)) * quarter_s)
    assert rate <= fastest + 1e-9
    assert rate >= min(6.0, fastest / 2)


def test_slow_fingers_have_a_slower_trill() -> None:
    """Seven fingers move: 3.5 notes a second (medians by number of keys, Libricky and Hajic 2025)."""
    way = first(trilled_part("C5:2 C5:2", at="1.1"), "1.1", quarter_s=1.0, fastest=3.5)
    assert min(note.length_q for note in way.content.notes) == F(1, 3)
    assert "fingers" in way.because


@pytest.mark.parametrize(
    ("text", "at", "style", "quarter_s", "notes"),
    [
        ("C5:1/2 D5:1/2 C5:3", "1.1", "lyrical", 1.0, "C5:1/8 D5:1/8 C5:1/4"),
        ("C5:1/2 D5:1/2 C5:3", "1.1", "lyrical", 0.6, "C5:1/6 D5:1/6 C5:1/6"),
        ("C5:1/2 D5:1/2 C5:3", "1.1", "lyrical", 0.4, "D5:1/4 C5:1/4"),
        ("C5:1/16 D5:1/2 C5:3", "1.1", "lyrical", 0.4, "C5:1/16"),
        ("C5:1/2 D5:1/2 C5:3", "1.1", "treatise", 0.75, "D5:1/8 C5:1/8 B4:1/8 C5:1/8"),
        ("E5:1/2 D5:1/2 C5:3", "1.2", "treatise", 0.75, "E5:1/8 D5:1/8 E5:1/8 D5:1/8"),
        ("D5:1 C5:1 C5:2", "1.1", "lyrical", 0.5, "D5:1/5 E5:1/5 D5:1/5 E5:1/5 D5:1/5"),
        ("D5:1 C5:1 C5:2", "1.1", "treatise", 0.5, "E5:1/4 D5:1/4 C5:1/4 D5:1/4"),
    ],
)
def test_short_trills(text: str, at: str, style: str, quarter_s: float, notes: str) -> None:
    """Three to five notes, or the upper note just touched, or the note alone, as there is time; the short ones of the
    treatises with a closing (L. Mozart 1756, X 6), but not in a run downwards (common practice)."""
    assert written(first(trilled_part(text, at=at), at, style, quarter_s)) == notes


# Closing notes.


def test_printed_graces_close_a_trill_in_time() -> None:
    """16ths at a quarter of 0.7 seconds last 0.175: they are played as printed."""
    way = first(trilled_part("F#5:2", "G5:4", at="1.1", after="E5 F5"), "1.1", quarter_s=0.7)
    assert [(n.pitch.name if n.pitch else "", n.onset_q, n.length_q) for n in way.content.notes[-2:]] == [
        ("E5", F(3, 2), F(1, 4)),
        ("F5", F(7, 4), F(1, 4)),
    ]
    assert names(way)[-3] == "F#5"


def test_printed_graces_are_not_lost_where_there_is_no_time_to_trill() -> None:
    """A 16th of 0.25 seconds: three notes are 12 a second, five would be 20 (never above 16.5)."""
    way = first(trilled_part("C5:1/4", "D5:4", at="1.1", after="B4 C5"), "1.1", quarter_s=1.0)
    assert written(way) == "C5:1/12 B4:1/12 C5:1/12"


def test_a_close_that_begins_with_the_main_note_is_reached_from_the_upper_one() -> None:
    way = first(trilled_part("C5:2", "D5:4", at="1.1", after="C5 B4 C5"), "1.1")
    assert names(way)[-4:] == ["D5", "C5", "B4", "C5"]
    assert all(a != b for a, b in pairwise(names(way)))


@pytest.mark.parametrize(
    ("measures", "at", "closed"),
    [
        (("D5:2 C5:2",), "1.1", True),
        (("D5:2 E5:2",), "1.1", True),
        (("D5:2 D5:2",), "1.1", False),
        (("D5:2 F5:2",), "1.1", False),
        (("D5:2 r:2",), "1.1", False),
        (("C5:2 D5:2",), "1.2", False),
        (("D5:4", "G4:4"), "1.1", True),
        (("D5:1/2 C5:1/2 C5:3",), "1.1", False),
    ],
)
def test_when_a_lyrical_trill_is_closed_unasked(measures: tuple[str, ...], at: str, closed: bool) -> None:
    """Long, and followed by step, or by the keynote after its fifth (D, G) on a beat."""
    way = first(trilled_part(*measures, at=at), at)
    assert (names(way)[-2:] == ["C5", "D5"]) is closed
    assert ("without closing notes" in way.because) is not closed


def test_no_close_before_another_trill() -> None:
    of = trilled_part("D5:2 E5:2", at="1.1")
    (measure,) = of.measures
    chained = replace(measure, notes=tuple(replace(note, ornaments=(TRILL,)) for note in measure.notes))
    assert "another trill follows" in first(replace(of, measures=(chained,)), "1.1").because


# What the file says.


@pytest.mark.parametrize("style", STYLES)
def test_the_defaults_of_musicxml_written_out(style: str) -> None:
    """MusicXML 4.0: upper, whole, none, not accelerating, four notes at 0, 25, 50 and 75 per cent."""
    way = first(trilled_part("E5:4", "F5:4", at="1.1", sign=said(*DEFAULTS)), "1.1", style)
    assert written(way) == "F#5:1 E5:1 F#5:1 E5:1"
    assert way.content.shake is None


@pytest.mark.parametrize("style", STYLES)
def test_the_same_without_the_number_of_notes(style: str) -> None:
    way = first(trilled_part("E5:4", "F5:4", at="1.1", sign=said(*DEFAULTS[:4])), "1.1", style)
    shake = way.content.shake
    assert shake is not None
    assert (shake.start, shake.other.name, shake.close, shake.curve) == ("upper", "F#5", (), "even")


@pytest.mark.parametrize(("word", "start"), [("upper", "D5"), ("main", "C5"), ("below", "B4")])
@pytest.mark.parametrize("style", STYLES)
def test_the_start_note_of_the_file(style: str, word: str, start: str) -> None:
    way = first(trilled_part("C5:4", at="1.1", sign=said(("start-note", word))), "1.1", style)
    assert names(way)[0] == start
    assert names(way)[-1] == "C5"


@pytest.mark.parametrize(("turn", "lower"), [("whole", "Bb4"), ("half", "B4")])
def test_the_two_note_turn_of_the_file(turn: str, lower: str) -> None:
    way = first(trilled_part("C5:4", at="1.1", sign=said(("two-note-turn", turn))), "1.1")
    assert names(way)[-3:] == ["C5", lower, "C5"]


def test_beats_of_the_file_uneven() -> None:
    """Six notes, the second at a third of the time and the last at 90 per cent: those between evenly."""
    sign = said(("start-note", "main"), ("beats", "6"), ("second-beat", "30"), ("last-beat", "90"))
    way = first(trilled_part("C5:4", at="1.1", sign=sign), "1.1")
    assert [note.onset_q for note in way.content.notes] == [0, F(6, 5), F(9, 5), F(12, 5), 3, F(18, 5)]


@pytest.mark.parametrize("value", ["", "x", "1e999", "-3", "0", "nan", "1/0", "99999999999999"])
def test_numbers_of_the_file_that_are_none(value: str) -> None:
    sign = said(("beats", value), ("second-beat", value), ("last-beat", value))
    assert total_q(first(trilled_part("C5:4", at="1.1", sign=sign), "1.1")) == 4


def test_accelerate_of_the_file() -> None:
    """MusicXML 4.0: accelerate="yes" is the accelerating trill, in either style; "no" forbids it."""
    for style in STYLES:
        way = first(trilled_part("C5:4", "D5:4", at="1.1", sign=said(("accelerate", "yes"))), "1.1", style)
        assert way.content.shake is not None
        assert way.content.shake.curve == "steady"
    way = first(trilled_part("C5:4", "D5:4", at="1.1", sign=said(("accelerate", "no"))), "1.1")
    assert way.content.shake is not None
    assert way.content.shake.curve == "even"


# The accelerating trill.


def test_a_whole_note_trill_with_an_altered_upper_note() -> None:
    """Common practice: over four beats it begins slowly, grows over all four, ends with two written graces into the
    downbeat. A quarter lasts a second here."""
    sign = said(("accelerate", "yes"), accidental="flat")
    way = first(trilled_part("C5:4", "D5:4", at="1.1", sign=sign, after="B4 C5"), "1.1")
    shake = way.content.shake
    assert shake is not None
    played = sounds(way.content, parse_pitch("C5"))
    assert {note.pitch.name for note in played[:-2] if note.pitch} == {"C5", "Db5"}
    assert [note.pitch.name for note in played[-2:] if note.pitch] == ["B4", "C5"]
    assert played[-1].onset_q + played[-1].length_q == 4
    in_beat = [sum(1 for note in played[:-2] if k <= note.onset_q < k + 1) for k in range(3)]
    assert 2 <= in_beat[0] <= 4
    assert in_beat == sorted(set(in_beat))
    assert all(a.length_q > b.length_q for a, b in pairwise(played[:-2]))
    assert shake.first == 2
    assert 7 <= shake.last <= 10


@pytest.mark.parametrize(
    ("measures", "style", "quarter_s", "grows"),
    [
        (("C5:4", "D5:4"), "lyrical", 1.0, True),
        (("C5:4", "D5:4"), "lyrical", 0.5, False),
        (("C5:2 D5:2",), "lyrical", 1.0, False),
        (("C5:4", "D5:4"), "treatise", 1.0, False),
        (("C5:4", "C5:4"), "lyrical", 1.0, False),
    ],
)
def test_which_trills_grow_unasked(measures: tuple[str, ...], style: str, quarter_s: float, grows: bool) -> None:
    """Long closing ones in slow music, in the lyrical style; L. Mozart 1756, X 7, has them mostly at cadences. Where it
    is not proposed it is offered, if the trill is long."""
    found = ways(trilled_part(*measures, at="1.1"), "1.1", style, quarter_s)
    curves = [way.content.shake.curve for way in found if way.content.shake]
    assert (curves[0] == "steady") is grows
    assert "steady" in curves
    assert "even" in curves


def test_a_growing_trill_offers_its_other_shapes() -> None:
    found = ways(trilled_part("C5:4", "D5:4", at="1.1"), "1.1", "lyrical", 1.0)
    shapes = [(way.content.shake.curve, way.content.shake.start) for way in found if way.content.shake]
    assert shapes == [("steady", "main"), ("late", "main"), ("early", "main"), ("even", "main"), ("steady", "upper")]


# Where it stands.


def test_a_tied_chain_is_one_trill() -> None:
    of = trilled_part("r:2 D5:2~", "D5:4~", "D5:1 C5:3", at="1.1")
    way = first(of, "1.1")
    assert way.content.notes[0].onset_q == 2
    assert total_q(way) == 7


def test_a_wavy_line_alone_is_a_trill() -> None:
    line = Ornament("wavy-line", (), (("type", "start"),))
    assert set(names(first(trilled_part("D5:4", at="1.1", sign=line), "1.1"))) == {"D5", "E5"}


def _with_grace(name: str, *, slash: bool = False) -> Part:
    of = trilled_part("C5:2 D5:2", "C5:4", at="1.2")
    grace = Grace("1.2g1", parse_pitch(name), Value("eighth"), slash)
    measure = of.measures[0]
    notes = (measure.notes[0], replace(measure.notes[1], graces=(grace,)))
    return replace(of, measures=(replace(measure, notes=notes), *of.measures[1:]))


def test_a_grace_from_above_is_the_beginning_of_a_treatise_trill() -> None:
    """Trade practice of the treatises: it is the upper note with which the trill begins anyway."""
    way = first(_with_grace("E5"), "1.2", "treatise")
    assert way.content.notes[0] == OssiaNote(parse_pitch("E5"), F(2), F(1, 8))
    assert total_q(way) == 2


def test_a_lyrical_grace_comes_before_the_trill() -> None:
    way = first(_with_grace("E5"), "1.2", "lyrical")
    assert names(way)[:3] == ["C5", "E5", "D5"]
    assert way.content.notes[0].onset_q == 0
    assert total_q(way) == 4
    assert next(note.onset_q for note in way.content.notes if note.pitch == parse_pitch("D5")) == 2


LENGTHS = st.fractions(F(1, 24), F(8), max_denominator=24)


@settings(deadline=None)
@given(
    LENGTHS,
    st.sampled_from(("C5", "D5", "Bb4", "G5", "")),
    st.sampled_from(STYLES),
    st.floats(0.15, 3.0),
    st.floats(2.0, 16.5),
    st.sampled_from(("", "B4 C5", "C5 B4 C5", "D5")),
    st.dictionaries(
        st.sampled_from([name for name, _ in DEFAULTS]),
        st.sampled_from(("upper", "below", "whole", "half", "none", "yes", "5", "40")),
        max_size=4,
    ),
)
def test_every_way_fills_the_note_exactly_and_can_be_played(
    length_q: Fraction, after: str, style: str, quarter_s: float, fastest: float, close: str, attributes: dict[str, str]
) -> None:
    sign = said(*attributes.items())
    of = trilled_part(f"C5:{length_q} {after}:1" if after else f"C5:{length_q}", at="1.1", sign=sign, after=close)
    found = ways(of, "1.1", style, quarter_s, fastest)
    assert len({way.content for way in found}) == len(found) <= 5
    for way in found:
        for notes in (way.content.notes, sounds(way.content, parse_pitch("C5"))):
            ends = [F(0), *(note.onset_q + note.length_q for note in notes)]
            assert [note.onset_q for note in notes] == ends[:-1]
            assert ends[-1] == length_q
            assert all(note.length_q > 0 for note in notes)
        assert way.because.endswith(".")
        if way.content.shake is not None:
            assert parse_shake(shake_text(way.content.shake)) == way.content.shake
    plain = {"beats", "second-beat", "last-beat"}.isdisjoint(attributes)
    played = sounds(found[0].content, parse_pitch("C5"))
    if plain and len(played) > 1:
        assert 1 / (float(min(note.length_q for note in played)) * quarter_s) <= 16.5 + 1e-6


def test_an_even_trill_from_above_is_played_exactly_as_it_is_counted() -> None:
    way = first(trilled_part("D5:2 C5:2", at="1.1"), "1.1", "treatise")
    assert way.content.shake is not None
    assert shaken(parse_pitch("D5"), way.content.shake) == way.content.notes

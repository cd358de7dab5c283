"""Ornaments and alterations laid into measures. Exactness by property; what is written out by arithmetic."""

from dataclasses import replace
from fractions import Fraction as F

from hypothesis import given, settings
from hypothesis import strategies as st

from coach.music.measure import Measure
from coach.music.note import Note
from coach.music.part import Part
from coach.music.pitch import parse_pitch
from coach.prepare.interpretation import Interpretation
from coach.prepare.mark import Alteration, Mark, Ornament, OssiaNote, Phrase
from coach.prepare.played import PHRASE_END, played
from tests.prepare.factory import PARTS, PITCHES, part

Row = tuple[str, str, str, str]  # id, name or "r", onset in the measure, length


def ossia(text: str, start_q: str = "0", what: str = "grace", style: str = "lyrical") -> Ornament:
    """Notes one after the other from an onset, such as "C5:3/2 D5:1/6"."""
    at_q, notes = F(start_q), []
    for word in text.split():
        name, _, length = word.partition(":")
        notes.append(OssiaNote(None if name == "r" else parse_pitch(name), at_q, F(length)))
        at_q += F(length)
    return Ornament(tuple(notes), what, style)


def rows(notes: tuple[Note, ...], measure: Measure) -> list[Row]:
    return [
        (note.id, note.pitch.name if note.pitch else "r", str(note.onset_q - measure.onset_q), str(note.length_q))
        for note in notes
    ]


def laid(of: Part, order: tuple[int, ...] = (), **marks: object) -> list[list[Row]]:
    """What is played of a part's measures, in its order or another."""
    measures = [of.measures[k] for k in order or range(len(of.measures))]
    found = played(measures, Interpretation(**marks))  # type: ignore[arg-type]
    return [rows(notes, measure) for notes, measure in zip(found, measures, strict=True)]


TRIPLET = part("C5:2 D5:g E5:g D5:g C5:1/2 r:3/2")
# A half note, three graces, an eighth: dotted quarter, a triplet of sixteenths, the eighth (common practice).
COUNTED = ossia("C5:3/2 D5:1/6 E5:1/6 D5:1/6 C5:1/2")


def test_graces_are_counted_out_of_the_note_before() -> None:
    """Three halves and three sixths are two quarters, the length of the half note: 3/2 + 3/6 = 2."""
    assert laid(TRIPLET, ornaments={"1.2": COUNTED}) == [
        [
            ("1.1", "C5", "0", "3/2"),
            ("1.2g1", "D5", "3/2", "1/6"),
            ("1.2g2", "E5", "5/3", "1/6"),
            ("1.2g3", "D5", "11/6", "1/6"),
            ("1.2", "C5", "2", "1/2"),
            ("1.r1", "r", "5/2", "3/2"),
        ]
    ]


def test_what_is_played_has_no_signs_left() -> None:
    (notes,) = played(TRIPLET.measures, Interpretation(ornaments={"1.2": COUNTED}))
    assert not any(note.graces or note.after_graces or note.ornaments for note in notes)
    assert [note.slurred for note in notes] == [False, True, True, True, False, False]


def test_graces_over_a_barline_are_taken_from_the_measure_before() -> None:
    of = part("C5:4", "D5:g C5:g B4:4")
    mark = ossia("C5:7/2 D5:1/4 C5:1/4 B4:4", "-4")
    assert laid(of, ornaments={"2.1": mark}) == [
        [("1.1", "C5", "0", "7/2"), ("2.1g1", "D5", "7/2", "1/4"), ("2.1g2", "C5", "15/4", "1/4")],
        [("2.1", "B4", "0", "4")],
    ]


def test_where_the_note_before_is_not_played_graces_come_on_the_beat_in_their_values() -> None:
    """A stretch that begins there, and a repeat that leads back there: 1/4 + 1/4 is less than half of 4."""
    of = part("C5:4", "D5:g C5:g B4:4")
    mark = ossia("C5:7/2 D5:1/4 C5:1/4 B4:4", "-4")
    on_the_beat = [("2.1g1", "D5", "0", "1/4"), ("2.1g2", "C5", "1/4", "1/4"), ("2.1", "B4", "1/2", "7/2")]
    assert laid(of, (1,), ornaments={"2.1": mark}) == [on_the_beat]
    again = laid(of, (0, 1, 1), ornaments={"2.1": mark})
    assert again[1:] == [[("2.1", "B4", "0", "4")], on_the_beat]
    # The measure before is whole where another than the graced one follows.
    assert laid(of, (0, 0, 1), ornaments={"2.1": mark})[0] == [("1.1", "C5", "0", "4")]


def test_on_the_beat_graces_never_take_more_than_half() -> None:
    """Three of 1/4 want 3/4 of a note of 1/2; half of it is 1/4, so each gets 1/12."""
    of = part("C5:4", "D5:g E5:g D5:g C5:1/2 r:7/2")
    mark = ossia("C5:13/4 D5:1/4 E5:1/4 D5:1/4 C5:1/2", "-4")
    ((*graces, main, _),) = laid(of, (1,), ornaments={"2.1": mark})
    assert [(at, length) for _, _, at, length in graces] == [("0", "1/12"), ("1/12", "1/12"), ("1/6", "1/12")]
    assert main == ("2.1", "C5", "1/4", "1/4")


def test_the_note_before_keeps_its_own_ornament_until_the_graces_begin() -> None:
    of = part("C5:2 D5:g B4:2")
    shaken = ossia("C5:1/4 D5:1/4 C5:1/4 D5:1/4 C5:1/4 D5:1/4 C5:1/4 D5:1/4", "0", "trill")
    grace = ossia("C5:7/4 D5:1/4 B4:2")
    (found,) = laid(of, ornaments={"1.1": shaken, "1.2": grace})
    assert [name for _, name, _, _ in found] == ["C5", "D5", "C5", "D5", "C5", "D5", "C5", "D5", "B4"]
    assert found[7] == ("1.2g1", "D5", "7/4", "1/4") and found[6] == ("1.1", "C5", "3/2", "1/4")


def test_graces_that_close_the_trill_before_sound_once() -> None:
    of = part("C5:2 B4:g C5:g D5:2")
    trill = ossia("C5:1/2 D5:1/2 C5:1/2 B4:1/4 C5:1/4", "0", "trill")
    ((*notes,),) = laid(of, ornaments={"1.1": trill})
    assert [(name, at) for name, _, at, _ in notes[-3:]] == [("1.2g1", "3/2"), ("1.2g2", "7/4"), ("1.2", "2")]
    (made,) = played(of.measures, Interpretation(ornaments={"1.1": trill}))
    assert not made[-1].graces


def test_a_trill_over_a_barline_is_split_and_tied() -> None:
    of = part("C5:4~", "C5:2 D5:2")
    trill = ossia("C5:3 D5:2 C5:1", "0", "trill")
    first, second = played(of.measures, Interpretation(ornaments={"1.1": trill}))
    assert [(n.pitch.name if n.pitch else "", str(n.length_q), n.tie) for n in (*first, *second)] == [
        ("C5", "3", None),
        ("D5", "1", "start"),
        ("D5", "1", "stop"),
        ("C5", "1", None),
        ("D5", "2", None),
    ]


def test_an_alteration_takes_the_whole_tied_note_and_shares_it_evenly() -> None:
    of = part("C5:4~", "C5:2 D5:2")
    one = laid(of, alterations={"1.1": Alteration((parse_pitch("F4"),))})
    assert one == [[("1.1", "F4", "0", "4")], [("1.1", "F4", "0", "2"), ("2.2", "D5", "2", "2")]]
    three = laid(of, alterations={"1.1": Alteration(tuple(map(parse_pitch, ("F4", "A4", "C5"))))})
    assert [length for *_, length in (*three[0], *three[1])] == ["2", "2", "2", "2"]


def test_two_notes_a_fifth_lower_at_two_like_places() -> None:
    """A fifth is seven half tones (C5 is 72, F4 65)."""
    of = part("C5:1 D5:1 r:2", "E5:4", "C5:1 D5:1 r:2")
    lower = {"C5": Alteration((parse_pitch("F4"),)), "D5": Alteration((parse_pitch("G4"),))}
    found = played(of.measures, Interpretation(alterations={
        "1.1": lower["C5"], "1.2": lower["D5"], "3.1": lower["C5"], "3.2": lower["D5"],
    }))  # fmt: skip
    for before, now in zip((m.notes for m in of.measures), found, strict=True):
        for old, new in zip(before, now, strict=True):
            assert (old.id, old.onset_q, old.length_q) == (new.id, new.onset_q, new.length_q)
            if old.pitch is not None and new.pitch is not None:
                assert old.pitch.midi - new.pitch.midi == (0 if old.measure == "2" else 7)


def test_what_is_tied_over_the_beginning_goes_on_as_decided() -> None:
    """The last three quarters of a trill, and the last of three notes shared over nine quarters."""
    of = part("C5:4~", "C5:4~", "C5:1 D5:3")
    trill = ossia("C5:2 D5:4 C5:3", "0", "trill")
    altered = Alteration(tuple(map(parse_pitch, ("F4", "A4", "C5"))))
    for decided, expected in (
        (Interpretation(ornaments={"1.1": trill}), [("1.1", "D5", "0", "2"), ("1.1", "C5", "2", "2")]),
        (Interpretation(alterations={"1.1": altered}), [("1.1", "A4", "0", "2"), ("1.1", "C5", "2", "2")]),
    ):
        first, last = played(of.measures[1:], decided, of)
        assert rows(first, of.measures[1]) == expected
        assert rows(last, of.measures[2])[0] == ("1.1", "C5", "0", "1")


def test_graces_before_an_altered_note_stay() -> None:
    (found,) = laid(TRIPLET, ornaments={"1.2": COUNTED}, alterations={"1.2": Alteration((parse_pitch("F4"),))})
    assert found[3:5] == [("1.2g3", "D5", "11/6", "1/6"), ("1.2", "F4", "2", "1/2")]


def test_an_ornament_of_ones_own_counts_before_an_alteration() -> None:
    own = ossia("G4:1/4 A4:1/4", "2", "ossia", "")
    (found,) = laid(TRIPLET, ornaments={"1.2": own}, alterations={"1.2": Alteration((parse_pitch("F4"),))})
    assert [name for _, name, _, _ in found] == ["C5", "G4", "A4", "r"]


def test_an_ossia_over_several_notes_replaces_all_of_them_and_may_rest() -> None:
    of = part("C5:1 D5:1 E5:1 F5:1")
    own = ossia("A4:1 r:1/2 B4:3/2", "0", "ossia", "")
    assert laid(of, ornaments={"1.1": own, "1.2": ossia("G4:1", "1", "ossia", "")}) == [
        [("1.1", "A4", "0", "1"), ("1.1", "r", "1", "1/2"), ("1.1", "B4", "3/2", "3/2"), ("1.4", "F5", "3", "1")]
    ]


def test_a_mark_that_no_longer_fits_is_played_as_printed() -> None:
    of = part("C5:1 D5:1", "E5:2")
    printed = [rows(m.notes, m) for m in of.measures]
    too_long = ossia("C5:1 D5:1", "0", "trill")
    elsewhere = ossia("C5:1", "3", "trill")
    torn = Ornament((OssiaNote(parse_pitch("C5"), F(0), F(1, 4)), OssiaNote(parse_pitch("D5"), F(1, 2), F(1, 2))))
    for mark in (too_long, elsewhere, torn, Ornament(())):
        assert laid(of, ornaments={"1.1": mark, "9.9": mark}) == printed


def test_accents_stay_where_the_note_begins_and_a_breath_where_it_ends() -> None:
    base = part("C5:2 D5:2")
    first = replace(base.measures[0].notes[0], articulations=("accent", "staccato"), breath="comma", slurred=True)
    bar = replace(base.measures[0], notes=(first, base.measures[0].notes[1]))
    (found,) = played([bar], Interpretation(ornaments={"1.1": ossia("C5:1 D5:1/2 C5:1/2", "0", "turn")}))
    assert [(n.articulations, n.breath, n.slurred) for n in found[:3]] == [
        (("accent",), None, True),
        ((), None, True),
        ((), "comma", True),
    ]


def test_breaths_and_ends_of_phrases_stand_at_the_end_of_the_chain() -> None:
    of = part("C5:4~", "C5:2 D5:2", "E5:4")
    phrase = Mark("m", "1.1", Phrase("3.1"))
    found = played(of.measures, Interpretation(breaths={"1.1": "catch"}, phrases=(phrase,)))
    assert [note.breath for notes in found for note in notes] == [None, "catch", None, PHRASE_END]


# With ties, to the same pitch and (as files have them) to another.
LINES = st.lists(
    st.lists(
        st.sampled_from(("C5:1", "C5:1~", "C5:2~", "D5:1/2", "r:1", "B4:g C5:g D5:1", "B4:g C5:1~")),
        min_size=1,
        max_size=4,
    ),
    min_size=1,
    max_size=5,
).map(lambda texts: part(*map(" ".join, texts)))


@st.composite
def decided(draw: st.DrawFn) -> tuple[Part, tuple[int, ...], Interpretation]:
    """A part, an order to pass its measures in, and marks of any kind at its notes, fitting or not."""
    of = draw(LINES)
    ids = [note.id for note in of.notes()]
    quarters = st.fractions(F(1, 24), F(3), max_denominator=24)
    notes = st.lists(st.tuples(st.none() | PITCHES, quarters), max_size=6)

    def joined(start_q: F, given_: list[tuple[object, F]], what: str, style: str) -> Ornament:
        at_q, made = start_q, []
        for pitch, length_q in given_:
            made.append(OssiaNote(pitch, at_q, length_q))  # type: ignore[arg-type]
            at_q += length_q
        return Ornament(tuple(made), what, style)

    ornaments = st.builds(
        joined,
        st.fractions(F(-3), F(4), max_denominator=12),
        notes,
        st.sampled_from(("grace", "trill", "ossia")),
        st.sampled_from(("", "lyrical")),
    )
    altered = st.builds(Alteration, st.lists(PITCHES, min_size=1, max_size=3).map(tuple))
    order = draw(st.lists(st.integers(0, len(of.measures) - 1), min_size=1, max_size=8))
    decisions = Interpretation(
        ornaments=draw(st.dictionaries(st.sampled_from(ids), ornaments, max_size=8)),
        alterations=draw(st.dictionaries(st.sampled_from(ids), altered, max_size=3)),
        breaths=draw(st.dictionaries(st.sampled_from(ids), st.just("full"), max_size=2)),
    )
    return of, tuple(order), decisions


@settings(deadline=None)
@given(decided())
def test_every_measure_adds_up_whatever_is_marked(case: tuple[Part, tuple[int, ...], Interpretation]) -> None:
    of, order, decisions = case
    measures = [of.measures[k] for k in order]
    known = {note.id for note in of.notes()} | {grace.id for note in of.notes() for grace in note.graces}
    for measure, notes in zip(measures, played(measures, decisions, of), strict=True):
        at_q = measure.onset_q
        for note in notes:
            assert note.onset_q == at_q and note.length_q > 0 and note.id in known
            at_q += note.length_q
        assert at_q == measure.end_q


@given(PARTS)
def test_without_marks_nothing_changes(of: Part) -> None:
    assert played(of.measures, Interpretation()) == tuple(measure.notes for measure in of.measures)


def test_what_crosses_a_barline_keeps_its_end_for_its_last_notehead() -> None:
    """A breath and a fermata stand where the note ends (common practice of notation), once."""
    page = part("C5:4", "D5:4")
    last = replace(page.measures[1].notes[0], breath="full", fermata=True)
    measures = (page.measures[0], replace(page.measures[1], notes=(last,)))
    over = ossia("E5:2 F5:6", what="ossia", style="")
    made = played(measures, Interpretation(ornaments={"1.1": over}))
    assert [[(n.pitch and n.pitch.name, n.tie, n.breath, n.fermata) for n in bar] for bar in made] == [
        [("E5", None, None, False), ("F5", "start", None, False)],
        [("F5", "stop", "full", True)],
    ]

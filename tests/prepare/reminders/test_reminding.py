"""Reminders, as a careful player pencils them: common practice of the trade, unless a source is named.

That a sign holds in its measure and octave alone is the rule of standard notation; the names of the keys are the circle
of fifths; the plain name of B sharp is C (twelve equal semitones).
"""

from dataclasses import replace
from fractions import Fraction as F

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from coach.files.score import read_score
from coach.music.metre import Key
from coach.music.part import Part
from coach.music.pitch import Pitch
from coach.prepare.mark import ACCIDENTALS, Ornament, OssiaNote, Reminder, Shake
from coach.prepare.place import find_place
from coach.prepare.reminders.reminding import DENSITIES, MOST_ALIKE, reminders
from tests.content.reading import demo_path
from tests.prepare.factory import PARTS
from tests.prepare.reminders.pages import changed, in_keys, keyed, trilled

WEBER = "corpus:weber/concertino_clarinet"
D5, E5, EB5 = Pitch("D", 0, 5), Pitch("E", 0, 5), Pitch("E", -1, 5)


def found(page: Part, density: str = "usual", **ornaments: Ornament) -> dict[str, str]:
    """What is written, by note; of a neighbour with "upper" or "lower" before it."""
    played = {at.replace("n", "").replace("_", "."): one for at, one in ornaments.items()}
    made = reminders(page, played, density)
    return {one.at: f"{one.content.of} {one.content.text}".strip() for one in made}


def because(page: Part, at: str, density: str = "usual") -> str:
    return next(one.because for one in reminders(page, {}, density) if one.at == at)


def test_in_a_key_with_four_sharps_nobody_pencils_the_sharps_of_the_key() -> None:
    """E major has F sharp, C sharp, G sharp, D sharp. B sharp is fingered as C."""
    scale = "E4:1 F#4:1 G#4:1 A4:1", "B4:1 C#5:1 D#5:1 E5:1", "C#5:1 B#4:1 C#5:1 D#5:1"
    for density in DENSITIES:
        assert found(keyed(4, *scale[:2]), density) == {}
    assert found(keyed(4, *scale)) == {"3.2": "C"}
    assert because(keyed(4, *scale), "3.2") == "B sharp is fingered as C."


def test_a_sign_that_holds_is_written_again_where_other_notes_lie_between() -> None:
    page = keyed(0, "F#5:1 F#5:1 G5:1 A5:1 B5:1 A5:1 F#5:1")
    assert found(page) == {"1.7": "sharp"}  # not at 1.2, next to the sign
    assert because(page, "1.7") == "The F sharp from beat 1 holds until the end of the measure."


def test_a_sign_ends_at_the_barline() -> None:
    page = keyed(0, "C5:1 F#5:1 G5:2", "F5:1 E5:3", "F5:4")
    assert found(page) == {"2.1": "natural"}
    assert "of the measure before has ended at the barline" in because(page, "2.1")


def test_a_sign_holds_in_its_octave_alone() -> None:
    page = keyed(0, "F#5:1 G5:1 F4:2")
    assert found(page) == {"1.3": "natural"}
    assert "in another octave" in because(page, "1.3")


def test_a_tie_takes_its_sign_over_the_barline_and_no_further() -> None:
    page = keyed(0, "C5:2 Bb4:2~", "Bb4:1 C5:1 B4:2")
    assert found(page, "sparing") == {"2.3": "natural"}
    assert "tied over the barline" in because(page, "2.3")


def test_a_new_key_is_written_at_the_first_note_that_it_changes() -> None:
    """From one sharp (F sharp) to one flat (B flat): F and B change, and no other step (circle of fifths)."""
    page = in_keys((1, -1), "F#5:1 G5:1 A5:1 B5:1", "C5:1 Bb5:1 F5:1 Bb4:1")
    assert found(page) == {"2.2": "flat", "2.3": "natural"}
    assert because(page, "2.2") == "The key has changed: B is B flat from here on."


def test_double_accidentals_and_strange_names_are_given_their_plain_names() -> None:
    """Pitch arithmetic: F double sharp is G, E sharp is F, C flat is B, B double flat is A."""
    names = found(keyed(0, "F##5:1 E#5:1 Cb5:1 Bbb4:1"))
    assert names == {"1.1": "G", "1.2": "F", "1.3": "B", "1.4": "A"}


def test_a_printed_sign_or_courtesy_needs_no_reminder() -> None:
    page = keyed(0, "C5:1 F#5:1 G5:2", "F5:1 E5:3")
    assert found(changed(page, "2.1", accidental="natural", courtesy=True)) == {}


def test_against_the_key_is_for_those_who_want_all_of_them() -> None:
    page = keyed(-3, "Bb4:1 Eb5:1 Bb4:1 E5:1")
    assert found(page) == {} and found(page, "full") == {"1.4": "natural"}


def trill(close: tuple[Pitch, ...] = (), other: Pitch = EB5) -> Ornament:
    shake = Shake(other, F(0), F(4), F(8), F(8), close=close, close_q=F(1, 4) if close else F(0))
    return Ornament((OssiaNote(D5, F(0), F(4)),), "trill", "lyrical", shake)


def test_what_a_trill_plays_and_the_page_does_not_say() -> None:
    """The closing note is raised (C sharp, D, as in D minor), which no sign of the page tells."""
    page = keyed(-1, "D5:4", "E5:4")
    marks = reminders(page, {"1.1": trill((Pitch("C", 1, 5), D5))})
    assert [(one.at, one.content) for one in marks] == [
        ("1.1", Reminder("flat", "upper")),
        ("1.1", Reminder("sharp", "lower")),
        ("2.1", Reminder("natural")),  # the step into the next downbeat
    ]
    assert marks[0].because == "The trill plays E flat, which the page does not say."


def test_a_trill_with_its_sign_needs_none_and_the_step_after_it_does() -> None:
    """An accidental over a trill is for that trill alone; the E on the next downbeat is E natural, by the key."""
    page = trilled(keyed(0, "D5:4", "E5:4"), "1.1", "trill-mark", ("above", "flat"))
    assert found(page, n1_1=trill()) == {"2.1": "natural"}
    assert "the trill's alone" in reminders(page, {"1.1": trill()})[0].because


def test_the_sign_earlier_in_the_measure_holds_for_the_neighbour_of_a_turn() -> None:
    turn = tuple(OssiaNote(pitch, F(1, 4) * k, F(1, 4)) for k, pitch in enumerate((EB5, D5, Pitch("C", 0, 5), D5)))
    page = keyed(0, "Eb5:1 C5:1 D5:2")
    assert found(page, n1_3=Ornament(turn, "turn")) == {"1.3": "upper flat"}


def test_graces_are_read_with_less_time() -> None:
    page = keyed(0, "F#5:1 G5:1 A5:1 F#5:g E5:1")
    assert found(page) == {"1.4g1": "sharp"}
    assert found(keyed(0, "F5:1 G5:1 A5:1 F#5:g E5:1")) == {}  # its sign is printed
    assert found(keyed(0, "F#5:1 G5:1 F#5:2")) == {}


def test_a_figure_that_comes_again_is_reminded_of_twice_at_most() -> None:
    page = keyed(0, *("C5:1 F#5:1 G5:1 A5:1", "B5:1 F5:1 E5:2") * 9)
    told = [one.at for one in reminders(page, {})]
    assert told == ["2.2", "4.2"] and len(told) == MOST_ALIKE


@pytest.mark.parametrize("source", [str(demo_path()), WEBER])
def test_few_enough_to_be_read(source: str) -> None:
    """At most one in twelve notes, and fewer when sparing: the aim that this program sets itself."""
    page = read_score(source).part
    count = sum(1 for _ in page.pitched())
    many = {density: len(reminders(page, {}, density)) for density in DENSITIES}
    assert 0 < many["sparing"] < many["usual"] < many["full"]
    assert many["usual"] <= count / 12


@settings(max_examples=60, deadline=None)
@given(PARTS, st.lists(st.integers(-7, 7), min_size=6, max_size=6))
def test_never_twice_and_always_true(page: Part, fifths: list[int]) -> None:
    """Each reminder is at a head that is there and says its pitch; a denser choice has all of a sparser one's."""
    measures = [replace(one, key=Key(count)) for one, count in zip(page.measures, fifths, strict=False)]
    page = replace(page, measures=tuple(measures))
    sets = []
    for density in DENSITIES:
        made = reminders(page, {}, density)
        assert len({(one.at, one.content.of) for one in made}) == len(made)
        for one in made:
            place = find_place(page, one.at)
            assert place is not None and place.pitch is not None
            plain = place.pitch.plain
            names = (ACCIDENTALS[place.pitch.alter + 2], f"{plain.step}{plain.accidental}")
            assert one.content.text in names and one.because.endswith(".")
        sets.append({(one.at, one.content) for one in made})
    assert sets[0] <= sets[1] <= sets[2]


def test_a_part_without_pitches_has_none() -> None:
    page = keyed(0, "r:4", "C5:4")
    assert reminders(changed(page, "2.1", unpitched=True), {}, "full") == ()


def test_a_sign_two_measures_back_is_told_of_in_full_alone() -> None:
    page = keyed(0, "C5:1 F#5:1 G5:2", "E5:4", "F5:4")
    assert (found(page), found(page, "full")) == ({}, {"3.1": "natural"})
    assert found(keyed(0, "C5:1 F#5:1 G5:2", "E5:4", "E5:4", "F5:4"), "full") == {}


def test_a_printed_sign_of_the_key_is_not_against_it() -> None:
    page = keyed(1, "F#5:1 G5:1 A5:1 F#5:1")  # G major has the F sharp
    assert found(changed(page, "1.4", accidental="sharp", courtesy=True), "full") == {}

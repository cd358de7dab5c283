"""A shake as exact notes: exact sums, shrinking notes, the nearest number, the asked rates; and its line of text.

The integral of the rate is reckoned here by Simpson's rule, which is exact for the cubic integrals of the curves
(any text on numerical integration), from the curves as the module states them.
"""

from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from coach.music.pitch import Pitch, parse_pitch
from coach.prepare.mark import CURVES, STARTS, Ornament, OssiaNote, Shake
from coach.prepare.ornaments.countable import countable
from coach.prepare.ornaments.shake import begun, integral, parse_shake, rate_at, shake_text, shaken, sounds, spans

F = Fraction
UNHURRIED = settings(deadline=None)  # other work on the machine may slow a case down
C5, D5, B4 = (parse_pitch(name) for name in ("C5", "D5", "B4"))
# What a shake may be asked for: whole notes to 64ths, on notes of a 32nd to two whole notes.
RATES = st.fractions(F(1, 4), F(16), max_denominator=12)
LENGTHS = st.fractions(F(1, 8), F(8), max_denominator=48)
ONSETS = st.fractions(F(-4), F(12), max_denominator=48)
PITCHES = st.builds(Pitch, st.sampled_from("CDEFGAB"), st.integers(-2, 2), st.integers(0, 9))
CLOSES = st.sampled_from(((), (B4, C5), (C5,), (C5, B4, C5), (B4,), (D5, C5, B4, C5)))


@st.composite
def shakes(draw: st.DrawFn) -> Shake:
    """Shakes of C5 with D5, their closing notes shorter than the whole."""
    length_q, close, curve = draw(LENGTHS), draw(CLOSES), draw(st.sampled_from(CURVES))
    rates = sorted((draw(RATES), draw(RATES)))
    if curve == "even":
        rates[1] = rates[0]
    share = draw(st.fractions(F(1, 20), F(3, 4), max_denominator=20))
    close_q = length_q * share / len(close) if close else F(0)
    return Shake(D5, draw(ONSETS), length_q, rates[0], rates[1], curve, draw(st.sampled_from(STARTS)), close, close_q)


def rate(shake: Shake, s: Fraction) -> Fraction:
    """The rate that the module states, at a share of the time before the closing notes."""
    shape = {"even": F(0), "steady": s, "late": s**2, "early": 1 - (1 - s) ** 2}[shake.curve]
    return shake.first + (shake.last - shake.first) * shape


def asked(shake: Shake) -> Fraction:
    """The integral of the rate by Simpson's rule over one interval."""
    span_q = shake.length_q - len(shake.close) * shake.close_q
    return span_q / 6 * (rate(shake, F(0)) + 4 * rate(shake, F(1, 2)) + rate(shake, F(1)))


def body(shake: Shake) -> tuple[OssiaNote, ...]:
    """The notes before the closing ones."""
    notes = shaken(C5, shake)
    return notes[: len(notes) - len(shake.close)]


def tiles(notes: tuple[OssiaNote, ...], onset_q: Fraction, length_q: Fraction) -> bool:
    """Whether notes follow each other without gap or overlap, from the onset over the length."""
    ends = [onset_q, *(note.onset_q + note.length_q for note in notes)]
    return (
        all(note.length_q > 0 for note in notes)
        and [note.onset_q for note in notes] == ends[:-1]
        and (ends[-1] == onset_q + length_q)
    )


@UNHURRIED
@given(shakes())
def test_the_notes_fill_the_time_exactly(shake: Shake) -> None:
    notes = shaken(C5, shake)
    assert tiles(notes, shake.onset_q, shake.length_q)
    assert tuple(note.pitch for note in notes[len(notes) - len(shake.close) :]) == shake.close
    assert all(note.length_q == shake.close_q for note in notes[len(notes) - len(shake.close) :])


@UNHURRIED
@given(shakes())
def test_two_notes_to_and_fro_from_the_start_to_the_main_note(shake: Shake) -> None:
    """The last note before the close, or before the end, is the main one; the upper one where the close begins with
    the main note itself, which would else be struck twice (common practice)."""
    pitches = [note.pitch for note in body(shake)]
    opening = {"main": C5, "upper": D5, "lower": B4}[shake.start]
    assert pitches[0] == opening
    assert all(a != b for a, b in pairwise(pitches))
    assert set(pitches[1:]) <= {C5, D5}
    assert pitches[-1] == (D5 if shake.close and shake.close[0] == C5 else C5) or len(pitches) == 1


@UNHURRIED
@given(shakes())
@example(Shake(D5, F(0), F(4), F(2), F(9), "steady", "main"))
def test_the_number_is_the_nearest_that_ends_on_the_right_note(shake: Shake) -> None:
    number, wanted = len(body(shake)), asked(shake)
    least = 1 if number % 2 else 2
    others = [other for other in range(least, number + 5, 2) if other != number]
    assert all(abs(number - wanted) <= abs(other - wanted) for other in others)
    assert integral(shake) == wanted


@UNHURRIED
@given(shakes().filter(lambda shake: shake.last > shake.first))
@example(Shake(D5, F(0), F(16), F(20), F(20) + F(1, 1000), "late", "main"))
@example(Shake(D5, F(0), F(1, 8), F(1, 4), F(16), "early", "upper"))
def test_each_note_is_shorter_than_the_one_before(shake: Shake) -> None:
    lengths = [note.length_q for note in body(shake)]
    assert all(later < earlier for earlier, later in pairwise(lengths))


@UNHURRIED
@given(shakes().filter(lambda shake: shake.curve == "even"))
def test_an_even_shake_has_equal_notes(shake: Shake) -> None:
    assert len({note.length_q for note in body(shake)}) == 1


@UNHURRIED
@given(shakes().filter(lambda shake: shake.curve != "even"))
def test_onsets_are_where_the_integral_passes_whole_numbers(shake: Shake) -> None:
    """Simpson's rule again, from the start to each onset; the rate is scaled by number / integral."""
    notes, wanted = body(shake), asked(shake)
    span_q = spans(shake)[0]
    for k, note in list(enumerate(notes))[:: max(1, len(notes) // 8)]:
        s = (note.onset_q - shake.onset_q) / span_q
        up_to = span_q * s / 6 * (rate(shake, F(0)) + 4 * rate(shake, s / 2) + rate(shake, s))
        scale = len(notes) / wanted
        half_grid_q = F(1, 2 * 960)
        assert abs(up_to * scale - k) <= max(shake.first, shake.last) * scale * half_grid_q + F(1, 10**6)
        assert begun(shake, float(s)) == pytest.approx(float(up_to), abs=1e-6)


@UNHURRIED
@given(shakes().filter(lambda shake: integral(shake) >= 8))
def test_first_and_last_rate_are_those_asked_for(shake: Shake) -> None:
    """The bar: 5 per cent, or one note more or fewer in the time of the note, whichever is larger."""
    notes = body(shake)
    for note, share, wanted in ((notes[0], F(0), shake.first), (notes[-1], F(1), shake.last)):
        got = 1 / note.length_q
        one_note_more = abs(wanted * note.length_q - 1) <= 1
        assert abs(got - wanted) <= wanted / 20 or one_note_more
        assert rate_at(shake, float(share)) == pytest.approx(float(wanted))


@pytest.mark.parametrize("curve", ["steady", "late", "early"])
@pytest.mark.parametrize(("first", "last"), [(2, 8), (2, 9), (1, 6), (3, 12), (2, 10)])
def test_usual_shakes_begin_and_end_within_one_note_a_quarter(curve: str, first: int, last: int) -> None:
    """The narrow reading of the bar, for trills over a whole note to six quarters: 5 per cent or one note a quarter."""
    for length_q in (F(4), F(6)):
        shake = Shake(D5, F(0), length_q, F(first), F(last), curve, "main", (B4, C5), F(1, 4))
        notes = body(shake)
        assert abs(1 / notes[0].length_q - first) <= max(F(1), F(first, 20))
        assert abs(1 / notes[-1].length_q - last) <= max(F(1), F(last, 20))


def test_a_worked_example() -> None:
    """Four quarters, eighths to 32nds, steady, closed by two 16ths: the integral is 3.5 * (2 + 8) / 2 = 17.5, so 17."""
    shake = Shake(D5, F(0), F(4), F(2), F(8), "steady", "main", (B4, C5), F(1, 4))
    notes = shaken(C5, shake)
    assert len(notes) == 19
    assert [note.onset_q for note in notes[-2:]] == [F(7, 2), F(15, 4)]
    # The first note ends where 2 t + (6 / 3.5) t^2 / 2 = 17.5 / 17: t = (-2 + sqrt(4 + 4 * 6/7 * 17.5/17)) / (12/7).
    assert float(notes[0].length_q) == pytest.approx(0.4344, abs=0.001)


def test_what_is_too_short_for_a_trill_still_sounds() -> None:
    """No length of nothing, whatever is asked for: the main note alone, or a few notes."""
    assert shaken(C5, Shake(D5, F(0), F(1, 64), F(2), F(8), "steady")) == (OssiaNote(C5, F(0), F(1, 64)),)
    three = shaken(C5, Shake(D5, F(0), F(1, 4), F(8), F(8)))
    assert [note.pitch for note in three] == [C5, D5, C5]
    crowded = Shake(D5, F(0), F(1, 2), F(8), F(8), "even", "main", (B4, C5), F(1))
    assert tiles(shaken(C5, crowded), F(0), F(1, 2))
    assert shaken(C5, Shake(D5, F(0), F(0), F(8), F(8))) == ()


@given(st.fractions(max_denominator=1000), st.fractions(max_denominator=1000), st.sampled_from(CURVES), CLOSES)
def test_silly_rates_and_lengths_do_no_harm(
    first: Fraction, last: Fraction, curve: str, close: tuple[Pitch, ...]
) -> None:
    shake = Shake(D5, F(0), F(3), first % 70, last % 70, curve, "upper", close, F(1, 8))
    assert tiles(shaken(C5, shake), F(0), F(3))


@UNHURRIED
@given(shakes().map(lambda shake: replace(shake, first=shake.last, last=shake.first)))
def test_a_trill_may_slow_down(shake: Shake) -> None:
    lengths = [note.length_q for note in body(shake)]
    assert tiles(shaken(C5, shake), shake.onset_q, shake.length_q)
    assert all(later > earlier for earlier, later in pairwise(lengths)) or shake.first == shake.last


def test_a_lower_start_without_closing_notes_takes_the_simplest_neighbour() -> None:
    """Common practice: B below C, C below D."""
    assert shaken(C5, Shake(D5, F(0), F(1), F(4), F(4), start="lower"))[0].pitch == B4
    assert shaken(D5, Shake(parse_pitch("E5"), F(0), F(1), F(4), F(4), start="lower"))[0].pitch == C5


def test_a_shake_sounds_in_place_of_its_countable_form() -> None:
    shake = Shake(D5, F(1), F(2), F(2), F(8), "steady", "main", (B4, C5), F(1, 4))
    before, after = OssiaNote(B4, F(1, 2), F(1, 2)), OssiaNote(D5, F(3), F(1))
    ornament = Ornament((before, OssiaNote(C5, F(1), F(2)), after), "trill", shake=shake)
    assert sounds(ornament, C5) == (before, *shaken(C5, shake), after)
    assert sounds(replace(ornament, shake=None), C5) == ornament.notes


# The countable form.


@UNHURRIED
@given(shakes(), st.sampled_from((F(1), F(3, 2), F(1, 2), F(2, 3))))
def test_the_countable_form_fills_the_same_time_and_ends_alike(shake: Shake, beat_q: Fraction) -> None:
    notes = countable(C5, shake, [k * beat_q for k in range(-10, 60)])
    assert tiles(notes, shake.onset_q, shake.length_q)
    played = shaken(C5, shake)
    closing = len(shake.close)
    assert notes[0].pitch == played[0].pitch
    assert [note.pitch for note in notes[len(notes) - closing :]] == list(shake.close)
    if len(played) - closing >= 2:
        assert notes[-closing - 1].pitch == played[-closing - 1].pitch


def test_a_whole_note_from_eighths_to_thirty_seconds_beat_by_beat() -> None:
    """Eighths (here a triplet), sixteenths, 32nds: each beat has what is nearest to the integral over it."""
    shake = Shake(D5, F(0), F(4), F(2), F(10), "steady", "main", (B4, C5), F(1, 4))
    notes = countable(C5, shake, [F(0), F(1), F(2), F(3)])
    of_beat = [sum(1 for note in notes[:-2] if k <= note.onset_q < k + 1) for k in range(4)]
    assert of_beat == [3, 6, 8, 4]
    assert len(notes) == len(shaken(C5, shake))


def test_an_even_shake_of_a_simple_value_is_its_own_countable_form() -> None:
    shake = Shake(D5, F(0), F(2), F(8), F(8), "even", "upper", (B4, C5), F(1, 8))
    assert countable(C5, shake, [F(0), F(1)]) == shaken(C5, shake)


# The line of text.


@given(
    st.builds(
        Shake, PITCHES, ONSETS, st.fractions(F(1), F(20), max_denominator=96), RATES, RATES,
        st.sampled_from(CURVES), st.sampled_from(STARTS),
    ),
    st.lists(PITCHES, max_size=4).map(tuple),
    st.fractions(F(1, 64), F(1, 5), max_denominator=96),
)  # fmt: skip
def test_a_shake_is_read_back_as_it_was_written(shake: Shake, close: tuple[Pitch, ...], close_q: Fraction) -> None:
    whole = replace(shake, close=close, close_q=close_q) if close else shake
    assert parse_shake(shake_text(whole)) == whole


def test_a_line_says_all_of_a_shake() -> None:
    text = "with Fb5, 2 to 9 a quarter, steady, from main, at 0 for 6, close Db5 Eb5 1/4"
    close = (parse_pitch("Db5"), parse_pitch("Eb5"))
    shake = Shake(parse_pitch("Fb5"), F(0), F(6), F(2), F(9), "steady", "main", close, F(1, 4))
    assert shake_text(shake) == text
    assert parse_shake("at 0 for 6,from main, 2 to 9 a quarter, close Db5 Eb5 1/4, with  Fb5") == shake


@pytest.mark.parametrize(
    ("text", "word"),
    [
        ("", "''"),
        ("with Fb5, 0 a quarter, at 0 for 4", "0 notes a quarter"),
        ("with Fb5, 2 to 65 a quarter, at 0 for 4", "65"),
        ("with Fb5, 2 to 9 a quarter, wobbly, at 0 for 4", "wobbly"),
        ("with Fb5, 2 to 9 a quarter, from below, at 0 for 4", "below"),
        ("with H5, 8 a quarter, at 0 for 4", "H5"),
        ("with Fb5, 8 a quarter, at 0 for 0", "'0'"),
        ("with Fb5, 8 a quarter, at 0", "at 0"),
        ("with Fb5, x a quarter, at 0 for 4", "'x'"),
        ("with Fb5, 8 a quarter, at 0 for 4, close 1/4", "close has 0"),
        ("with Fb5, 8 a quarter, at 0 for 4, close Db5 Eb5", "Eb5"),
        ("with Fb5, 8 a quarter, at 0 for 4, close Db5 Eb5 2", "close takes 4"),
        ("with Fb5, 8 a quarter, even, even, at 0 for 4", "twice"),
        ("8 a quarter, at 0 for 4", "with Fb5"),
        ("with Fb5, 64 a quarter, at 0 for 9999", "notes, more than"),
        ("with Fb5, 1e9 a quarter, at 0 for 4", "1e9"),
        ("x" * 500, "500 characters"),
        ("with Fb5, 8 a quarter, at 0 for 4, close " + "C5 " * 30 + "1/9", "close has 30"),
    ],
)
def test_what_is_no_shake_is_told_by_its_word(text: str, word: str) -> None:
    with pytest.raises(ValueError, match="(?s).") as told:
        parse_shake(text)
    assert word in str(told.value)


@given(st.text(max_size=80) | st.sampled_from(("with", "at", ",", "close", " for ")))
def test_any_text_is_read_or_told(text: str) -> None:
    try:
        parse_shake(text)
    except ValueError as error:
        assert str(error)


def test_of_two_numbers_as_near_it_takes_the_smaller_but_three_rather_than_one() -> None:
    """From the main note and to it the number is odd: 4 and 6 notes asked for lie between 3, 5 and 7."""
    asked = {rate: len(shaken(C5, Shake(D5, F(0), F(1), F(rate), F(rate)))) for rate in (2, 4, 6)}
    assert asked == {2: 3, 4: 3, 6: 5}


def test_a_lower_start_takes_the_lower_neighbour_of_the_closing_notes() -> None:
    """B flat closes it, though B is nearer to C."""
    bb4 = parse_pitch("Bb4")
    shake = Shake(D5, F(0), F(2), F(4), F(4), start="lower", close=(bb4, C5), close_q=F(1, 4))
    assert shaken(C5, shake)[0].pitch == bb4

"""How the clock bends. The values are reckoned by hand beside the checks from the defaults that the module states."""

from collections.abc import Iterable
from dataclasses import replace
from fractions import Fraction as F

from coach.music.part import Part
from coach.music.tempo import Tempo, TempoMark
from coach.prepare.interpretation import Interpretation
from coach.prepare.mark import Mark, Pace, Phrase
from coach.prepare.pace import Bend, bend
from tests.prepare.factory import part

FOUR = part("C5:1 D5:1 E5:1 F5:1", "C5:1 D5:1 E5:1 F5:1", "C5:4", "C5:1 D5:1 E5:1 F5:1")


def bent(of: Part, *marks: Mark, words: Iterable[tuple[object, str, int | None]] = ()) -> Bend:
    tempos = [TempoMark(F(str(at)), Tempo(F(number)) if number else None, text) for at, text, number in words]
    decided = Interpretation(
        paces=tuple(mark for mark in marks if isinstance(mark.content, Pace)),
        phrases=tuple(mark for mark in marks if isinstance(mark.content, Phrase)),
    )
    return bend(of, tempos, decided, lambda at_q: F(60))


def seconds(found: Bend, start: object, end: object) -> F:
    """How long a stretch lasts at quarter = 60."""
    start_q, end_q = F(str(start)), F(str(end))
    inside = [at_q for at_q, _ in found.steps if start_q < at_q < end_q]
    edges = [start_q, *inside, end_q]
    return sum(((b - a) / found.at(a) for a, b in zip(edges, edges[1:], strict=False)), F(0))


def pace(at: str, shape: str, to: str = "", length_q: object = None) -> Mark:
    return Mark(f"{shape}{at}", at, Pace(shape, to, None if length_q is None else F(str(length_q))))


def fermata_at(of: Part, name: str) -> Part:
    measures = [replace(m, notes=tuple(replace(n, fermata=n.id == name) for n in m.notes)) for m in of.measures]
    return replace(of, measures=tuple(measures))


def test_nothing_is_bent_where_nothing_is_said() -> None:
    assert bent(FOUR) == Bend()
    assert bent(FOUR, words=[(0, "Andante", 60), (4, "dolce", None), (8, "Allegro", 120)]).steps == ()


def test_a_ritardando_goes_evenly_to_seven_tenths_and_the_old_tempo_comes_back() -> None:
    """Over four quarters in steps of an eighth of one there are 32; the middle of the first is 1/64 of the way, that of
    the last 63/64; at half the way it is at 0.85."""
    found = bent(FOUR, pace("2.1", "rit.", "2.4"))
    assert len(found.steps) == 33 and found.steps[0] == (F(4), 1 - F(3, 10) / 64)
    assert found.at(F(127, 16)) == 1 - F(3, 10) * F(63, 64)
    assert (found.at(F(95, 16)) + found.at(F(97, 16))) / 2 == F(85, 100)
    assert found.steps[-1] == (F(8), F(1))
    factors = [factor for _, factor in found.steps[:-1]]
    assert factors == sorted(factors, reverse=True)


def test_an_accelerando_goes_to_thirteen_tenths() -> None:
    found = bent(FOUR, pace("1.1", "accel.", "1.4"))
    assert found.at(F(63, 16)) == 1 + F(3, 10) * F(63, 64) and found.at(F(4)) == 1


def test_a_ritardando_holds_to_an_a_tempo_or_to_the_end() -> None:
    held = bent(FOUR, pace("1.1", "rit.", "1.4"), pace("3.1", "a tempo"))
    assert (held.at(F(5)), held.at(F(8))) == (F(7, 10), F(1))
    again = bent(FOUR, pace("1.1", "rit.", "1.4"), pace("3.1", "rit.", "3.1"), pace("4.1", "a tempo"))
    assert again.at(F(5)) == 1  # that a tempo ends the later ritardando
    last = bent(FOUR, pace("4.1", "rit.", "4.4"))
    assert last.steps[-1][1] < F(71, 100)


def test_printed_words_bend_unless_a_number_says_it() -> None:
    assert bent(FOUR, words=[(0, "", 60), (4, "rit.", 44), (8, "a tempo", 60)]).steps == ()
    found = bent(FOUR, words=[(4, "rit.", None), (8, "a tempo", None)])
    assert found == bent(FOUR, pace("2.1", "rit.", "2.4"), pace("3.1", "a tempo"))
    for words in ("ritard.", "rallentando", "molto rit.", "poco rall.", "calando"):
        assert bent(FOUR, words=[(4, words, None)]).at(F(7)) < 1
    for words in ("accelerando", "stringendo"):
        assert bent(FOUR, words=[(4, words, None)]).at(F(7)) > 1


def test_words_without_an_end_last_two_measures() -> None:
    found = bent(FOUR, words=[(0, "rit.", None)])
    assert found.at(F(79, 10)) < F(71, 100) and found.at(F(8)) == 1


def test_less_with_poco_and_more_with_molto() -> None:
    """0.3 halved and half as much again: to 0.85 and to 0.55; the last of the 64 steps is 127/128 of the way."""
    for words, by in (("poco rit.", F(15, 100)), ("molto rit.", F(45, 100)), ("rit. poco a poco", F(3, 10))):
        found = bent(FOUR, words=[(0, words, None)])
        assert found.at(F(127, 16)) == 1 - by * F(127, 128)


def test_a_mark_counts_in_the_stead_of_the_word_under_it() -> None:
    mark = pace("2.1", "rit.", "3.1")
    assert bent(FOUR, mark, words=[(6, "rit.", None)]) == bent(FOUR, mark)


def test_a_fermata_holds_its_note_seven_quarters_for_four() -> None:
    """1 3/4 times: four quarters last seven seconds at 60, and nothing else changes."""
    found = bent(fermata_at(FOUR, "3.1"))
    assert seconds(found, 8, 12) == 7 and seconds(found, 0, 8) == 8 and seconds(found, 12, 16) == 4


def test_a_fermata_lasts_exactly_as_long_as_the_mark_says() -> None:
    for length in (5, "13/2", 12):
        found = bent(fermata_at(FOUR, "3.1"), pace("3.1", "fermata", length_q=length))
        assert seconds(found, 8, 12) == F(str(length))


def test_a_fermata_on_a_rest_and_at_the_end_of_a_tie() -> None:
    of = fermata_at(part("C5:2 r:2", "E5:4~", "E5:2 r:2"), "1.r1")
    assert seconds(bent(of), 2, 4) == F(7, 2)
    tied = fermata_at(part("C5:2 r:2", "E5:4~", "E5:2 r:2"), "3.1")
    assert seconds(bent(tied), 4, 8) == 4 and seconds(bent(tied), 8, 10) == F(7, 2)
    whole = bent(tied, pace("2.1", "fermata", length_q=9))
    assert seconds(whole, 4, 10) == 9


def test_a_tenuto_is_a_little_longer() -> None:
    found = bent(FOUR, pace("1.2", "tenuto"))
    assert seconds(found, 1, 2) == F(23, 20) and seconds(found, 2, 4) == 2
    assert seconds(bent(FOUR, pace("1.2", "tenuto", length_q="3/2")), 1, 2) == F(3, 2)


def test_a_fermata_inside_a_ritardando_is_as_much_longer() -> None:
    slowing = pace("3.1", "rit.", "3.1")
    plain, held = bent(FOUR, slowing), bent(fermata_at(FOUR, "3.1"), slowing)
    assert seconds(held, 8, 12) == seconds(plain, 8, 12) * F(7, 4)


def test_the_music_waits_at_the_end_of_a_phrase() -> None:
    """0.15 s in the last eighth of a quarter before measure 3, and nowhere else."""
    found = bent(FOUR, Mark("p", "1.1", Phrase("2.4")))
    assert seconds(found, 0, 8) == 8 + F(3, 20) and seconds(found, 0, "63/8") == F(63, 8)
    assert found.waits == {F(8): F(3, 20)} and found.at(F(8)) == 1


def test_it_does_not_wait_where_it_is_silent_anyway_or_graces_lead_on() -> None:
    rest = part("C5:3 r:1", "C5:4")
    assert bent(rest, Mark("p", "1.1", Phrase("1.1"))) == Bend()
    graces = part("C5:4", "D5:g C5:4")
    assert bent(graces, Mark("p", "1.1", Phrase("1.1"))) == Bend()
    assert bent(graces, Mark("p", "1.1", Phrase("2.1"))) == Bend()


def test_marks_at_notes_that_are_not_there_are_left_out() -> None:
    lost = [pace("9.1", "rit.", "9.2"), pace("9.1", "fermata"), Mark("p", "9.1", Phrase("9.4"))]
    assert bent(FOUR, *lost) == Bend()
    assert bent(FOUR, pace("3.1", "rit.", "1.1")).at(F(9)) == 1


def test_what_follows_at_once_goes_on_from_the_tempo_that_was_reached() -> None:
    """0.7 at the end of the ritardando, and from there to 0.7 * 1.3 = 0.91 in 32 steps."""
    found = bent(FOUR, pace("1.1", "rit.", "1.4"), pace("2.1", "accel.", "2.4"))
    assert found.at(F(4)) == F(7, 10) * (1 + F(3, 10) / 64)
    assert found.at(F(127, 16)) == F(7, 10) * (1 + F(3, 10) * F(63, 64))


def test_the_wait_is_taken_out_of_the_second_half_of_a_short_note() -> None:
    """3/20 s more in the last sixteenth of a quarter, which lasts 1/16 s at quarter = 60."""
    short = part("C5:1 D5:7/8 E5:1/8 F5:2")
    found = bent(short, Mark("p", "1.1", Phrase(to="1.3")))
    assert found.at(F(30, 16)) == 1 and seconds(found, F(31, 16), 2) == F(1, 16) + F(3, 20)

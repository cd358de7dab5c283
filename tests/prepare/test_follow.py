"""Marks follow their notes when the score is corrected. The expected ids are counted by hand in each test."""

from dataclasses import replace
from fractions import Fraction

from hypothesis import given, settings
from hypothesis import strategies as st

from coach.music.pitch import Pitch
from coach.prepare.follow import follow, note_ids
from coach.prepare.mark import Breath, Comment, Dynamic, Fingering, Mark, Ornament, OssiaNote, Pace, Phrase, Swap
from coach.prepare.over import places, written_over
from coach.prepare.prep import Prep
from tests.prepare.factory import part, prep_over, preps

# Every measure another figure, so that there is one right answer.
FIGURES = [f"{a}4:1 {b}5:1/2 {a}5:1/2" for a in "CDEFGAB" for b in "CDE"]


@given(preps())
def test_the_same_score_moves_nothing(made: tuple[Prep, object]) -> None:
    prep, of = made
    after = follow(prep, of, prep.score_hash)  # type: ignore[arg-type]
    bare = {mark.id for mark in prep.unplaced} - {row[0] for row in prep.unplaced_over}
    returned = tuple(m for m in prep.unplaced if m.id in bare and set(note_ids(m)) <= set(places(prep.over)))
    if not returned:
        assert after == prep


@given(st.lists(st.sampled_from(FIGURES), min_size=2, max_size=12, unique=True), st.data())
def test_a_measure_more_shifts_the_ids_after_it(texts: list[str], data: st.DataObject) -> None:
    at = data.draw(st.integers(0, len(texts)))
    marks = [Mark(f"m{k}", f"{k + 1}.2", Breath()) for k in range(len(texts))]
    longer = part(*texts[:at], "F#4:3 r:1", *texts[at:])
    after = follow(prep_over(part(*texts), *marks), longer, "two")
    assert [(mark.id, mark.at) for mark in after.marks] == [
        (f"m{k}", f"{k + 1 if k < at else k + 2}.2") for k in range(len(texts))
    ]
    assert after.unplaced == () and after.score_hash == "two" and after.over == written_over(longer)


@given(st.lists(st.sampled_from(FIGURES), min_size=2, max_size=12, unique=True), st.data())
def test_a_measure_less_takes_its_marks_apart_and_brings_them_back(texts: list[str], data: st.DataObject) -> None:
    gone = data.draw(st.integers(0, len(texts) - 1))
    marks = [Mark(f"m{k}", f"{k + 1}.2", Breath()) for k in range(len(texts))]
    whole, shorter = part(*texts), part(*texts[:gone], *texts[gone + 1 :])
    prep = prep_over(whole, *marks)
    after = follow(prep, shorter, "two")
    assert [mark.id for mark in after.unplaced] == [f"m{gone}"]
    assert [(m.id, m.at) for m in after.marks] == [
        (f"m{k}", f"{k + 1 if k < gone else k}.2") for k in range(len(texts)) if k != gone
    ]
    assert follow(after, shorter, "two") == after
    assert follow(follow(after, shorter, "two"), whole, "one") == prep


@given(
    st.lists(st.sampled_from(("C5:1 D5:1", "C5:1 E5:1", "r:2")), min_size=1, max_size=12),
    st.data(),
)
def test_a_changed_pitch_harms_no_other_note(texts: list[str], data: st.DataObject) -> None:
    """However much the measures repeat each other."""
    at = data.draw(st.integers(0, len(texts) - 1))
    changed = [*texts[:at], "Ab5:1 " + texts[at].split(" ", 1)[1] if " " in texts[at] else "Ab5:2", *texts[at + 1 :]]
    prep = prep_over(part(*texts), *(Mark(name, name, Fingering("L")) for name in places(written_over(part(*texts)))))
    after = follow(prep, part(*changed), "two")
    assert {mark.id: mark.at for mark in after.marks} == {
        mark.id: mark.at for mark in prep.marks if mark.at not in (f"{at + 1}.1", f"{at + 1}.r1")
    }


def test_what_is_of_the_place_stays_at_a_corrected_pitch_and_what_is_of_the_pitch_does_not() -> None:
    marks = (
        Mark("breath", "1.2", Breath()),
        Mark("words", "1.2", Comment("dark")),
        Mark("hand", "1.2", Fingering("L")),
        Mark("turn", "1.2", Ornament((OssiaNote(Pitch("D", 0, 5), Fraction(1), Fraction(1)),))),
    )
    after = follow(prep_over(part("C5:1 D5:1 E5:1"), *marks), part("C5:1 Db5:1 E5:1"), "two")
    assert {mark.id for mark in after.marks} == {"breath", "words"}
    assert {mark.id for mark in after.unplaced} == {"hand", "turn"}


def test_what_is_of_the_pitch_stays_at_a_corrected_length() -> None:
    marks = (Mark("hand", "1.2", Fingering("L")), Mark("swap", "1.2", Swap("L", "R", Fraction(1))))
    after = follow(prep_over(part("C5:1 D5:2 E5:1"), *marks), part("C5:1 D5:1 E5:1"), "two")
    assert ([mark.id for mark in after.marks], [mark.id for mark in after.unplaced]) == (["hand"], ["swap"])


def test_a_rest_is_no_note() -> None:
    after = follow(prep_over(part("C5:1 D5:1 E5:1"), Mark("m", "1.2", Breath())), part("C5:1 r:1 E5:1"), "two")
    assert after.marks == () and len(after.unplaced) == 1


def test_every_id_is_followed() -> None:
    marks = (
        Mark("phrase", "1.1", Phrase("3.1", "2.2")),
        Mark("slower", "2.1", Pace("rit.", "3.1")),
        Mark("hairpin", "2.1", Dynamic("crescendo", "2.2")),
    )
    prep = prep_over(part("C5:1", "D5:1 E5:1", "F5:1"), *marks)
    after = follow(prep, part("C5:1", "B4:4", "D5:1 E5:1", "F5:1"), "two")
    assert {(mark.id, mark.at, mark.content) for mark in after.marks} == {
        ("phrase", "1.1", Phrase("4.1", "3.2")),
        ("slower", "3.1", Pace("rit.", "4.1")),
        ("hairpin", "3.1", Dynamic("crescendo", "3.2")),
    }
    lost = follow(prep, part("C5:1", "D5:1", "F5:1"), "two")
    assert {mark.id for mark in lost.unplaced} == {"phrase", "hairpin"}


def test_a_grace_keeps_its_mark_and_what_is_written_out_moves_with_its_note() -> None:
    ossia = Ornament((OssiaNote(None, Fraction(1), Fraction(1, 2)), OssiaNote(None, Fraction(3, 2), Fraction(1, 2))))
    prep = prep_over(part("C5:1 E5:g D5:1"), Mark("g", "1.2g1", Comment("short")), Mark("o", "1.2", ossia))
    after = follow(prep, part("A4:1/2 C5:1 E5:g D5:1"), "two")
    moved = {mark.id: mark for mark in after.marks}
    assert (moved["g"].at, moved["o"].at) == ("1.3g1", "1.3")
    content = moved["o"].content
    assert isinstance(content, Ornament)
    assert [one.onset_q for one in content.notes] == [Fraction(3, 2), Fraction(2)]


def test_a_mark_does_not_return_to_a_measure_that_was_always_there() -> None:
    """Measures 1 and 3 are alike; the mark of 3 is not the mark of 1."""
    prep = prep_over(part("C5:1 D5:1", "E5:2", "C5:1 D5:1"), Mark("m", "3.1", Breath()))
    gone = follow(prep, part("C5:1 D5:1", "E5:2"), "two")
    still = follow(gone, part("C5:1 D5:1", "E5:1"), "three")
    assert still.marks == () and still.unplaced == prep.marks
    assert follow(still, part("C5:1 D5:1", "E5:2", "C5:1 D5:1"), "one").marks == prep.marks


def test_a_prep_written_by_hand_keeps_the_ids_that_are_there() -> None:
    by_hand = Prep(marks=(Mark("a", "1.1", Breath()),), unplaced=(Mark("b", "1.2", Breath()),))
    after = follow(by_hand, part("C5:1 D5:1"), "one")
    assert [mark.id for mark in after.marks] == ["a", "b"] and after.unplaced == ()
    lost = follow(replace(by_hand, marks=(Mark("a", "9.1", Breath()),)), part("C5:1 D5:1"), "one")
    assert [mark.id for mark in lost.unplaced] == ["a"]


@settings(max_examples=60)
@given(preps(), preps())
def test_no_mark_is_ever_lost(made: tuple[Prep, object], other: tuple[Prep, object]) -> None:
    (prep, _), (_, of) = made, other
    after = follow(prep, of, "other")  # type: ignore[arg-type]
    before = {mark.id for mark in (*prep.marks, *prep.unplaced)}
    assert sorted(before) == sorted(mark.id for mark in (*after.marks, *after.unplaced))
    assert all(set(note_ids(mark)) <= set(places(after.over)) for mark in after.marks)

"""A teacher's marks on a student's stand: taken, struck, added to, brought up to date; nothing of the student's lost.

Expected states are written out beside each step; the rules are those of issue 3, point 5.
"""

import io
import json
import zipfile
from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from fractions import Fraction
from pathlib import Path

import pytest

from coach.config import Settings
from coach.errors import CoachError, RequestError, ScoreError, StoreError
from coach.files.share import is_share
from coach.lesson.asked import open_choice
from coach.lesson.desk import Desk
from coach.lesson.drilling import log_rep, mark_spot
from coach.lesson.marking import prep_of
from coach.lesson.sharing import put, share, write_share
from coach.lesson.stand import add, cut, open_piece, pieces, remove, resolve
from coach.music.tempo import Tempo
from coach.paths import Paths
from coach.practice.set_piece import SetPiece
from coach.prepare.mark import Breath, Comment, Fingering, Mark, Phrase
from tests.lesson.conftest import Clock
from tests.lesson.marks import marks_of, pencil, rub_out, strike
from tests.lesson.pages import FOUR, PLAIN, Bar, page, score

BREATH = Mark("t1", "2.4", Breath("catch"))
SING = Mark("t2", "3.1", Comment("sing"))
RIGHT = Mark("t3", "4.2", Fingering("R"))
OWN = Mark("s1", "5.1", Comment("count!"))
UNLIKE = (Bar((4, 2, 1, 1)), Bar((3, 1, 2, 2)), Bar((1, 1, 2, 4)), Bar((6, 2)), Bar((2, 4, 2)))  # in eighths
EARLIER = (FOUR, *UNLIKE)
LATER = (Bar((8,), "4/4", ("quarter", 60, False)), Bar((2, 2, 2, 2)), *UNLIKE)


def desk_of(folder: Path, clock: Clock) -> Desk:
    return Desk(Paths(folder / "data", folder / "config", folder / "cache"), Settings(output="none"), clock)


@pytest.fixture
def teacher(tmp_path: Path, clock: Clock) -> Iterator[Desk]:
    opened = desk_of(tmp_path / "teacher", clock)
    yield opened
    opened.close()


@pytest.fixture
def student(tmp_path: Path, clock: Clock) -> Iterator[Desk]:
    opened = desk_of(tmp_path / "student", clock)
    yield opened
    opened.close()


@pytest.fixture
def marked(teacher: Desk, tmp_path: Path) -> SetPiece:
    """The teacher's piece: measures 2 to 5 at 72, with three marks."""
    piece = add(teacher, score(tmp_path, *PLAIN), measures="2-5", tempo_text="72", by=date(2026, 5, 1))
    pencil(teacher, piece, BREATH, SING, RIGHT)
    return piece


def sent(desk: Desk, piece: SetPiece, folder: Path) -> str:
    """The share of a piece, as a file."""
    file = folder / "lesson.coach"
    write_share(desk, piece.id, str(file))
    return str(file)


def kept(mark: Mark) -> Mark:
    """A teacher's mark as the student has it."""
    return replace(mark, origin="teacher", state="kept")


def entries_of(desk: Desk) -> list[object]:
    return list(desk.log.entries())


def test_a_new_piece_comes_as_its_teacher_has_set_it(
    teacher: Desk, marked: SetPiece, student: Desk, tmp_path: Path
) -> None:
    taken = put(student, sent(teacher, marked, tmp_path))
    piece = taken.piece
    assert pieces(student) == (piece,) and taken.told == "3 marks of your teacher's."
    assert (piece.title, piece.part, piece.score_hash) == (marked.title, marked.part, marked.score_hash)
    assert (piece.first, piece.last, piece.tempo, piece.by) == ("2", "5", Tempo(Fraction(72)), None)
    assert piece.id != marked.id and piece.shared_from == marked.id
    assert marks_of(student, piece) == [kept(BREATH), kept(SING), kept(RIGHT)]
    assert open_piece(student, piece) == open_piece(teacher, marked)


def test_what_the_player_says_goes_before_what_the_teacher_set(
    teacher: Desk, marked: SetPiece, student: Desk, tmp_path: Path
) -> None:
    file = sent(teacher, marked, tmp_path)
    piece = put(student, file, measures="1-3", tempo_text="50", by=date(2026, 4, 4), instrument="clarinet in A").piece
    assert (piece.first, piece.last, piece.tempo, piece.by) == ("1", "3", Tempo(Fraction(50)), date(2026, 4, 4))
    assert piece.instrument == "clarinet in A"
    with pytest.raises(RequestError, match="leave out the part"):
        put(student, file, part="1")
    with pytest.raises(RequestError, match="has passed"):
        put(student, file, by=date(2020, 1, 1))


def test_an_update_leaves_everything_of_the_students(
    teacher: Desk, marked: SetPiece, student: Desk, tmp_path: Path
) -> None:
    piece = put(student, sent(teacher, marked, tmp_path), by=date(2026, 4, 4), measures="1-6", tempo_text="66").piece
    spot = mark_spot(student, piece, open_piece(student, piece), "2", "3")
    log_rep(student, piece, open_piece(student, piece), spot, 40, "clean")
    strike(student, piece, "t1")
    pencil(student, piece, OWN)

    rub_out(teacher, marked, "t2")
    pencil(teacher, marked, Mark("t4", "3.2", Breath()))
    changed = replace(RIGHT, content=Fingering("L"), at="4.3")
    rub_out(teacher, marked, "t3")
    pencil(teacher, marked, changed)
    reps = student.record().reps

    taken = put(student, sent(teacher, marked, tmp_path))
    assert taken.told == "3 marks of your teacher's, 1 new, 1 changed, 1 taken back."
    assert marks_of(student, piece) == [
        replace(kept(BREATH), state="struck"),
        kept(Mark("t4", "3.2", Breath())),
        kept(changed),
        OWN,
    ]
    assert taken.piece == piece and pieces(student) == (piece,)
    assert student.record().reps == reps and len(reps) == 1

    again = put(student, sent(teacher, marked, tmp_path))
    assert again.told == "3 marks of your teacher's, nothing new." and again.piece == piece
    assert len(marks_of(student, piece)) == 4


def test_a_corrected_score_comes_with_an_update(teacher: Desk, student: Desk, tmp_path: Path) -> None:
    """The teacher puts a measure in front: what stood in measure 5 stands in measure 6."""
    sender = add(teacher, score(tmp_path, *EARLIER), measures="2-5")
    pencil(teacher, sender, BREATH, SING, RIGHT)
    piece = put(student, sent(teacher, sender, tmp_path)).piece
    sheet = open_piece(student, piece)
    log_rep(student, piece, sheet, mark_spot(student, piece, sheet, "2", "3"), 40, "clean")
    pencil(student, piece, OWN)
    corrected = add(teacher, score(tmp_path, *LATER))
    assert corrected.id == sender.id
    taken = put(student, sent(teacher, sender, tmp_path))
    assert taken.told == "3 marks of your teacher's, nothing new; the score was corrected."
    assert (taken.piece.id, taken.piece.score_hash) == (piece.id, corrected.score_hash)
    assert (taken.piece.first, taken.piece.last) == ("2", "5")
    assert len(open_piece(student, taken.piece).part.measures) == 7
    moved = [("t1", "3.4"), ("t2", "4.1"), ("t3", "5.2"), ("s1", "6.1")]
    assert [(mark.id, mark.at) for mark in marks_of(student, taken.piece)] == moved
    assert len(student.record().reps_in(piece.id)) == 1


def test_a_cut_that_the_correction_lost_is_told_and_nothing_is_changed(
    teacher: Desk, marked: SetPiece, student: Desk, tmp_path: Path
) -> None:
    piece = put(student, sent(teacher, marked, tmp_path)).piece
    before = entries_of(student), marks_of(student, piece)
    add(teacher, score(tmp_path, *PLAIN[:3]), measures="1-3")
    file = sent(teacher, marked, tmp_path)
    with pytest.raises(RequestError, match="no measure 5"):
        put(student, file)
    assert (entries_of(student), marks_of(student, piece)) == before
    assert put(student, file, measures="1-3").piece.id == piece.id


def test_where_the_own_marks_cannot_be_read_nothing_is_changed(
    teacher: Desk, marked: SetPiece, student: Desk, tmp_path: Path
) -> None:
    """The player's file is theirs to mend; an update neither overwrites it nor takes the score without it."""
    piece = put(student, sent(teacher, marked, tmp_path)).piece
    (file,) = student.paths.preps.iterdir()
    file.write_bytes(b"\xff\xff my notes")
    pencil(teacher, marked, Mark("t4", "3.2", Breath()))
    before = entries_of(student)
    with pytest.raises(StoreError, match=r"The marks are not saved: .* is no UTF-8 text"):
        put(student, sent(teacher, marked, tmp_path))
    assert file.read_bytes() == b"\xff\xff my notes"
    assert entries_of(student) == before and pieces(student) == (piece,)


def test_a_score_that_is_there_already_gets_the_marks(
    teacher: Desk, marked: SetPiece, student: Desk, tmp_path: Path
) -> None:
    piece = add(student, score(tmp_path, *PLAIN), tempo_text="44")
    pencil(student, piece, OWN)
    taken = put(student, sent(teacher, marked, tmp_path))
    assert taken.piece == replace(piece, shared_from=marked.id) and pieces(student) == (taken.piece,)
    assert marks_of(student, piece) == [kept(BREATH), kept(SING), kept(RIGHT), OWN]


def test_another_teacher_takes_nothing_of_the_first_back(
    teacher: Desk, marked: SetPiece, student: Desk, tmp_path: Path, clock: Clock
) -> None:
    piece = put(student, sent(teacher, marked, tmp_path)).piece
    strike(student, piece, "t2")
    other = desk_of(tmp_path / "other", clock)
    theirs = add(other, score(tmp_path, *PLAIN))
    pencil(other, theirs, Mark("o1", "6.1", Comment("slower")))
    taken = put(student, sent(other, theirs, tmp_path))
    other.close()
    assert taken.told == "4 marks of your teacher's, 1 new." and pieces(student) == (taken.piece,)
    assert marks_of(student, piece) == [
        kept(BREATH),
        replace(kept(SING), state="struck"),
        kept(RIGHT),
        kept(Mark("o1", "6.1", Comment("slower"))),
    ]


def test_ones_own_share_changes_nothing(teacher: Desk, marked: SetPiece, tmp_path: Path) -> None:
    file = sent(teacher, marked, tmp_path)
    before = entries_of(teacher), marks_of(teacher, marked)
    taken = put(teacher, file)
    assert taken.piece == marked and "was shared from this stand; nothing was changed." in taken.told
    assert (entries_of(teacher), marks_of(teacher, marked)) == before


def test_a_student_may_pass_it_on(teacher: Desk, marked: SetPiece, student: Desk, tmp_path: Path, clock: Clock) -> None:
    """What the student struck does not go on; what they added does."""
    piece = put(student, sent(teacher, marked, tmp_path)).piece
    strike(student, piece, "t1")
    pencil(student, piece, OWN)
    third = desk_of(tmp_path / "third", clock)
    theirs = put(third, sent(student, piece, tmp_path)).piece
    assert marks_of(third, theirs) == [kept(SING), kept(RIGHT), kept(OWN)]
    third.close()


def test_taken_off_and_taken_again_it_is_new(teacher: Desk, marked: SetPiece, student: Desk, tmp_path: Path) -> None:
    first = put(student, sent(teacher, marked, tmp_path)).piece
    remove(student, first)
    again = put(student, sent(teacher, marked, tmp_path)).piece
    assert again.id != first.id and pieces(student) == (again,)
    assert marks_of(student, again) == [kept(BREATH), kept(SING), kept(RIGHT)]


def test_it_is_a_share_whatever_its_name(teacher: Desk, marked: SetPiece, student: Desk, tmp_path: Path) -> None:
    file = tmp_path / "lesson.bin"
    file.write_bytes(share(teacher, marked.title).data)
    assert open_choice(str(file)) == ()
    assert put(student, str(file)).piece.title == marked.title
    with pytest.raises(ScoreError, match=r"is a share, not a score alone; put it on the stand with `coach add`"):
        resolve(student, str(file))
    broken = tmp_path / "lesson.coach"
    broken.write_bytes(b"Dear student")
    with pytest.raises(StoreError, match="is no share of coach"):
        put(student, str(broken))


def test_sharing_names_a_piece_on_the_stand(teacher: Desk, marked: SetPiece, tmp_path: Path) -> None:
    assert share(teacher, score(tmp_path, *PLAIN)) == share(teacher, marked.id)
    other = score(tmp_path, *EARLIER, name="other.musicxml")
    with pytest.raises(RequestError, match=r"is not on the stand.*`coach add .*other.musicxml`"):
        share(teacher, other)


def test_only_an_older_share_is_written_over(teacher: Desk, marked: SetPiece, tmp_path: Path) -> None:
    precious = tmp_path / "part.musicxml"
    precious.write_text(page(*PLAIN), "utf-8")
    with pytest.raises(RequestError, match=r"is there already and is no share.*part\.coach"):
        write_share(teacher, marked.id, str(precious))
    assert precious.read_text("utf-8") == page(*PLAIN)
    file = tmp_path / "a.coach"
    assert write_share(teacher, marked.id, str(file)).marks == write_share(teacher, marked.id, str(file)).marks == 3
    assert is_share(file.read_bytes())


def changed(file: str, **entries: bytes) -> str:
    """The share with entries changed, those named by their first word."""
    whole = io.BytesIO()
    with zipfile.ZipFile(file) as old, zipfile.ZipFile(whole, "w") as new:
        for name in old.namelist():
            new.writestr(name, entries.get(name.split(".")[0], old.read(name)))
    Path(file).write_bytes(whole.getvalue())
    return file


def cover(file: str, **fields: object) -> bytes:
    with zipfile.ZipFile(file) as opened:
        return json.dumps({**json.loads(opened.read("share.json")), **fields}).encode()


@pytest.mark.parametrize(
    ("score_bytes", "words"),
    [
        (page(*PLAIN).encode()[:-40], "breaks off or is damaged at line 2"),
        (b"<html/>", "no MusicXML score"),
        (b"Dear student", "holds no MusicXML"),
        (b"", "is empty"),
        (b"PK\3\4" + bytes(60), "is a damaged archive"),
    ],
)
def test_a_score_inside_that_cannot_be_read(
    teacher: Desk, marked: SetPiece, student: Desk, tmp_path: Path, score_bytes: bytes, words: str
) -> None:
    file = changed(sent(teacher, marked, tmp_path), score=score_bytes)
    nothing_taken(student, file, words, "lesson.coach, score.musicxml")


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"measures": ["2", "99"]}, "has no measure 99"),
        ({"measures": ["5", "2"]}, "run backwards"),
        ({"tempo": {"per_minute": 900, "beat": "quarter"}}, "a tempo of 900 cannot be practised"),
        ({"part": "Trombone"}, "has no part 'Trombone'"),
    ],
)
def test_a_cover_that_does_not_fit_its_score(
    teacher: Desk, marked: SetPiece, student: Desk, tmp_path: Path, fields: dict[str, object], words: str
) -> None:
    file = sent(teacher, marked, tmp_path)
    nothing_taken(student, changed(file, share=cover(file, **fields)), words, "lesson.coach, s")


def nothing_taken(desk: Desk, file: str, *words: str) -> None:
    with pytest.raises(CoachError) as caught:
        put(desk, file)
    text = str(caught.value)
    assert all(word in text for word in words) and text.isprintable() and text.endswith("."), text
    assert "coach-" not in text  # the folder it was unpacked in
    assert pieces(desk) == () and entries_of(desk) == []
    left = [path for path in desk.paths.data.rglob("*") if path.is_file() and not path.name.startswith("log.sqlite3")]
    assert left == []


def test_a_prep_with_mistakes_brings_what_is_good_in_it(
    teacher: Desk, marked: SetPiece, student: Desk, tmp_path: Path
) -> None:
    file = sent(teacher, marked, tmp_path)
    with zipfile.ZipFile(file) as opened:
        prep = opened.read("prep.toml")
    assert prep.count(b'"sing"') == 1
    taken = put(student, changed(file, prep=prep.replace(b'"sing"', b'"\\u001b[2Jsing"')))
    assert taken.told == "2 marks of your teacher's; 1 mistake in the file, the rest is taken."
    assert marks_of(student, taken.piece) == [kept(BREATH), kept(RIGHT)]


def test_a_stretch_that_runs_backwards_is_left_out(
    teacher: Desk, marked: SetPiece, student: Desk, tmp_path: Path
) -> None:
    """No pencil of the program writes one; a file may hold one."""
    pencil(teacher, marked, Mark("p1", "3.1", Phrase("2.1")), Mark("p2", "3.1", Phrase("4.1")))
    taken = put(student, sent(teacher, marked, tmp_path))
    assert taken.told == "4 marks of your teacher's; 1 mistake in the file, the rest is taken."
    assert {mark.id for mark in marks_of(student, taken.piece)} == {"t1", "t2", "t3", "p2"}


def test_marks_that_have_no_place_are_kept_apart(
    teacher: Desk, marked: SetPiece, student: Desk, tmp_path: Path
) -> None:
    file = sent(teacher, marked, tmp_path)
    with zipfile.ZipFile(file) as opened:
        prep = opened.read("prep.toml")
    assert prep.count(b'"3.1"') == 1
    taken = put(student, changed(file, prep=prep.replace(b'"3.1"', b'"99.1"')))
    marks, apart, mistake = taken.told.split("; ")
    assert (marks, apart) == ("3 marks of your teacher's", "1 has no place in this score and stays apart")
    assert mistake == "1 mistake in the file, the rest is taken."
    assert prep_of(student, taken.piece, open_piece(student, taken.piece)).unplaced == (replace(kept(SING), at="99.1"),)


def test_numbers_that_would_take_for_ever(teacher: Desk, marked: SetPiece, student: Desk, tmp_path: Path) -> None:
    """A number of a hundred million digits, in every place of a prep that holds one."""
    file = sent(teacher, marked, tmp_path)
    with zipfile.ZipFile(file) as opened:
        prep = opened.read("prep.toml").decode()
    assert prep.count("C5:1 C5:1") > 6
    odd = """
[[mark]]
kind = "swap"
at = "1.1"
from = "L"
to = "R"
when = "1e99999999"

[[mark]]
kind = "ornament"
at = "1.2"
notes = "C5:1e99999999 D5:1/1000000000000000000000"

[[mark]]
kind = "pace"
shape = "fermata"
at = "1.3"
length = "1e99999999"
"""
    wild = prep.replace("C5:1 C5:1", "C5:1e99999999 C5:1") + odd
    taken = put(student, changed(file, prep=wild.encode()))
    assert taken.told.endswith("3 mistakes in the file, the rest is taken.") and taken.told.startswith(
        "3 marks of your teacher's; "
    )


def test_a_title_of_terminal_sequences(teacher: Desk, marked: SetPiece, student: Desk, tmp_path: Path) -> None:
    file = sent(teacher, marked, tmp_path)
    piece = put(student, changed(file, share=cover(file, title="\x1b]0;x\x07\x9b31mStudy\u202e\n2"))).piece
    assert piece.title == "]0;x31mStudy 2"
    assert cut(piece, open_piece(student, piece)).first == 1

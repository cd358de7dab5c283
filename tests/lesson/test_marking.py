"""The pencil on a piece of the stand: saved at once, undone, kept through corrected scores and edited files."""

from dataclasses import replace
from pathlib import Path

import pytest

from coach.errors import RequestError, StoreError
from coach.lesson.desk import Desk
from coach.lesson.marking import Pencil, open_pencil, prep_of
from coach.lesson.stand import add, open_piece
from coach.music.piece import Piece
from coach.practice.set_piece import SetPiece
from coach.prepare.mark import Breath, Comment, Dynamic, Fingering, Mark, Phrase
from coach.prepare.pencil import take_computed
from tests.lesson.pages import FOUR, PLAIN, Bar, score

HALVES = Bar((4, 4))


@pytest.fixture
def pencil(desk: Desk, piece: SetPiece, sheet: Piece) -> Pencil:
    return open_pencil(desk, piece, sheet)


@pytest.fixture
def file(desk: Desk, piece: SetPiece) -> Path:
    return desk.paths.preps / f"{piece.id}.toml"


def again(desk: Desk, piece: SetPiece) -> Pencil:
    """The pencil of another run of the program."""
    piece = desk.record().pieces[piece.id]
    return open_pencil(desk, piece, open_piece(desk, piece))


def test_a_mark_is_on_the_disk_when_it_is_put(desk: Desk, piece: SetPiece, pencil: Pencil, file: Path) -> None:
    assert not file.exists() and pencil.faults == ()
    mark = pencil.put(Breath("catch"), "2.3", "the phrase is long")
    assert (mark.origin, mark.state, mark.because) == ("player", "kept", "the phrase is long")
    assert again(desk, piece).prep.marks == (mark,) == pencil.prep.marks
    assert prep_of(desk, piece, open_piece(desk, piece)) == pencil.prep
    text = file.read_text("utf-8")
    assert "measure 2, beat 3, C5" in text and f'piece = "{piece.id}"' in text and 'title = "Study"' in text


def test_opening_and_reading_write_nothing(desk: Desk, piece: SetPiece, sheet: Piece, pencil: Pencil) -> None:
    assert prep_of(desk, piece, sheet).marks == ()
    assert not desk.paths.preps.exists()


def test_every_kind_as_it_is_typed(desk: Desk, piece: SetPiece, pencil: Pencil) -> None:
    texts = {
        "phrase": "2.4 2.1", "pace": "fermata 2", "breath": "full", "fingering": "L", "swap": "L>R 1/2",
        "reminder": "b", "ornament": "C5:1/2 D5:1/2", "dynamic": "<", "alteration": "D5", "comment": "lighter",
    }  # fmt: skip
    for kind, text in texts.items():
        pencil.put_typed(kind, text, "1.2", to="2.2")
    assert [mark.kind for mark in again(desk, piece).prep.marks] == list(texts)
    with pytest.raises(RequestError, match="full or catch"):
        pencil.put_typed("breath", "deep", "1.2")


def test_undo_and_redo_reach_the_disk(desk: Desk, piece: SetPiece, pencil: Pencil) -> None:
    assert not pencil.can_undo and not pencil.undo() and not pencil.redo()
    first = pencil.put(Breath(), "1.1")
    pencil.edit(first.id, Breath("catch"))
    pencil.strike(first.id)
    states: list[tuple[Mark, ...]] = []
    while pencil.can_undo:
        assert pencil.undo()
        states.append(again(desk, piece).prep.marks)
    assert states == [(replace(first, content=Breath("catch")),), (first,), ()]
    while pencil.can_redo:
        assert pencil.redo()
    assert again(desk, piece).prep.marks == (replace(first, content=Breath("catch"), state="struck"),)
    pencil.keep(first.id)
    assert not pencil.can_redo


def test_the_newer_fingering_says_what_it_struck(pencil: Pencil) -> None:
    pencil.put(Fingering("L"), "1.2")
    assert not pencil.said
    pencil.put(Fingering("R"), "1.2")
    assert pencil.said == ("Struck for it: fingering L on C5, beat 2.",)
    pencil.strike(pencil.prep.shown[0].id)
    assert not pencil.said


def test_changing_a_computed_mark_leaves_it_struck_beside_the_players(pencil: Pencil) -> None:
    pencil.take(take_computed(pencil.prep, [Mark("c", "1.2", Breath(), "computed", "suggested", "air")]))
    own = pencil.edit("c", Breath("catch"))
    assert [(mark.id, mark.origin, mark.state, mark.because) for mark in pencil.prep.marks] == [
        ("c", "computed", "struck", "air"),
        (own.id, "player", "kept", ""),
    ]
    assert pencil.said == ()


@pytest.mark.parametrize(
    ("content", "at", "said"),
    [
        (Breath(), "7.1", "no note '7.1'"),
        (Phrase("9.9"), "1.1", "no note '9.9'"),
        (Phrase("1.1"), "2.1", "backwards"),
        (Dynamic("crescendo", "1.1"), "1.2", "backwards"),
        (Comment("\x1b[2J"), "1.1", "U\\+001B"),
        (Fingering(""), "1.1", "choice is empty"),
        (Breath("deep"), "1.1", "full or catch"),
    ],
)
def test_what_cannot_be_written_is_refused(content: Breath, at: str, said: str, pencil: Pencil, file: Path) -> None:
    with pytest.raises(RequestError, match=said):
        pencil.put(content, at)
    assert pencil.prep.marks == () and not pencil.can_undo and not file.exists()


def test_a_decision_at_all_like_places(desk: Desk, piece: SetPiece, pencil: Pencil) -> None:
    """All 24 notes are C5 quarters; a hand depends on one neighbour, so the 22 inner ones are alike."""
    mark = pencil.put(Fingering("L"), "1.2")
    ids = pencil.like(mark)
    assert len(ids) == 21 and "1.1" not in ids and "6.4" not in ids and "1.2" not in ids
    made = pencil.put_at_all(mark, ids[:3])
    assert [one.at for one in made] == ["1.3", "1.4", "2.1"]
    assert pencil.like(mark) == ids[3:]  # it stands there now
    assert len({one.id for one in again(desk, piece).prep.marks}) == 4
    pencil.undo()
    assert pencil.prep.marks == (mark,)


def test_marks_follow_a_corrected_score(
    desk: Desk, piece: SetPiece, pencil: Pencil, file: Path, tmp_path: Path
) -> None:
    early, late = pencil.put(Breath(), "1.2"), pencil.put(Breath(), "6.4")
    before = file.read_text("utf-8")
    add(desk, score(tmp_path, FOUR, HALVES, *PLAIN[1:]))
    moved = again(desk, piece)
    assert moved.faults == ()
    assert [(mark.id, mark.at) for mark in moved.prep.marks] == [(early.id, "1.2"), (late.id, "7.4")]
    assert file.read_text("utf-8") == before  # until something is changed
    moved.put(Comment("new"), "2.1")
    assert {mark.id: mark.at for mark in again(desk, piece).prep.marks}[late.id] == "7.4"


def test_what_no_longer_fits_is_told_and_comes_back(
    desk: Desk, piece: SetPiece, pencil: Pencil, tmp_path: Path
) -> None:
    source = score(tmp_path, FOUR, HALVES, *PLAIN[1:])
    add(desk, source)
    held = again(desk, piece)
    mark = held.put(Breath(), "2.2")
    add(desk, score(tmp_path, *PLAIN))
    lost = again(desk, piece)
    assert lost.faults == ("1 mark finds no note in the score as it is now (breath at 2.2); none is lost.",)
    assert lost.prep.unplaced == (mark,) and lost.prep.marks == ()
    other = lost.put(Comment("meanwhile"), "1.1")
    add(desk, score(tmp_path, FOUR, HALVES, *PLAIN[1:]))
    assert again(desk, piece).prep.marks == (other, mark) and again(desk, piece).faults == ()


def test_a_file_edited_while_the_piece_is_open(desk: Desk, piece: SetPiece, pencil: Pencil, file: Path) -> None:
    first = pencil.put(Breath(), "1.1")
    file.write_text(file.read_text("utf-8") + '\n[[mark]]\nkind = "comment"\nat = "3.1"\ntext = "by hand"\n', "utf-8")
    second = pencil.put(Breath(), "2.1")
    assert pencil.said == (f"{file} was edited meanwhile; both changes are kept.",)
    assert [mark.at for mark in pencil.prep.marks] == ["1.1", "2.1", "3.1"]
    pencil.undo()
    assert [mark.at for mark in again(desk, piece).prep.marks] == ["1.1", "3.1"]
    pencil.undo()
    assert [mark.at for mark in again(desk, piece).prep.marks] == ["3.1"]
    pencil.redo()
    pencil.redo()
    assert {first.id, second.id} < {mark.id for mark in again(desk, piece).prep.marks}


def test_a_slip_in_the_file_is_told_and_kept(desk: Desk, piece: SetPiece, pencil: Pencil, file: Path) -> None:
    good, bad = pencil.put(Breath(), "1.1"), pencil.put(Breath("catch"), "2.1")
    file.write_text(file.read_text("utf-8").replace('size = "catch"', 'size = "deep"'), "utf-8")
    held = again(desk, piece)
    assert len(held.faults) == 1 and "'deep'" in held.faults[0] and str(file) in held.faults[0]
    assert held.prep.marks == (good,)
    held.put(Comment("x"), "3.1")
    file.write_text(file.read_text("utf-8").replace('size = "deep"', 'size = "catch"'), "utf-8")
    assert bad in again(desk, piece).prep.marks


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("no prep at all", "no prep"),
        ('schema = "coach.prepfile/7"\n', "newer coach"),
        (
            'schema = "coach.prepfile/1"\npiece = "other-1"\ntitle = "Other"\nscore = "12"\n',
            "another piece \\(Other\\)",
        ),
    ],
)
def test_a_file_that_is_not_ours_is_told_and_never_overwritten(
    desk: Desk, piece: SetPiece, sheet: Piece, file: Path, text: str, said: str
) -> None:
    file.parent.mkdir(parents=True)
    file.write_text(text, "utf-8")
    held = open_pencil(desk, piece, sheet)
    assert len(held.faults) == 1 and str(file) in held.faults[0]
    with pytest.raises(StoreError, match=said):
        held.put(Breath(), "1.1")
    assert [mark.at for mark in held.prep.marks] == ["1.1"]  # it holds until the program ends
    assert file.read_text("utf-8") == text
    with pytest.raises(StoreError, match=said):
        prep_of(desk, piece, sheet)


def test_a_disk_that_is_full_costs_nothing_but_the_saving(
    desk: Desk, piece: SetPiece, pencil: Pencil, monkeypatch: pytest.MonkeyPatch
) -> None:
    first = pencil.put(Breath(), "1.1")

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patch:
        patch.setattr("os.replace", full)
        with pytest.raises(StoreError, match="no space left"):
            pencil.put(Breath(), "2.1")
    assert len(pencil.prep.marks) == 2 and again(desk, piece).prep.marks == (first,)
    pencil.put(Breath(), "3.1")
    assert [mark.at for mark in again(desk, piece).prep.marks] == ["1.1", "2.1", "3.1"]

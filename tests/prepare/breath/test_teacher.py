"""The planner against a teacher's answers for passages of our own: common practice of the trade (passages.toml)."""

from pathlib import Path

import pytest

from coach.files.score import read_score
from coach.instruments.air import Air
from coach.lesson.stand import performance_tempo
from coach.music.piece import Piece
from coach.prepare.breath.breathing import Asked, Breathing, breathing
from coach.prepare.dynamics.level import levels
from coach.sound.tempo_map import tempo_map
from tests.prepare.breath.page import page
from tests.prepare.breath.passages import LINES, PASSAGES, Passage


def read(text: str, folder: Path) -> Piece:
    """A piece from words."""
    path = folder / "passage.musicxml"
    path.write_text(page(text), encoding="utf-8")
    return read_score(str(path))


def planned(piece: Piece, litres: float, share: float = 1.0, asked: Asked | None = None) -> Breathing:
    """The plan at a share of the tempo, with practice breaths where that is slower."""
    seconds = tempo_map(piece.tempos, performance_tempo(piece), piece.part.measures[0].onset_q)
    shaped, air = levels(piece.part), Air(litres=litres)
    plan = breathing(piece.part, air, lambda at_q: float(seconds.at_s(at_q)), shaped, asked)
    if share == 1:
        return plan
    also = [one.at for one in plan.breaths]
    return breathing(piece.part, air, lambda at_q: float(seconds.at_s(at_q)) / share, shaped, asked, also)


@pytest.mark.parametrize("passage", PASSAGES, ids=lambda one: one.name)
def test_a_teacher_would_breathe_there(passage: Passage, tmp_path: Path) -> None:
    plan = planned(read(passage.text, tmp_path), passage.litres, passage.share)
    places = [one.at for one in plan.breaths]
    assert set(places) <= passage.allowed, "a wrong place"
    assert all(group & set(places) for group in passage.needed), "a place is missing"
    assert len(places) <= passage.most


def test_practice_breaths_are_added_to_those_of_the_performance(tmp_path: Path) -> None:
    piece = read("4/4 q=72 K1 p " + LINES["upbeats"], tmp_path)
    performance, slow = planned(piece, 2.5), planned(piece, 2.5, 0.6)
    kept = [one.at for one in slow.breaths if not one.practice]
    assert kept == [one.at for one in performance.breaths] == ["4.1"]
    assert [one.at for one in slow.breaths if one.practice] == ["2.1", "6.1"]


def test_a_marked_phrase_ends_with_a_breath_even_on_a_leading_note(tmp_path: Path) -> None:
    # A half close on the seventh of the key: the player's phrase says that it ends there.
    text = "4/4 q=60 mf C5:h E5:h | D5:h G4:q A4:q | B4:w | C5:h E5:h | D5:q F5:q E5:q D5:q | C5:w"
    piece = read(text, tmp_path)
    assert "3.1" not in [one.at for one in planned(piece, 2.5).breaths]
    assert [one.at for one in planned(piece, 2.5, asked=Asked(phrase_ends=frozenset({"3.1"}))).breaths] == ["3.1"]


def test_kept_breaths_stay_and_struck_ones_stay_away(tmp_path: Path) -> None:
    piece = read("4/4 q=60 K1 mf " + LINES["song"], tmp_path)
    plan = planned(piece, 4.0, asked=Asked(decided={"2.2": "full"}, struck=frozenset({"4.1"})))
    assert "2.2" in [one.at for one in plan.breaths]
    assert "4.1" not in [one.at for one in plan.breaths]
    assert plan.short_litres == 0

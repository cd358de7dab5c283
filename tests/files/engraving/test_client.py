"""The engraving process: asked, killed, started anew, ended."""

import os
import signal
import sys
from collections.abc import Iterator
from pathlib import Path
from time import monotonic

import pytest

from coach.errors import ScoreError
from coach.files.engraving import client
from coach.files.engraving.client import Engraving
from coach.files.engraving.codec import pack_system, unpack_system
from coach.files.engraving.engraver import Engraver
from coach.files.engraving.mei import part_mei
from coach.files.score import written_score
from tests.files.engraving.corpus import DEMO

DEMO_PATH = str(Path(DEMO).resolve())


@pytest.fixture
def engraving() -> Iterator[Engraving]:
    made = Engraving()
    yield made
    made.close()


def process_of(engraving: Engraving) -> int:
    assert engraving._process is not None
    return engraving._process.pid


def test_the_process_answers_what_the_engraver_makes(engraving: Engraving) -> None:
    laid = engraving.lay(DEMO_PATH, None, "", 39.75)
    score = written_score(DEMO_PATH)
    layout = Engraver(score.piece, part_mei(score)).lay(None, 39.75)
    assert laid.systems == layout.systems
    for number in range(len(laid.systems)):
        assert engraving.system(laid, number) == layout.system(number)


def test_systems_survive_the_wire() -> None:
    score = written_score(DEMO_PATH)
    system = Engraver(score.piece, part_mei(score)).lay(None, 39.75).system(3)
    assert unpack_system(pack_system(system)) == system


@pytest.mark.skipif(sys.platform == "win32", reason="signals of POSIX")
def test_a_process_that_died_is_started_anew(engraving: Engraving) -> None:
    """What the dead one had laid out is forgotten, never mistaken for a layout of the new one with the same number."""
    before = engraving.lay(DEMO_PATH, None, "", 39.75)
    first = process_of(engraving)
    _kill(engraving)
    assert engraving.system(before, 0) is None
    after = engraving.lay(DEMO_PATH, None, "", 59.75)
    assert process_of(engraving) != first
    assert after.number == before.number
    assert engraving.system(before, 0) is None
    assert engraving.system(after, 0) is not None


def _kill(engraving: Engraving) -> None:
    process = engraving._process
    assert process is not None
    os.kill(process.pid, signal.SIGKILL)
    process.wait(10)


def test_a_layout_that_was_put_away_is_told_as_gone(engraving: Engraving) -> None:
    first = engraving.lay(DEMO_PATH, None, "", 30.0)
    for width in (40.0, 50.0, 60.0, 70.0):
        last = engraving.lay(DEMO_PATH, None, "", width)
    assert engraving.system(first, 0) is None
    assert engraving.svg(first, 0) is None
    assert engraving.system(last, 0) is not None


def test_what_cannot_be_engraved_gives_one_sentence(engraving: Engraving, tmp_path: Path) -> None:
    broken = tmp_path / "broken.musicxml"
    broken.write_text("<score-partwise", encoding="utf-8")
    for source in (str(broken), str(tmp_path / "none.musicxml")):
        with pytest.raises(ScoreError) as told:
            engraving.lay(source, None, "", 40.0)
        assert "\n" not in str(told.value) and str(told.value).endswith(".")
    assert engraving.lay(DEMO_PATH, None, "", 40.0).systems  # it goes on


def test_a_process_that_says_nothing_sensible_gives_one_sentence(monkeypatch: pytest.MonkeyPatch) -> None:
    import subprocess

    def chatter() -> "subprocess.Popen[str]":
        return subprocess.Popen(
            [sys.executable, "-c", "input(); print('Segmentation fault')"],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
        )

    monkeypatch.setattr(client, "_spawned", chatter)
    engraving = Engraving()
    with pytest.raises(ScoreError, match="engraver stopped"):
        engraving.lay(DEMO_PATH, None, "", 40.0)
    assert engraving._process is None


def test_a_closed_one_leaves_no_process(engraving: Engraving) -> None:
    engraving.lay(DEMO_PATH, None, "", 40.0)
    process = engraving._process
    assert process is not None and process.poll() is None
    begun_s = monotonic()
    engraving.close()
    assert process.poll() is not None
    assert monotonic() - begun_s < 10
    engraving.close()  # twice does no harm

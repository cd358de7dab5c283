"""Whatever happens to a file on its way, reading it gives a page that holds together or one sentence."""

from functools import cache
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from coach.errors import ScoreError
from coach.files.score import read_score
from coach.files.source import corpus_folder
from tests.files.test_corpus import check_page

SUITE = corpus_folder().parent / "musicxml" / "lilypondTestSuite"


@cache
def originals() -> tuple[bytes, ...]:
    files = sorted(path for path in SUITE.iterdir() if path.suffix in (".xml", ".mxl") and path.stat().st_size < 20_000)
    return tuple(path.read_bytes() for path in files)


def holds(folder: Path, data: bytes) -> None:
    path = folder / "score.xml"
    path.write_bytes(data)
    try:
        piece = read_score(path)
    except ScoreError as error:
        assert "\n" not in str(error) and str(error).endswith(".")
        return
    check_page(piece)


RELAXED = settings(max_examples=300, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])


@RELAXED
@given(st.data())
def test_truncated_and_overwritten(tmp_path: Path, data: st.DataObject) -> None:
    original = data.draw(st.sampled_from(originals()))
    at = data.draw(st.integers(0, len(original)))
    noise = data.draw(st.binary(max_size=6))
    tail = original[at + data.draw(st.integers(0, 40)) :] if data.draw(st.booleans()) else b""
    holds(tmp_path, original[:at] + noise + tail)


@RELAXED
@given(st.data())
def test_elements_moved_dropped_and_doubled(tmp_path: Path, data: st.DataObject) -> None:
    """Well-formed nonsense: lines of a score, shuffled about."""
    lines = data.draw(st.sampled_from([one for one in originals() if one[:2] != b"PK"])).splitlines(keepends=True)
    for _ in range(data.draw(st.integers(1, 5))):
        source, target = (data.draw(st.integers(0, len(lines) - 1)) for _ in range(2))
        line = lines[source]
        if line.count(b"<") == 2 and b"</" in line:  # a whole element
            lines.insert(target, line) if data.draw(st.booleans()) else lines.pop(source)
    holds(tmp_path, b"".join(lines))


NUMBERS = st.sampled_from([b"0", b"-1", b"1", b"7", b"9999999", b"1e300", b"nan", b"", b"0.3333", b"x", b"-0.5"])


@RELAXED
@given(st.data())
def test_numbers_gone_wrong(tmp_path: Path, data: st.DataObject) -> None:
    original = data.draw(st.sampled_from([one for one in originals() if one[:2] != b"PK"]))
    name = data.draw(
        st.sampled_from(
            b"duration divisions octave alter beats beat-type fifths staff dots actual-notes normal-notes line "
            b"chromatic diatonic octave-change per-minute offset".split()
        )
    )
    pieces = original.split(b"<" + name + b">")
    broken = [pieces[0]]
    for piece in pieces[1:]:
        wrong = data.draw(NUMBERS) if data.draw(st.booleans()) else piece.partition(b"<")[0]
        broken.append(wrong + b"<" + piece.partition(b"<")[2])
    holds(tmp_path, (b"<" + name + b">").join(broken))


@pytest.mark.parametrize("at", range(0, 100, 3))
def test_the_weber_archive_cut_anywhere(tmp_path: Path, at: int) -> None:
    whole = (corpus_folder() / "weber" / "concertino_clarinet.mxl").read_bytes()
    holds(tmp_path, whole[: len(whole) * at // 100])

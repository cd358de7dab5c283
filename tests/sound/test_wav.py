"""WAV files, read back by Praat (parselmouth), a reader of its own."""

import errno
from math import log2
from pathlib import Path

import numpy as np
import parselmouth
import pytest

from coach.errors import StoreError
from coach.music.metre import Metre
from coach.music.pitch import from_midi
from coach.sound.bounce import bounce
from coach.sound.compile import timeline
from coach.sound.wav import wav_bytes, write_wav
from tests.sound.hand import bars, n, piece, played

TONE = np.sin(2 * np.pi * 440 * np.arange(4800) / 48000).astype(np.float32) * np.float32(0.5)


@pytest.mark.parametrize(("bits", "step"), [(16, 2**-15), (24, 2**-23)])
def test_an_independent_reader_hears_the_same_samples(tmp_path: Path, bits: int, step: float) -> None:
    path = tmp_path / "tone.wav"
    write_wav(path, TONE, sample_rate=48000, bits=bits)
    read = parselmouth.Sound(str(path))
    assert read.sampling_frequency == 48000 and read.n_channels == 1 and read.n_samples == TONE.size
    assert np.abs(read.values[0] - TONE).max() <= step


def test_a_rendered_file_is_in_tune_from_written_e3_to_c7(tmp_path: Path) -> None:
    """Praat reads the file that a chromatic scale of half seconds was rendered to. Written E3 on a B-flat clarinet
    sounds 146.8324 Hz (SHARC's lowest clarinet note; the handbook's facts, section 5.1); 45 notes."""
    scale = [n(from_midi(midi).name, "1/2") for midi in range(52, 97)]
    of = piece(bars(scale, metre=Metre(45, 8)))
    path = tmp_path / "scale.wav"
    write_wav(path, bounce(timeline(played(of))), sample_rate=48000)
    sound = parselmouth.Sound(str(path))
    for k in range(45):
        target_hz = 146.8324 * 2 ** (k / 12)
        middle = sound.extract_part(0.5 * k + 0.1, 0.5 * k + 0.4)
        pitch = middle.to_pitch_ac(pitch_floor=target_hz * 0.7, pitch_ceiling=target_hz * 1.5, very_accurate=True)
        heard = pitch.selected_array["frequency"]
        assert np.all(heard[2:-2] > 0)
        assert abs(1200 * log2(float(np.median(heard[heard > 0])) / target_hz)) < 3, k


def test_full_scale_stays_within_it_and_more_is_refused() -> None:
    assert wav_bytes(np.array([1.0, -1.0], np.float32), sample_rate=48000)[-4:] == b"\xff\x7f\x01\x80"
    for wrong in (1.01, float("nan")):
        with pytest.raises(ValueError, match="beyond full scale"):
            wav_bytes(np.array([wrong], np.float32), sample_rate=48000)


def test_no_samples_make_an_empty_file_that_opens(tmp_path: Path) -> None:
    import wave

    write_wav(tmp_path / "empty.wav", np.zeros(0, np.float32), sample_rate=48000)
    with wave.open(str(tmp_path / "empty.wav")) as file:
        assert file.getnframes() == 0


def test_a_full_disk_is_said_and_leaves_the_old_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "tone.wav"
    path.write_bytes(b"the old one")

    def full(_: int) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr("os.fsync", full)
    with pytest.raises(StoreError, match=r"tone\.wav cannot be written \(no space left on device\); make room"):
        write_wav(path, TONE, sample_rate=48000)
    assert path.read_bytes() == b"the old one"
    assert list(tmp_path.iterdir()) == [path]


def test_a_missing_folder_and_a_folder_in_the_way_are_said(tmp_path: Path) -> None:
    for path in (tmp_path / "none" / "tone.wav", tmp_path):
        with pytest.raises(StoreError, match="cannot be written"):
            write_wav(path, TONE, sample_rate=48000)
    assert not list(tmp_path.iterdir())


def test_a_link_is_written_through(tmp_path: Path) -> None:
    there, link = tmp_path / "there.wav", tmp_path / "link.wav"
    there.write_bytes(b"old")
    link.symlink_to(there)
    write_wav(link, TONE, sample_rate=48000)
    assert link.is_symlink() and there.read_bytes() == wav_bytes(TONE, sample_rate=48000)

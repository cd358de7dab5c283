"""How loud and how bright the rendered demo piece is, measured on its samples.

Instruments outside the project: the intensity of Praat (parselmouth), plain RMS, and the A-weighting of IEC 61672-1
(its formula from memory: poles at 20.6, 107.7, 737.9 and 12194 Hz). Ranks are compared by scipy's Spearman correlation.
That the written registers of the clarinet begin at E3, G4, B4 and C#6 is common practice of the trade.
"""

from dataclasses import dataclass
from functools import cache

import numpy as np
import parselmouth
import pytest
from numpy.typing import NDArray
from scipy.stats import spearmanr  # type: ignore[import-untyped]

from coach.config import ClickSettings
from coach.files.score import read_score
from coach.paths import content
from coach.sound.bounce import bounce
from coach.sound.compile import perform, timeline
from coach.sound.performance import SoundedNote
from tests.sound.test_voice import RATE, held, note

Wave = NDArray[np.float64]
QUIET = ClickSettings(on=False, count_in=0)
# The sustained part of a note, in shares of its length.
FROM, TO = 0.3, 0.8


def weighting(hz: Wave) -> Wave:
    square = hz**2
    lower = np.sqrt(square + 107.7**2) * np.sqrt(square + 737.9**2) * (square + 20.6**2)
    return np.asarray(1.2589 * 12194.0**2 * square**2 / lower / (square + 12194.0**2), dtype=np.float64)


def level_db(wave: Wave, *, weighted: bool = False) -> float:
    power = np.abs(np.fft.rfft(wave * np.hanning(wave.size))) ** 2 / wave.size**2
    if weighted:
        power = power * weighting(np.asarray(np.fft.rfftfreq(wave.size, 1 / RATE), dtype=np.float64)) ** 2
    return 10 * float(np.log10(power.sum()))


def centroid_hz(wave: Wave) -> float:
    power = np.abs(np.fft.rfft(wave * np.hanning(wave.size))) ** 2
    return float((np.fft.rfftfreq(wave.size, 1 / RATE) * power).sum() / power.sum())


@dataclass(frozen=True)
class Heard:
    """A note, and its sustained part in the rendered samples."""

    note: SoundedNote
    sustained: Wave
    praat_db: float

    @property
    def meant_db(self) -> float:
        return float(np.mean([self.note.event.level_at(share) for share in np.linspace(FROM, TO, 11)]))


@cache
def demo() -> tuple[Heard, ...]:
    of = read_score(str(content("pieces", "demo.musicxml")))
    assert of.first_tempo is not None
    made = perform(of, of.whole(), tempo=of.first_tempo, click=QUIET)
    samples = np.asarray(bounce(timeline(made)), dtype=np.float64)
    intensity = parselmouth.Sound(samples, RATE).to_intensity(minimum_pitch=100.0, time_step=0.002)
    at_s, praat_db = intensity.xs(), intensity.values[0]
    heard = []
    for each in made.notes:
        start_s, end_s = each.at_s + FROM * each.length_s, each.at_s + TO * each.length_s
        within = (at_s >= start_s) & (at_s <= end_s)
        heard.append(
            Heard(each, samples[round(start_s * RATE) : round(end_s * RATE)], float(np.mean(praat_db[within])))
        )
    return tuple(heard)


def follows(levels: list[float]) -> float:
    return float(spearmanr([heard.meant_db for heard in demo()], levels).statistic)


def test_the_demo_has_many_notes_from_very_soft_to_very_loud() -> None:
    meant = [heard.meant_db for heard in demo()]
    assert len(meant) > 100 and min(meant) < -20 and max(meant) == 0


def test_loudness_follows_the_dynamic_line() -> None:
    assert follows([level_db(heard.sustained) for heard in demo()]) >= 0.95
    assert follows([level_db(heard.sustained, weighted=True) for heard in demo()]) >= 0.95
    assert follows([heard.praat_db for heard in demo()]) >= 0.95


def test_brightness_follows_the_dynamic_line_wherever_one_pitch_is_played_at_several_levels() -> None:
    """Pitch moves the centroid more than level does, so it is compared within each pitch."""
    ranks: list[float] = []
    for midi in sorted({heard.note.midi for heard in demo()}):
        same = [heard for heard in demo() if heard.note.midi == midi]
        if np.ptp([heard.meant_db for heard in same]) > 4:
            centroids = [centroid_hz(heard.sustained) for heard in same]
            softest = int(np.argmin([heard.meant_db for heard in same]))
            loudest = int(np.argmax([heard.meant_db for heard in same]))
            assert centroids[softest] < centroids[loudest]
            ranks.append(float(spearmanr([heard.meant_db for heard in same], centroids).statistic))
    assert len(ranks) > 8 and float(np.median(ranks)) > 0.9


def test_an_equal_level_is_about_equally_loud_in_every_register() -> None:
    """Over three octaves and a half, written E3 to C7. Plain and weighted levels cannot both be equal: by its formula
    A-weighting takes 15 dB more from a pure tone of the lowest pitch than from one of the highest."""
    lowest, highest = (20 * float(np.log10(weighting(np.array([hz]))[0])) for hz in (146.8324, 1864.655))
    assert highest - lowest == pytest.approx(15.4, abs=0.5)
    waves = [held(note(written - 2, -8.0), frames=RATE) for written in range(52, 97)]
    plain, weighted = [level_db(wave) for wave in waves], [level_db(wave, weighted=True) for wave in waves]
    assert np.ptp(plain) < 5
    assert np.ptp(weighted) < 10


@pytest.mark.parametrize("midi", [50, 57, 64, 67, 70, 76, 82, 87, 94])
def test_the_centroid_rises_with_level_and_with_colour_in_every_register(midi: int) -> None:
    by_level = [centroid_hz(held(note(midi, db))) for db in np.linspace(-28, 0, 8)]
    by_colour = [centroid_hz(held(note(midi, -10.0, colour=colour))) for colour in np.linspace(0, 1, 8)]
    assert all(np.diff(by_level) > 0) and all(np.diff(by_colour) > 0)
    assert by_colour[-1] > 1.04 * by_colour[0]


def test_the_sum_is_neither_clipped_nor_shifted_at_the_default_level() -> None:
    of = read_score(str(content("pieces", "demo.musicxml")))
    assert of.first_tempo is not None
    samples = np.asarray(
        bounce(timeline(perform(of, of.whole(), tempo=of.first_tempo, click=QUIET, others=True))), dtype=np.float64
    )
    assert np.abs(samples).max() < 0.2  # of full scale; the sum is bent from 0.7 on
    assert abs(samples.mean()) < 1e-6

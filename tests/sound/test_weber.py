"""A whole real part: Weber's Concertino, which ships with music21, read by music21 itself as the independent reading,
and its MIDI file reread by pretty_midi. The counts are those of the handbook's facts, section 5.5."""

import warnings
from fractions import Fraction
from itertools import pairwise
from pathlib import Path

import pytest

from coach.config import ClickSettings
from coach.files.score import read_score
from coach.music.piece import Piece
from coach.music.route import route
from coach.prepare.interpretation import Interpretation
from coach.prepare.ornaments.realisation import STYLES
from coach.prepare.ornaments.realising import realisations
from coach.prepare.played import played
from coach.sound.compile import perform, timeline
from coach.sound.performance import Performance, SoundedNote
from coach.sound.smf import PPQ, write_smf
from tests.sound.hand import QUIET

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # both import modules that are on their way out
    import music21
    import pretty_midi

NAME = "weber/concertino_clarinet"
# One division of the file, which rounds tuplets (1024 to a quarter).
DIVISION = Fraction(1, 1024)


@pytest.fixture(scope="module")
def weber() -> Piece:
    return read_score(f"corpus:{NAME}")


@pytest.fixture(scope="module")
def performance(weber: Piece) -> Performance:
    assert weber.first_tempo is not None
    return perform(weber, weber.whole(), tempo=weber.first_tempo, click=QUIET)


def main_notes(performance: Performance) -> list[SoundedNote]:
    return [note for note in performance.notes if note.at.split(".")[1].isdigit()]


def test_every_note_sounds_once_with_ties_merged(performance: Performance) -> None:
    # 1206 pitched, 31 of them graces, 11 ties: 1164 notes and 31 graces.
    assert len(performance.notes) == 1206 - 11
    assert len(main_notes(performance)) == 1206 - 31 - 11


def test_music21_hears_the_same_pitches_at_the_same_places(performance: Performance) -> None:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        part = music21.corpus.parse(NAME, forceSource=True).parts[0].toSoundingPitch().stripTies()
    theirs = [
        (Fraction(note.getOffsetInHierarchy(part)), note.pitches[-1].midi)
        for note in part.recurse().notes
        if not note.duration.isGrace
    ]
    ours = [(note.onset_q, note.midi) for note in main_notes(performance)]
    assert [midi for _, midi in ours] == [midi for _, midi in theirs]
    assert max(abs(mine - other) for (mine, _), (other, _) in zip(ours, theirs, strict=True)) <= DIVISION


def test_the_line_is_one_voice_that_never_overlaps(performance: Performance) -> None:
    for note, after in pairwise(performance.notes):
        assert note.length_s > 0 and note.length_q > 0
        assert note.at_q + note.length_q <= after.at_q
        assert note.at_s + note.length_s <= after.at_s + 1e-9
        if not after.tongued:
            assert note.at_s + note.length_s == pytest.approx(after.at_s)


def test_the_written_range_and_its_sound(performance: Performance) -> None:
    assert (min(n.pitch.midi for n in performance.notes), max(n.pitch.midi for n in performance.notes)) == (52, 89)
    assert (min(n.midi for n in performance.notes), max(n.midi for n in performance.notes)) == (50, 87)


def test_the_midi_file_of_a_stretch_with_the_piano_reread(weber: Piece, tmp_path: Path) -> None:
    assert weber.first_tempo is not None
    settings = ClickSettings(count_in=1)
    made = perform(weber, weber.span("38", "60"), tempo=weber.first_tempo, click=settings, others=True)
    write_smf(tmp_path / "weber.mid", weber, made, rate=0.7)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        read = pretty_midi.PrettyMIDI(str(tmp_path / "weber.mid"))
    clarinet = next(one for one in read.instruments if one.program == 71 and not one.is_drum)
    theirs = [(note.start, note.end, note.pitch) for note in sorted(clarinet.notes, key=lambda note: note.start)]
    ours = [
        ((n.at_s + made.count_in_s) / 0.7, (n.at_s + n.length_s + made.count_in_s) / 0.7, n.midi)
        for n in made.notes
        if n.line == 0
    ]
    assert [midi for *_, midi in theirs] == [midi for *_, midi in ours] and len(ours) > 50
    tick_s = max(60 / (float(speed) * 0.7) / PPQ for speed in made.passage.clock.speeds)
    for mine, other in zip(ours, theirs, strict=True):
        assert other[:2] == pytest.approx(mine[:2], abs=tick_s)
    drums = next(one for one in read.instruments if one.is_drum)
    heard = [click for click in made.clicks if click.below_rate is None or click.below_rate > 0.7]
    assert len(drums.notes) == len(heard)


def test_each_measure_has_its_accent_where_it_begins(weber: Piece) -> None:
    assert weber.first_tempo is not None
    made = perform(weber, weber.whole(), tempo=weber.first_tempo, click=ClickSettings(count_in=0))
    accents = [click.at_s for click in made.clicks if click.click == "accent"]
    assert accents == pytest.approx([made.passage.at_s(bar.at_q) for bar in made.passage.bars])
    assert len(accents) == 241
    beats = [click for click in made.clicks if click.click != "part"]
    per_metre = {bar.metre.name: 0 for bar in made.passage.bars}
    for bar in made.passage.bars:
        per_metre[bar.metre.name] = sum(click.bar == bar.number for click in beats)
    assert per_metre == {"3/4": 3, "2/2": 2, "6/8": 2}
    assert timeline(made).bars == 241


@pytest.mark.parametrize("style", STYLES)
def test_what_is_suggested_fits_and_every_measure_adds_up_through_all_repeats(weber: Piece, style: str) -> None:
    """By the sums of the page: a measure lasts as long as it did, and each printed note that has no ornament, and is
    not tied to one that has, begins where it did."""
    found = realisations(weber.part, style=style, pace=lambda at_q: 0.6, fastest=lambda low, high: 10.0)
    decisions = Interpretation(ornaments={at: ways[0].content for at, ways in found.items()})
    assert len(decisions.ornaments) >= 24  # trills, turns and graces of the part, counted there by eye
    order = route(weber.part.measures)
    measures = [weber.part.measures[k] for k in order]
    for measure, notes in zip(measures, played(measures, decisions), strict=True):
        assert sum(note.length_q for note in notes) == measure.length_q
        free = (note for note in measure.notes if note.id not in decisions.ornaments)
        printed = {note.id: note.onset_q for note in free if note.tie not in ("continue", "stop")}
        assert printed.items() <= {note.id: note.onset_q for note in reversed(notes)}.items()
        assert not any(note.graces or note.after_graces for note in notes)


def test_played_with_its_ornaments_it_takes_as_long(weber: Piece) -> None:
    assert weber.first_tempo is not None
    found = realisations(weber.part, style="lyrical", pace=lambda at_q: 0.6, fastest=lambda low, high: 10.0)
    decisions = Interpretation(ornaments={at: ways[0].content for at, ways in found.items()})
    options = {"tempo": weber.first_tempo, "click": QUIET, "repeats": True}
    plain = perform(weber, weber.whole(), **options)  # type: ignore[arg-type]
    decided = perform(weber, weber.whole(), interpretation=decisions, steady=True, **options)  # type: ignore[arg-type]
    assert plain.length_s == decided.length_s and len(decided.notes) > len(plain.notes)
    for note, after in pairwise(decided.notes):
        assert note.length_s > 0 and note.at_q + note.length_q <= after.at_q

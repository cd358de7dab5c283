"""MIDI, ABC and Humdrum through music21."""

import os
import subprocess
import sys
import warnings
from pathlib import Path

import pytest

from coach.errors import ScoreError
from coach.files.score import part_names, read_score
from coach.files.source import locate
from coach.music.pitch import Transposition
from coach.music.rhythm import Value
from tests.files.independent import by_partitura, furthest, ours
from tests.files.scores import said

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # it imports a deprecated module
    import pretty_midi


def clarinet_midi(folder: Path) -> Path:
    """Eight quarters at 90 from sounding C4 upwards, program 71 counted from 0 (GM: Clarinet), and a piano below."""
    song = pretty_midi.PrettyMIDI(initial_tempo=90)
    for program, name, start in ((0, "Piano", 40), (71, "Clarinet", 60)):
        instrument = pretty_midi.Instrument(program, name=name)
        instrument.notes = [pretty_midi.Note(80, start + k, k * 60 / 90, (k + 1) * 60 / 90) for k in range(8)]
        song.instruments.append(instrument)
    path = folder / "song.mid"
    song.write(str(path))
    return path


def test_midi_sounds_as_it_sounded(tmp_path: Path) -> None:
    path = clarinet_midi(tmp_path)
    piece = read_score(path)
    notes = list(piece.part.pitched())
    sounding = [piece.part.transposition.sounding(note.pitch).midi for note in notes if note.pitch is not None]
    assert (piece.part.name, piece.part.transposition) == ("Clarinet", Transposition(-1, -2))
    assert sounding == list(range(60, 68))  # and written a tone higher
    assert [note.onset_q for note in notes] == list(range(8))
    assert piece.first_tempo is not None and piece.first_tempo.beat == Value("quarter")
    assert float(piece.first_tempo.per_minute) == pytest.approx(90, abs=0.1)
    assert (piece.title, piece.composer) == ("song", "")  # nothing is invented
    assert set(part_names(path)) == {"Piano", "Clarinet"}
    assert "Read through music21: what it does not know of MIDI is missing or guessed." in said(piece)


def test_midi_is_known_by_its_content(tmp_path: Path) -> None:
    path = clarinet_midi(tmp_path)
    other = path.rename(tmp_path / "song.dat")
    assert read_score(other).part.name == "Clarinet"


def compound_midi(folder: Path) -> Path:
    """Two bars of 6/8 in concert D major, dotted quarter = 60, on program 71 counted from 0 (GM: Clarinet)."""
    song = pretty_midi.PrettyMIDI(initial_tempo=90)
    song.time_signature_changes = [pretty_midi.TimeSignature(6, 8, 0)]
    song.key_signature_changes = [pretty_midi.KeySignature(2, 0)]
    instrument = pretty_midi.Instrument(71, name="Clarinet")
    numbers = (74, 73, 75, 76, 80, 78, 71, 70, 68, 72, 77, 62)
    instrument.notes = [pretty_midi.Note(80, number, k / 3, (k + 1) / 3) for k, number in enumerate(numbers)]
    song.instruments.append(instrument)
    path = folder / "gigue.mid"
    song.write(str(path))
    return path


def test_midi_in_six_eight_is_counted_in_dotted_quarters(tmp_path: Path) -> None:
    """Two beats in a bar of 6/8 (trade practice); a Standard MIDI File counts quarters alone, 90 of them."""
    tempo = read_score(compound_midi(tmp_path)).first_tempo
    assert tempo is not None and tempo.beat == Value("quarter", 1)
    assert float(tempo.per_minute) == pytest.approx(60, abs=0.1)


def test_midi_is_spelled_by_its_key(tmp_path: Path) -> None:
    """Concert D major is E major on the B flat clarinet, whose seventh degree is D sharp; the notes outside are the
    nearest on the line of fifths, from G to B sharp (trade practice). The sounding numbers are those of the file."""
    part = read_score(compound_midi(tmp_path)).part
    pitches = [note.pitch for note in part.pitched() if note.pitch is not None]
    names = "E5 D#5 E#5 F#5 A#5 G#5 C#5 B#4 A#4 D5 G5 E4"
    assert [pitch.name for pitch in pitches] == names.split()
    numbers = [74, 73, 75, 76, 80, 78, 71, 70, 68, 72, 77, 62]
    assert [part.transposition.sounding(pitch).midi for pitch in pitches] == numbers


@pytest.mark.parametrize("kept", [30, 100, -1])
def test_midi_that_breaks_off_is_no_piece(tmp_path: Path, kept: int) -> None:
    """A chunk is as long as its header says (Standard MIDI File 1.0, "Chunks")."""
    path = clarinet_midi(tmp_path)
    path.write_bytes(path.read_bytes()[:kept])
    with pytest.raises(ScoreError, match="song.mid breaks off or is damaged; export the score again"):
        read_score(path)


def test_abc(tmp_path: Path) -> None:
    """The letters of the ABC standard 2.1: C is middle C, c an octave above; L the unit, M the metre, K the key."""
    path = tmp_path / "tune.abc"
    path.write_text("X:1\nT:Scale\nC:Trad.\nM:3/4\nL:1/4\nQ:1/4=72\nK:G\n|:C2 D|E/2F/2 c c'|G,3:|\n")
    piece = read_score(path)
    names = [note.pitch.name for note in piece.part.pitched() if note.pitch is not None]
    assert (piece.title, piece.composer) == ("Scale", "Trad.")
    assert names == ["C4", "D4", "E4", "F#4", "C5", "C6", "G3"]
    assert [note.length_q for note in piece.part.pitched()][:4] == [2, 1, 0.5, 0.5]
    assert (piece.part.measures[0].metre and piece.part.measures[0].metre.name) == "3/4"
    assert piece.part.measures[0].key.fifths == 1
    assert piece.first_tempo is not None and piece.first_tempo.quarters_per_minute == 72


@pytest.mark.parametrize(
    ("bars", "ids", "told"),
    [
        ("ABc|def|gab|", ["1", "2", "3"], False),
        ("c|ABc|def|ga|", ["0", "1", "2", "3"], False),  # a pickup, completed by the last measure
        ("|:ABc|def|gab:|", ["1", "2", "3"], False),
        ("c|:ABc|def:|", ["1", "2", "3"], True),  # music21 keeps no barlines where fewer than two are plain
    ],
)
def test_measures_of_abc_count_from_one(bars: str, ids: list[str], told: bool, tmp_path: Path) -> None:
    """ABC prints no numbers; in print the first full measure is 1 and a pickup is not counted (trade practice)."""
    path = tmp_path / "tune.abc"
    path.write_text(f"X:1\nT:Tune\nM:3/4\nL:1/4\nK:C\n{bars}\n")
    piece = read_score(path)
    assert [measure.id for measure in piece.part.measures] == ids
    assert ("counted by the metre, without a pickup" in said(piece)) == told


@pytest.mark.parametrize("name", ["bach/bwv277.krn", "bach/bwv281.krn", "bach/bwv366.krn"])
def test_humdrum_as_partitura_reads_it(name: str) -> None:
    """Chorales in four spines; partitura's own Humdrum reader is independent of music21's."""
    path = locate(f"corpus:{name}")
    piece = read_score(path)
    theirs = sorted(by_partitura(path).values())
    mine = sorted(ours(part) for part in (piece.part, *piece.others))
    assert len(mine) == len(theirs) == 4
    for heads, others in zip(mine, theirs, strict=True):
        assert max(furthest(heads, others)) < 1e-6


def test_of_several_pieces_the_first_is_read() -> None:
    piece = read_score("corpus:essenFolksong/teste")
    assert "pieces; the first one is read." in said(piece)


QUIET = """
import sys
from coach.errors import ScoreError
from coach.files.score import read_score
read_score("corpus:ryansMammoth/AcrobatsHornpipe")
assert "music21" in sys.modules
"""


def test_music21_writes_nothing_anywhere(tmp_path: Path) -> None:
    home, scratch = tmp_path / "home", tmp_path / "scratch"
    home.mkdir()
    scratch.mkdir()
    environment = {
        **os.environ,
        "HOME": str(home),
        "USERPROFILE": str(home),
        "TMPDIR": str(scratch),
        "TEMP": str(scratch),
    }
    done = subprocess.run([sys.executable, "-c", QUIET], env=environment, capture_output=True, text=True, timeout=120)
    assert (done.returncode, done.stdout, done.stderr) == (0, "", "")
    assert list(home.iterdir()) == [] and list(scratch.iterdir()) == []

"""MIDI, ABC, Humdrum and the other formats that music21 reads, brought to MusicXML in memory.

music21 reads a file from its source (never from its pickles, and writing none), and writes MusicXML that our own reader
takes. What it warns of, and what it prints, becomes notices. This is the one module that imports music21.
"""

import io
import warnings
from contextlib import redirect_stderr, redirect_stdout
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from coach.errors import ScoreError
from coach.music.text import one_line

# Suffixes with music21's name of the format and ours.
FORMATS: dict[str, tuple[str, str]] = {
    ".mid": ("midi", "MIDI"),
    ".midi": ("midi", "MIDI"),
    ".abc": ("abc", "ABC"),
    ".krn": ("humdrum", "Humdrum"),
    ".mei": ("mei", "MEI"),
    ".capx": ("capella", "Capella"),
    ".md": ("musedata", "MuseData"),
    ".rntxt": ("romantext", "RomanText"),
    ".rntext": ("romantext", "RomanText"),
    ".nwctxt": ("noteworthytext", "NoteWorthy text"),
}

# Warnings that speak of a library's code and not of the score.
_OF_THE_CODE = (DeprecationWarning, PendingDeprecationWarning, FutureWarning, ImportWarning, ResourceWarning)

# Control characters that names in MIDI and the like may hold and XML 1.0 (section 2.2) may not.
_NOT_IN_XML = bytes(code for code in range(32) if code not in b"\t\n\r")

# Parsed from the bytes that were read; a file that music21 opens itself stays open if it is damaged.
_FROM_MEMORY = ("midi", "abc", "humdrum")


@dataclass(frozen=True, slots=True)
class Translated:
    """A score as MusicXML, and what music21 had to say."""

    data: bytes
    notices: tuple[str, ...]


def format_of(data: bytes, path: Path) -> str | None:
    """The suffix of the other format that a file is in, or None if it should be MusicXML."""
    if data.startswith(b"MThd"):
        return ".mid"
    if data.startswith(b"!!!") or data.startswith(b"**kern"):
        return ".krn"
    suffix = path.suffix.lower()
    return suffix if suffix in FORMATS else None


def translate(data: bytes, path: Path, suffix: str) -> Translated:
    """A file of another format as MusicXML. Raises ScoreError, one sentence, for whatever goes wrong on the way."""
    name, ours = FORMATS[suffix]
    printed = io.StringIO()
    with warnings.catch_warnings(record=True) as warned, redirect_stdout(printed), redirect_stderr(printed):
        warnings.simplefilter("always")
        try:
            score, notices = _parsed(data, path, name)
            exported = _exported(score, measured=name != "midi")
        except ScoreError:
            raise
        except Exception as error:  # music21 lets through whatever its parsers meet
            why = _reason(error)
            raise ScoreError(
                f"{path} cannot be read as {ours} ({why}); export the score as MusicXML instead."
            ) from None
    notices.append(f"Read through music21: what it does not know of {ours} is missing or guessed.")
    notices.extend(f"music21: {text}" for text in _said(warned, printed.getvalue()))
    return Translated(exported, tuple(notices))


def _parsed(data: bytes, path: Path, name: str) -> tuple[Any, list[str]]:
    from music21 import converter, stream  # deferred: 240 ms that MusicXML never needs

    if name == "midi" and not _midi_is_whole(data):
        raise ScoreError(f"{path} breaks off or is damaged; export the score again.")
    reader = converter.Converter()
    if name in _FROM_MEMORY:
        reader.parseData(data if name == "midi" else _text(data), format=name, forceSource=True)
    else:
        reader.parseFileNoPickle(path, format=name, forceSource=True)
    score, notices = reader.stream, []
    if isinstance(score, stream.Opus):
        tunes = list(score.scores)
        if not tunes:
            raise ScoreError(f"{path} holds no notes to practise; choose another file.")
        if len(tunes) > 1:
            notices.append(f"The file holds {len(tunes)} pieces; the first one is read.")
        score = tunes[0]
    if name == "midi":
        score = _written(score)
        _count_tempos_in_beats(score)
    if name == "abc":
        notices += _count_measures(score)
    if _drop_odd_tempos(score):
        notices.append("A tempo mark that counts no note value is left out; music21 has misread it.")
    return score, notices


def _count_measures(score: Any) -> list[str]:
    """ABC prints no measure numbers. music21 counts a full first measure 0, as if it were a pickup; it is 1."""
    notices = []
    for part in score.parts:
        measures = list(part.getElementsByClass("Measure"))
        if not measures:
            notices = ["The tune has too few plain barlines; its measures are counted by the metre, without a pickup."]
        elif measures[0].number == 0 and measures[0].duration.quarterLength >= measures[0].barDuration.quarterLength:
            for measure in measures:
                measure.number += 1
    return notices


def _text(data: bytes) -> str:
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        return data.decode("latin-1")


def _drop_odd_tempos(score: Any) -> bool:
    """Take out tempo marks whose unit is no printable value (ABC's "1/4 =50" comes out as five quarters); whether there
    were any."""
    from music21 import tempo

    odd = [mark for mark in score.recurse().getElementsByClass(tempo.MetronomeMark) if mark.referent.isComplex]
    for mark in odd:
        mark.activeSite.remove(mark)
    return bool(odd)


def _midi_is_whole(data: bytes) -> bool:
    """Whether the chunks that the header promises are there, each as long as it says (Standard MIDI File 1.0)."""
    tracks, at = int.from_bytes(data[10:12], "big"), 8 + int.from_bytes(data[4:8], "big")
    while tracks and at + 8 <= len(data):
        tracks -= data[at : at + 4] == b"MTrk"
        at += 8 + int.from_bytes(data[at + 4 : at + 8], "big")
    return not tracks and at <= len(data)


def _written(score: Any) -> Any:
    """MIDI holds sounding pitches as mere numbers; here they are as the player reads them, spelled by the key."""
    for part in (score, *score.parts):
        part.atSoundingPitch = True
    score = score.toWrittenPitch()
    for part in score.parts:
        sharps = 0
        for found in part.recurse().getElementsByClass(("KeySignature", "Note", "Chord")):
            if "KeySignature" in found.classes:
                sharps = found.sharps
            else:
                for pitch in found.pitches:
                    _spell(pitch, sharps)
    return score


def _spell(pitch: Any, sharps: int) -> None:
    """The name nearest to the key on the line of fifths: in C, from E flat to G sharp (trade practice)."""
    fifth = (pitch.midi * 7 - sharps + 3) % 12 + sharps - 3
    alter, step = divmod(fifth + 1, 7)
    octave, rest = divmod(pitch.midi - alter, 12)
    pitch.name, pitch.octave = "FCGDAEB"[step] + ("#" * alter or "-" * -alter), octave - 1
    pitch.spellingIsInferred = False


def _count_tempos_in_beats(score: Any) -> None:
    """MIDI counts its tempos in quarters in every metre; a player counts them in the metre's beats."""
    for measure in score.recurse().getElementsByClass("Measure"):
        metre = measure.timeSignature or measure.getContextByClass("TimeSignature")
        if metre is not None and (metre.denominator == 2 or metre.beatDivisionCount == 3):
            for mark in measure.getElementsByClass("MetronomeMark"):
                quarters, mark.referent = mark.getQuarterBPM(), metre.beatDuration
                mark.number = quarters / mark.referent.quarterLength


def _exported(score: Any, measured: bool) -> bytes:
    """MusicXML; a score that has its measures is written as it is, without music21 filling short ones with rests."""
    from music21 import defaults
    from music21.musicxml.m21ToXml import GeneralObjectExporter
    from music21.musicxml.xmlObjects import MusicXMLException

    defaults.title = defaults.author = ""  # else it invents both
    exporter = GeneralObjectExporter(score)
    exporter.makeNotation = not measured
    try:
        return bytes(exporter.parse()).translate(None, _NOT_IN_XML)
    except MusicXMLException:
        if not measured:
            raise
    return _exported(score, measured=False)  # some length must be split first, which making notation does


def _reason(error: Exception) -> str:
    """The first sentence of an error of music21's."""
    text = one_line(str(error))
    return text.split(". ")[0].rstrip(".")[:100] or type(error).__name__


def _said(warned: list[warnings.WarningMessage], printed: str) -> list[str]:
    told = [one for one in warned if not issubclass(one.category, _OF_THE_CODE)]
    texts = [str(one.message) for one in told] + printed.splitlines()
    return list(dict.fromkeys(one_line(text, 200) for text in texts if text.strip()))

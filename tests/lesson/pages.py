"""Small scores written out for the tests: MusicXML 4.0, one measure a row."""

from dataclasses import dataclass
from pathlib import Path

TYPES = {1: "eighth", 2: "quarter", 3: "quarter", 4: "half", 6: "half", 8: "whole"}  # in eighths


@dataclass(frozen=True)
class Bar:
    """A measure of C5: its metre ("6/8"; "" as before), note lengths in eighths (negative: a rest), a printed tempo."""

    lengths: tuple[int, ...]
    metre: str = ""
    tempo: tuple[str, int, bool] | None = None  # beat unit, per minute, dotted


def page(*bars: Bar, title: str = "Study", part: str = "Clarinet in Bb") -> str:
    """A score of one part."""
    measures = "".join(_measure(k, bar) for k, bar in enumerate(bars, 1))
    return (
        '<?xml version="1.0" encoding="UTF-8"?>\n<score-partwise version="4.0">'
        f"<work><work-title>{title}</work-title></work>"
        f'<part-list><score-part id="P1"><part-name>{part}</part-name></score-part></part-list>'
        f'<part id="P1">{measures}</part></score-partwise>'
    )


def score(folder: Path, *bars: Bar, title: str = "Study", name: str = "study.musicxml") -> str:
    """A score in a file; returns its name as a SOURCE."""
    file = folder / name
    file.write_text(page(*bars, title=title))
    return str(file)


def _measure(number: int, bar: Bar) -> str:
    attributes = ""
    if bar.metre:
        beats, beat_type = bar.metre.split("/")
        attributes = (
            "<attributes><divisions>2</divisions>"
            f"<time><beats>{beats}</beats><beat-type>{beat_type}</beat-type></time></attributes>"
        )
    direction = ""
    if bar.tempo:
        unit, per_minute, dotted = bar.tempo
        dot = "<beat-unit-dot/>" if dotted else ""
        direction = (
            f"<direction><direction-type><metronome><beat-unit>{unit}</beat-unit>{dot}"
            f"<per-minute>{per_minute}</per-minute></metronome></direction-type></direction>"
        )
    notes = "".join(_note(length) for length in bar.lengths)
    return f'<measure number="{number}">{attributes}{direction}{notes}</measure>'


def _note(length: int) -> str:
    kind = "<rest/>" if length < 0 else "<pitch><step>C</step><octave>5</octave></pitch>"
    size = abs(length)
    dot = "<dot/>" if size in (3, 6) else ""
    return f"<note>{kind}<duration>{size}</duration><type>{TYPES[size]}</type>{dot}</note>"


FOUR = Bar((2, 2, 2, 2), "4/4", ("quarter", 60, False))
PLAIN = (FOUR, *(Bar((2, 2, 2, 2)) for _ in range(5)))

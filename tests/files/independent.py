"""Readings by two independent libraries, to compare ours with: (onset, length, MIDI number) of every notehead."""

import warnings
from pathlib import Path
from typing import Any

from coach.music.part import Part

Heads = list[tuple[float, float, int]]


def ours(part: Part) -> Heads:
    """All noteheads of a part in our reading, graces left out, written pitch."""
    return sorted(
        (float(note.onset_q), float(note.length_q), pitch.midi)
        for measure in part.measures
        for note in (*measure.notes, *measure.others)
        if note.pitch is not None and not note.unpitched
        for pitch in (note.pitch, *note.chord)
    )


def by_music21(path: Path) -> list[Heads]:
    """All noteheads of every part in music21's reading; staves of one part are put together."""
    from music21 import converter, harmony, note, stream

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # it warns of rounded measures; the numbers are compared below
        reader: Any = converter.Converter()
        reader.parseFileNoPickle(path, forceSource=True)
    found: dict[str, Heads] = {}
    for part in reader.stream.parts:
        name = str(part.id).split("-Staff")[0] if isinstance(part, stream.PartStaff) else str(part.id)
        heads = found.setdefault(name, [])
        for one in part.recurse().notes:
            if one.duration.isGrace or isinstance(one, note.Unpitched | harmony.Harmony):
                continue
            onset, length = float(one.getOffsetInHierarchy(part)), float(one.duration.quarterLength)
            heads.extend((onset, length, int(pitch.ps)) for pitch in one.pitches)
    return [sorted(heads) for heads in found.values()]


def by_partitura(path: Path) -> dict[str, Heads]:
    """All noteheads of every part in partitura's reading, by part id."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import partitura
        from partitura import score

        parts = partitura.load_score(str(path)).parts
    found: dict[str, Heads] = {}
    for part in parts:
        quarters = part.quarter_map
        zero = float(quarters(part.first_point.t))
        found[part.id] = sorted(
            (float(quarters(one.start.t)) - zero, float(quarters(one.end.t) - quarters(one.start.t)), one.midi_pitch)
            for one in part.iter_all(score.Note)
            if not isinstance(one, score.GraceNote)
        )
    return found


def furthest(ours: Heads, theirs: Heads) -> tuple[float, float]:
    """The largest difference in onset and in length, in quarters; every pitch must be matched."""
    assert len(ours) == len(theirs)
    pairs = list(zip(_by_pitch(ours), _by_pitch(theirs), strict=True))
    assert all(mine[2] == other[2] for mine, other in pairs)
    return max(abs(mine[0] - other[0]) for mine, other in pairs), max(abs(mine[1] - other[1]) for mine, other in pairs)


def _by_pitch(heads: Heads) -> Heads:
    return sorted(heads, key=lambda head: (head[2], round(head[0], 2), head[1]))

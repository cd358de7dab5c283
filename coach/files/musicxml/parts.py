"""Raw measures into a part: lines drawn, ids given, marks laid over the notes."""

from collections.abc import Sequence
from fractions import Fraction

from coach.files.musicxml.building import Place, build_measure
from coach.files.musicxml.grid import Grid
from coach.files.musicxml.header import PartHeader
from coach.files.musicxml.joins import join_slurs, mend_ties
from coach.files.musicxml.lines import Line, cut_to, draw_lines, practised_staff
from coach.files.musicxml.marks import gather_marks
from coach.files.musicxml.raw import ZERO, Notices, RawMeasure
from coach.files.musicxml.written import Written
from coach.music.part import Part
from coach.music.pitch import Transposition


def build_part(
    header: PartHeader,
    measures: list[RawMeasure],
    grid: Grid,
    notices: Notices,
    practised: bool = True,
    written: Written | None = None,
) -> Part:
    """The part with its line; what had to be simplified goes into the notices, the choice of a line only if it is the
    practised part. `written` learns where its notes stand."""
    written = Written() if written is None else written
    for raw, length in zip(measures, grid.lengths, strict=False):
        cut = cut_to(raw, length)
        if cut:
            notices.add("Notes that reach beyond the end of the measure are cut.", raw.number, cut)
    staff = practised_staff(measures)
    lines = draw_lines(measures, list(grid.lengths[: len(measures)]), staff)
    ids = unique_numbers([raw.number for raw in measures])
    if practised:
        _say_simplified(lines, ids, notices)
    mend_ties(lines, ids, notices)
    printed = [
        (grid.onsets[k] + head.at, mark)
        for k, line in enumerate(lines)
        for head in line.heads
        for mark in head.dynamics
    ]
    staves = {staff} | {head.staff for line in lines for head in line.beside}
    marks = {
        each: gather_marks(
            measures, grid.onsets, each, printed if each == staff else (), notices if each == staff else Notices()
        )
        for each in sorted(staves)
    }
    joined = join_slurs(lines, ids, notices)
    places = [
        Place(name, grid.onsets[k], grid.lengths[k], grid.leads[k], k == 0 and grid.pickup)
        for k, name in enumerate(ids)
    ]
    built = [
        build_measure(raw, line, place, staff, marks, joined, written)
        for raw, line, place in zip(measures, lines, places, strict=True)
    ]
    first, changes = _transpositions(measures, grid, notices)
    mine = marks[staff]
    return Part(
        id=header.id,
        name=header.name,
        instrument=header.instrument,
        transposition=first,
        measures=tuple(built),
        dynamics=tuple(mine.dynamics),
        hairpins=tuple(mine.hairpins),
        words=tuple(mine.words),
        midi_program=header.midi_program,
        transposition_changes=changes,
    )


def _transpositions(
    measures: Sequence[RawMeasure], grid: Grid, notices: Notices
) -> tuple[Transposition, tuple[tuple[Fraction, Transposition], ...]]:
    found: list[tuple[Fraction, Transposition]] = []
    for raw, onset in zip(measures, grid.onsets, strict=False):
        for at, to in ((ZERO, raw.transposition), *raw.moved):
            if not found or found[-1][1] != to:
                found.append((onset + at, to))
                if len(found) > 1:
                    notices.add("The transposition changes inside the part (another instrument).", raw.number)
    return found[0][1], tuple(found[1:])


def _say_simplified(lines: Sequence[Line], ids: Sequence[str], notices: Notices) -> None:
    for line, name in zip(lines, ids, strict=True):
        if line.chords:
            notices.add("Of chords the top note is practised; the others are kept.", name, line.chords)
        voices = len({(head.staff, head.voice) for head in line.beside if not head.cue})
        if voices:
            notices.add("Of several voices the top one is practised; the others are kept.", name)
        cues = sum(head.cue for head in line.beside)
        if cues:
            notices.add("Cue notes are kept beside the practised line.", name, cues)
        empty = sum(head.length <= 0 for head in line.beside)
        if empty:
            notices.add("Notes without any length are left out.", name, empty)


def unique_numbers(numbers: Sequence[str]) -> list[str]:
    """The printed numbers, later ones of the same number marked: "14", "14~2". A measure without one gets its place."""
    used: set[str] = set()
    unique = []
    for index, number in enumerate(numbers):
        base = number or str(index + 1)
        name, k = base, 1
        while name in used:
            k += 1
            name = f"{base}~{k}"
        used.add(name)
        unique.append(name)
    return unique

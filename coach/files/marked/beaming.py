"""Beams and tuplet brackets over the small notes of an ossia."""

from collections.abc import Sequence
from fractions import Fraction

from lxml import etree

from coach.files.marked.page import made
from coach.files.marked.splitting import Printed
from coach.music.rhythm import VALUE_Q

Written = tuple[Fraction, Printed, etree._Element]  # where in the measure, what, and its element
_LEVELS = {kind: k for k, kind in enumerate(("eighth", "16th", "32nd", "64th", "128th", "256th", "512th", "1024th"), 1)}


def beam(notes: Sequence[Written], beat_q: Fraction) -> None:
    """Join what follows without a gap inside one beat; bracket tuplets."""
    run: list[Written] = []
    for note in notes:
        if run and (not _follows(run[-1], note) or run[0][0] // beat_q != note[0] // beat_q or not _levels(note)):
            _beam_run(run)
            run = []
        if _levels(note):
            run.append(note)
    _beam_run(run)
    _bracket_tuplets(notes)


def _follows(before: Written, after: Written) -> bool:
    return before[0] + before[1].length_q == after[0]


def _levels(note: Written) -> int:
    _, printed, element = note
    return 0 if printed.value is None or element.find("rest") is not None else _LEVELS.get(printed.value.kind, 0)


def _beam_run(run: Sequence[Written]) -> None:
    if len(run) < 2:
        return
    levels = [_levels(note) for note in run]
    for k, (_, _, element) in enumerate(run):
        before, after = levels[k - 1] if k else 0, levels[k + 1] if k + 1 < len(run) else 0
        notations = element.find("notations")
        for level in range(1, levels[k] + 1):
            sign = made("beam", _beam_at(level, before, after), number=str(level))
            if notations is None:
                element.append(sign)
            else:
                notations.addprevious(sign)


def _beam_at(level: int, before: int, after: int) -> str:
    if before >= level:
        return "continue" if after >= level else "end"
    if after >= level:
        return "begin"
    return "backward hook" if before else "forward hook"


def _bracket_tuplets(notes: Sequence[Written]) -> None:
    """From the first note of a ratio to where the time of its normal notes is full."""
    first: Written | None = None
    last: Written | None = None
    filled = Fraction(0)
    for note in notes:
        ratio = _ratio(note)
        if first is not None and last is not None and (ratio != _ratio(first) or not _follows(last, note)):
            _bracket(first, last)
            first = None
        if ratio is None:
            continue
        if first is None:
            first, filled = note, Fraction(0)
        last, filled = note, filled + note[1].length_q
        value = first[1].value
        if value is not None and (filled / (VALUE_Q[value.kind] * value.normal)).denominator == 1:
            _bracket(first, last)
            first = None
    if first is not None and last is not None:
        _bracket(first, last)


def _ratio(note: Written) -> tuple[int, int] | None:
    value = note[1].value
    return (value.actual, value.normal) if value is not None and value.actual != value.normal else None


def _bracket(first: Written, last: Written) -> None:
    for kind, (_, _, element) in (("start", first), ("stop", last)):
        notations = element.find("notations")
        if notations is None:
            notations = etree.SubElement(element, "notations")
        notations.append(made("tuplet", type=kind))
